"""Cells made to take time: 10,000 characters of blanks, apostrophes, digits and brackets.

A text is looked at in linear time, so that such a log goes through each command about as fast as
one of plain words: within five seconds of this process's own time, whatever else runs.
"""

from __future__ import annotations

import csv
import random
import time

import pytest

LONG = 10_000
SIGNS = " '([])}{0123456789.,-+:/lboz\""
MADE = (
    lambda draw: " " * LONG,
    lambda draw: "'" * LONG,
    lambda draw: "".join(draw.choices("0123456789", k=LONG)),
    lambda draw: "(" * (LONG // 2) + ")" * (LONG // 2),
    lambda draw: "= " * (LONG // 2),
    lambda draw: "<b>" * (LONG // 3),
    lambda draw: "".join(draw.choices(SIGNS, k=LONG)),
)
COLUMNS = (
    ("weather", "notes", "swim", "spot", "rig"),  # kept as they are
    ("depth_m", "range_m", "water_temp_c", "air_temp_c", "wind_dir"),  # not read, and kept
    ("hours", "venue", "date", "cast_in", "batch"),  # without them the trip waits
)


def seconds(command, *asked):
    """This process's time for a command that answers, or takes what it can."""
    began = time.process_time()
    done = command(*asked)
    assert done.code in (0, 3), (asked, done.err[:300])
    return time.process_time() - began


def write_log(path, names, cells, short=False):
    """Two rods a trip and five such cells a rod; `own.csv` is the same under other names."""
    draw, usual = random.Random(5), ("session", "date", "rod", "variant", "hours", "fish")
    header = list(dict.fromkeys((*usual, *names)))
    rows = []
    for number in range(cells // len(names)):
        trip, rod = divmod(number, 2)
        row = {"session": f"t{trip}", "date": f"2025-{trip % 12 + 1:02}-{trip // 12 % 28 + 1:02}"}
        row |= {"rod": rod + 1, "variant": ("plain", "p20")[(rod + trip) % 2]}
        row |= {"hours": 5 + trip % 17 / 10, "fish": (trip + rod) % 3}
        made = {name: MADE[(number + at) % len(MADE)](draw) for at, name in enumerate(names)}
        row |= {name: cell[:8] if short else cell for name, cell in made.items()}
        rows.append([row[name] for name in header])
    theirs = {"session": "Trip", "variant": "Bait", "hours": "Time", "fish": "Caught"}
    for name, head in (("log", header), ("own", [theirs.get(one, one) for one in header])):
        with (path / f"{name}.csv").open("w", newline="", encoding="utf-8") as file:
            csv.writer(file).writerows([head, *rows])


@pytest.mark.parametrize("cells", [70, pytest.param(1000, marks=pytest.mark.full)])
@pytest.mark.parametrize("names", COLUMNS, ids=lambda names: names[0])
def test_no_cell_is_looked_at_for_long(command, tmp_path, names, cells):
    """Import, proposal, export and what waits: five seconds each, and no traceback."""
    write_log(tmp_path, names, cells)
    asked = [["import", "log.csv"], ["import", "own.csv", "--propose"], ["waiting", "--cells"]]
    if "hours" not in names:
        asked += [["export", "out"], ["export", "out.xlsx"], ["summary"]]
    for one in asked:
        assert seconds(command, *one) < 5, one
    if "hours" not in names and cells > 100:
        with_them = seconds(command, "report")
        for path in tmp_path.glob("*.sqlite"):
            path.unlink()
        write_log(tmp_path, names, cells, short=True)
        command("import", "log.csv")
        assert with_them - seconds(command, "report") < 5
