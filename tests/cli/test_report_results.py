"""`rodhours report --format json` holds what the single commands print."""

from __future__ import annotations

import json

import pytest

from rodhours.cli.demonstrating import TABLES, example_season


@pytest.fixture
def asked(command, tmp_path):
    """A function that asks a command for JSON, in a folder with the example season."""
    assert command("import", *(example_season() / name for name in TABLES)).code == 0
    assert command("leave-out", "T07", "--because", "hours were guessed").code == 0

    def ask(*arguments: str) -> dict:
        done = command(*arguments, "--json")
        assert done.code == 0, done.err
        return json.loads(done.out)

    return ask


ROWS = ("--until", "2025-06-20", "--reference", "plain")
FISH = ("--outcome", "hooked")


def test_the_results_are_those_of_the_single_commands(asked, command, tmp_path):
    """Each entry is what its own command prints of the same rows and fish; what the report has no
    part for is null."""
    assert command("report", *ROWS, *FISH, "--format", "json").code == 0
    place = tmp_path / "reports" / "season.json"
    whole = json.loads(place.read_text(encoding="utf-8"))
    assert list(whole) == [
        *("schema", "title", "compare", "limits", "summary", "response", "sizes"),
        *("running", "next", "rehearsal", "seasons"),
    ]
    assert whole["schema"] == 1
    assert "2025-04-01 to 2025-06-" in whole["title"]
    running = asked("compare", *ROWS, *FISH, "--running")
    looks = running.pop("running")
    assert whole["compare"] == running
    assert whole["summary"] == asked("summary", *ROWS[:2], *FISH)
    assert whole["sizes"] == asked("sizes", *ROWS)
    assert whole["next"] == asked("plan", "next", *ROWS, *FISH)
    for one in whole["response"]:
        assert one == asked("response", one["column"], *ROWS[:2], *FISH)
    assert len(whole["response"]) == 2
    assert whole["running"] == looks
    says = {note["says"] for note in whole["limits"]}
    found = asked("check", *ROWS, *FISH)["findings"]
    assert "left_out" in {note["code"] for note in found}
    assert {note["says"] for note in (*whole["compare"]["notes"], *found)} == says
    assert whole["rehearsal"] is whole["seasons"] is None
