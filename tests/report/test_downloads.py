"""Tables that can be saved from the page: whole, readable, and safe to open in a spreadsheet."""

import base64
import csv
import io

import pandas as pd

from rodhours.report.tables import cell_text, csv_link


def opened(link):
    """The file of a link, as the csv module reads it."""
    head, data = link.split(",", 1)
    assert head == "data:text/csv;charset=utf-8;base64"
    return list(csv.reader(io.StringIO(base64.b64decode(data).decode("utf-8-sig"))))


def test_a_saved_table_is_the_table():
    """Quotes, commas, line ends and other scripts come back as they were, a formula as text."""
    cells = ['a "quoted", name', "two\nlines", "小麦粉", "<script>", "=1+1"]
    table = pd.DataFrame({"Variant": cells, "Fish": range(5)})
    rows = opened(csv_link(table))
    assert rows[0] == ["Variant", "Fish"]
    assert [row[0] for row in rows[1:]] == [*cells[:4], "'=1+1"]
    assert [row[1] for row in rows[1:]] == ["0", "1", "2", "3", "4"]


def test_numbers_stay_numbers():
    """A number with a sign is no formula, its minus is a spreadsheet's, and thousands lose their
    comma."""
    cells = {"-0.5": "-0.5", "+3.1": "+3.1", "−0.63": "-0.63", "1,234.5": "1234.5", "–": "–"}
    assert {text: cell_text(text) for text in cells} == cells
    assert cell_text("1,2") == "1,2"
    assert opened(csv_link(pd.DataFrame({"n": list(cells)})))[1:] == [[v] for v in cells.values()]
