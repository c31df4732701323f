"""`rodhours rehearse` as a user meets it: words, JSON, exit codes, the bar, Ctrl-C."""

from __future__ import annotations

import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from rodhours.log.importing import import_paths

SMALL = ["rehearse", "--seasons", "1", "--reference", "plain", "--jobs", "1"]


@pytest.fixture(scope="module")
def season(tmp_path_factory):
    """A logbook of ten trips with two baits each and with fish enough to be analysed quickly."""
    folder = tmp_path_factory.mktemp("season")
    rows = [
        f"T{trip},{bait},20,{(3 * trip + better) % 5}\n"
        for trip in range(10)
        for better, bait in enumerate(("plain", "pellet-20"))
    ]
    (folder / "stints.csv").write_text("".join(["session,variant,hours,fish\n", *rows]))
    import_paths([folder / "stints.csv"], folder / "logbook.sqlite")
    return folder / "logbook.sqlite"


@pytest.fixture
def with_season(command, season):
    """The command, in a folder whose logbook holds that season."""
    shutil.copy(season, "logbook.sqlite")
    return command


def test_the_words(with_season):
    """What held, what it settles, what was broken; all on stdout, beside it the reference alone."""
    done = with_season(*SMALL, "pellet-20")
    assert done.code == 0, done.err
    assert "On your own season’s schedule, the interval held the truth in" in done.out
    assert "counting every fish by itself would have in" in done.out
    for bait in ("1.25 times", "1.5 times", "twice", "three times"):
        assert f"- {bait} as good: " in done.out
    assert "pellet-20 put on when the trip looks good" in done.out
    assert "significant" not in done.out
    assert done.err.count("\n") == 1
    assert "The reference is plain from now on" in done.err


def test_the_machine_form_alone_on_stdout(with_season):
    """JSON and nothing else; the reference given is remembered for the next time."""
    done = with_season(*SMALL, "--json", "--ratio", "2", "--seed", "5")
    found = json.loads(done.out)
    assert (found["schema"], found["seasons"], found["ratio"], found["seed"]) == (1, 1, 2.0, 5)
    assert (found["reference"], found["variant"]) == ("plain", "pellet-20")
    assert set(found["settled"]) == {"1.25", "1.5", "2", "3"}
    assert found["complete"] is True
    again = with_season("rehearse", "--seasons", "1", "--jobs", "1", "--json")
    assert again.err == ""
    assert json.loads(again.out)["reference"] == "plain"


def test_what_cannot_be_asked(with_season):
    """Exit code 2 and a sentence on stderr, nothing on stdout."""
    done = with_season("rehearse", "--reference", "plain", "pelet-20")
    assert done.code == 2
    assert "Did you mean 'pellet-20'" in done.err
    assert done.out == ""


@pytest.mark.skipif(os.name != "posix", reason="needs a pseudo-terminal")
@pytest.mark.parametrize("jobs", ["1", pytest.param("2", marks=pytest.mark.full)])
def test_ctrl_c_leaves_the_result_so_far(with_season, jobs):
    """With the bar on the terminal, Ctrl-C to the whole group of processes: the answer so far on
    stdout, how many seasons it rests on, exit code 130, no traceback, no bar on stdout."""
    import pty

    ours, theirs = pty.openpty()
    done = subprocess.Popen(
        [sys.executable, "-m", "rodhours", "rehearse", "--seasons", "5000", "--jobs", jobs],
        stdout=subprocess.PIPE,
        stderr=theirs,
        start_new_session=True,
        env={**os.environ, "TERM": "xterm", "NO_COLOR": "1"},
    )
    os.close(theirs)
    try:
        shown = until(ours, b" left")
        os.killpg(done.pid, signal.SIGINT)
        out, _ = done.communicate(timeout=120)
    finally:
        if done.poll() is None:
            os.killpg(done.pid, signal.SIGKILL)
    shown += until(ours, None)
    assert done.returncode == 130
    text = out.decode()
    assert text.startswith("Stopped early: this rests on ")
    assert "of the 5,000 seasons asked for" in text
    assert "Rehearsing" not in text
    assert b"Rehearsing" in shown
    assert b"Traceback" not in shown
    # No colour, with NO_COLOR or without: not one escape sequence.
    assert b"\x1b" not in shown


@pytest.mark.full
@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="looks for processes in /proc")
def test_ctrl_c_while_the_processes_start(with_season):
    """Ctrl-C before a process could say that it leaves it alone: no traceback from there."""
    arguments = ["rehearse", "--seasons", "5000", "--jobs", "2"]
    done = subprocess.Popen(
        [sys.executable, "-m", "rodhours", *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
        text=True,
    )
    children = Path(f"/proc/{done.pid}/task/{done.pid}/children")
    # Two: the first of the processes at work, and Python's own that tidies up after them.
    while done.poll() is None and len(children.read_text().split()) < 2:
        time.sleep(0.01)
    # They are known to the system now, and Python is still starting inside them.
    time.sleep(0.04)
    os.killpg(done.pid, signal.SIGINT)
    out, said = done.communicate(timeout=120)
    assert done.returncode == 130
    assert "Traceback" not in said
    assert said.strip() == "Interrupted before the first season was done." or "Stopped" in out


def until(terminal: int, mark: bytes | None) -> bytes:
    """What a terminal shows until the mark appears, or until it is closed."""
    shown = b""
    while mark is None or mark not in shown:
        try:
            more = os.read(terminal, 4096)
        except OSError:
            break
        if not more:
            break
        shown += more
    return shown
