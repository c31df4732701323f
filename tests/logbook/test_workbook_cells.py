"""Cells of workbooks: formulas, errors, percentages, durations."""

from __future__ import annotations

import zipfile
from datetime import date, datetime, time, timedelta
from pathlib import Path

import openpyxl
import pytest
from openpyxl.utils.datetime import CALENDAR_MAC_1904

from rodhours.errors import UnusableFile
from rodhours.logbook.files.flags import cell_name
from rodhours.logbook.files.open import FileForm
from rodhours.logbook.files.values import as_text, iso_duration
from rodhours.logbook.sheets import read_tables

SAVED = Path(__file__).parent / "saved_sheets"
HEADER = ["session", "variant", "hours", "fish", "remark"]


def saved(path: Path, *rows: list[object], formats: dict[str, str] | None = None) -> Path:
    book = openpyxl.Workbook()
    sheet = book.active
    for row in (HEADER, *rows):
        sheet.append(row)
    for cell, code in (formats or {}).items():
        sheet[cell].number_format = code
    book.save(path)
    return path


def test_formulas_without_a_saved_value_are_named(tmp_path: Path) -> None:
    """openpyxl saves none: every such cell counts, also in a column that is not needed."""
    path = saved(tmp_path / "a.xlsx", ["A", "x", 5, 1, "=1+1"])
    with pytest.raises(UnusableFile, match=r"sheet Sheet: the formula in E2 has no saved value"):
        read_tables([path])
    rows = [["A", "x", f"=C{number}", 1, None] for number in range(2, 7)]
    path = saved(tmp_path / "b.xlsx", *rows)
    with pytest.raises(UnusableFile, match=r"the formulas in C2, C3, C4 and 2 more have no saved"):
        read_tables([path])


def rewritten(source: Path, target: Path, part: str, *changes: tuple[str, str]) -> Path:
    """A copy of a zipped file with texts of one part exchanged."""
    with zipfile.ZipFile(source) as packed, zipfile.ZipFile(target, "w") as new:
        for name in packed.namelist():
            data = packed.read(name)
            if name == part:
                text = data.decode()
                for old, fresh in changes:
                    assert old in text
                    text = text.replace(old, fresh)
                data = text.encode()
            new.writestr(name, data)
    return target


def test_formulas_with_a_saved_value_give_it(tmp_path: Path) -> None:
    """The saved number or text is the cell, an empty text included."""
    path = saved(tmp_path / "a.xlsx", ["A", "x", "=2*3", 1, '=""'])
    part = "xl/worksheets/sheet1.xml"
    changes = [
        ("<f>2*3</f><v></v>", "<f>2*3</f><v>6.5</v>"),
        ('r="E2"><f>""</f><v></v>', 'r="E2" t="str"><f>""</f><v></v>'),
    ]
    with zipfile.ZipFile(path) as packed:
        text = packed.read(part).decode()
    if "<v></v>" not in text:
        changes = [(old.replace("<v></v>", "<v />"), new) for old, new in changes]
    (table,), _ = read_tables([rewritten(path, tmp_path / "b.xlsx", part, *changes)])
    assert table.cells(0) == ["A", "x", "6.5", "1", ""]


def test_sheets_left_aside_may_hold_what_they_like(tmp_path: Path) -> None:
    """A formula without a value on a sheet that is not read stands in nobody's way."""
    path = saved(tmp_path / "a.xlsx", ["A", "x", 5, 1, "y"])
    book = openpyxl.load_workbook(path)
    book.active.title = "stints"
    book.create_sheet("chart")["B2"] = "=1+1"
    book.save(path)
    (table,), hints = read_tables([path])
    assert table.cells(0)[2] == "5"
    assert "chart" in hints[0]
    with pytest.raises(UnusableFile, match="B2"):
        read_tables([path], FileForm(sheets=("chart",)))
    with pytest.raises(UnusableFile, match="no sheet none"):
        read_tables([path], FileForm(sheets=("none",)))


def test_error_cells_hold_their_text(tmp_path: Path) -> None:
    """#DIV/0! stays what the sheet shows: it is no empty cell."""
    path = saved(tmp_path / "a.xlsx", ["A", "x", "#DIV/0!", 1, "#N/A"])
    (table,), _ = read_tables([path])
    assert table.cells(0) == ["A", "x", "#DIV/0!", "1", "#N/A"]


def test_a_date_beyond_all_calendars_is_no_error(tmp_path: Path) -> None:
    """A number too large for a date keeps its value, also where the sheet is read for errors."""
    path = saved(tmp_path / "a.xlsx", ["A", "x", 3e6, 1, "#N/A"], formats={"C2": "yyyy-mm-dd"})
    (table,), _ = read_tables([path])
    assert table.cells(0) == ["A", "x", "3000000", "1", "#N/A"]


def test_percentages_keep_their_sign(tmp_path: Path) -> None:
    """20 % is kept as 0.2 in a spreadsheet: as a number it would be read a hundredfold low."""
    formats = {"C2": "0%", "D2": "0.00%", "E2": '0" %"'}
    path = saved(tmp_path / "a.xlsx", ["A", "x", 0.2, 0.125, 7], formats=formats)
    (table,), _ = read_tables([path])
    assert table.cells(0) == ["A", "x", "20%", "12.5%", "7"]


@pytest.mark.parametrize("epoch", [None, CALENDAR_MAC_1904])
def test_durations_are_hours_and_minutes(tmp_path: Path, epoch: datetime | None) -> None:
    """A spreadsheet keeps 36:30 in days, shown as [h]:mm or h:mm, by both reckonings of days."""
    book = openpyxl.Workbook()
    if epoch is not None:
        book.epoch = epoch
    sheet = book.active
    for row in (
        ["a", "b", "c", "d", "e"],
        [timedelta(hours=36, minutes=30), 36.5 / 24, time(5, 15), 0.25, timedelta(hours=100)],
    ):
        sheet.append(row)
    for cell, code in zip("ABCDE", ["[h]:mm", "h:mm", "h:mm", "h:mm:ss", "[h]:mm:ss"], strict=True):
        sheet[f"{cell}2"].number_format = code
    book.save(tmp_path / "a.xlsx")
    (table,), _ = read_tables([tmp_path / "a.xlsx"])
    assert table.cells(0) == ["36:30", "36:30", "05:15", "06:00", "100:00"]


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
    assert iso_duration("PT36H29M59.99999712S") == "36:30"
    assert iso_duration("-PT12H00M00S") == "-12:00"
    assert iso_duration("PT") == "PT"


def test_cell_names() -> None:
    """The last column of a sheet is XFD, by the spreadsheets' own naming."""
    names = {(1, 1): "A1", (5, 26): "Z5", (9, 27): "AA9", (1048576, 16384): "XFD1048576"}
    assert {cell: cell_name(cell) for cell in names} == names


def test_one_log_among_other_sheets(tmp_path: Path) -> None:
    """The only sheet with rows under names of the format is read and said; of two, none is."""
    book = openpyxl.Workbook()
    book.active.title = "Fishing"
    for row in (["Date", "Water", "Bait", "Fish"], ["2025-04-12", "Mere", "plain", 1]):
        book.active.append(row)
    other = book.create_sheet("Baits")
    for row in (["name", "egg"], ["plain", 4]):
        other.append(row)
    book.save(tmp_path / "a.xlsx")
    (table,), hints = read_tables([tmp_path / "a.xlsx"])
    assert (table.sheet, len(table.rows)) == ("Fishing", 1)
    assert "read the sheet Fishing" in hints[0]
    assert "left aside the sheets Baits" in hints[1]
    other["C1"], other["D1"], other["E1"] = "Date", "Fish", "Hours"
    book.save(tmp_path / "b.xlsx")
    with pytest.raises(UnusableFile, match="no sheet is called stints"):
        read_tables([tmp_path / "b.xlsx"])
