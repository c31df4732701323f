"""Workbooks read as what they show: typed cells, formulas, errors, sheets, three formats."""

from __future__ import annotations

import zipfile
from datetime import date, datetime, time, timedelta
from pathlib import Path

import openpyxl
import pytest
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from rodhours.errors import UnusableFile
from rodhours.log.files.workbook import as_text
from rodhours.log.sheets import read_tables
from rodhours.log.table import FileTable

SAVED = Path(__file__).parent / "saved_sheets"
HEADER = ["session", "variant", "hours", "fish", "remark"]
PART = "xl/worksheets/sheet1.xml"


def only_table(path: Path) -> FileTable:
    (table,), _ = read_tables([path])
    return table


def saved(path: Path, **sheets: list[list[object]]) -> Path:
    """A workbook with these sheets of rows."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


@pytest.mark.parametrize(
    ("cells", "formats", "shown"),
    [
        # An error is no empty cell; a number too large for a date shows as one.
        (["A", "x", "#DIV/0!", 1, "#N/A"], [], ["A", "x", "#DIV/0!", "1", "#N/A"]),
        (["A", 3e6, "#N/A", 1, 2], ["", "yyyy-mm-dd"], ["A", "#VALUE!", "#N/A", "1", "2"]),
        # 20 % is kept as 0.2 in a spreadsheet: as a number it would be read a hundredfold low.
        (
            ["A", "x", 0.2, 0.125, 7],
            ["", "", "0%", "0.00%", '0" %"'],
            ["A", "x", "20%", "12.5%", "7"],
        ),
        # 36:30 is kept in days, shown as [h]:mm or h:mm.
        (
            [timedelta(hours=36, minutes=30), 36.5 / 24, time(5, 15), 0.25, timedelta(hours=100)],
            ["[h]:mm", "h:mm", "h:mm", "h:mm:ss", "[h]:mm:ss"],
            ["36:30", "36:30", "05:15", "06:00", "100:00"],
        ),
    ],
)
@pytest.mark.parametrize("epoch", [None, CALENDAR_MAC_1904])
def test_cells_are_what_the_sheet_shows(
    tmp_path: Path,
    cells: list[object],
    formats: list[str],
    shown: list[str],
    epoch: datetime | None,
) -> None:
    """Errors, percentages and durations, by both reckonings of days (since 1900, since 1904)."""
    book = openpyxl.Workbook()
    book.epoch = epoch or book.epoch
    for row in (HEADER, cells):
        book.active.append(row)
    for column, code in zip("ABCDE", formats, strict=False):
        book.active[f"{column}2"].number_format = code or "General"
    book.save(tmp_path / "a.xlsx")
    assert only_table(tmp_path / "a.xlsx").cells(0) == shown


def test_formulas_without_a_saved_value_are_named(tmp_path: Path) -> None:
    """openpyxl saves none: every such cell counts, also in a column that is not needed."""
    path = saved(tmp_path / "a.xlsx", Log=[HEADER, ["A", "x", 5, 1, "=1+1"]])
    with pytest.raises(UnusableFile, match=r"sheet Log: the formula in E2 has no saved value"):
        read_tables([path])
    rows = [["A", "x", f"=C{number}", 1] for number in range(2, 7)]
    with pytest.raises(UnusableFile, match=r"the formulas in C2, C3, C4 and 2 more have no saved"):
        read_tables([saved(path, Log=[HEADER, *rows])])


def test_formulas_with_a_saved_value_give_it(tmp_path: Path) -> None:
    """The saved number or text is the cell, an empty text included."""
    path = saved(tmp_path / "a.xlsx", Log=[HEADER, ["A", "x", "=2*3", 1, '=""']])
    with (
        zipfile.ZipFile(path) as packed,
        zipfile.ZipFile(tmp_path / "b.xlsx", "w") as new,
    ):
        for name in packed.namelist():
            text = packed.read(name).decode()
            if name == PART:
                text = text.replace("<v></v>", "<v />")
                for old, fresh in (
                    ("<f>2*3</f><v />", "<f>2*3</f><v>6.5</v>"),
                    ('r="E2"><f>""</f>', 'r="E2" t="str"><f>""</f>'),
                ):
                    assert old in text
                    text = text.replace(old, fresh)
            new.writestr(name, text)
    assert only_table(tmp_path / "b.xlsx").cells(0) == ["A", "x", "6.5", "1", ""]


def test_sheets_left_aside_may_hold_what_they_like(tmp_path: Path) -> None:
    """A formula without a value on a sheet that is not read stands in nobody's way."""
    rows = [HEADER, ["A", "x", 5, 1, "y"]]
    path = saved(tmp_path / "a.xlsx", stints=rows, chart=[[], [None, "=1+1"]])
    (table,), hints = read_tables([path])
    assert table.cells(0)[2] == "5"
    assert "chart" in hints[0]
    with pytest.raises(UnusableFile, match="B2"):
        read_tables([path], ["chart"])
    with pytest.raises(UnusableFile, match="no sheet none"):
        read_tables([path], ["none"])


def test_typed_cells_as_text() -> None:
    """Dates and times in ISO 8601, whole numbers without decimals, a hair off a second is it."""
    cells = {
        "2025-04-12": date(2025, 4, 12),
        "2025-04-12T18:30": datetime(2025, 4, 12, 18, 29, 59, 999000),
        "2025-04-12T18:30:15": datetime(2025, 4, 12, 18, 30, 15),
        "45759": 45759.0,
        "0.1": 0.1,
        "TRUE": True,
        "-12:00": timedelta(hours=-12),
        "00:00:30": timedelta(seconds=30),
        "": None,
    }
    assert {text: as_text(cell) for text, cell in cells.items()} == {text: text for text in cells}


def test_one_log_among_other_sheets(tmp_path: Path) -> None:
    """The only sheet with rows under names of the format is read and said; of two, none is."""
    log = [["Date", "Water", "Bait", "Fish"], ["2025-04-12", "Mere", "plain", 1]]
    baits = [["name", "egg"], ["plain", 4]]
    (table,), hints = read_tables([saved(tmp_path / "a.xlsx", Fishing=log, Baits=baits)])
    assert (table.sheet, len(table.rows)) == ("Fishing", 1)
    assert "read the sheet Fishing" in hints[0]
    assert "left aside the sheets Baits" in hints[1]
    baits[0] += ["Date", "Fish", "Hours"]
    with pytest.raises(UnusableFile, match="no sheet is called stints"):
        read_tables([saved(tmp_path / "b.xlsx", Fishing=log, Baits=baits)])


def test_rows_and_columns_keep_their_place(tmp_path: Path) -> None:
    """A log that begins in B3 with a blank row in it, on a sheet called Stints; others aside."""
    rows = [
        *([], [], [None, "session", "cast_in", "hours"], []),
        [None, 7, datetime(2025, 4, 12, 18, 30), 5.25],
        [None, date(2025, 4, 12), datetime(2025, 4, 12)],
    ]
    path = saved(tmp_path / "log.xlsx", Stints=rows, shopping=[["cork balls"]])
    (table,), hints = read_tables([path])
    assert (table.sheet, table.table, table.header_row) == ("Stints", "stints", 3)
    assert table.rows == [5, 6]
    assert table.cells(0)[1:] == ["7", "2025-04-12T18:30", "5.25"]
    assert table.cells(1)[1:] == ["2025-04-12", "2025-04-12", ""]
    assert "shopping" in hints[0]


def test_a_single_sheet_of_any_name_is_read_as_stints(tmp_path: Path) -> None:
    """A workbook of one filled sheet needs no sheet name."""
    path = saved(tmp_path / "one.xlsx", **{"2025": [["session", "hours"]], "empty": []})
    assert only_table(path).table == "stints"


SHOWN_HEADER = ("Date", "Water", "Bait", "Cast in", "Hours", "Fish", "Pellet", "Notes")
# Source: the cells written in saved_sheets/make_sources.py, formulas worked out by hand
# (24:00 less five minutes; 2 - 1; 1/0).
CELLS = [
    "2025-04-12|Alder Mere|plain|2025-04-12T18:30|36:30|1|0%|left of the reeds,\nnear the pipe",
    "2025-04-12|Alder Mere|pellet-20|2025-04-12T19:00|05:15|0|20%|",
    "2025-04-26|Bräuersee|plain|2025-04-26T06:05|24:00|2|0%|#DIV/0!",
    "2025-04-26|Bräuersee|pellet-20|2025-04-26T06:10|23:55|1|20%|lost 1",
]


@pytest.mark.parametrize("name", ["log.xlsx", "log.ods", "log.xls"])
def test_a_workbook_reads_alike_in_each_format(name: str) -> None:
    """Title and totals row aside, the same cells with the same row numbers, hidden rows too.

    Of .xls there are the values alone, and a hint says so.
    """
    (table,), hints = read_tables([SAVED / name])
    cells = CELLS
    if name == "log.xls":
        values = {"|0%|": "|0|", "|20%|": "|0.2|", "#DIV/0!": ""}
        for shown, value in values.items():
            cells = [line.replace(shown, value) for line in cells]
        assert "values alone" in hints.pop(0)
    assert (table.header, table.header_row, table.rows) == (SHOWN_HEADER, 3, [4, 5, 6, 7])
    assert ["|".join(table.cells(row)) for row in range(4)] == cells
    assert table.misfits == {}
    assert len(hints) == 2
    assert "row 3; rows 1 to 2 above" in hints[0]
    assert "row 9: a totals row" in hints[1]


@pytest.mark.parametrize("name", ["log.csv", "semicolon.csv"])
def test_the_same_as_csv(name: str) -> None:
    """CSV as shown differs in the spelling of times alone; the Windows-1252 file says its row."""
    (table,), hints = read_tables([SAVED / name])
    assert (table.header, table.header_row, table.rows) == (SHOWN_HEADER, 3, [4, 5, 6, 7])
    shown = [line.replace("T", " ").replace("|05:15|", "|5:15|") for line in CELLS]
    assert ["|".join(table.cells(row)) for row in range(4)] == shown
    assert any("row 9: a totals row" in hint for hint in hints)
    assert any("Windows-1252" in hint and "row 6" in hint for hint in hints) == (
        name == "semicolon.csv"
    )


@pytest.mark.parametrize("name", ["months.xlsx", "months.ods"])
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
    assert "April, May, June" in hints[0]
    assert "Baits" in hints[1]
    assert "sheets April, May, June: rows 1 and 2 name the columns together" in hints[2]
    assert len(hints) == 3


@pytest.mark.parametrize("name", ["locked.xlsx", "locked.ods", "locked.xls"])
def test_a_password_is_named(name: str) -> None:
    """A workbook protected by a password is unusable, and the message says that it is."""
    with pytest.raises(UnusableFile, match="protected by a password"):
        read_tables([SAVED / name])
