"""`rodhours plan hours` and `plan next` as a user meets them: words, JSON, exit codes."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

STINTS = Path(__file__).parents[2] / "example_data" / "stints.csv"
TOGETHER, APART = "all variants on every trip", "one variant a trip"


@pytest.fixture
def with_season(command):
    """The command, in a folder whose logbook holds the example season."""
    assert command("import", STINTS).code == 0
    return command


def test_hours_without_a_log(command):
    """Stand-ins, and the answer says that they are and where they come from; the formula alone is
    marked as such."""
    done = command("plan", "hours", "--ratio", "1.5", "--rods", "2", "--quick")
    assert done.code == 0, done.err
    assert "By formula alone (--quick)" in done.out
    assert "too hopeful" in done.out
    assert "stand-ins, no one’s water" in done.out
    assert "There is no log to take them from" in done.out
    assert TOGETHER in done.out
    assert APART in done.out
    assert "None" not in done.out


def test_hours_from_the_log(with_season):
    """The log's own catch rate with its limits, and what it rests on."""
    done = with_season("plan", "hours", "--ratio", "1.5", "--reference", "plain", "--quick")
    assert "plain takes a fish every" in done.out
    assert "45 trips" in done.out
    assert "stand-ins, no one’s water" not in done.out
    again = with_season("plan", "hours", "--trips", "30", "--quick", "--json")
    assert json.loads(again.out)["reference"] == "plain"


def test_simulated_hours_in_the_machine_form(command):
    """The keys of schema 1; simulated power beside the predicted one, at the trips found; alone on
    stdout."""
    done = command(
        *("plan", "hours", "--ratio", "5", "--seasons", "10"),
        *("--jobs", "1", "--json", "--seed", "3"),
    )
    assert done.code == 0, done.err
    assert done.err == ""
    found = json.loads(done.out)
    assert found["schema"] == 1
    assert (found["ratio"], found["power"], found["seed"], found["from"]) == (5, 0.8, 3, "stand-in")
    assert [one["design"] for one in found["designs"]] == [TOGETHER, APART]
    for one in found["designs"]:
        assert one["rod_hours"] == one["trips"] * 72
        assert one["simulated_power"] >= 0.8
        assert 0 < one["monte_carlo_error"] < 0.2
        assert 0 < one["predicted_power"] <= 1
        assert 0 < one["season_power_error"] < 0.2
    together, apart = found["designs"]
    assert together["trips"] < apart["trips"]
    assert found["smallest_ratio"] == together["smallest_ratio"] > 1
    assert found["quick"] is False


def test_trips_alone(command):
    """The other way round: the smallest ratio of so many trips, above 1 and below."""
    found = json.loads(command("plan", "hours", "--trips", "30", "--quick", "--json").out)
    assert found["ratio"] is None
    assert [one["trips"] for one in found["designs"]] == [30, 30]
    assert found["smallest_ratio"] > 1 > found["designs"][0]["largest_ratio_below"]
    # The smallest ratio is by definition the one that so many trips show with the power asked for.
    assert [round(one["predicted_power"], 4) for one in found["designs"]] == [0.8, 0.8]
    text = command("plan", "hours", "--trips", "30", "--quick").out
    assert "A season of 30 trips by formula settles with 80 chances in 100" in text


def test_no_ratio_and_no_trips(command):
    """Exit code 2 and what to give, nothing on stdout."""
    done = command("plan", "hours")
    assert (done.code, done.out) == (2, "")
    assert "--ratio 1.5" in done.err


def test_a_logbook_that_was_named_has_to_be_there(command):
    """A slip in the name of the logbook is no reason for stand-ins."""
    done = command("plan", "hours", "--ratio", "2", "--quick", "--logbook", "gone.sqlite")
    assert done.code == 4
    assert "gone.sqlite" in done.err


def test_a_logbook_without_stints_is_no_log(with_season):
    """Once its only import is taken back, stand-ins are reckoned with."""
    assert with_season("undo").code == 0
    done = with_season("plan", "hours", "--ratio", "2", "--quick")
    assert "There is no log to take them from" in done.out


def test_an_unknown_reference(with_season):
    """Exit code 2, with the nearest name."""
    for rest in (("hours", "--ratio", "2", "--quick"), ("next",)):
        done = with_season("plan", *rest, "--reference", "plan")
        assert done.code == 2
        assert "Did you mean 'plain'" in done.err


def test_next(with_season):
    """A row for each bait, the next step, the rules; a sentence for each in the machine form."""
    done = with_season("plan", "next", "--reference", "plain")
    assert done.code == 0, done.err
    for bait in ("pellet-10", "pellet-20", "pellet-20-attractor-6"):
        assert bait in done.out
    for part in ("Next: ", "The rules.", "by formula"):
        assert part in done.out
    assert "None" not in done.out
    machine = json.loads(with_season("plan", "next", "--json").out)
    assert machine["schema"] == 1
    assert machine["reference"] == "plain"
    assert machine["hours_by_formula"] is True
    assert {one["variant"] for one in machine["variants"]} == {
        "pellet-10",
        "pellet-20",
        "pellet-20-attractor-6",
    }
    assert all(one["says"] for one in machine["variants"])
