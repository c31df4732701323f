"""Batches in the logbook: codes for bags, undo and the digest."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from trip_logs import season, write_log

from rodhours.errors import UsageError
from rodhours.log.batches import batch_hints, batch_key, initials, next_code
from rodhours.log.frames import batches_frame
from rodhours.log.importing import import_paths
from rodhours.log.logbook import open_logbook

BATCH = {"variant": "plain", "date": "2025-03-20"}


@pytest.fixture
def logbook(tmp_path: Path) -> Path:
    path = tmp_path / "logbook.sqlite"
    import_paths(write_log(tmp_path / "log", season(4)), path)
    return path


def test_a_logbook_can_begin_with_a_batch(tmp_path: Path) -> None:
    """Baits are made before they are fished: no import is needed first."""
    path = tmp_path / "new.sqlite"
    with open_logbook(path, create=True) as book:
        book.add_batch(BATCH)
    import_paths(write_log(tmp_path / "log", season(2)), path)
    with open_logbook(path) as book:
        assert book.counts().sessions == 2
        assert len(book.batches()) == 1


def test_batches_are_changes_but_no_evidence(logbook: Path) -> None:
    """The digest goes by the trip log alone; undo takes a batch, and what was done to it, back."""
    with open_logbook(logbook) as book:
        before = book.content_sha256()
        book.add_batch(BATCH | {"dry_g": 400.0}, [15.0])
        book.remove_batch("P-1")
        assert book.content_sha256() == before
        assert [change.kind for change in book.changes()[1:]] == ["batch-added", "batch-removed"]
        assert book.undo() is not None
        assert book.batches()[0]["diameters_mm"] == (15.0,)
        assert book.undo() is not None
        assert book.batches() == []
        assert book.content_sha256() == before
        assert book.add_batch(BATCH) == "P-2"


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


@settings(max_examples=15)
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
    """Unknown codes and a batch under two variants, however they are spelt; else silence."""
    logged = [("p-1", "plain"), ("P-9", "plain"), ("P20-1", "plain")]
    assert batch_hints(logged, []) == []
    unknown, other = batch_hints(logged, [("P-1", "plain"), ("P20-1", "pellet-20")])
    assert "Batch P-9 in stints is not in the ledger" in unknown
    assert "P20-1 is a batch of pellet-20" in other
    assert batch_hints([("P-1", "plain")], [("P-1", "plain")]) == []


def test_an_import_points_out_unknown_batches(tmp_path: Path, logbook: Path) -> None:
    """A hint, never a refusal: the same rows are imported as without a ledger."""
    log = season(6)
    for row in log["stints"]:
        row["batch"] = "P-1" if row["variant"] == "plain" else "Z-1"
    with open_logbook(logbook) as book:
        book.add_batch(BATCH)
        book.undo(1)
    result = import_paths(write_log(tmp_path / "more", log), logbook)
    assert result.complete
    assert result.sessions == {"new": 6}
    assert [hint for hint in result.hints if "ledger" in hint and "Z-1" in hint]
    assert not [hint for hint in result.hints if "P-1" in hint]
