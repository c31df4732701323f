"""Files, workbooks and folders to raw cells with their address."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import openpyxl
import pytest
from trip_logs import season, write_csv, write_log

from rodhours.errors import UnusableFile
from rodhours.logbook.sheets import read_tables
from rodhours.logbook.table import FileTable


def only(path: Path) -> FileTable:
    tables, _ = read_tables([path])
    assert len(tables) == 1
    return tables[0]


def test_rows_are_numbered_as_a_spreadsheet_shows_them(tmp_path: Path) -> None:
    """The header is row 1; blank lines take a number but are no data rows."""
    path = tmp_path / "log.csv"
    path.write_text("session,hours\nA,1\n\n , \nB,2\n", encoding="utf-8")
    table = only(path)
    assert table.rows == [2, 5]
    assert [table.cells(0), table.cells(1)] == [["A", "1"], ["B", "2"]]


def test_a_quoted_line_break_is_one_row(tmp_path: Path) -> None:
    """A cell with a line break stays one cell, and the rows after it keep their number."""
    path = tmp_path / "log.csv"
    path.write_text('session,notes\nA,"one\ntwo"\nB,x\n', encoding="utf-8")
    table = only(path)
    assert table.rows == [2, 3]
    assert table.cells(0) == ["A", "one\ntwo"]


def test_a_byte_order_mark_is_no_part_of_the_first_name(tmp_path: Path) -> None:
    """CSV UTF-8 as spreadsheets save it reads like CSV without the mark."""
    path = tmp_path / "log.csv"
    path.write_bytes(b"\xef\xbb\xbfsession,venue\r\nA,Erlensee \xc3\xb6\r\n")
    table = only(path)
    assert table.header == ("session", "venue")
    assert table.cells(0) == ["A", "Erlensee ö"]


def test_rows_that_do_not_fit_the_header_are_marked(tmp_path: Path) -> None:
    """A missing or a surplus comma shifts cells: such rows are kept whole and marked."""
    path = tmp_path / "log.csv"
    path.write_text("a,b,c\n1,2\n1,2,3,4\n1,2,3,\n1,2,3\n", encoding="utf-8")
    assert only(path).misfits == {0: ["1", "2"], 1: ["1", "2", "3", "4"]}


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"\x00\x01\x02PK", "not a text file"),
        (b"session\0,hours\n", "NUL"),
        (b"", "empty"),
        (b"\n\n,,\n", "empty"),
        (b"session,hours,hours\nA,5,5\n", "twice"),
        (b'session,notes\nA,"open\n', "quotation"),
    ],
)
def test_what_is_no_table_is_named(tmp_path: Path, content: bytes, says: str) -> None:
    """A file that cannot be read as a table is unusable, and the message names it and why."""
    path = tmp_path / "log.csv"
    path.write_bytes(content)
    with pytest.raises(UnusableFile, match=says) as caught:
        read_tables([path])
    assert str(path) in str(caught.value)


def test_missing_and_unknown_files(tmp_path: Path) -> None:
    """No such file, a file of another kind and an empty folder are unusable."""
    other = tmp_path / "log.pdf"
    other.write_text("x")
    (tmp_path / "empty").mkdir()
    not_a_workbook = tmp_path / "log.xlsx"
    not_a_workbook.write_bytes(b"no zip file")
    for path in (tmp_path / "none.csv", other, tmp_path / "empty", not_a_workbook):
        with pytest.raises(UnusableFile):
            read_tables([path])


def test_a_workbook_with_its_typed_cells(tmp_path: Path) -> None:
    """Real date cells become ISO texts, whole numbers have no decimals, rows keep their number."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "Stints"
    sheet["B3"], sheet["C3"], sheet["D3"] = "session", "cast_in", "hours"
    sheet["B5"], sheet["C5"], sheet["D5"] = 7, datetime(2025, 4, 12, 18, 30), 5.25
    sheet["B6"], sheet["C6"] = date(2025, 4, 12), datetime(2025, 4, 12)
    book.create_sheet("shopping")["A1"] = "cork balls"
    book.save(tmp_path / "log.xlsx")
    tables, hints = read_tables([tmp_path / "log.xlsx"])
    (table,) = tables
    assert (table.sheet, table.table, table.header_row) == ("Stints", "stints", 3)
    assert table.rows == [5, 6]
    assert table.cells(0)[1:] == ["7", "2025-04-12T18:30", "5.25"]
    assert table.cells(1)[1:] == ["2025-04-12", "2025-04-12", ""]
    assert "shopping" in hints[0]


def test_a_single_sheet_of_any_name_is_read_as_stints(tmp_path: Path) -> None:
    """A workbook of one sheet needs no sheet name; with several, one must be called stints."""
    book = openpyxl.Workbook()
    book.active.title = "2025"
    book.active.append(["session", "hours"])
    book.create_sheet("empty")
    book.save(tmp_path / "one.xlsx")
    assert only(tmp_path / "one.xlsx").table == "stints"
    book["empty"]["A1"] = "filled"
    book.save(tmp_path / "two.xlsx")
    with pytest.raises(UnusableFile, match="stints"):
        read_tables([tmp_path / "two.xlsx"])


def test_a_folder_is_its_four_tables(tmp_path: Path) -> None:
    """Beside stints.csv only files of the other tables' names are read: none counts twice."""
    write_log(tmp_path, season())
    write_csv(tmp_path / "another.csv", season()["stints"])
    tables, hints = read_tables([tmp_path, tmp_path / "stints.csv"])
    assert sorted(table.table for table in tables) == ["catches", "sessions", "stints", "variants"]
    assert "another.csv" in hints[0]
