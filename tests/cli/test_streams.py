"""Where answers go: full disks, closed pipes, letters that are lacking, texts that steer."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ROWS = "session,variant,hours,fish\na,plain,20,1\na,{0},20,0\nb,plain,20,0\nb,{0},20,2\n"
ESCAPE, OVERRIDE = "\x1b]0;title\x07", "nialp\u202e"


@pytest.fixture
def run(tmp_path):
    """A function that runs `rodhours` in a process of its own, in the test's folder."""

    def call(*arguments, **given):
        return subprocess.run(
            [sys.executable, "-m", "rodhours", *arguments],
            cwd=tmp_path,
            capture_output="stdout" not in given,
            check=False,
            **given,
        )

    return call


def test_streams_that_do_not_take_an_answer(run, tmp_path):
    """A full disk and a closed stdout are a line each and no success; an encoding without the
    letters is written around, and its JSON is still JSON."""
    (tmp_path / "log.csv").write_text(ROWS.format("Приманка"), encoding="utf-8")
    assert run("import", "log.csv").returncode == 0
    with Path("/dev/full").open("w") as full:
        done = run("history", stdout=full, stderr=subprocess.PIPE)
    assert (done.returncode, done.stderr.count(b"\n")) == (4, 1)
    assert b"No space left" in done.stderr
    shell = f"{sys.executable} -m rodhours history >&-"
    done = subprocess.run(["sh", "-c", shell], cwd=tmp_path, capture_output=True, check=False)
    assert (done.returncode, done.stderr.count(b"\n")) == (1, 1)
    narrow = run("summary", "--json", env=os.environ | {"PYTHONIOENCODING": "cp1252"})
    assert narrow.returncode == 0
    assert "Приманка" in json.dumps(json.loads(narrow.stdout), ensure_ascii=False)


@pytest.mark.parametrize("text", [ESCAPE, OVERRIDE])
def test_a_label_that_steers_the_terminal_is_refused(command, tmp_path, text):
    """It is named by its code points (UAX 9, ECMA-48) and never written raw."""
    (tmp_path / "log.csv").write_text(ROWS.format(text), encoding="utf-8")
    done = command("import", "log.csv")
    assert done.code == 3
    assert {ESCAPE: "<U+001B>", OVERRIDE: "<U+202E>"}[text] in done.out + done.err
    for name in (command("summary"), done, command("recipes", text, "plain")):
        assert not {"\x1b", "\x07", "\u202e"} & set(name.out + name.err)


def test_what_nobody_sees_makes_no_other_bait(command, tmp_path):
    """A mark of direction that a phone pasted into a label is dropped."""
    (tmp_path / "log.csv").write_text(ROWS.format("pla\u200ein"), encoding="utf-8")
    command("import", "log.csv")
    assert {row["group"] for row in json.loads(command("summary", "--json").out)["rows"]} == {
        "plain"
    }


def test_places_that_cannot_be(command, tmp_path):
    """Endless and overlong files and names that are no text: one line each, exit code 2 or 4."""
    (tmp_path / "log.csv").write_text(ROWS.format("pellet"))
    (tmp_path / "l.toml").write_text('[file]\nencoding = "a\\u0000b"\n')
    odd = tmp_path / "l\udcffg.csv"
    odd.write_text(ROWS.format("pellet"))
    long = "n" * 300
    for given in (
        ("import", "log.csv", "--layout", "/dev/zero"),
        ("import", "log.csv", "--layout", "l.toml"),
        ("import", odd),
        ("import", long),
        ("summary", "--logbook", long),
        ("report", "--out", long),
        ("demo", "--dir", long),
        ("batch", "add", "plain", "--baits", "9" * 20),
        ("plan", "rotation", "--variants", "plain,pellet", "--csv", long),
    ):
        done = command(*given)
        assert done.code in (2, 4), given
        assert done.err.count("\n") == 1, given
