"""The blank trip log: what its cells take, and that it goes in as it is once it is filled."""

from __future__ import annotations

import csv
import datetime as dt
import errno
import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest
from openpyxl.utils import get_column_letter

from rodhours.errors import UnusableFile
from rodhours.log.importing import import_paths
from rodhours.log.logbook import open_logbook
from rodhours.log.tables import TABLES, Kind
from rodhours.log.template import write_template_csv, write_template_workbook

FILLED = {
    "stints": [
        {"session": "first", "variant": "plain", "hours": 20.5, "fish": 1, "rod": "1"},
        {
            "session": "first",
            "variant": "pellet-20",
            "cast_in": dt.datetime(2025, 4, 12, 18, 30),
            "cast_out": dt.datetime(2025, 4, 13, 15, 0),
            "fish": 0,
            "rod": "2",
            "hook_size": "4/0",
        },
    ],
    "sessions": [{"session": "first", "date": dt.datetime(2025, 4, 12), "wind_dir": "SW"}],
    "catches": [{"session": "first", "rod": "1", "weight": "22lb 4oz"}],
    "variants": [{"variant": "plain", "pellet_pct": 0}, {"variant": "pellet-20", "pellet_pct": 20}],
}
ROWS = sum(map(len, FILLED.values()))


@pytest.fixture(scope="module")
def blank(tmp_path_factory):
    """The path of a template that no test changes."""
    target = tmp_path_factory.mktemp("blank") / "log.xlsx"
    write_template_workbook(target)
    return target


@pytest.fixture(scope="module")
def sheets(blank):
    """Its sheets, by openpyxl."""
    return openpyxl.load_workbook(blank)


@pytest.fixture
def workbook(blank, tmp_path):
    """A copy to fill in."""
    return Path(shutil.copy(blank, tmp_path / "log.xlsx"))


def column_of(sheet, name: str) -> int:
    return next(cell.column for cell in sheet[1] if cell.value == name)


def fill(path) -> None:
    """Type the rows of FILLED under the example rows, as a person would."""
    book = openpyxl.load_workbook(path)
    for name, rows in FILLED.items():
        for line, row in enumerate(rows, start=3):
            for column, value in row.items():
                book[name].cell(line, column_of(book[name], column)).value = value
    book.save(path)


def held(path) -> tuple[list, list, list, list]:
    with open_logbook(path) as book:
        stints = [row[2:] for row in book.stints()]
        return stints, [r[1:] for r in book.sessions()], book.variants(), book.catches()


def check_on(sheet, column: str):
    """The data validation of a column's first cell below the head."""
    first = f"{get_column_letter(column_of(sheet, column))}3"
    found = [one for one in sheet.data_validations.dataValidation if first in one.cells]
    assert len(found) <= 1
    return found[0] if found else None


def test_a_sheet_for_each_table_with_every_column(sheets):
    """The four tables of the format, heads in its order, frozen, each with a note."""
    assert sheets.sheetnames == ["stints", "sessions", "catches", "variants"]
    for name, table in TABLES.items():
        sheet = sheets[name]
        assert [cell.value for cell in sheet[1]] == list(table.names)
        assert sheet.freeze_panes == "A2"
        assert all(cell.comment.text.strip() for cell in sheet[1])
        assert int(sheet.page_setup.paperSize) == 9  # A4 (ECMA-376, part 1, 18.3.1.63)
        assert sheet.page_setup.orientation == "landscape"
        assert (sheet.page_setup.fitToWidth, sheet.page_setup.fitToHeight) == (1, 1)
        assert sheet.print_title_rows == "$1:$1"


def test_units_and_need_stand_in_the_notes(sheets):
    """A head's note says what the column holds with its unit, and that a blank is written 0."""
    notes = {(sheet.title, cell.value): cell.comment.text for sheet in sheets for cell in sheet[1]}
    assert "°C" in notes["sessions", "water_temp_c"]
    assert "mm" in notes["variants", "size_mm"]
    assert "metres" in notes["stints", "range_m"]
    assert "22lb 4oz" in notes["catches", "weight"]
    assert "0" in notes["stints", "fish"]
    assert "Needed" in notes["stints", "variant"]
    assert "Needed" not in notes["stints", "rig"]


def test_lists_to_choose_from(sheets):
    """Variants come from the sheet variants below its example, outcomes and rods from lists."""
    for name in ("stints", "catches"):
        check = check_on(sheets[name], "variant")
        assert check.type == "list"
        assert check.formula1.startswith("variants!$A$3:")
        assert check_on(sheets[name], "rod").type == "list"
    assert check_on(sheets["catches"], "outcome").formula1 == '"landed,lost"'
    assert check_on(sheets["sessions"], "wind_dir").formula1.count(",") == 15


def test_checks_stop_what_an_import_would_refuse(sheets):
    """Counts are whole and not below 0, hours above 0, bounded columns bounded, dates dates."""
    fish = check_on(sheets["stints"], "fish")
    assert (fish.type, fish.operator, fish.formula2) == ("whole", "between", "1000")
    hours = check_on(sheets["stints"], "hours")
    assert (hours.type, hours.operator, hours.formula1) == ("decimal", "greaterThan", "0")
    pellet = check_on(sheets["variants"], "pellet_pct")
    assert (pellet.operator, pellet.formula1, pellet.formula2) == ("between", "0", "100")
    assert check_on(sheets["sessions"], "date").type == "date"
    for sheet in sheets:
        for check in sheet.data_validations.dataValidation:
            assert check.errorStyle in (None, "stop") or check.type == "list"
            assert check.error
            assert len(check.error) <= 255  # the most that a spreadsheet shows
            assert len(check.prompt) <= 255
            assert check.showErrorMessage


def test_weights_and_labels_are_text_columns(sheets):
    """A spreadsheet makes no date of 22-4 or 4/0 where the cell is said to be text (`@`)."""
    for name, table in TABLES.items():
        for number, column in enumerate(table.columns, start=1):
            if column.kind in (Kind.TEXT, Kind.ROD, Kind.WEIGHT):
                assert sheets[name].cell(3, number).number_format == "@"


def test_filled_in_it_imports_without_a_layout(workbook, tmp_path):
    """Each row typed is imported, the example rows are left aside and said, nothing else."""
    fill(workbook)
    result = import_paths([workbook], tmp_path / "book.sqlite", zone="Europe/London")
    assert result.problems == ()
    assert (result.rows_read, result.rows_imported, result.rows_rejected) == (ROWS, ROWS, 0)
    assert len([hint for hint in result.hints if "xample" in hint]) == 1
    stints, sessions, variants, catches = held(tmp_path / "book.sqlite")
    assert sorted(row[0] for row in stints) == ["pellet-20", "plain"]
    assert {row[1] for row in stints} == {20.5}  # 18:30 to 15:00 the next day is 20.5 hours too
    assert [row["variant"] for row in variants] == ["pellet-20", "plain"]
    assert len(sessions) == len(catches) == 1


def test_an_example_written_over_is_a_row_like_any_other(workbook, tmp_path):
    """Only the mark makes an example: with another label in its place the row is read."""
    fill(workbook)
    book = openpyxl.load_workbook(workbook)
    book["variants"].cell(2, 1).value = "pellet-30"
    book.save(workbook)
    result = import_paths([workbook], tmp_path / "book.sqlite")
    assert result.rows_imported == ROWS + 1


def test_not_filled_in_it_says_so(workbook, tmp_path):
    """A template without a row is no log."""
    with pytest.raises(UnusableFile, match="no stint"):
        import_paths([workbook], tmp_path / "book.sqlite")


def test_csv_files_hold_the_same(tmp_path):
    """Four files with the format's heads and one example row; filled in they import."""
    folder = tmp_path / "log"
    write_template_csv(folder)
    for name, table in TABLES.items():
        with (folder / f"{name}.csv").open(encoding="utf-8", newline="") as stream:
            head, *rows = csv.reader(stream)
        assert head == list(table.names)
        assert len(rows) == 1
    with (folder / "stints.csv").open("a", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, TABLES["stints"].names, restval="")
        writer.writerow({"session": "first", "variant": "plain", "hours": "20.5", "fish": "0"})
    result = import_paths([folder], tmp_path / "book.sqlite")
    assert (result.rows_imported, result.problems) == (1, ())


def test_no_file_is_overwritten(workbook, tmp_path):
    """A file of that name stays as it is, for both forms."""
    before = workbook.read_bytes()
    with pytest.raises(UnusableFile, match="is there already"):
        write_template_workbook(workbook)
    assert workbook.read_bytes() == before
    (tmp_path / "stints.csv").write_text("mine")
    with pytest.raises(UnusableFile, match="is there already"):
        write_template_csv(tmp_path)
    assert (tmp_path / "stints.csv").read_text() == "mine"
    assert not (tmp_path / "sessions.csv").exists()


def test_the_logbooks_recipes_stand_in_it(command, tmp_path):
    """With a logbook, its recipes are there with their own columns, and import as already there."""
    (tmp_path / "stints.csv").write_text("session,variant,hours,fish\na,plain,20,0\n")
    (tmp_path / "variants.csv").write_text("variant,pellet_pct,honey_ml\nplain,0,2.5\n")
    assert command("import", "stints.csv", "variants.csv").code == 0
    done = command("template", "--xlsx", "next.xlsx")
    assert done.code == 0, done.err
    assert "next.xlsx" in done.out
    sheet = openpyxl.load_workbook("next.xlsx")["variants"]
    row = {head.value: cell.value for head, cell in zip(sheet[1], sheet[3], strict=True)}
    assert (row["variant"], row["pellet_pct"]) == ("plain", 0)
    book = openpyxl.load_workbook("next.xlsx")
    for name, value in {"session": "b", "variant": "plain", "hours": 5, "fish": 0}.items():
        book["stints"].cell(3, column_of(book["stints"], name)).value = value
    book.save("next.xlsx")
    again = command("import", "next.xlsx")
    assert again.code == 0, again.out
    assert "1 row already there" in again.out


def test_one_form_at_a_time(command):
    """Both forms at once are asked about; the default is a workbook in this folder."""
    assert command("template", "--xlsx", "a.xlsx", "--csv", "b").code == 2
    assert command("template").code == 0
    again = command("template")
    assert again.code == 4
    assert "trip-log.xlsx is there already" in again.err


@pytest.mark.full
@pytest.mark.parametrize("kind", ["xlsx", "ods", "xls"])
def test_saved_by_another_program_it_says_the_same(workbook, tmp_path, kind):
    """Opened and saved by LibreOffice in each of its forms, the same log comes in."""
    office = shutil.which("soffice")
    if office is None:
        pytest.skip("no LibreOffice here to save the workbook with")
    fill(workbook)
    there = tmp_path / "saved"
    profile = f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}"
    subprocess.run(
        [office, profile, "--headless", "--convert-to", kind, "--outdir", there, workbook],
        check=True,
        capture_output=True,
        timeout=240,
    )
    import_paths([workbook], tmp_path / "one.sqlite", zone="Europe/London")
    import_paths([there / f"log.{kind}"], tmp_path / "two.sqlite", zone="Europe/London")
    assert held(tmp_path / "one.sqlite") == held(tmp_path / "two.sqlite")


@pytest.mark.parametrize("write", [write_template_workbook, write_template_csv])
def test_a_template_that_cannot_be_finished_leaves_nothing(
    write: Callable[[Path], object], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a full disk there is one clear line, and neither a half file nor a folder of some."""

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(UnusableFile, match=r"blank\.xlsx cannot be written \(No space left"):
        write(tmp_path / "blank.xlsx")
    assert list(tmp_path.iterdir()) == []
