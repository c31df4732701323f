"""`--trips-are stays`, `--at` and `--adjust night`: what was fished, as it was fished."""

from __future__ import annotations

import json

import numpy as np
import pytest

import unseen_seasons as unseen
from rodhours.choice import place_of
from rodhours.errors import UsageError


@pytest.fixture
def kept(command, tmp_path):
    """A function that imports a frame into a logbook of its own."""

    def imported(log, *options: str) -> None:
        path = tmp_path / "stints.csv"
        log.to_csv(path, index=False)
        done = command("import", path, *options)
        assert done.code == 0, done.out + done.err

    return imported


def test_stays_are_counted_as_trips_where_asked_for(command, kept):
    """Fifty days of ten stays: ten trips, the fish of before, and the choice in the answer."""
    kept(unseen.stays_as_trips(np.random.default_rng(3)))
    asked = ("compare", "pellet-20", "plain", "--json")
    days, stays = (
        json.loads(command(*asked, *more).out) for more in ((), ("--trips-are", "stays"))
    )
    assert (days["comparisons"][0]["sessions"], stays["comparisons"][0]["sessions"]) == (50, 10)
    assert days["comparisons"][0]["fish"] == stays["comparisons"][0]["fish"]
    assert stays["filters"]["trips_are"] == "stays"
    told = [{note["code"] for note in one["notes"]} for one in (days, stays)]
    assert ["trips_are_stays" in one for one in told] == [True, False]


def test_night_is_from_the_sun_where_the_place_is_known(command, kept):
    """Without a place it says what it needs; with one the answer is adjusted for it."""
    log = unseen.favourite_by_night(np.random.default_rng(3)).drop(columns="night")
    kept(log, "--zone", "UTC")
    asked = ("compare", "pellet-20", "plain", "--adjust", "night", "--json")
    bare = command(*asked)
    assert bare.code == 2
    assert "latitude and longitude of the sessions, or --at" in bare.err
    done = json.loads(command(*asked, "--at", "52.5,-1.5").out)
    assert done["adjusted_for"] == ["night"]
    assert done["models"][0]["adjusted_for"] == ["night"]
    assert "night_and_day" in {note["code"] for note in done["notes"]}


@pytest.mark.parametrize("place", ["90.1,3", "-91,3", "3,180.1", "52.5", "here,there"])
def test_a_place_that_is_none_is_refused(place):
    """Poles and the antimeridian are places, what lies beyond is none."""
    with pytest.raises(UsageError, match=f"^--at takes latitude and longitude .*not '{place}'"):
        place_of(place)
    assert [place_of(one) for one in ("90,-180", "-90,180")] == [(90, -180), (-90, 180)]
