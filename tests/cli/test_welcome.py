"""Bare `rodhours`: what the logbook holds and the next sensible command."""

from __future__ import annotations

from importlib.metadata import version

TWO = """session,date,rod,variant,hours,fish
a,2025-04-12,1,plain,5.5,0
a,2025-04-12,2,mix,6,1
b,2025-06-01,1,plain,4,2
"""


def test_without_a_logbook_it_says_how_to_start(command, tmp_path):
    """With no logbook: import, demo and help, exit 0, and no file is made."""
    done = command()
    assert (done.code, done.err) == (0, "")
    for piece in ("no logbook", "rodhours import FILE", "rodhours demo", "rodhours --help"):
        assert piece in done.out
    assert list(tmp_path.iterdir()) == []


def test_with_a_logbook_it_says_what_it_holds(command, tmp_path):
    """Trips, stints, fish, dates and variants, counted by hand, and what to do next."""
    (tmp_path / "log.csv").write_text(TWO)
    command("import", "log.csv")
    done = command()
    assert (done.code, done.err) == (0, "")
    for piece in ("2 trips", "3 stints", "3 fish", "2025-04-12 to 2025-06-01", "2 variants"):
        assert piece in done.out
    assert "rodhours compare" in done.out


def test_one_bait_and_an_emptied_logbook(command, tmp_path):
    """With one variant the next step is not compare; with nothing left, or in a file of no length
    (a first import cut off), it is an import."""
    (tmp_path / "log.csv").write_text("session,variant,hours,fish\na,plain,5,0\nb,plain,6,1\n")
    command("import", "log.csv")
    done = command()
    assert (done.code, "rodhours compare" in done.out) == (0, False)
    assert "rodhours summary" in done.out
    command("undo")
    assert "empty" in command().out
    (tmp_path / "logbook.sqlite").write_bytes(b"")
    done = command()
    assert (done.code, done.err) == (0, "")
    assert "rodhours import FILE" in done.out


def test_a_file_that_is_no_logbook_is_refused(command, tmp_path):
    """Exit code 4, on stderr, and the file is left alone."""
    (tmp_path / "logbook.sqlite").write_text("a shopping list")
    done = command()
    assert (done.code, done.out) == (4, "")
    assert "logbook.sqlite" in done.err
    assert (tmp_path / "logbook.sqlite").read_text() == "a shopping list"


def test_version_is_that_of_the_package(command):
    """--version prints it on stdout."""
    done = command("--version")
    assert (done.code, done.out.split()) == (0, ["rodhours", version("rodhours")])


def test_an_unknown_command_is_a_usage_error(command):
    """Exit code 2 on stderr."""
    done = command("compere")
    assert (done.code, done.out) == (2, "")
    assert "compere" in done.err


def test_a_logbook_named_before_the_command_is_the_one_used(command, tmp_path, monkeypatch):
    """It is read and written whatever the environment says, in groups too; else it is refused."""
    (tmp_path / "log.csv").write_text(TWO)
    monkeypatch.setenv("RODHOURS_LOGBOOK", "other.sqlite")
    assert command("--logbook", "mine.sqlite", "import", "log.csv").code == 0
    assert sorted(one.name for one in tmp_path.iterdir()) == ["log.csv", "mine.sqlite"]
    assert "3 fish" in " ".join(command("--logbook", "mine.sqlite").out.split())
    assert command("--logbook", "mine.sqlite", "summary").code == 0
    assert command("summary").code == 4
    assert (
        "later.sqlite"
        in command("--logbook", "mine.sqlite", *(["summary", "--logbook", "later.sqlite"])).err
    )
    assert "later.sqlite" in command("--logbook", "later.sqlite", "plan", "next").err
    refused = command("--logbook", "mine.sqlite", "lift")
    assert (refused.code, refused.out) == (2, "")
    assert "uses no logbook" in refused.err
