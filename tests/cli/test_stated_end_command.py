"""`rodhours compare --running --until-trip` as a user meets it."""

from __future__ import annotations

import json

import numpy as np
import pandas as pd
import pytest

import simulated_seasons as seasons
from simulated_seasons import FAVOURITE, REFERENCE, Season

ASK = ("compare", FAVOURITE, REFERENCE, "--running", "--until-trip")


@pytest.fixture
def trips(command, tmp_path):
    """Imports the trips from one number up to another."""
    log = seasons.both_on_every_trip(np.random.default_rng(4), 2.0, Season(trips=13, rate=0.08))
    number = log["session"].astype(int)
    date = pd.Timestamp("2025-04-01") + pd.to_timedelta(number * 9, unit="D")
    log = log.assign(session="trip " + log["session"], date=date.dt.strftime("%Y-%m-%d"))

    def bring(first, last):
        file = f"{first}.csv"
        log[(number >= first) & (number < last)].to_csv(tmp_path / file, index=False)
        assert command("import", file).code == 0

    return bring


def test_an_end_is_stated_before_the_first_look_and_kept(command, trips):
    """A change of the history; the looks go from trip 8 to it, whatever is logged after it."""
    trips(0, 5)
    said = command(*ASK, "11")
    assert said.code == 0, said.err
    assert "Stated in the logbook" in said.out
    assert "pellet-20 against plain until trip 11; 5 so far" in command("history").out
    assert command(*ASK, "11").code == 0
    assert command("history", "--json").out.count('"stated-end"') == 1
    trips(5, 13)
    running = json.loads(command(*ASK, "11", "--json").out)["running"]
    assert running["until_trip"] == 11
    assert [look["trip"] for look in running["comparisons"][0]["looks"]] == [8, 9, 10, 11]
    assert "no look of these" in command(*ASK, "11").out


def test_an_end_is_refused_after_the_fact(command, trips):
    """Not stated before trip 8, another end than the stated one, another question."""
    trips(0, 7)
    assert command(*ASK, "10").code == 0
    trips(7, 12)
    assert "--until-trip 10" in command(*ASK, "12").err
    for other in (("--confidence", "0.9"), ("--basis", "all"), ("--adjust", "rod")):
        refused = command(*ASK, "10", *other)
        assert refused.code == 2
        assert "stated before the first look" in refused.err
    number = next(
        one["id"]
        for one in json.loads(command("history", "--json").out)["changes"]
        if one["kind"] == "stated-end"
    )
    assert "stating trip 10" in command("undo", str(number)).out
    assert "stated before the first look" in command(*ASK, "10").err


def test_a_renamed_bait_keeps_its_stated_end(command, trips):
    """The question is the same under the bait's new label."""
    trips(0, 5)
    assert command(*ASK, "10").code == 0
    trips(5, 9)
    assert command("rename", FAVOURITE, "pellets").code == 0
    done = command("compare", "pellets", REFERENCE, "--running", "--until-trip", "10")
    assert done.code == 0, done.err


def test_what_makes_no_stated_end_is_said(command, trips):
    """Without --running, without two baits, an end before the first look or too far off."""
    trips(0, 5)
    for asked, says in (
        (("compare", FAVOURITE, REFERENCE, "--until-trip", "20"), "--running"),
        (("compare", "--running", "--until-trip", "20"), "VARIANT REFERENCE"),
        ((*ASK, "8"), "later trip"),
        ((*ASK, "900"), "up to 200"),
    ):
        done = command(*asked)
        assert done.code == 2
        assert says in done.err
