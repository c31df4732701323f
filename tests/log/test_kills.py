"""Killed at any moment, a logbook holds all of a change or none; two at once both land."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent


def run(folder: Path, *arguments: str) -> dict[str, dict[str, int]]:
    """The runs of `kill_runs` in a process of their own, and what they found."""
    path = os.pathsep.join([str(HERE), os.environ.get("PYTHONPATH", "")])
    done = subprocess.run(
        [sys.executable, str(HERE / "kill_runs.py"), str(folder), *arguments],
        env={**os.environ, "PYTHONPATH": path},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    found: dict[str, dict[str, int]] = json.loads(done.stdout)
    return found


def check_kills(folder: Path, each: int, sessions: int) -> int:
    """Every kind of change, and exports: all or none; how many were really killed."""
    found = run(folder, "kills", str(each), str(sessions))
    print(found)
    exports = {"export", "export over another"}
    assert found.keys() == {"import", "undo", "rename", "opened key", "batch", *exports}
    for counts in found.values():
        assert counts.get("all", 0) + counts.get("none", 0) == each
    return sum(counts["killed"] for counts in found.values())


def test_killed_changes_are_whole_or_not_there(tmp_path: Path) -> None:
    """SIGKILL at random moments of each kind of change of a small logbook."""
    assert check_kills(tmp_path, each=1, sessions=10) >= 1


@pytest.mark.full
def test_many_killed_changes_are_whole_or_not_there(tmp_path: Path) -> None:
    """At least 200 kills at random moments, on a logbook of 1000 sessions."""
    assert check_kills(tmp_path, each=60, sessions=1000) >= 200


def test_two_imports_at_once_both_land(tmp_path: Path) -> None:
    """Begun together on a logbook that is not there yet, both are in it, whole."""
    assert run(tmp_path, "at once", "2") == {"both": 2}


@pytest.mark.full
def test_two_imports_at_once_land_every_time(tmp_path: Path) -> None:
    """The same for 50 rounds."""
    assert run(tmp_path, "at once", "50") == {"both": 50}
