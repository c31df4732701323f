"""Good files, mangled at random: no traceback whatever they are, and rows that add up.

Scope: the import as a whole. Text files are changed in bytes, lines and separators; zipped
workbooks in their bytes and in the XML inside; .xls in its bytes.
"""

from __future__ import annotations

import csv
import io
import re
import tempfile
import zipfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, seed, settings
from hypothesis import strategies as st
from trip_logs import refused, season, write_flat

from rodhours.errors import RodhoursError
from rodhours.log.importing import ImportResult, import_paths
from rodhours.log.logbook import open_logbook

SAVED = Path(__file__).parent / "saved_sheets"
BYTES = [b"\0", b'"', b",", b";", b"\t", b"\n", b"\r", b"\xff", b"<", b">", b"=", b"-1", b"nan"]
LINES = [
    *(
        "",
        ",,,",
        "Season 2025",
        "Total,,11,3",
        "trip 1",
        '"',
        "sep=;",
        "session,variant,hours,fish",
    ),
    *("a;b;c", "trip 9,2025-04-12,x,plain,5,1,1", "1,2,3,4,5,6,7,8,9,10,11,12", "\ufeff", "ä,ö,ü"),
]
TOKENS = [b"A1", b"XFD1048576", b't="e"', b"<f>1</f>", b"</row>", b"<v>", b"1E999", b"&lt;", b"&x;"]
NUMBER = re.compile(rb"\d+")


@st.composite
def changed(draw: st.DrawFn, content: bytes, junk: list[bytes] = BYTES) -> bytes:
    """Some bytes cut, doubled, exchanged, replaced or put in, once to four times."""
    for _ in range(draw(st.integers(1, 4))):
        place = draw(st.integers(0, len(content)))
        length = draw(st.sampled_from([1, 1, 2, 7, 40, 500]))
        piece, rest = content[place : place + length], content[place + length :]
        kind = draw(st.sampled_from(["cut", "double", "exchange", "replace", "insert", "end"]))
        if kind == "cut":
            piece = b""
        elif kind == "double":
            piece *= 2
        elif kind == "exchange":
            piece = piece[::-1]
        elif kind == "replace":
            piece = draw(st.sampled_from(junk))
        elif kind == "insert":
            piece = draw(st.binary(max_size=4) | st.sampled_from(junk)) + piece
        else:
            piece, rest = b"", b"" if draw(st.booleans()) else rest
        content = content[:place] + piece + rest
    return content


@st.composite
def texts(draw: st.DrawFn, text: str) -> bytes:
    """A CSV text with lines moved, put in or lost, other separators, encodings and bytes."""
    lines = text.splitlines()
    for _ in range(draw(st.integers(0, 3))):
        place = draw(st.integers(0, len(lines)))
        kind = draw(st.sampled_from(["put in", "double", "lose", "separator"]))
        if kind == "put in":
            lines.insert(place, draw(st.sampled_from(LINES)))
        elif place < len(lines):
            if kind == "double":
                lines.insert(draw(st.integers(0, len(lines))), lines[place])
            elif kind == "lose":
                del lines[place]
            else:
                lines[place] = lines[place].replace(",", draw(st.sampled_from([";", "\t", ",,"])))
    text = draw(st.sampled_from(["\n", "\r\n", "\r"])).join(lines)
    text = text.replace(",", draw(st.sampled_from([",", ",", ";", "\t", "|"])))
    content = text.encode(
        draw(st.sampled_from(["utf-8", "utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])),
        "replace",
    )
    return draw(changed(content)) if draw(st.booleans()) else content


@st.composite
def zipped(draw: st.DrawFn, content: bytes) -> bytes:
    """A zipped workbook with bytes changed, or the XML of one part changed and zipped again."""
    if draw(st.integers(0, 3)) == 0:
        return draw(changed(content))
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        parts = {name: packed.read(name) for name in packed.namelist()}
    telling = [name for name in parts if re.search(r"sheet\d|content|workbook|shared|styles", name)]
    name = draw(st.sampled_from(sorted(telling)))
    data = parts[name]
    if draw(st.booleans()):
        numbers = list(NUMBER.finditer(data))
        if numbers:
            one = draw(st.sampled_from(numbers))
            other = draw(st.sampled_from([b"", b"0", b"-1", b"7", b"65535", b"1048576", b"9" * 12]))
            data = data[: one.start()] + other + data[one.end() :]
    else:
        data = draw(changed(data, TOKENS))
    parts[name] = data
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for part, inside in parts.items():
            packed.writestr(part, inside)
    return out.getvalue()


def flat_text() -> str:
    with tempfile.TemporaryDirectory() as folder:
        return write_flat(Path(folder) / "log.csv", season(3)).read_text(encoding="utf-8")


def mangled(kinds: list[str]) -> st.SearchStrategy[tuple[str, bytes]]:
    """A file's ending and its mangled content."""
    text = flat_text()
    made = {
        ".csv": texts(text),
        ".txt": texts("My season\n\n" + text),
        ".xlsx": zipped((SAVED / "small.xlsx").read_bytes()),
        ".ods": zipped((SAVED / "small.ods").read_bytes()),
        ".xls": changed((SAVED / "small.xls").read_bytes()),
    }
    return st.one_of(*(st.tuples(st.just(kind), made[kind]) for kind in kinds))


def imported(path: Path, logbook: Path) -> tuple[ImportResult | None, RodhoursError]:
    """What the import did, or the error that a user would meet; no other error is caught."""
    try:
        return import_paths([path], logbook), RodhoursError()
    except RodhoursError as error:
        return None, error


def check_import(suffix: str, content: bytes) -> ImportResult | None:
    """An error with an exit code and no logbook, or every row in one place; None for an error."""
    with tempfile.TemporaryDirectory() as folder:
        path, logbook = Path(folder) / f"log{suffix}", Path(folder) / "logbook.sqlite"
        path.write_bytes(content)
        result, refusal = imported(path, logbook)
        if result is None:
            assert refusal.exit_code in (2, 3, 4)
            assert str(refusal).strip()
            assert not logbook.exists()
            return None
        assert result.rows_read == (
            result.rows_imported + result.rows_already_there + result.rows_rejected
        )
        assert result.rows_read == sum(table.rows for table in result.tables) > 0
        reasons = [row.reason for row in refused(logbook)] if logbook.exists() else []
        assert all(reasons)
        assert len(reasons) == result.rows_rejected
        if logbook.exists():
            with open_logbook(logbook) as book:
                assert (len(book.stints()) > 0) == (result.rows_imported > 0)
        if suffix == ".csv" and content.isascii():
            check_nothing_lost(content.decode(), result)
        return result


def check_nothing_lost(text: str, result: ImportResult) -> None:
    """Every filled record is the header, a title or totals row that a hint names, or a row read."""
    counts = set()
    for separator in ",;\t":
        records = csv.reader(io.StringIO(text, newline=""), delimiter=separator)
        counts.add(sum(1 for record in records if any(cell.strip() for cell in record)))
    said = " ".join(result.hints)
    aside = len(re.findall(r"a totals row", said)) + len(
        re.findall(r"names? the columns tog", said)
    )
    titles = re.search(r"rows? (\d+)(?: to (\d+))? above left aside", said)
    most = int(titles[2] or titles[1]) - int(titles[1]) + 1 if titles else 0
    stated = int(text.lower().startswith("sep="))
    assert any(
        result.rows_read + 1 + aside <= count <= result.rows_read + 1 + aside + most + stated
        for count in counts
    )


def run(kinds: list[str], examples: int, number: int) -> dict[str, int]:
    """Check that many mangled files, the same at each run; how many were imported and refused."""
    ends = {"imported": 0, "with rows refused": 0, "unusable": 0}

    @seed(number)
    @settings(
        max_examples=examples,
        database=None,
        deadline=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(mangled(kinds))
    def check(made: tuple[str, bytes]) -> None:
        result = check_import(*made)
        if result is None:
            ends["unusable"] += 1
        else:
            ends["imported" if result.complete else "with rows refused"] += 1

    check()
    return ends


def test_mangled_files() -> None:
    """Thirty mangled files: one line and nothing written, or every row in one place."""
    ends = run([".csv", ".csv", ".txt", ".xlsx", ".ods"], 30, 1)
    assert min(ends.values()) > 0


@pytest.mark.full
@pytest.mark.parametrize("kind", [".csv", ".txt", ".xlsx", ".ods", ".xls"])
def test_thousands_of_mangled_files(kind: str) -> None:
    """The same, 800 of each kind of file."""
    ends = run([kind], 800, 2)
    assert min(ends["unusable"], ends["imported"] + ends["with rows refused"]) > 0
    print(kind, ends)
