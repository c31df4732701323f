"""A good log in any angler's columns and forms, read by its layout, is the plain log again.

The writer of the forms is here, in plain arithmetic and strings, and knows nothing of the
reader's code. The log has quarter hours and whole ounces, so that every form says them exactly.
"""

from __future__ import annotations

import csv
import json
import tempfile
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rodhours.logbook.importing import import_paths
from rodhours.logbook.logbook import open_logbook

Row = dict[str, str]
BAITS = {"plain": ("Plain", "no pellet"), "pellet-20": ("20% pellet", "P20")}
MONTHS = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]
NAMES = {
    "date": ("Date", "Day fished", "when"),
    "venue": ("Water", "Lake", "Name of water"),
    "rod": ("Rod", "rod no."),
    "variant": ("Bait", "Hookbait", "On the hair"),
    "hours": ("Hrs", "Time fished (h)", "How long"),
    "fish": ("Landed", "Caught"),
    "lost": ("Dropped", "Lost"),
    "water_temp_c": ("Temp", "Water temp °C"),
    "depth_m": ("Depth", "How deep"),
}


def plain_log(seed: int, trips: int) -> list[list[Row]]:
    """Rows of trips in the format's own form; a rod or two each, one date and water a trip."""
    log = []
    for trip in range(trips):
        number = seed * 31 + trip * 17
        day = date(2024, 1, 3) + timedelta(days=trip * 9 + seed % 5)
        venue = ("Alder Mere", "Old Brickpit")[number % 2]
        quarters = 8 + number % 150
        log.append(
            [
                {
                    "session": f"{day.isoformat()}, {venue}",
                    "date": day.isoformat(),
                    "venue": venue,
                    "rod": str(rod),
                    "variant": ("plain", "pellet-20")[(number + rod) % 2],
                    "hours": f"{quarters // 4}.{['00', '25', '50', '75'][quarters % 4]}",
                    "fish": str((number + rod) % 5 // 3),
                    "lost": str((number + rod) % 7 // 6),
                    "water_temp_c": f"{5 + number % 15}.{number % 2 * 5}",
                    "depth_m": f"{1 + (number + rod) % 4}.5",
                }
                for rod in (1, 2)[: 1 + number % 2]
            ]
        )
    return log


def as_date(iso: str, form: str) -> str:
    year, month, day = iso.split("-")
    return {
        "iso": iso,
        "slashes": f"{day}/{month}/{year}",
        "dots": f"{int(day)}.{int(month)}.{year[2:]}",
        "words": f"{int(day)} {MONTHS[int(month) - 1]} {year}",
    }[form]


def as_hours(decimal: str, form: str, comma: bool) -> str:
    whole, _, part = decimal.partition(".")
    minutes = int(part) * 60 // 100
    if form == "clock":
        return f"{whole}:{minutes:02d}"
    if form == "spelt":
        days, hours = divmod(int(whole), 24)
        return f"{days}d {hours}h {minutes}m" if days else f"{hours}h {minutes}m"
    return decimal.replace(".", ",") if comma else decimal


def quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


@st.composite
def anglers(draw: st.DrawFn) -> dict[str, object]:
    """How one angler keeps the log."""
    return {
        "names": {ours: draw(st.sampled_from(theirs)) for ours, theirs in NAMES.items()},
        "order": draw(st.permutations(list(NAMES))),
        "date": draw(st.sampled_from(["iso", "slashes", "dots", "words"])),
        "hours": draw(st.sampled_from(["decimal", "clock", "spelt"])),
        "comma": draw(st.booleans()),
        "bait": draw(st.sampled_from([None, 0, 1])),
        "above": draw(st.booleans()),
        "wide": draw(st.booleans()),
        "title": draw(st.booleans()),
    }


OF_ROD = ("variant", "fish", "lost", "depth_m")


def write(folder: Path, log: list[list[Row]], how: dict) -> tuple[Path, Path]:
    """The log as this angler keeps it, and the layout that says so."""
    names, mark = how["names"], ";" if how["comma"] else ","

    def theirs(row: Row) -> Row:
        cells = dict(row)
        cells["date"] = as_date(row["date"], how["date"])
        cells["hours"] = as_hours(row["hours"], how["hours"], how["comma"])
        for number in ("water_temp_c", "depth_m"):
            cells[number] = row[number].replace(".", ",") if how["comma"] else row[number]
        if how["bait"] is not None:
            cells["variant"] = BAITS[row["variant"]][how["bait"]]
        return cells

    shared = [ours for ours in how["order"] if not how["wide"] or ours not in (*OF_ROD, "rod")]
    header = [names[ours] for ours in shared]
    if how["wide"]:
        header += [f"{names[ours]} R{rod}" for rod in (1, 2) for ours in OF_ROD]
    table = [["My fishing", *[""] * (len(header) - 1)]] if how["title"] else []
    table.append(header)
    for trip in log:
        for number, row in enumerate(map(theirs, trip)):
            line = [
                "" if how["above"] and number and ours in ("date", "venue") else row[ours]
                for ours in shared
            ]
            if not how["wide"]:
                table.append(line)
            elif number == 0:
                rods = [theirs(one) for one in trip]
                for place in (0, 1):
                    line += [rods[place][o] if place < len(rods) else "" for o in OF_ROD]
                table.append(line)
    file = folder / "kept.csv"
    with file.open("w", newline="", encoding="utf-8") as out:
        csv.writer(out, delimiter=mark).writerows(table)
    lines = ["[columns]", *(f"{quoted(names[ours])} = {quoted(ours)}" for ours in shared)]
    lines += ["[session]", f"from = [{quoted(names['date'])}, {quoted(names['venue'])}]"]
    if how["above"]:
        lines += ["[fill_down]", f"columns = [{quoted(names['venue'])}, {quoted(names['date'])}]"]
    if how["wide"]:
        lines += ["[wide]", *(f"{ours} = {quoted(names[ours] + ' R{rod}')}" for ours in OF_ROD)]
    lines += ["[units]", f'hours = "{how["hours"]}"', f'decimal = "{"," if how["comma"] else "."}"']
    if how["date"] != "iso":
        lines += ["[dates]", 'form = "day-month-year"']
    if how["bait"] is not None:
        lines += ["[values.variant]"]
        lines += [f"{quoted(texts[how['bait']])} = {quoted(o)}" for o, texts in BAITS.items()]
    if how["title"]:
        lines += ["[file]", "header_row = 2"]
    layout = folder / "kept.toml"
    layout.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return file, layout


def digest(logbook: Path) -> str:
    with open_logbook(logbook) as book:
        return book.content_sha256()


def check(how: dict, seed: int, trips: int) -> None:
    """The kept log by its layout, and the plain one as it stands, are one content."""
    log = plain_log(seed, trips)
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        with (folder / "plain.csv").open("w", newline="", encoding="utf-8") as out:
            rows = [row for trip in log for row in trip]
            writer = csv.DictWriter(out, list(rows[0]))
            writer.writeheader()
            writer.writerows(rows)
        wanted = import_paths([folder / "plain.csv"], folder / "plain.sqlite")
        file, layout = write(folder, log, how)
        found = import_paths([file], folder / "kept.sqlite", layouts=[layout])
        assert wanted.complete
        assert found.complete, found.problems
        assert found.rows_read == (len(log) if how["wide"] else sum(map(len, log)))
        assert digest(folder / "kept.sqlite") == digest(folder / "plain.sqlite")


@settings(max_examples=15)
@given(anglers(), st.integers(0, 200), st.integers(1, 5))
def test_any_anglers_columns_and_forms_are_the_plain_log_again(
    how: dict, seed: int, trips: int
) -> None:
    """Renamed columns, forms of dates, hours and numbers, labels, gaps, titles, rods in columns."""
    check(how, seed, trips)


@pytest.mark.full
@settings(max_examples=500)
@given(anglers(), st.integers(0, 2000), st.integers(1, 20))
def test_many_anglers_columns_and_forms_are_the_plain_log_again(
    how: dict, seed: int, trips: int
) -> None:
    """The same at full size."""
    check(how, seed, trips)
