"""Ratios that differ by water, season or angler: said, and quiet where they do not."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

import simulated_seasons as seasons
import unseen_seasons as unseen
from rodhours.evidence.checks.disagree import ratios_disagree
from rodhours.evidence.compare import compare
from rodhours.evidence.result import Note
from rodhours.evidence.stints import prepare
from simulated_seasons import REFERENCE, Season
from unseen_seasons import coverage_of

OPPOSITE = (2.5, 0.4)


def logs(count: int, ratios=(1.0, 1.0)) -> list[pd.DataFrame]:
    return [
        unseen.waters_that_disagree(np.random.default_rng([seed, 26]), ratios)
        for seed in range(count)
    ]


def notes(log: pd.DataFrame) -> list[Note]:
    stints = prepare(log)
    reference = stints.code_of(REFERENCE)
    asked = [one for one in np.unique(stints.variant) if one != reference]
    return ratios_disagree(log, stints, reference, asked, 1.25)


def by_venue(log: pd.DataFrame) -> list[Note]:
    return [note for note in notes(log) if note.numbers["by"] == "venue"]


def test_opposite_ways_are_said_and_each_water_has_its_ratio():
    """2.5 on one water and 0.4 on the other: at least 4 of 5 logs, serious, in the right order."""
    found = [by_venue(log) for log in logs(5, OPPOSITE)]
    assert sum(map(bool, found)) >= 4
    for note in (one for log in found for one in log):
        ratio = {one["level"]: one["ratio"] for one in note.numbers["levels"]}
        assert note.numbers["opposite"]
        assert note.severity == "serious"
        assert ratio["Alder Mere"] > 1.25 > 0.8 > ratio["Osier Pit"]
        assert sum(one["sessions"] for one in note.numbers["levels"]) == 50


def test_each_ratio_is_that_of_its_water_alone():
    """Where both baits are on every trip the levels share no more than the spread of trips: each
    ratio lies near the answer from that water's rows by themselves."""
    log = logs(1, OPPOSITE)[0]
    (note,) = by_venue(log)
    for one in note.numbers["levels"]:
        alone = compare(log[log["venue"] == one["level"]], REFERENCE, checks=False).comparisons[0]
        assert one["ratio"] == pytest.approx(alone.rate_ratio, rel=0.1)


def test_equal_waters_are_left_alone():
    """At most 1 of 5 clean logs, over waters and seasons together."""
    assert sum(map(bool, map(notes, logs(5)))) <= 1


def test_few_shared_trips_are_not_looked_at():
    """Levels need 4 shared trips each; one water, or none logged, has nothing to differ by."""
    log = logs(1, OPPOSITE)[0]
    few = log["venue"].eq("Alder Mere") | log["session"].isin(
        log.loc[log["venue"] == "Osier Pit", "session"].unique()[:3]
    )
    assert by_venue(log[few]) == []
    assert by_venue(log[log["venue"] == "Alder Mere"]) == []
    assert by_venue(log.assign(venue=None)) == []
    apart = seasons.one_a_trip(np.random.default_rng(1)).assign(venue="Alder Mere")
    assert notes(apart) == []


@pytest.mark.full
def test_disagreement_at_full_size():
    """200 clean logs, and 200 of seven baits on three waters and in two years; 200 with opposite
    ratios; and each water by itself, 300 seasons, as the note advises.
    Measured: 3 % of clean logs named, 99 % of the opposite ones."""
    alarms = sum(map(bool, map(notes, logs(200)))) / 200
    many = 0
    for seed in range(200):
        rng = np.random.default_rng([seed, 27])
        log = seasons.several_variants(rng, (1.0,) * 6, Season(trips=60))
        many += bool(notes(seasons.logged(rng, log, years=2)))
    found = sum(map(bool, map(by_venue, logs(200, OPPOSITE)))) / 200
    made = logs(300, OPPOSITE)
    held = {
        water: coverage_of([log[log["venue"] == water] for log in made], ratio)
        for water, ratio in zip(("Alder Mere", "Osier Pit"), OPPOSITE, strict=True)
    }
    print(f"\nwaters: alarms {alarms} and {many / 200}, found {found}, coverage {held}")
    assert max(alarms, many / 200) <= 0.10
    assert found >= 0.80
    assert min(held.values()) >= 0.95 - 3 * np.sqrt(0.95 * 0.05 / 300)
