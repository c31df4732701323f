"""A bait spelt two ways made one, and sessions left out: in the logbook and in later imports."""

from __future__ import annotations

from pathlib import Path

import pytest
from trip_logs import Log, season, write_log, write_text

from rodhours.errors import RefusedRows, UsageError
from rodhours.log import importing
from rodhours.log.frames import catches_frame, stint_frame, variants_frame
from rodhours.log.importing import import_paths
from rodhours.log.logbook import open_logbook


def relabelled(log: Log, old: str, new: str) -> Log:
    """The same log with another label wherever it stands."""
    return {
        name: [{k: new if v == old and k == "variant" else v for k, v in row.items()} for row in t]
        for name, t in log.items()
    }


def digest(path: Path) -> str:
    with open_logbook(path) as book:
        return book.content_sha256()


def test_a_rename_is_the_log_with_the_other_label(tmp_path: Path) -> None:
    """Stints, catches and recipe: the digest is that of the log written with the new label."""
    log = season(6)
    path, other = tmp_path / "logbook.sqlite", tmp_path / "other.sqlite"
    assert import_paths(write_log(tmp_path / "log", log), path).complete
    new = write_log(tmp_path / "new", relabelled(log, "pellet-20", "P20"))
    assert import_paths(new, other).complete
    before = digest(path)
    with open_logbook(path) as book:
        book.set_reference("pellet-20")
        book.add_batch({"variant": "pellet-20", "date": "2025-03-20"})
        done = book.rename_variant("pellet-20", "P20")
        assert (done.sessions, done.stints, done.batches, done.merged) == (6, 6, 1, False)
        assert book.content_sha256() == digest(other)
        assert book.reference() == "P20"
        assert book.batches()[0]["variant"] == "P20"
        assert book.undo() is not None
        assert book.content_sha256() == before
        assert book.reference() == "pellet-20"
        assert book.batches()[0]["variant"] == "pellet-20"


def test_a_rename_while_files_are_read_reaches_them(tmp_path: Path, monkeypatch) -> None:
    """Another process renames the bait after the labels were looked up, before the rows go in."""
    path = tmp_path / "logbook.sqlite"
    assert import_paths(write_log(tmp_path / "log", season(2)), path).complete
    usual = importing.files_read

    def renamed_meanwhile(files):
        with open_logbook(path) as book:
            book.rename_variant("plain", "Plain bait")
        return usual(files)

    monkeypatch.setattr(importing, "files_read", renamed_meanwhile)
    assert import_paths(write_log(tmp_path / "more", season(4)), path).complete
    with open_logbook(path) as book:
        assert set(stint_frame(book)["variant"]) == {"Plain bait", "pellet-10", "pellet-20"}


def test_files_with_the_old_label_follow(tmp_path: Path) -> None:
    """The same file is already there; a longer one adds its sessions under the new label."""
    path, other = tmp_path / "logbook.sqlite", tmp_path / "other.sqlite"
    files = write_log(tmp_path / "log", season(4))
    assert import_paths(files, path).complete
    with open_logbook(path) as book:
        book.rename_variant("plain", "Plain")
        book.rename_variant("Plain", "plain bait")
    again = import_paths(files, path)
    assert again.complete
    assert again.rows_imported == 0
    assert any("plain is read as plain bait" in hint for hint in again.hints)
    longer = import_paths(write_log(tmp_path / "longer", season(6)), path)
    assert longer.complete
    assert longer.sessions == {"already there": 4, "new": 2}
    import_paths(write_log(tmp_path / "new", relabelled(season(6), "plain", "plain bait")), other)
    assert digest(path) == digest(other)
    with open_logbook(path) as book:
        assert book.undo(2) is not None
        # Without the first rename the second has nothing to do: all six trips as they were written.
        assert {row["variant"] for row in book.stints()} == {"plain", "pellet-10", "pellet-20"}


def test_two_labels_become_one_bait(tmp_path: Path) -> None:
    """Both rows of the recipe are one, and a file that has both labels is already there."""
    log = season(4)
    for number, row in enumerate(log["stints"]):
        if row["variant"] == "pellet-20" and number > 5:
            row["variant"] = "20 pct"
    log["variants"][2].pop("boil_s")
    log["variants"].append({"variant": "20 pct", "boil_s": "90", "cork_mm": "12"})
    path = tmp_path / "logbook.sqlite"
    files = write_log(tmp_path / "log", log)
    assert import_paths(files, path).complete
    with open_logbook(path) as book:
        assert book.rename_variant("20 pct", "pellet-20").merged
        recipes = variants_frame(book).set_index("variant")
        columns = ["pellet_pct", "boil_s", "cork_mm"]
        assert recipes.loc["pellet-20", columns].tolist() == [20, 90, 12]
        assert set(stint_frame(book)["variant"]) == {"plain", "pellet-10", "pellet-20"}
    again = import_paths(files, path)
    assert again.complete
    assert (again.rows_imported, again.rows_read) == (0, again.rows_already_there)
    with open_logbook(path) as book:
        assert book.undo() is not None
        assert len(variants_frame(book)) == 4


def test_two_baits_are_not_made_one(tmp_path: Path) -> None:
    """Recipes that differ, a label that is not there: refused."""
    path = tmp_path / "logbook.sqlite"
    assert import_paths(write_log(tmp_path / "log", season(4)), path).complete
    before = digest(path)
    with open_logbook(path) as book:
        with pytest.raises(RefusedRows, match="pellet_pct"):
            book.rename_variant("plain", "pellet-10")
        with pytest.raises(UsageError, match="Did you mean pellet-20"):
            book.rename_variant("pelet-20", "x")
        with pytest.raises(UsageError, match="already"):
            book.rename_variant("plain", "plain")
        assert len(book.changes()) == 1
    assert digest(path) == before


def test_a_session_left_out_stays_in_the_log(tmp_path: Path) -> None:
    """No frame has it, the digest does not change, and its file is already there."""
    path = tmp_path / "logbook.sqlite"
    log = season(4)
    files = write_log(tmp_path / "log", log)
    assert import_paths(files, path).complete
    before = digest(path)
    fish = {row["session"] for row in log["catches"]}
    assert "trip 2" in fish
    with open_logbook(path) as book:
        book.leave_out("trip 2", None, "guessed")
        assert set(stint_frame(book)["session"]) == {"trip 1", "trip 3", "trip 4"}
        assert set(catches_frame(book)["session"]) == fish - {"trip 2"}
        assert len(stint_frame(book, with_left_out=True)) == 12
        with pytest.raises(UsageError, match="already, because: guessed"):
            book.leave_out("trip 2", None, "again")
        with pytest.raises(UsageError, match="Did you mean trip"):
            book.leave_out("trp 2", None, "again")
    again = import_paths(files, path)
    assert (again.rows_imported, again.complete) == (0, True)
    assert digest(path) == before
    log["stints"][3]["moon"] = "9"
    assert import_paths(write_log(tmp_path / "log", log), path, replace=True).complete
    with open_logbook(path) as book:
        assert [one.session for one in book.left_out()] == ["trip 2"]
        book.take_back("trip 2", None)
        assert len(stint_frame(book)) == 12
        with pytest.raises(UsageError, match="not left out"):
            book.take_back("trip 2", None)
        assert book.undo() is not None
        assert [one.because for one in book.left_out()] == ["guessed"]
        with pytest.raises(UsageError, match="taken back already"):
            book.undo(4)
        assert book.undo(2) is not None
        assert book.left_out() == []


def test_two_anglers_with_one_label_are_told_apart(tmp_path: Path) -> None:
    """Session 1 of Ann is not session 1 of Bob."""
    path = tmp_path / "logbook.sqlite"
    log = write_text(
        tmp_path / "log.csv",
        """session,angler,rod,variant,hours,fish
        1,Ann,1,plain,5,0
        1,Bob,1,plain,6,1""",
    )
    assert import_paths([log], path).complete
    with open_logbook(path) as book:
        with pytest.raises(UsageError, match="Ann and Bob"):
            book.leave_out("1", None, "guessed")
        with pytest.raises(UsageError, match="no session '1' of Cid"):
            book.leave_out("1", "Cid", "guessed")
        book.leave_out("1", "Bob", "guessed")
        assert stint_frame(book)["angler"].tolist() == ["Ann"]
