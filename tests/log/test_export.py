"""The log in the open format: the same log again, the same files again, and no formula in it."""

from __future__ import annotations

import csv
import random
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from trip_logs import Log, season, write_csv, write_log

from rodhours.errors import UnusableFile, UnusableLogbook, UsageError
from rodhours.log.export import Exported, export_logbook
from rodhours.log.importing import import_paths
from rodhours.log.logbook import open_logbook
from rodhours.spreadsheet_cells import guarded, unguarded

RUNS = "=+-@\t\r"
"""What a spreadsheet takes for the beginning of a formula: common practice, no source."""
TEXTS = (
    "=1+1",
    "+44 bank",
    "-carp-",
    "@home",
    "'tis quiet",
    "'=not",
    "''-x",
    "-5",
    "+3.5",
    "a, b",
    'he said "no"',
    "two\nlines",
    "Älv €",
    '=HYPERLINK("x")',
    "0012",
    "1.50",
    "2025-04-01",
    "TRUE",
    "total",
)


def export(logbook: Path, target: Path, force: bool = False) -> Exported:
    with open_logbook(logbook) as book:
        return export_logbook(book, target, force)


def digest(logbook: Path) -> str:
    with open_logbook(logbook) as book:
        return book.content_sha256()


def odd_season(rng: random.Random, sessions: int = 4) -> Log:
    """A season with texts that spreadsheets take for something else, and floats of every length."""
    log = season(sessions)
    for row in log["stints"]:
        row["hours"] = repr(rng.uniform(0.001, 60))
        row["spot"] = rng.choice(TEXTS)
        row["moon"] = rng.choice(TEXTS)
        row["=own"] = rng.choice(TEXTS)
    for row in log["sessions"]:
        row["notes"] = rng.choice(TEXTS)
        row["latitude"] = repr(rng.uniform(-60, 60))
        row["water_temp_c"] = f"-{rng.uniform(0, 3):.2f}"
    for row in log["catches"]:
        row["weight"] = rng.choice(["22lb 4oz", "10.1 kg", f"{rng.uniform(1, 40):.5f} kg"])
        row["note"] = rng.choice(TEXTS)
    for row in log["variants"]:
        row["base_mix"] = rng.choice(TEXTS)
    return log


def files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def cells(workbook: Path) -> dict[str, list[tuple[object, ...]]]:
    """What each sheet holds, by openpyxl."""
    return {sheet.title: list(sheet.values) for sheet in openpyxl.load_workbook(workbook)}


def check_round_trip(folder: Path, log: Log) -> None:
    """Logbook, CSV files, logbook, workbook, logbook: one digest, equal files, equal cells."""
    path = folder / "logbook.sqlite"
    assert import_paths(write_log(folder / "log", log), path).complete
    done = export(path, folder / "csv")
    export(path, folder / "one.xlsx")
    for number, source in enumerate(("csv", "one.xlsx")):
        again = folder / f"again {number}.sqlite"
        assert import_paths([folder / source], again).complete
        assert digest(again) == digest(path) == done.content_sha256
        export(again, folder / f"csv {number}")
        assert files(folder / f"csv {number}") == files(folder / "csv")
        export(again, folder / f"two {number}.xlsx")
        assert cells(folder / f"two {number}.xlsx") == cells(folder / "one.xlsx")


def test_an_export_is_the_same_log_and_a_second_the_same_files(tmp_path: Path) -> None:
    """As CSV files and as a workbook, with odd texts and floats of every length."""
    check_round_trip(tmp_path, odd_season(random.Random(3)))


@pytest.mark.full
def test_many_exports_are_the_same_log(tmp_path: Path) -> None:
    """The same for 100 odd seasons."""
    for seed in range(100):
        (tmp_path / str(seed)).mkdir()
        check_round_trip(tmp_path / str(seed), odd_season(random.Random(seed), 2 + seed % 7))


def test_other_readers_find_the_numbers_and_no_formula(tmp_path: Path) -> None:
    """By csv and openpyxl: every float as it was logged; no cell that a spreadsheet would run."""
    log = odd_season(random.Random(8))
    path = tmp_path / "logbook.sqlite"
    assert import_paths(write_log(tmp_path / "log", log), path).complete
    export(path, tmp_path / "csv")
    export(path, tmp_path / "log.xlsx")
    logged = sorted(float(row["hours"]) for row in log["stints"])
    for name in ("stints", "sessions", "catches", "variants"):
        with (tmp_path / "csv" / f"{name}.csv").open(newline="", encoding="utf-8") as file:
            rows = list(csv.reader(file))
        for cell in (cell for row in rows for cell in row if cell):
            assert cell[0] not in RUNS or float(cell) is not None
        if name == "stints":
            hours = rows[0].index("hours")
            assert sorted(float(row[hours]) for row in rows[1:]) == logged
    book = openpyxl.load_workbook(tmp_path / "log.xlsx")
    assert book.sheetnames == ["stints", "sessions", "catches", "variants"]
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert {cell.data_type for cell in cells} <= {"s", "n"}
    texts = [cell for cell in cells if cell.data_type == "s" and cell.value[0] in RUNS]
    assert len(texts) > 5
    # The mark by which a spreadsheet keeps a text a text when the cell is edited.
    assert all(cell.quotePrefix for cell in texts if cell.value not in ("-5", "+3.5"))
    hours = [cell.value for cell in book["stints"][1]].index("hours")
    found = [row[hours] for row in book["stints"].iter_rows(min_row=2, values_only=True)]
    assert sorted(found) == logged


@given(st.text(alphabet="'=+-@\t\r\nab1 é.", max_size=6))
def test_guarding_a_text_can_be_taken_back(text: str) -> None:
    """Any text comes back; what is written begins like no formula unless it is a number."""
    cell = guarded(text)
    assert unguarded(cell) == text
    if cell and cell[0] in RUNS:
        assert float(cell) is not None
    if not text.startswith("'"):
        assert cell in (text, f"'{text}")


def test_a_log_with_some_sessions_listed_comes_back(tmp_path: Path) -> None:
    """Counted fish, listed fish and both in one logbook: the export says which are not listed."""
    path = tmp_path / "logbook.sqlite"
    write_csv(
        tmp_path / "counted.csv",
        [{"session": "A", "rod": "1", "variant": "plain", "hours": "5", "fish": "2"}],
    )
    write_log(
        tmp_path / "listed",
        {
            "stints": [{"session": "B", "rod": "1", "variant": "plain", "hours": "5"}],
            "catches": [{"session": "B", "rod": "1", "weight": "20lb"}] * 3,
        },
    )
    assert import_paths([tmp_path / "counted.csv"], path).complete
    assert import_paths([tmp_path / "listed"], path).complete
    export(path, tmp_path / "out")
    assert import_paths([tmp_path / "out"], tmp_path / "again.sqlite").complete
    assert digest(tmp_path / "again.sqlite") == digest(path)
    with (tmp_path / "out" / "sessions.csv").open(newline="") as file:
        assert {row["session"]: row["fish_listed"] for row in csv.DictReader(file)} == {
            "A": "no",
            "B": "",
        }
    sessions = tmp_path / "out" / "sessions.csv"
    sessions.write_text(sessions.read_text().replace("no", "perhaps"))
    refused = import_paths([tmp_path / "out"], tmp_path / "other.sqlite")
    assert "yes or no" in refused.problems[0].says


@pytest.mark.parametrize("name", ["out", "out.xlsx"])
def test_an_opened_key_goes_with_the_log(tmp_path: Path, name: str) -> None:
    """Imported again, the log knows bag codes and openings; a bait without a recipe has none."""
    path, again = tmp_path / "logbook.sqlite", tmp_path / "again.sqlite"
    log = season(4)
    log["variants"] = [row for row in log["variants"] if row["variant"] != "plain"]
    for row in log["stints"]:
        row["variant"] = {"plain": "KADE", "pellet-20": "MOTU"}.get(row["variant"], row["variant"])
    assert import_paths(write_log(tmp_path / "log", log), path).complete
    with open_logbook(path) as book:
        book.open_key("AUTUMN", {"KADE": "plain", "MOTU": "pellet-20"}, 6)
        (early,) = book.opened_early()
    export(path, tmp_path / name)
    for _ in range(2):
        assert import_paths([tmp_path / name], again).complete
    with open_logbook(again) as book:
        assert [change.kind for change in book.changes()] == ["import", "opened-key"]
        assert book.variant_meant("kade") == "plain"
        (told,) = book.opened_early()
        assert (told.opened_at, told.blind, told.trips_planned) == (early.opened_at, 4, 6)
        assert {row["variant"] for row in book.variants()} == {"pellet-10", "pellet-20"}
        assert book.variants_fished() == {"plain", "pellet-10", "pellet-20"}
    assert digest(again) == digest(path)


def test_nothing_is_written_over_unasked(tmp_path: Path) -> None:
    """Files that are there are named and left; --force replaces them whole."""
    path = tmp_path / "logbook.sqlite"
    assert import_paths(write_log(tmp_path / "log", season(2)), path).complete
    out = tmp_path / "out"
    out.mkdir()
    (out / "catches.csv").write_text("mine")
    (out / "notes.txt").write_text("mine too")
    with pytest.raises(UsageError, match=r"catches\.csv: there already"):
        export(path, out)
    assert {name: len(content) for name, content in files(out).items()} == {
        "catches.csv": 4,
        "notes.txt": 8,
    }
    export(path, out, force=True)
    assert sorted(files(out)) == [
        "catches.csv",
        "notes.txt",
        "sessions.csv",
        "stints.csv",
        "variants.csv",
    ]
    workbook = tmp_path / "log.xlsx"
    workbook.write_bytes(b"mine")
    with pytest.raises(UsageError, match="there already"):
        export(path, workbook)
    assert workbook.read_bytes() == b"mine"
    with pytest.raises(UnusableFile, match="does not exist"):
        export(path, tmp_path / "nowhere" / "log.xlsx")


def test_what_a_workbook_cannot_hold_is_said(tmp_path: Path) -> None:
    """A control character is no text of a workbook; as CSV it comes back."""
    path = tmp_path / "logbook.sqlite"
    log = season(2)
    log["sessions"][0]["notes"] = "a\x0bb"
    assert import_paths(write_log(tmp_path / "log", log), path).complete
    with pytest.raises(UnusableFile, match="notes of sessions"):
        export(path, tmp_path / "log.xlsx")
    assert not (tmp_path / "log.xlsx").exists()
    export(path, tmp_path / "csv")
    assert import_paths([tmp_path / "csv"], tmp_path / "again.sqlite").complete
    assert digest(tmp_path / "again.sqlite") == digest(path)


def test_an_empty_logbook_exports_nothing(tmp_path: Path) -> None:
    """After everything was taken back there is nothing to write, and no file is."""
    path = tmp_path / "logbook.sqlite"
    assert import_paths(write_log(tmp_path / "log", season(2)), path).complete
    with open_logbook(path) as book:
        book.undo()
    with pytest.raises(UnusableLogbook, match="nothing to export"):
        export(path, tmp_path / "out")
    assert not (tmp_path / "out").exists()
