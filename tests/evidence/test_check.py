"""`rodhours.check` and the notes of a comparison: which findings stand where, worst first."""

from __future__ import annotations

import numpy as np
import pandas as pd

import rodhours
import simulated_seasons as seasons
from rodhours.evidence.checks.confounding import confounded
from simulated_seasons import FAVOURITE, REFERENCE, Season


def dated(frame: pd.DataFrame) -> pd.DataFrame:
    """A date every five days from the first of March, and labels T1, T2 and so on."""
    number = frame["session"].astype(int)
    return frame.assign(
        session="T" + (number + 1).astype(str),
        date=pd.Timestamp("2025-03-01") + pd.to_timedelta(5 * number, unit="D"),
    )


def codes(notes) -> list[str]:
    return [note.code for note in notes]


def test_missing_blanks_are_a_note_of_the_comparison() -> None:
    """A log without any of its blanks says so beside the answer, with the share logged."""
    log = dated(seasons.both_on_every_trip(np.random.default_rng(3), 1.5))
    fished = log[log.groupby("session")["fish"].transform("sum") > 0]
    result = rodhours.compare(fished, REFERENCE)
    (note,) = [one for one in result.notes if one.code == "unlogged_blanks"]
    assert note.severity == "serious"
    assert note.numbers["logged_share"] < 0.2
    assert "unlogged_blanks" not in codes(rodhours.compare(log, REFERENCE).notes)
    assert "gaps_in_the_log" in codes(rodhours.check(fished, REFERENCE).findings)


def by_season(seed: int, *, on_the_same_trips: bool) -> pd.DataFrame:
    """The variant belongs to the second half of the year; a few shared trips, or none."""
    rng = np.random.default_rng(seed)
    season = Season(trips=60)
    drawn = np.zeros((60, 3), dtype=int)
    drawn[30:] = 1
    if on_the_same_trips:
        drawn[:, 0], drawn[:, 1] = 0, 1
    frame = seasons.both_on_every_trip(rng, 1.0, season)
    return dated(frame.assign(variant=np.where(drawn.ravel() == 1, FAVOURITE, REFERENCE)))


def test_what_is_constant_within_trips_is_a_note_of_all_trips_answers_only() -> None:
    """Other months cannot bias a same-trip answer: told by check as information, not beside it."""
    apart = by_season(5, on_the_same_trips=False)
    noted = [one for one in rodhours.compare(apart, REFERENCE).notes if one.code == "confounded"]
    assert any(one.numbers["by"] == "month" for one in noted)
    shared = by_season(6, on_the_same_trips=True)
    result = rodhours.compare(shared, REFERENCE)
    assert result.comparisons[0].basis == "same trips"
    assert not [
        one
        for one in result.notes
        if one.code == "confounded" and one.numbers["constant_within_trips"]
    ]
    aside = [
        one
        for one in rodhours.check(shared, REFERENCE).findings
        if one.code == "confounded" and one.numbers["by"] == "month"
    ]
    assert aside
    assert all(one.severity == "information" for one in aside)


def test_red_letter_trip_names_session_and_date() -> None:
    """The note names the trip as the log does, with its date and the answer without it."""
    season = Season(trips=12, session_sd=0.7)
    log = dated(seasons.both_on_every_trip(np.random.default_rng(0), 1.0, season))
    lucky = (log["session"] == "T8") & (log["variant"] == FAVOURITE)
    log.loc[lucky, "fish"] += 30
    notes = rodhours.compare(log, REFERENCE).notes
    (note,) = [one for one in notes if one.code == "red_letter_trip"]
    assert note.numbers["session"] == "T8"
    assert note.numbers["date"] == "2025-04-05"
    without = rodhours.compare(log[log["session"] != "T8"], REFERENCE).comparisons[0]
    assert abs(np.log(note.numbers["rate_ratio_without"] / without.rate_ratio)) < 1e-3


def test_one_variant_alone_is_still_checked() -> None:
    """With one bait there is nothing to compare, and the log itself is looked at."""
    log = dated(seasons.both_on_every_trip(np.random.default_rng(7), 1.0))
    alone = log[(log["variant"] == REFERENCE) & ~log["session"].isin(["T5", "T6", "T17"])]
    found = codes(rodhours.check(alone).findings)
    assert "one_variant" in found
    assert "gaps_in_the_log" in found


def test_rods_that_did_not_take_turns_are_told_once() -> None:
    """Each bait always on its own rod: one note on rods, as serious as the two that it stands
    for, and none that the rod-hours went to different rods."""
    log = seasons.both_on_every_trip(np.random.default_rng(8), season=Season(rods=2))
    log = log.assign(variant=np.where(log["rod"] == "2", FAVOURITE, REFERENCE))
    apart = [one for one in confounded(log, REFERENCE, FAVOURITE) if one.numbers["by"] == "rod"]
    assert [one.severity for one in apart] == ["serious"]
    notes = rodhours.compare(log, REFERENCE).notes
    assert not [one for one in notes if one.code == "confounded" and one.numbers["by"] == "rod"]
    (note,) = [one for one in notes if one.code == "rods_not_rotated"]
    assert note.severity == "serious"
