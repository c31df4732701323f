"""`rodhours import` and an angler's own columns: asked on a terminal, printed without one."""

from __future__ import annotations

import json
import tomllib

TRIPS = (
    "Date;Lake;Rod;Bait;Hrs;Landed\n"
    "12/04/2025;Alder Mere;1;plain;36:30;1\n"
    "12/04/2025;Alder Mere;2;pellet;36:30;0\n"
    "19/04/2025;Alder Mere;1;pellet;12:00;0\n"
)


def test_without_a_terminal_the_layout_is_the_answer(command, tmp_path):
    """Exit code 4, the layout alone on stdout, the error on stderr, and nothing is written."""
    (tmp_path / "trips.csv").write_text(TRIPS)
    done = command("import", "trips.csv")
    assert done.code == 4
    assert tomllib.loads(done.out)["columns"]["Bait"] == "variant"
    assert "session, variant, hours, fish" in done.err
    assert "nothing was imported" in done.err
    assert sorted(one.name for one in tmp_path.iterdir()) == ["trips.csv"]
    (tmp_path / "my.toml").write_text(done.out)
    used = command("import", "trips.csv", "--layout", "my.toml")
    assert used.code == 0
    assert "3 rows imported (2 sessions)" in used.out
    assert "36:30 is read as 36.5 h" in used.err
    again = command("import", "trips.csv")
    assert again.code == 0
    assert "read as laid out in my.toml on " in again.err
    assert command("import", "trips.csv", "--no-layout").code == 4


def test_the_machine_form(command, tmp_path):
    """With --json the layout is a text inside the answer."""
    (tmp_path / "trips.csv").write_text(TRIPS)
    done = command("import", "trips.csv", "--json")
    assert done.code == 4
    found = json.loads(done.out)
    assert found["schema"] == 1
    assert found["missing"] == []
    assert "hours" in found["error"]
    assert tomllib.loads(found["layout"])["session"]["from"] == ["Date", "Lake"]


def test_propose_imports_nothing(command, tmp_path):
    """A layout for any file, our own format included."""
    (tmp_path / "stints.csv").write_text("session,variant,hours,fish\nA,plain,5,0\n")
    done = command("import", "stints.csv", "--propose")
    assert done.code == 0
    assert tomllib.loads(done.out)["columns"] == {
        name: name for name in ("session", "variant", "hours", "fish")
    }
    assert [one.name for one in tmp_path.iterdir()] == ["stints.csv"]
    machine = json.loads(command("import", "stints.csv", "--propose", "--json").out)
    assert [one["table"] for one in machine["layouts"]] == ["stints"]


def test_at_a_terminal_a_tidy_sheet_is_asked_nothing(by_questions, tmp_path):
    """Its columns are shown, the layout is written beside it, and no file is overwritten."""
    (tmp_path / "my trips.csv").write_text(TRIPS)
    (tmp_path / "my trips.csv.layout.toml").write_text("mine")
    done = by_questions("", "import", "my trips.csv")
    assert done.code == 0
    for part in (
        "12/04/2025 is read as 2025-04-12",
        "36:30 is read as 36.5 h",
        "that makes 2 sessions",
        "rodhours import 'my trips.csv' --layout 'my trips.csv.layout-2.toml'",
        "3 rows imported (2 sessions)",
    ):
        assert part in " ".join((done.out + done.err).split())
    assert (tmp_path / "my trips.csv.layout.toml").read_text() == "mine"
    assert "columns" in tomllib.loads((tmp_path / "my trips.csv.layout-2.toml").read_text())


def test_at_a_terminal_the_end_of_the_input_imports_nothing(by_questions, tmp_path):
    """Neither layout nor logbook is written where a question is left without an answer."""
    (tmp_path / "trips.csv").write_text(TRIPS.replace(";0\n", ";\n"))
    assert by_questions("", "import", "trips.csv").code == 4
    assert [one.name for one in tmp_path.iterdir()] == ["trips.csv"]
