"""Batches in the logbook: codes for bags, old logbooks, undo and the digest."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from trip_logs import season, write_log

from rodhours.errors import UnusableLogbook, UsageError
from rodhours.logbook.batch_codes import batch_hints, batch_key, initials, next_code
from rodhours.logbook.frames import batches_frame, stint_frame
from rodhours.logbook.importing import import_paths
from rodhours.logbook.logbook import open_logbook

LAYOUT_1 = (
    "CREATE TABLE settings (name TEXT PRIMARY KEY, value TEXT NOT NULL)",
    "CREATE TABLE imports (id INTEGER PRIMARY KEY, imported_at TEXT NOT NULL, zone TEXT NOT NULL, "
    "files TEXT NOT NULL, rows_imported INTEGER NOT NULL)",
    "CREATE TABLE sessions (id INTEGER PRIMARY KEY, added_by INTEGER NOT NULL, replaced_by "
    'INTEGER, session TEXT NOT NULL, angler TEXT, "date" TEXT, "start" TEXT, "end" TEXT, '
    '"venue" TEXT, "swim" TEXT, "water_temp_c" REAL, "air_temp_c" REAL, "pressure_hpa" REAL, '
    '"wind_dir" TEXT, "wind_force" INTEGER, "latitude" REAL, "longitude" REAL, "notes" TEXT, '
    "extra TEXT)",
    "CREATE UNIQUE INDEX current_sessions ON sessions (session, ifnull(angler, '')) "
    "WHERE replaced_by IS NULL",
    "CREATE TABLE stints (id INTEGER PRIMARY KEY, session_id INTEGER NOT NULL, "
    '"variant" TEXT, "hours" REAL, "cast_in" TEXT, "cast_out" TEXT, "fish" INTEGER, '
    '"lost" INTEGER, "rod" TEXT, "batch" TEXT, "rig" TEXT, "hook_size" TEXT, "spot" TEXT, '
    '"depth_m" REAL, "range_m" REAL, extra TEXT)',
    "CREATE TABLE catches (id INTEGER PRIMARY KEY, session_id INTEGER NOT NULL, stint_id INTEGER, "
    '"rod" TEXT, "variant" TEXT, "time" TEXT, "species" TEXT, "weight" REAL, "outcome" TEXT, '
    "extra TEXT)",
    "CREATE TABLE variants (id INTEGER PRIMARY KEY, added_by INTEGER NOT NULL, replaced_by "
    'INTEGER, variant TEXT NOT NULL, "base_mix" TEXT, "pellet_pct" REAL, '
    '"attractor_ml_per_egg" REAL, "albumen_g_per_kg" REAL, "cork_mm" REAL, "size_mm" REAL, '
    '"boil_s" REAL, extra TEXT)',
    "CREATE UNIQUE INDEX current_variants ON variants (variant) WHERE replaced_by IS NULL",
    "PRAGMA application_id = 1383031880",
    "PRAGMA user_version = 1",
    "INSERT INTO imports VALUES (1, '2025-05-01T00:00:00+00:00', 'UTC', '[\"log.csv\"]', 1)",
    "INSERT INTO sessions (id, added_by, session, date) VALUES (1, 1, 'trip 1', '2025-04-01')",
    "INSERT INTO stints (id, session_id, variant, hours, fish, batch) "
    "VALUES (1, 1, 'plain', 6.5, 2, 'P-1')",
)
"""A logbook as it was begun before there were batches, with one stint."""

BATCH = {"variant": "plain", "date": "2025-03-20"}


def layout(path: Path) -> int:
    with sqlite3.connect(path) as run:
        return int(run.execute("PRAGMA user_version").fetchone()[0])


@pytest.fixture
def old(tmp_path: Path) -> Path:
    path = tmp_path / "old.sqlite"
    with sqlite3.connect(path) as run:
        for statement in LAYOUT_1:
            run.execute(statement)
    run.close()
    return path


@pytest.fixture
def logbook(tmp_path: Path) -> Path:
    path = tmp_path / "logbook.sqlite"
    import_paths(write_log(tmp_path / "log", season(4)), path)
    return path


def test_an_old_logbook_is_read_as_it_is(old: Path) -> None:
    """Reading changes no byte: no batches, and the stints that were there."""
    before = old.read_bytes()
    with open_logbook(old) as book:
        assert book.batches() == []
        assert batches_frame(book).empty
        assert stint_frame(book)["fish"].tolist() == [2]
    assert old.read_bytes() == before


def test_an_old_logbook_takes_batches(old: Path) -> None:
    """The first change brings it up to date; everything in it stays."""
    with open_logbook(old) as book:
        sha = book.content_sha256()
        assert book.add_batch(BATCH, [15.2, 15.6]) == "P-1"
    assert layout(old) == 3
    with open_logbook(old) as book:
        assert [row[:3] for row in book.batches()] == [("P-1", "plain", "2025-03-20")]
        assert book.batches()[0][-1] == (15.2, 15.6)
        assert book.content_sha256() == sha
        assert book.undo() is not None
        assert len(book.batches()) == 1


def test_an_old_logbook_takes_imports_and_undoes_them(tmp_path: Path, old: Path) -> None:
    """What the old program wrote can be added to and taken back as before."""
    with open_logbook(old) as book:
        sha = book.content_sha256()
    log = season(3)
    for table in ("stints", "sessions", "catches"):
        for row in log[table]:
            row["session"] = f"new {row['session']}"
    assert import_paths(write_log(tmp_path / "more", log), old).complete
    assert layout(old) == 3
    with open_logbook(old) as book:
        assert book.counts().sessions == 4
        assert book.undo() is not None
        assert book.content_sha256() == sha


def test_a_change_that_fails_leaves_the_old_layout(old: Path) -> None:
    """The step to the new layout is part of the change's own transaction."""
    with open_logbook(old) as book, pytest.raises(RuntimeError), book.transaction():
        raise RuntimeError
    assert layout(old) == 1


def test_an_old_logbook_that_cannot_be_written_can_be_read(old: Path) -> None:
    """Read-only: its stints are read, and a batch is refused in plain words."""
    with open_logbook(old) as book:
        book._connection.execute("PRAGMA query_only = ON")
        assert len(stint_frame(book)) == 1
        assert book.batches() == []
        with pytest.raises(UnusableLogbook, match="cannot be opened for writing"):
            book.add_batch(BATCH)
    assert layout(old) == 1


def test_a_logbook_can_begin_with_a_batch(tmp_path: Path) -> None:
    """Baits are made before they are fished: no import is needed first."""
    path = tmp_path / "new.sqlite"
    with open_logbook(path, create=True) as book:
        book.add_batch(BATCH)
        assert book.is_empty()
        assert book.undo() is None
    import_paths(write_log(tmp_path / "log", season(2)), path)
    with open_logbook(path) as book:
        assert book.counts().sessions == 2
        assert len(book.batches()) == 1


def test_batches_are_no_part_of_the_evidence(logbook: Path) -> None:
    """Digest and undo go by the trip log alone; batches outlive both."""
    with open_logbook(logbook) as book:
        before = book.content_sha256()
        book.add_batch(BATCH | {"dry_g": 400.0}, [15.0])
        assert book.content_sha256() == before
        assert book.undo() is not None
        assert book.undo() is None
        assert [row[0] for row in book.batches()] == ["P-1"]


def test_the_frame_has_every_column(logbook: Path) -> None:
    """Dates as dates, numbers as floats, what is not recorded missing, the oldest first."""
    with open_logbook(logbook) as book:
        book.add_batch(BATCH | {"eggs": 4, "notes": "windy"})
        book.add_batch(BATCH | {"date": "2025-01-05"}, [15.5, 15.25])
        frame = batches_frame(book)
    assert frame["date"].tolist() == [pd.Timestamp("2025-01-05"), pd.Timestamp("2025-03-20")]
    assert frame["diameters_mm"].tolist() == [(15.5, 15.25), ()]
    assert frame["eggs"].dtype == "float64"
    assert frame["eggs"].isna().tolist() == [True, False]
    assert frame["notes"].isna().tolist() == [True, False]


def test_a_removed_batch_leaves_its_code_taken(logbook: Path) -> None:
    """A bag may bear it still: no other batch gets the code, with or without being asked to."""
    with open_logbook(logbook) as book:
        assert book.add_batch(BATCH) == "P-1"
        assert book.remove_batch("p 1") == "P-1"
        assert book.batches() == []
        with pytest.raises(UsageError, match="no batch"):
            book.remove_batch("P-1")
        assert book.add_batch(BATCH) == "P-2"
        for code in ("p1", "P-2", "-"):
            with pytest.raises(UsageError):
                book.add_batch(BATCH, code=code)
        assert book.add_batch(BATCH, code="spring-A") == "spring-A"


@pytest.mark.parametrize(
    ("variant", "wanted"),
    [
        ("plain", "P"),
        ("pellet-20", "P20"),
        ("pellet-20-attractor-6", "P20A6"),
        ("octopus & liver", "CE"),
        ("käse", "K"),
        ("ill", "X"),
        ("20 % pellet", "X20P"),
        ("小麦", "X"),
    ],
)
def test_initials_use_no_letter_that_looks_like_another(variant: str, wanted: str) -> None:
    """The first usable letter of each word, numbers whole."""
    assert initials(variant) == wanted


@given(st.lists(st.text(min_size=1, max_size=20), min_size=1, max_size=40))
@example(["plain"] * 205 + ["p 20", "P-20", "p 2"] * 6)
@example(["a 1"] * 12 + ["a 11"] * 3 + ["a"] * 3)
def test_codes_are_unique_short_and_plain(variants: list[str]) -> None:
    """Whatever the labels: no two codes alike without dash and capitals, and easy to write."""
    used: list[str] = []
    for variant in variants:
        used.append(next_code(variant, used))
    squeezed = ["".join(char for char in code if char != "-").lower() for code in used]
    assert len(set(squeezed)) == len(used)
    for code in used:
        assert len(code) <= 10
        assert not set(code) - set("0123456789-ACDEFHJKMNPRTWXY")
        assert code[0].isalpha()


def test_a_code_is_read_however_it_was_written() -> None:
    """Capitals, spaces and dashes are not what tells one bag from another."""
    assert {batch_key(text) for text in ("P20-1", "p20-1", "P20 1", " p 20 1 ")} == {"P201"}


def test_hints_on_batches() -> None:
    """Unknown codes, other spellings and a batch under two variants; an empty ledger is silent."""
    logged = [("p-1", "plain"), ("P-9", "plain"), ("P20-1", "plain")]
    assert batch_hints(logged, []) == []
    unknown, written, other = batch_hints(logged, [("P-1", "plain"), ("P20-1", "pellet-20")])
    assert "Batch P-9 in stints is not in the ledger" in unknown
    assert "p-1 in stints is P-1 in the ledger" in written
    assert "P20-1 is a batch of pellet-20" in other
    assert batch_hints([("P-1", "plain")], [("P-1", "plain")]) == []


def test_an_import_points_out_unknown_batches(tmp_path: Path, logbook: Path) -> None:
    """A hint, never a refusal: the same rows are imported as without a ledger."""
    log = season(6)
    for row in log["stints"]:
        row["batch"] = "P-1" if row["variant"] == "plain" else "Z-1"
    with open_logbook(logbook) as book:
        book.add_batch(BATCH)
        book.undo()
    result = import_paths(write_log(tmp_path / "more", log), logbook)
    assert result.complete
    assert result.sessions == {"new": 6}
    assert [hint for hint in result.hints if "ledger" in hint and "Z-1" in hint]
    assert not [hint for hint in result.hints if "P-1" in hint]
