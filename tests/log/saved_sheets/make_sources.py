"""Writes the workbooks that an office program then saved in its own ways; see README.md.

Run by hand: python make_sources.py FOLDER
"""

from __future__ import annotations

import sys
from datetime import date, datetime, timedelta
from pathlib import Path

import openpyxl
from openpyxl.styles import Font

HEADER = ["Date", "Water", "Bait", "Cast in", "Hours", "Fish", "Pellet", "Notes"]
ROWS = [
    [
        *(date(2025, 4, 12), "Alder Mere", "plain", datetime(2025, 4, 12, 18, 30)),
        *(timedelta(hours=36, minutes=30), 1, 0.0, "left of the reeds,\nnear the pipe"),
    ],
    [
        *(date(2025, 4, 12), "Alder Mere", "pellet-20", datetime(2025, 4, 12, 19)),
        *(timedelta(hours=5, minutes=15), 0, 0.2, None),
    ],
    [
        *(date(2025, 4, 26), "Bräuersee", "plain", datetime(2025, 4, 26, 6, 5)),
        *(timedelta(hours=24), 2, 0.0, "=1/0"),
    ],
    [
        *(date(2025, 4, 26), "Bräuersee", "pellet-20", datetime(2025, 4, 26, 6, 10)),
        *("=E6-TIME(0,5,0)", "=F6-1", 0.2, '="lost " & 1'),
    ],
]


def log() -> openpyxl.Workbook:
    """One sheet: merged title, blank row, typed cells, formulas, a hidden row, a totals row."""
    book = _book()
    sheet = book.active
    sheet.title = "Season"
    sheet["A1"] = "Season 2025"
    sheet["A1"].font = Font(bold=True)
    sheet.merge_cells("A1:H1")
    for column, name in enumerate(HEADER, start=1):
        sheet.cell(3, column, name)
    for number, row in enumerate(ROWS, start=4):
        for column, value in enumerate(row, start=1):
            cell = sheet.cell(number, column, value)
            cell.number_format = {
                1: "yyyy\\-mm\\-dd",
                4: "yyyy\\-mm\\-dd hh:mm",
                5: "[h]:mm",
                7: "0%",
            }.get(column, "General")
    sheet.row_dimensions[5].hidden = True
    sheet["A9"] = "Total"
    sheet["E9"], sheet["E9"].number_format = "=SUM(E4:E7)", "[h]:mm"
    sheet["F9"] = "=SUM(F4:F7)"
    return book


def months() -> openpyxl.Workbook:
    """A sheet for each of two months with two header rows, a hidden third, and a list of baits."""
    book = _book()
    book.remove(book.active)
    for name, day in (("April", 5), ("May", 3), ("June", 7)):
        sheet = book.create_sheet(name)
        month = {"April": 4, "May": 5, "June": 6}[name]
        for cells, text in (
            ("A1:A2", "Date"),
            ("B1:B2", "Water"),
            ("C1:D1", "Rod 1"),
            ("E1:F1", "Rod 2"),
        ):
            sheet[cells.partition(":")[0]] = text
            sheet.merge_cells(cells)
        for column, text in zip("CDEF", ["bait", "fish", "bait", "fish"], strict=True):
            sheet[f"{column}2"] = text
        for number in range(2):
            when = date(2025, month, day + number)
            sheet.append([when, "Alder Mere", "plain", number, "pellet-20", 0])
            sheet.cell(3 + number, 1).number_format = "yyyy\\-mm\\-dd"
    book["June"].sheet_state = "hidden"
    baits = book.create_sheet("Baits")
    baits.append(["name", "pellet", "egg", "made on"])
    baits.append(["plain", 0, 4, "Monday"])
    return book


def small() -> openpyxl.Workbook:
    """A log in the format of the program: two sessions of two rods and the one fish of them."""
    book = _book()
    stints = book.active
    stints.title = "stints"
    stints.append(["session", "date", "venue", "rod", "variant", "hours", "fish"])
    for day in (12, 26):
        for rod, bait in ((1, "plain"), (2, "pellet-20")):
            fish = int(day == 26 and rod == 2)
            when = date(2025, 4, day)
            stints.append([f"trip {day}", when, "Bräuersee", rod, bait, 5.25 + rod, fish])
            stints.cell(stints.max_row, 2).number_format = "yyyy\\-mm\\-dd"
    catches = book.create_sheet("catches")
    catches.append(["session", "rod", "species", "weight"])
    catches.append(["trip 26", 2, "carp", "22lb 4oz"])
    return book


def _book() -> openpyxl.Workbook:
    book = openpyxl.Workbook()
    book.properties.creator = None
    return book


if __name__ == "__main__":
    folder = Path(sys.argv[1])
    log().save(folder / "log.xlsx")
    months().save(folder / "months.xlsx")
    small().save(folder / "small.xlsx")
