"""Files saved by an office program read as what they show: see saved_sheets/README.md."""

from __future__ import annotations

from pathlib import Path

import pytest

from rodhours.errors import UnusableFile
from rodhours.logbook.importing import import_paths
from rodhours.logbook.sheets import read_tables

SAVED = Path(__file__).parent / "saved_sheets"
HEADER = ("Date", "Water", "Bait", "Cast in", "Hours", "Fish", "Pellet", "Notes")
# Source: the cells written in saved_sheets/make_sources.py, formulas worked out by hand
# (24:00 less five minutes; 2 - 1; 1/0).
CELLS = [
    "2025-04-12|Alder Mere|plain|2025-04-12T18:30|36:30|1|0%|left of the reeds,\nnear the pipe",
    "2025-04-12|Alder Mere|pellet-20|2025-04-12T19:00|05:15|0|20%|",
    "2025-04-26|Bräuersee|plain|2025-04-26T06:05|24:00|2|0%|#DIV/0!",
    "2025-04-26|Bräuersee|pellet-20|2025-04-26T06:10|23:55|1|20%|lost 1",
]
VALUES = "values alone"
"""What is said of a workbook whose errors and percentages are not read: .ods and .xls."""


def without(hints: list[str], words: str) -> list[str]:
    """The other hints; that with these words has to be there, once."""
    others = [hint for hint in hints if words not in hint]
    assert len(others) == len(hints) - 1
    return others


@pytest.mark.parametrize("name", ["log.xlsx", "log.ods", "log.xls"])
def test_a_workbook_reads_alike_in_each_format(name: str) -> None:
    """Title and totals row aside, the same cells with the same row numbers, hidden rows too.

    Of .ods and .xls there are the values alone, and a hint says so.
    """
    (table,), hints = read_tables([SAVED / name])
    assert (table.header, table.header_row, table.rows) == (HEADER, 3, [4, 5, 6, 7])
    cells = CELLS
    if not name.endswith(".xlsx"):
        values = {"|0%|": "|0|", "|20%|": "|0.2|", "#DIV/0!": ""}
        for shown, value in values.items():
            cells = [line.replace(shown, value) for line in cells]
        hints = without(hints, VALUES)
    assert ["|".join(table.cells(row)) for row in range(4)] == cells
    assert table.misfits == {}
    assert len(hints) == 2
    assert "row 3; rows 1 to 2 above" in hints[0]
    assert "row 9: a totals row" in hints[1]


@pytest.mark.parametrize("name", ["log.csv", "semicolon.csv"])
def test_the_same_as_csv(name: str) -> None:
    """CSV as shown differs in the spelling of times alone; the Windows-1252 file says its row."""
    (table,), hints = read_tables([SAVED / name])
    assert (table.header, table.header_row, table.rows) == (HEADER, 3, [4, 5, 6, 7])
    shown = [line.replace("T", " ").replace("|05:15|", "|5:15|") for line in CELLS]
    assert ["|".join(table.cells(row)) for row in range(4)] == shown
    assert any("row 9: a totals row" in hint for hint in hints)
    assert any("Windows-1252" in hint and "row 6" in hint for hint in hints) == (
        name == "semicolon.csv"
    )


@pytest.mark.parametrize("name", ["months.xlsx", "months.ods", "months.xls"])
def test_a_sheet_for_each_month_is_one_log(name: str) -> None:
    """Sheets of one header are read together and named, hidden ones too; another is left aside."""
    tables, hints = read_tables([SAVED / name])
    assert [table.sheet for table in tables] == ["April", "May", "June"]
    assert {table.table for table in tables} == {"stints"}
    for table, day in zip(tables, ("2025-04-05", "2025-05-03", "2025-06-07"), strict=True):
        assert table.header == (
            *("Date", "Water", "Rod 1 bait", "Rod 1 fish", "Rod 2 bait", "Rod 2 fish"),
        )
        assert (table.header_row, table.rows) == (2, [3, 4])
        assert table.cells(0) == [day, "Alder Mere", "plain", "0", "pellet-20", "0"]
    hints = without(hints, VALUES) if name.endswith(".xls") else hints
    assert "April, May, June" in hints[0]
    assert "Baits" in hints[1]
    assert "sheets April, May, June: rows 1 and 2 name the columns together" in hints[2]
    assert len(hints) == 3


@pytest.mark.parametrize("name", ["locked.xlsx", "locked.ods", "locked.xls"])
def test_a_password_is_named(name: str) -> None:
    """A workbook protected by a password is unusable, and the message says that it is."""
    with pytest.raises(UnusableFile, match="protected by a password"):
        read_tables([SAVED / name])


def test_one_log_in_three_formats_is_one_log(tmp_path: Path) -> None:
    """What came from .xlsx is already there when .ods and .xls bring it again."""
    logbook = tmp_path / "logbook.sqlite"
    for name, new in (("small.xlsx", 5), ("small.ods", 0), ("small.xls", 0)):
        result = import_paths([SAVED / name], logbook)
        assert (result.rows_read, result.rows_imported, result.rows_rejected) == (5, new, 0)
        assert result.problems == ()
