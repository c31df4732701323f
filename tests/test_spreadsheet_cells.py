"""Texts that a spreadsheet would run: whatever file is written, they stand in it as texts.

The characters are those named on OWASP's page on CSV injection (equals, plus, minus, at, tab,
carriage return; from memory). A workbook is read back by openpyxl.
"""

import csv
import io

import openpyxl
import pytest

from rodhours.log.importing import import_paths
from rodhours.log.logbook import open_logbook
from rodhours.log.template import write_template_csv, write_template_workbook
from rodhours.planning.rotation import plan_rotation
from rodhours.report.rotation_text import rotation_csv

TEXTS = ["=cmd|'/c calc'!A1", "+1+cmd", "-2+3", "@SUM(A1)", "\t=1", "\r=1"]


def runs(cell: str) -> bool:
    return cell.startswith(("=", "+", "-", "@", "\t", "\r"))


def ended(text: str) -> str:
    """A text with the line ends that XML keeps."""
    return text.replace("\r", "\n")


def cells_of(text: str) -> list[str]:
    return [cell for row in csv.reader(io.StringIO(text, newline="")) for cell in row]


@pytest.mark.parametrize("text", TEXTS)
def test_a_template_holds_texts_and_imports(text, tmp_path):
    """A recipe that begins like a formula is a text in both forms, and comes back as it was."""
    recipe = {"variant": "plain", "base_mix": text, "own": text}
    book, folder = tmp_path / "log.xlsx", tmp_path / "log"
    write_template_workbook(book, [recipe])
    sheet = openpyxl.load_workbook(book)["variants"]
    held = [cell for row in sheet.iter_rows() for cell in row if cell.value == ended(text)]
    assert [(cell.data_type, cell.quotePrefix) for cell in held] == [("s", True)] * 2
    write_template_csv(folder, [recipe])
    assert cells_of((folder / "variants.csv").read_bytes().decode()).count(f"'{text}") == 2
    stints = folder / "stints.csv"
    names = stints.read_text("utf-8").splitlines()[0].split(",")
    with stints.open("a", newline="", encoding="utf-8") as file:
        row = {"session": "first", "variant": "plain", "hours": "20", "fish": "0"}
        csv.DictWriter(file, names, restval="").writerow(row)
    import_paths([folder], tmp_path / "logbook.sqlite")
    with open_logbook(tmp_path / "logbook.sqlite") as logbook:
        (recipe,) = logbook.variants()
    assert recipe["base_mix"] == ended(text).strip()


@pytest.mark.parametrize("text", TEXTS)
def test_plans_are_guarded(text):
    """The plan to fill in runs nothing either."""
    plan = plan_rotation([text, "plain"], 2, 2, name="A")
    cells = cells_of(rotation_csv(plan))
    assert f"'{text}" in cells
    assert not any(map(runs, cells))
