"""What is no trip log, or could hurt: one clear line, never a traceback, never a hang."""

from __future__ import annotations

import io
import os
import struct
import zipfile
from pathlib import Path

import openpyxl
import pytest

from rodhours.errors import UnusableFile
from rodhours.log.files import open as opening
from rodhours.log.sheets import read_tables

SAVED = Path(__file__).parent / "saved_sheets"


def refused(path: Path, *words: str) -> None:
    """The file is unusable, and the message names it and says these words, in one line."""
    with pytest.raises(UnusableFile) as caught:
        read_tables([path])
    says = str(caught.value)
    assert str(path) in says
    assert "\n" not in says
    assert caught.value.exit_code == 4
    for word in words:
        assert word in says


def workbook(**sheets: list[list[object]]) -> bytes:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    out = io.BytesIO()
    book.save(out)
    return out.getvalue()


LOG = workbook(stints=[["session", "variant", "hours", "fish"], ["A", "plain", 5.5, 1]])


@pytest.mark.parametrize(
    ("name", "content", "says"),
    [
        ("log.csv", b"", "empty"),
        ("log.xlsx", b"", "empty"),
        ("log.csv", b"\n \n,,\n", "empty"),
        ("log.csv", b"session,hours\nA,5\0\n", "line 2 holds a NUL"),
        ("log.csv", b"\x7fELF\x02\x01\x00\xff\xfe", "not a text file"),
        ("log.csv", bytes(range(256)), "not a text file"),
        ("log.csv", b"session\x01,\xff\n", "not a text file"),
        ("log.csv", b"SQLite format 3\0rest", "not a text file"),
        ("log.xlsx", b"session,hours\nA,5\n", "text, not a workbook"),
        ("log.xlsx", bytes(range(256)), "damaged"),
        ("log.ods", b"<html><table>", "a web page, not a workbook"),
        ("log.xlsx", LOG[:200], "damaged"),
        ("log.xlsx", LOG[: len(LOG) // 2], "damaged"),
        ("log.xls", (SAVED / "log.xls").read_bytes()[:3000], "no workbook"),
        ("log.numbers", b"session,hours\nA,5\n", ".csv"),
    ],
)
def test_content_that_is_no_table(tmp_path: Path, name: str, content: bytes, says: str) -> None:
    """Empty, binary, cut or misnamed files are refused with what they are."""
    path = tmp_path / name
    path.write_bytes(content)
    refused(path, says)


def test_a_workbook_called_csv_is_read_as_the_workbook_it_is(tmp_path: Path) -> None:
    """The content decides, and the hint says so; so it does for a workbook of another format."""
    path = tmp_path / "log.csv"
    path.write_bytes(LOG)
    (table,), hints = read_tables([path])
    assert table.cells(0) == ["A", "plain", "5.5", "1"]
    assert "this is a workbook, not text" in hints[0]
    misnamed = tmp_path / "log.xlsx"
    misnamed.write_bytes((SAVED / "log.ods").read_bytes())
    assert len(read_tables([misnamed])[0][0].rows) == 4


def test_a_zip_file_without_a_table(tmp_path: Path) -> None:
    """Any other zip file is called one."""
    path = tmp_path / "log.xlsx"
    with zipfile.ZipFile(path, "w") as packed:
        packed.writestr("readme.txt", "x")
    refused(path, "zip file without a table")


def test_a_binary_workbook_is_refused(tmp_path: Path) -> None:
    """.xlsb by its name, by its parts under another name, and where a folder holds one."""
    path = tmp_path / "log.xlsx"
    with zipfile.ZipFile(path, "w") as packed:
        packed.writestr("xl/workbook.bin", b"")
    refused(path, "save it as .xlsx")
    inside = path.rename(tmp_path / "log.xlsb")
    refused(inside, "save it as .xlsx")
    with pytest.raises(UnusableFile, match=r"log\.xlsb.*save it as \.xlsx"):
        read_tables([tmp_path])


def test_folders_devices_pipes_and_files_that_are_not_there(tmp_path: Path) -> None:
    """Each is one line, and a pipe that nobody writes to is not waited for."""
    folder = tmp_path / "folder"
    folder.mkdir()
    refused(folder, "holds no table")
    (folder / "notes.txt").write_text("x")
    refused(folder, "holds no table")
    inner = folder / "log.csv"
    inner.mkdir()
    refused(inner, "holds no table")
    refused(folder, "log.csv")
    refused(tmp_path / "none.csv", "no such file")
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe.csv")
        refused(tmp_path / "pipe.csv", "not a file")
        (tmp_path / "zero.csv").symlink_to("/dev/zero")
        refused(tmp_path / "zero.csv", "not a file")
    loop = tmp_path / "loop.csv"
    loop.symlink_to(loop)
    with pytest.raises(UnusableFile):
        read_tables([loop])


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The system's reason is given, be it permission or a file that vanished meanwhile."""
    path = tmp_path / "log.csv"
    path.write_text("session,hours\n")

    def no(*_: object, **__: object) -> int:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(opening.os, "open", no)
    refused(path, "Permission denied")


def test_size_is_known_before_reading(tmp_path: Path) -> None:
    """A file of many gigabytes is refused by its size; a text file has a smaller limit."""
    path = tmp_path / "log.csv"
    with path.open("wb") as out:
        out.truncate(5 * 2**30)
    refused(path, "5,120 MiB", "400 MiB at most")
    with path.open("wb") as out:
        out.truncate(101 * 2**20)
    refused(path, "101 MiB", "100 MiB at most")


def bomb(size: int) -> bytes:
    """A workbook with a part that unpacks to so many bytes, from a thousandth of that."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("xl/workbook.xml", "<workbook/>")
        packed.writestr("xl/worksheets/sheet1.xml", b" " * size)
    return out.getvalue()


def test_a_workbook_that_unpacks_to_too_much(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """More than 400 MiB by the directory is refused unread; one that lies is read no further."""
    path = tmp_path / "log.xlsx"
    honest = bomb(2**22)
    size = struct.pack("<I", 2**22)

    def never(*_: object) -> None:
        raise AssertionError("unpacked")

    with monkeypatch.context() as patched:
        patched.setattr(zipfile.ZipFile, "read", never)
        path.write_bytes(honest.replace(size, struct.pack("<I", 2**29)))
        refused(path, "unpacks to more than 400 MiB")
    path.write_bytes(honest.replace(size, struct.pack("<I", 1000)))
    refused(path, "damaged")


def part_of(content: bytes, name: str) -> bytes:
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        return packed.read(name)


def with_part(content: bytes, name: str, change: bytes | None, old: bytes = b"") -> bytes:
    """A zip file with `old` replaced in one part, or all of the part where `old` is empty."""
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(content)) as packed,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for entry in packed.namelist():
            data = packed.read(entry)
            if entry == name:
                if change is None:
                    continue
                assert old in data
                data = data.replace(old, change, 1) if old else change
            new.writestr(entry, data)
    return out.getvalue()


SHEET = "xl/worksheets/sheet1.xml"
BILLION = '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;&a;">]>'


@pytest.mark.parametrize(
    ("kind", "part"),
    [
        (".xlsx", "xl/workbook.xml"),
        (".xlsx", "xl/styles.xml"),
        (".xlsx", "docProps/core.xml"),
        (".xlsx", "[Content_Types].xml"),
        (".ods", "content.xml"),
    ],
)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_entities_are_refused(tmp_path: Path, kind: str, part: str, encoding: str) -> None:
    """No document type declaration is read, in whatever part and encoding."""
    content = LOG if kind == ".xlsx" else (SAVED / "log.ods").read_bytes()
    text = part_of(content, part).decode()
    start = text.index("<", text.index("?>")) if text.startswith("<?") else 0
    text = f"<?xml version='1.0' encoding='{encoding}'?>{BILLION}{text[start:]}"
    path = tmp_path / f"log{kind}"
    path.write_bytes(with_part(content, part, text.encode(encoding)))
    refused(path, "damaged")


def test_a_stray_cell_far_away_is_named(tmp_path: Path) -> None:
    """Laying out the rectangle up to the last column, 2,000 rows down, would fill the memory."""
    path = tmp_path / "log.xlsx"
    content = with_part(LOG, SHEET, b'<row r="2000"', b'<row r="2"')
    for column in b"ABCD":
        far = b"XFD" if column == ord("D") else b"%c" % column
        content = with_part(content, SHEET, b'r="%s2000"' % far, b'r="%c2"' % column)
    path.write_bytes(content)
    refused(path, "sheet stints", "XFD2000")


def repeated(content: bytes, **counts: int) -> bytes:
    """An .ods workbook whose first row, or first cell in it, stands for so many."""
    table = part_of(content, "content.xml")
    for what, count in counts.items():
        tag = {"rows": b"<table:table-row", "columns": b"<table:table-cell"}[what]
        start = table.index(tag, table.index(b"<table:table-row")) + len(tag)
        mark = f' table:number-{what}-repeated="{count}"'.encode()
        table = table[:start] + mark + table[start:]
    return with_part(content, "content.xml", table)


@pytest.mark.parametrize("counts", [{"columns": 16384, "rows": 1048576}, {"rows": 99999999}])
def test_ods_cells_that_repeat_without_end(tmp_path: Path, counts: dict[str, int]) -> None:
    """A filled cell repeated over a whole sheet is refused before it is laid out."""
    path = tmp_path / "log.ods"
    path.write_bytes(repeated((SAVED / "months.ods").read_bytes(), **counts))
    refused(path, "sheet April", "cells are filled as far as")


def test_encryption_of_single_parts_is_a_password(tmp_path: Path) -> None:
    """A zip file with its own encryption is called protected."""
    content = bytearray(LOG)
    central = content.index(b"PK\x01\x02")
    content[central + 8] |= 1
    path = tmp_path / "log.xlsx"
    path.write_bytes(content)
    refused(path, "password")


def test_one_long_text_in_many_cells(tmp_path: Path) -> None:
    """A text kept once and shown in a million cells is the size of all of them."""
    path = tmp_path / "log.xlsx"
    rows = "".join(
        f'<row r="{row}"><c r="A{row}" t="s"><v>0</v></c></row>' for row in range(100, 600)
    )
    many = with_part(
        (SAVED / "small.xlsx").read_bytes(), SHEET, f"{rows}</sheetData>".encode(), b"</sheetData>"
    )
    texts = "xl/sharedStrings.xml"
    path.write_bytes(with_part(many, texts, b">" + b"s" * 2**20, b">session"))
    refused(path, "unpacks to more than 400 MiB")
    path.write_bytes(with_part(many, texts, b">" + b"s" * 2**10, b">session"))
    assert len(read_tables([path])[0][0].rows) == 504
    small = (SAVED / "small.ods").read_bytes()
    many = repeated(small, columns=500)
    path = tmp_path / "log.ods"
    long = b"<text:p>" + b"s" * 2**20
    path.write_bytes(with_part(many, "content.xml", long, b"<text:p>session"))
    refused(path, "unpacks to more than 400 MiB")


def test_a_part_that_is_there_twice_or_not_at_all(tmp_path: Path) -> None:
    """Two parts of one name, or a sheet without its part, are damage: nothing is read by halves."""
    path = tmp_path / "log.xlsx"
    path.write_bytes(with_part(LOG, SHEET, None))
    refused(path, "damaged")
    path.write_bytes(LOG)
    with (
        pytest.warns(UserWarning, match="Duplicate"),
        zipfile.ZipFile(path, "a") as packed,
    ):
        packed.writestr(SHEET, "<worksheet/>")
    refused(path, "damaged")
