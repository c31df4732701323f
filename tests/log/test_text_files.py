"""Text files of any common form: encodings, separators, and what is not guessed."""

from __future__ import annotations

import codecs
from pathlib import Path

import pytest
from trip_logs import season, write_csv, write_log

from rodhours.errors import UnusableFile
from rodhours.log.sheets import read_tables
from rodhours.log.table import FileTable

ROWS = ["Date|Water|Bait|Rod hrs|Fish", "12.4.2025|Bräuersee|plain|36|1", "13.4.2025|Mere|x|5|0"]


def read(path: Path, content: str | bytes) -> FileTable:
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    (table,), _ = read_tables([path])
    return table


@pytest.mark.parametrize(
    ("separator", "name"), [(",", "log.tsv"), (";", "log.csv"), ("\t", "log.txt")]
)
def test_the_separator_is_found(tmp_path: Path, separator: str, name: str) -> None:
    """Comma, semicolon and tab are told from the header and the rows, whatever the file's name."""
    table = read(tmp_path / name, "\n".join(ROWS).replace("|", separator))
    assert table.header == ("Date", "Water", "Bait", "Rod hrs", "Fish")
    assert table.cells(1) == ["13.4.2025", "Mere", "x", "5", "0"]


@pytest.mark.parametrize("separator", [";", "\t"])
def test_decimal_commas_do_not_separate(tmp_path: Path, separator: str) -> None:
    """Every row with one decimal comma is still a row of the other separator, below a title too."""
    text = "Season, 2025\n\n" + "\n".join(ROWS).replace("|36|", "|36,5|").replace("|5|", "|5,5|")
    table = read(tmp_path / "log.csv", text.replace("|", separator))
    assert (table.header_row, table.rows) == (3, [4, 5])
    assert table.cells(0)[3] == "36,5"


@pytest.mark.parametrize("text", ["a;b,c\n1;2,3\n4;5,6\n", "a\tb,c\nx\ty,z\n"])
def test_two_separators_that_fit_equally_are_named(tmp_path: Path, text: str) -> None:
    """Nothing is guessed between them; stating the separator settles it."""
    with pytest.raises(UnusableFile, match=r"a comma or by a (semicolon|tab): both fit"):
        read(tmp_path / "log.csv", text)
    assert len(read(tmp_path / "log.csv", "sep=,\n" + text).header) == 2


def test_a_line_that_states_the_separator_is_no_row(tmp_path: Path) -> None:
    """`sep=;` is for the spreadsheet program, which shows the header as row 1."""
    table = read(tmp_path / "log.csv", "sep=;\nsession;hours\nA;5\n")
    assert (table.header, table.header_row, table.rows) == (("session", "hours"), 1, [2])


@pytest.mark.parametrize(
    "content",
    [
        "\n".join(ROWS).encode("utf-8"),
        codecs.BOM_UTF8 + "\n".join(ROWS).encode("utf-8"),
        "\n".join(ROWS).encode("utf-16"),
        codecs.BOM_UTF16_BE + "\n".join(ROWS).encode("utf-16-be"),
        "\r\n".join(ROWS).encode("windows-1252"),
        "\r".join(ROWS).encode("utf-8"),
    ],
)
def test_encodings_and_line_ends(tmp_path: Path, content: bytes) -> None:
    """UTF-8, UTF-16 with its mark and Windows-1252 give the same text, as do all line ends."""
    table = read(tmp_path / "log.csv", content.replace(b"|", b","))
    assert table.header == ("Date", "Water", "Bait", "Rod hrs", "Fish")
    assert table.cells(0)[1] == "Bräuersee"


def test_windows_1252_is_said_with_its_first_odd_row(tmp_path: Path) -> None:
    """The hint names the row to look at, counted past a cell with a line break."""
    path = tmp_path / "log.csv"
    path.write_bytes('session,notes\nA,"a\nb"\nB,5 \u20ac\nC,\xf6\n'.encode("windows-1252"))
    (table,), hints = read_tables([path])
    assert table.cells(1) == ["B", "5 €"]
    assert "Windows-1252" in hints[0]
    assert "row 3," in hints[0]


def test_rows_keep_the_number_that_a_spreadsheet_shows(tmp_path: Path) -> None:
    """A record over several lines is one row; blank lines and titles count."""
    text = 'My log\n\nsession;note\nA;"one\n\ntwo"\n\nB;x\n;\nC;"y\r\nz"\nD;\n'
    table = read(tmp_path / "log.csv", text)
    assert (table.header_row, table.rows) == (3, [4, 6, 8, 9])


def test_rows_that_do_not_fit_the_header_are_marked(tmp_path: Path) -> None:
    """A missing or a surplus comma shifts cells: such rows are kept whole and marked."""
    table = read(tmp_path / "log.csv", "a,b,c\n1,2\n1,2,3,4\n1,2,3,\n1,2,3\n")
    assert table.misfits == {0: ["1", "2"], 1: ["1", "2", "3", "4"]}


def test_a_name_that_stands_twice(tmp_path: Path) -> None:
    """Nobody can say which of the two columns is meant."""
    with pytest.raises(UnusableFile, match="hours is there twice"):
        read(tmp_path / "log.csv", "session,hours,hours\nA,5,5\n")


def test_a_folder_is_its_four_tables(tmp_path: Path) -> None:
    """Beside stints.csv only files of the other tables' names are read: none counts twice."""
    write_log(tmp_path, season())
    write_csv(tmp_path / "another.csv", season()["stints"])
    tables, hints = read_tables([tmp_path, tmp_path / "stints.csv"])
    assert sorted(table.table for table in tables) == ["catches", "sessions", "stints", "variants"]
    assert "another.csv" in hints[0]


def test_a_quote_that_does_not_close_and_an_endless_cell(tmp_path: Path) -> None:
    """Both are named with their line; the second is not called a missing quote alone."""
    with pytest.raises(UnusableFile, match="line 3: the quotation marks"):
        read(tmp_path / "log.csv", 'session,hours\nA,"5\nB,6\n')
    with pytest.raises(UnusableFile, match="16,777,216 characters"):
        read(tmp_path / "log.csv", "session,hours\nA," + "5" * (2**24 + 1))
