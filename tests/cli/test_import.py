"""`rodhours import` and `rodhours undo` as a user meets them: words, JSON, exit codes."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

GOOD = "session,date,rod,variant,hours,fish\nA,2025-04-12,1,plain,5.5,0\nA,2025-04-12,2,mix,6,1\n"


def test_import_again_and_undo(command, tmp_path: Path) -> None:
    """Each step says what it did, and what comes next; nothing to undo is an answer."""
    (tmp_path / "log.csv").write_text(GOOD)
    first = command("import", "log.csv")
    assert first.code == 0, first.err
    assert "2 rows imported (1 session)" in first.out
    assert "rodhours summary" in first.out
    again = command("import", "log.csv")
    assert again.code == 0
    assert "Nothing new" in again.out
    undone = command("undo")
    assert undone.code == 0
    assert "1 session taken out" in undone.out
    nothing = command("undo")
    assert nothing.code == 0
    assert "Nothing to take back" in nothing.out


def test_json_is_the_promised_form_and_nothing_else(command, tmp_path: Path) -> None:
    """The keys of schema 1, exit code 3, and the refused row waits."""
    (tmp_path / "log.csv").write_text(GOOD + "B,2025-04-13,1,plain,ages,0\n")
    done = command("import", "log.csv", "--json")
    assert done.code == 3
    found = json.loads(done.out)
    problem = found["problems"][0]
    says = problem.pop("says")
    assert found == {
        "schema": 1,
        "rows_read": 3,
        "rows_imported": 2,
        "rows_already_there": 0,
        "rows_rejected": 1,
        "problems": [
            {"file": "log.csv", "sheet": None, "row": 4, "column": "hours", "found": "ages"}
        ],
        "unread_cells": [],
    }
    assert "36:30" in says


def test_long_lists_of_problems_are_cut_in_words_only(command, tmp_path: Path) -> None:
    """Twenty problems are shown and the others counted; the JSON has them all."""
    bad = "".join(f"B{number},2025-04-13,1,plain,x,0\n" for number in range(25))
    (tmp_path / "log.csv").write_text(GOOD + bad)
    done = command("import", "log.csv")
    assert done.out.count("found 'x'") == 20
    assert "and 5 more: rodhours waiting has all" in done.out
    found = json.loads(command("import", "log.csv", "--json").out)
    assert len(found["problems"]) == found["rows_rejected"] == 25


def test_a_conflict_names_replace_and_replace_takes_it(command, tmp_path: Path) -> None:
    """Exit code 3 with the remedy in words; --replace ends with 0."""
    (tmp_path / "log.csv").write_text(GOOD)
    command("import", "log.csv")
    (tmp_path / "log.csv").write_text(GOOD.replace("6,1", "6,2"))
    conflict = command("import", "log.csv")
    assert conflict.code == 3
    assert "--replace" in conflict.out
    assert "the logbook has 1" in conflict.out
    replaced = command("import", "log.csv", "--replace")
    assert replaced.code == 0
    assert "1 replaced" in replaced.out


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (["import"], 2),
        (["import", "none.csv"], 4),
        (["import", "binary.csv"], 4),
        (["import", "log.csv", "--zone", "Nowhere"], 2),
        (["import", "log.csv", "--weight-unit", "stone"], 2),
        (["import", "log.csv", "--logbook", "binary.csv"], 4),
        (["import", "log.csv", "--logbook", "no/such/logbook.sqlite"], 4),
        (["undo", "--logbook", "none.sqlite"], 4),
    ],
)
def test_exit_codes_and_no_traceback(
    command, tmp_path: Path, arguments: list[str], code: int
) -> None:
    """2 for usage, 4 for an unusable file or logbook; a message on stderr, never a traceback."""
    (tmp_path / "log.csv").write_text(GOOD)
    (tmp_path / "binary.csv").write_bytes(bytes(range(256)) * 20)
    done = command(*arguments)
    assert done.code == code
    assert done.out == ""
    assert done.err.strip()
    assert "Traceback" not in done.err


def test_the_logbook_named_by_the_environment(
    command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """RODHOURS_LOGBOOK names the logbook where --logbook does not."""
    (tmp_path / "log.csv").write_text(GOOD)
    monkeypatch.setenv("RODHOURS_LOGBOOK", str(tmp_path / "mine.sqlite"))
    assert command("import", "log.csv").code == 0
    assert (tmp_path / "mine.sqlite").exists()


IN_A_PROCESS = """
import sys
from rodhours.cli.main import run
sys.argv = ["rodhours", "import", *sys.argv[1:]]
try:
    run()
finally:
    print({"pandas", "numpy", "scipy", "statsmodels", "matplotlib"} & {*sys.modules})
"""


@pytest.mark.parametrize(("name", "code"), [("log.csv", 0), ("binary.csv", 4)])
def test_a_process_ends_with_those_codes(tmp_path: Path, name: str, code: int) -> None:
    """From outside, where an error nobody took would leave a traceback and exit code 1.

    Importing a CSV starts without pandas, scipy, statsmodels and matplotlib.
    """
    (tmp_path / "log.csv").write_text(GOOD)
    (tmp_path / "binary.csv").write_bytes(bytes(range(256)) * 20)
    done = subprocess.run(
        [sys.executable, "-c", IN_A_PROCESS, name], cwd=tmp_path, capture_output=True, text=True
    )
    assert done.returncode == code
    assert done.stdout.endswith("set()\n")
    assert "Traceback" not in done.stderr
