"""What a remedy tells an angler to write does what it says."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from trip_logs import write_text

from rodhours.log.importing import ImportResult, import_paths
from rodhours.log.logbook import open_logbook
from rodhours.log.weight_unit import unit_to_show

LOG = {
    "session": "A",
    "rod": "1",
    "variant": "plain",
    "date": "2025-04-12",
    "hours": "5.5",
    "fish": "1",
}


def imported(folder: Path, cells: dict[str, str], weight: str, **how: object) -> ImportResult:
    """One stint and one fish."""
    row = {**LOG, **cells}
    stints = write_text(folder / "stints.csv", f"{','.join(row)}\n{','.join(row.values())}\n")
    catches = write_text(folder / "catches.csv", f"session,rod,weight\nA,1,{weight}\n")
    return import_paths([stints, catches], folder / "logbook.sqlite", zone="UTC", **how)


def named(result):
    """What is wrong with cells, be their trip refused for it or not."""
    return (*result.problems, *result.unread)


@pytest.mark.parametrize(
    ("cells", "weight", "line"),
    [
        ({"date": "12/04/2025"}, "20lb", '[dates] form = "day-month-year"'),
        ({}, "22.4 lb", '[units] weight = "lb.oz"'),
    ],
)
def test_the_line_for_a_layout(
    tmp_path: Path, cells: dict[str, str], weight: str, line: str
) -> None:
    """With that line alone in a layout file, the trip log's own columns are read."""
    (problem,) = named(imported(tmp_path, cells, weight))
    assert line in problem.says
    section, _, entry = line.partition(" ")
    layout = write_text(tmp_path / "my.toml", f"{section}\n{entry}\n")
    assert imported(tmp_path, cells, weight, layouts=[layout], replace=True).complete
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        assert unit_to_show(book) == "lb"


@pytest.mark.parametrize(
    ("column", "cell"),
    [
        ("hours", "36,5"),
        ("hours", "36,5 h"),
        ("fish", "none"),
        ("date", "12/04/2025"),
        ("date", "13.4.25"),
        ("start", "12/04/2025 6.30pm"),
        ("weight", "22.4 lb"),
        ("weight", "22.1 lb"),
        ("weight", "22.4"),
        ("weight", "10,1 kg"),
        ("weight", "22-4"),
    ],
)
def test_what_a_remedy_proposes_is_taken(tmp_path: Path, column: str, cell: str) -> None:
    """Each value that the remedy shows can stand in the cell in place of what was found."""
    cell_in = {"weight": ({}, f'"{cell}"')}.get(column, ({column: f'"{cell}"'}, "20lb"))
    (problem,) = named(imported(tmp_path, *cell_in, dry_run=True))
    says = (
        problem.says.partition(": the digits")[0].replace("(ISO 8601)", "").partition(" or say")[0]
    )
    shown = {
        "hours": r"\d+\.\d+",
        "fish": r"\d+",
        "date": r"\d{4}-\d\d-\d\d",
        "start": r"\d{4}-\d\d-\d\dT\d\d:\d\d",
        "weight": r"\d+lb \d+oz|\d+\.\d+ (?:lb|kg)",
    }
    proposed = re.findall(shown.get(column, r"\d+(?:\.\d+)?"), says)
    assert proposed
    for value in proposed:
        good = ({}, value) if column == "weight" else ({column: value}, "20lb")
        found = named(imported(tmp_path, *good, dry_run=True))
        # Another count than that of the fish listed is another matter, and a date another than
        # that of the start.
        assert not [p for p in found if p.column == column and "catches" not in p.says]
