"""Logbooks of older layouts are copied before they are brought up to date; full disks."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from pathlib import Path

import pytest
from kill_runs import TO_LAYOUT_2
from trip_logs import season, write_flat, write_log

from rodhours.errors import UnusableLogbook
from rodhours.logbook.importing import import_paths
from rodhours.logbook.logbook import open_logbook


def layout(path: Path) -> int:
    with sqlite3.connect(path) as run:
        return int(run.execute("PRAGMA user_version").fetchone()[0])


@pytest.fixture
def older(tmp_path: Path) -> Path:
    """A logbook of layout 2 with one import."""
    path = tmp_path / "logbook.sqlite"
    import_paths(write_log(tmp_path / "log", season(4)), path, zone="Europe/Berlin")
    with sqlite3.connect(path, isolation_level=None) as run:
        for statement in TO_LAYOUT_2:
            run.execute(statement)
    run.close()
    return path


def test_the_first_change_leaves_a_copy_as_it_was(
    older: Path, caplog: pytest.LogCaptureFixture
) -> None:
    """Reading copies nothing; the first change does, once, and says where."""
    copy = older.with_name("logbook.sqlite.before-layout-3")
    with open_logbook(older) as book:
        before = book.content_sha256()
        (change,) = book.changes()
        rows = sum(map(len, season(4).values()))
        assert (change.id, change.zone) == (1, "Europe/Berlin")
        assert (change.rows, change.sessions) == (rows, 4)
        assert [(one.file, one.sha256) for one in change.files] == [("log.csv", None)]
        assert book.left_out() == book.renames() == []
        assert layout(older) == 2
        assert not copy.exists()
        book.leave_out("trip 1", None, "guessed")
        book.leave_out("trip 2", None, "guessed")
        assert [one.kind for one in book.changes()] == ["import", "leave-out", "leave-out"]
        assert book.content_sha256() == before
    assert (layout(older), layout(copy)) == (3, 2)
    assert sum(str(copy) in record.getMessage() for record in caplog.records) == 1
    with open_logbook(copy) as book:
        assert book.content_sha256() == before
    assert [path.name for path in older.parent.glob("*layout*")] == [copy.name]
    with open_logbook(older) as book:
        book.undo()
        book.undo()
        undone = book.undo()
        assert undone is not None
        assert undone.sessions_removed == 4


def test_no_earlier_copy_is_written_over(older: Path) -> None:
    """A file of that name stays as it is; the new copy gets a number."""
    taken = older.with_name("logbook.sqlite.before-layout-3")
    taken.write_text("mine")
    with open_logbook(older) as book:
        book.set_setting("reference", "plain")
    assert taken.read_text() == "mine"
    assert layout(older.with_name(f"{taken.name}-2")) == 2


def test_without_room_for_a_copy_nothing_is_changed(
    older: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No copy, no change: the logbook keeps its layout and its bytes."""
    before = older.read_bytes()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with (
        open_logbook(older) as book,
        pytest.raises(UnusableLogbook, match=r"No space left.*Nothing was changed"),
    ):
        book.leave_out("trip 1", None, "guessed")
    assert older.read_bytes() == before
    assert not list(older.parent.glob(".*part*"))


LIMITED = """
import resource, sys
resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[1]), resource.RLIM_INFINITY))
sys.argv = ["rodhours", *sys.argv[2:]]
from rodhours.cli.main import run
run()
"""


@pytest.mark.parametrize(
    "command",
    [
        "import",
        "workbook",
        pytest.param("rename", marks=pytest.mark.full),
        pytest.param("export", marks=pytest.mark.full),
    ],
)
def test_a_disk_without_room_is_said_in_one_line(tmp_path: Path, command: str) -> None:
    """Files that cannot grow: exit code 4, one line, and the logbook as it was."""
    path = tmp_path / "logbook.sqlite"
    import_paths([write_flat(tmp_path / "old.csv", season(30))], path)
    new = write_flat(tmp_path / "new.csv", season(90))
    with open_logbook(path) as book:
        before = book.content_sha256()
    arguments = {
        "import": ["import", str(new)],
        "rename": ["rename", "plain", "Plain"],
        "export": ["export", str(tmp_path / "out")],
        "workbook": ["export", str(tmp_path / "out.xlsx")],
    }[command]
    room = path.stat().st_size if command in ("import", "rename") else 1500
    done = subprocess.run(
        [sys.executable, "-c", LIMITED, str(room), *arguments, "--logbook", str(path)],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 4, done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
    assert "Traceback" not in done.stderr
    assert not list(tmp_path.glob("out*"))
    assert not list(tmp_path.glob(".*part*"))
    with open_logbook(path) as book:
        assert book.content_sha256() == before
