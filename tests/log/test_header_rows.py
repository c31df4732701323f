"""Which row names the columns, and which one is the totals row."""

from __future__ import annotations

from pathlib import Path

import pytest

from rodhours.errors import UnusableFile
from rodhours.log.files.header import find_header
from rodhours.log.sheets import read_tables

ROWS = ["12.4.2025|Mere|plain|36|1", "13.4.2025|Mere|x|5|0"]
NAMES = "Date|Water|Bait|Rod hrs|Fish"


def header(*lines: str) -> tuple[int, tuple[str, ...]]:
    found = find_header([line.split("|") for line in lines])
    assert found is not None
    return found.index + 1, found.names


@pytest.mark.parametrize(
    "above",
    [
        [],
        ["My season"],
        ["My season||||", "|Big lake, two rods|||"],
        ["", "||||", "Angler:|me", "Season:|2025", ""],
        ["2025"],
    ],
)
@pytest.mark.parametrize("names", [NAMES, "session|variant|hours|fish|rod", "Date|Hours|a|b|c"])
def test_titles_above_are_told_from_the_header(above: list[str], names: str) -> None:
    """The header is the first row that names the columns in use below, known names or not."""
    assert header(*above, names, *ROWS) == (len(above) + 1, tuple(names.split("|")))


@pytest.mark.parametrize(
    ("upper", "lower", "row"),
    [
        ("Date|Water|Rod 1||Rod 2|", "||bait|fish|bait|fish", 2),
        ("||Rod 1||Rod 2|", "Date|Water|bait|fish|bait|fish", 2),
        ("Date||Rod 1||Rod 2", "|Water|bait|fish|bait|fish", 2),
    ],
)
def test_merged_header_cells(upper: str, lower: str, row: int) -> None:
    """A cell merged across columns stands before each name below it, one merged downwards alone."""
    names = ("Date", "Water", "Rod 1 bait", "Rod 1 fish", "Rod 2 bait", "Rod 2 fish")
    body = ["2025-04-12|Mere|plain|1|x|0"] * 2
    assert header(upper, lower, *body) == (row, names)
    assert header("My season", "", upper, lower, *body) == (row + 2, names)


def test_a_first_row_of_data_is_never_taken_into_the_header() -> None:
    """A header with a gap keeps its row, and the rows below it stay rows."""
    assert header("Date|Water||Fish", "left|Mere|plain|one", "right|Mere|x|two")[0] == 1
    assert header("session|variant||fish", "A|b|c|1")[0] == 1


def test_header_cells_are_written_with_single_spaces() -> None:
    """A line break inside a merged or narrow header cell is a space."""
    assert header("Rod\nhours| Date ", "5|2025-04-12")[1] == ("Rod hours", "Date")


def test_no_row_of_names_is_said(tmp_path: Path) -> None:
    """A table of numbers and dates alone has no header, and the message asks for one."""
    path = tmp_path / "log.csv"
    path.write_text("2025-04-12,5,1\n2025-04-13,6,0\n")
    with pytest.raises(UnusableFile, match="no row names the columns"):
        read_tables([path])


def table_of(path: Path, *lines: str) -> tuple[list[int], list[str]]:
    path.write_text("\n".join(lines).replace("|", ";"), encoding="utf-8")
    (table,), hints = read_tables([path])
    return table.rows, hints


@pytest.mark.parametrize(
    "last",
    ["Total|||41|1", "|Sum:||41|", "Total||2|41.0|1", "Grand total|||41,0|1", "TOTALS|2|2|41|1"],
)
def test_a_totals_row_is_left_aside_and_named(tmp_path: Path, last: str) -> None:
    """A row called total or sum whose numbers are the sums, or counts, of the columns above."""
    rows, hints = table_of(tmp_path / "log.csv", NAMES, *ROWS, "", last)
    assert rows == [2, 3]
    assert "row 5: a totals row" in hints[-1]


@pytest.mark.parametrize(
    "last",
    [
        "Total|||40|1",
        "|||41|1",
        "Total||||",
        "Average|||41|1",
        "Total|||41|3",
        "Total||22lb 4oz|41|1",
        "totally|||41|1",
    ],
)
def test_any_other_last_row_is_a_row(tmp_path: Path, last: str) -> None:
    """Without the word, or with a number that is no sum, nothing is left aside."""
    rows, hints = table_of(tmp_path / "log.csv", NAMES, *ROWS, last)
    assert rows == [2, 3, 4]
    assert hints == []


def test_clock_hours_are_summed(tmp_path: Path) -> None:
    """Hours and minutes count as such in a totals row: 36:30 and 5:45 make 42:15."""
    lines = [NAMES, "1.4.|M|a|36:30|1", "2.4.|M|a|5:45|0"]
    assert table_of(tmp_path / "log.csv", *lines, "Total|||42:15|1")[0] == [2, 3]
    assert table_of(tmp_path / "log.csv", *lines, "Total|||41:75|1")[0] == [2, 3, 4]


def test_hours_of_any_form_are_summed(tmp_path: Path) -> None:
    """36:30, 36,5, 24h and 1d make 121 hours; 120 are not their sum."""
    lines = [NAMES, *(f"1.4.|M|a|{hours}|0" for hours in ("36:30", "36,5", "24h", "1d"))]
    assert table_of(tmp_path / "log.csv", *lines, "Total|||121|0")[0] == [2, 3, 4, 5]
    assert table_of(tmp_path / "log.csv", *lines, "Total|||120|0")[0] == [2, 3, 4, 5, 6]


def test_a_preface_of_known_words_is_no_header() -> None:
    """Names of the format between other words above the table do not make a header."""
    assert (
        header("Venue|Mere|Angler|me", "", "Date|Hours|Fish|Bait|Rod|Spot", "1|2|3|a|1|b")[0] == 3
    )
