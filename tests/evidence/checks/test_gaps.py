"""Gaps: numbers missing from a running series, months missing from a season."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

import simulated_seasons as seasons
from evidence.checks.clean_logs import LOGS, clean_logs
from rodhours.evidence.checks.as_logged import gaps_in_the_log
from simulated_seasons import Season


def a_log(labels, dates=None, angler=None) -> pd.DataFrame:
    """Two stints a session, in an order that is not that of the labels."""
    frame = pd.DataFrame({"session": [*labels, *reversed(labels)]})
    frame["variant"], frame["hours"], frame["fish"] = "plain", 10.0, 0
    if dates is not None:
        frame["date"] = pd.to_datetime([*dates, *reversed(dates)])
    if angler is not None:
        frame["angler"] = [*angler, *reversed(angler)]
    return frame


def missing(log: pd.DataFrame) -> list[str]:
    notes = gaps_in_the_log(log)
    return notes[0].numbers["missing_numbers"] if notes else []


def missing_months(log: pd.DataFrame) -> list[str]:
    notes = gaps_in_the_log(log)
    return notes[0].numbers["missing_months"] if notes else []


def test_clean_logs_are_left_alone():
    """At most 10 % of 200 clean logs; measured 1.5 %."""
    assert sum(bool(gaps_in_the_log(log)) for log in clean_logs()) / LOGS <= 0.10


def test_trips_left_out_of_a_simulated_log_are_named():
    """A tenth of the trips gone, first and last kept: exactly those are named."""
    rng = np.random.default_rng(1)
    log = seasons.logged(rng, seasons.both_on_every_trip(rng, season=Season(trips=50)))
    gone = ["T7", "T8", "T20", "T33", "T41"]
    (note,) = gaps_in_the_log(log[~log["session"].isin(gone)])
    assert note.variant is None
    assert note.numbers["missing_numbers"] == gone
    assert note.numbers["sessions"] == 45
    assert note.numbers["rate_factor"] == pytest.approx(50 / 45)


@pytest.mark.parametrize(
    ("labels", "gone"),
    [
        (["T1", "T2", "T4", "T5", "T6"], ["T3"]),
        (["1", "2", "3", "5", "6", "7"], ["4"]),
        (["trip 09", "trip 10", "trip 12", "trip 13", "trip 14"], ["trip 11"]),
        (["S007", "S008", "S010", "S011", "S012"], ["S009"]),
        (["T4", "T5", "T6", "T7", "T8"], []),
        # Too few, or no running numbers: dates, other words, mostly gaps, several prefixes.
        (["T1", "T2", "T4"], []),
        (["2025-04-01", "2025-04-03", "2025-04-04", "2025-04-05", "2025-04-06"], []),
        (["20250401", "20250403", "20250404", "20250405", "20250406"], []),
        (["Easter", "T2", "T4", "T5", "T6"], []),
        (["T1", "T50", "T99", "T150", "T200"], []),
        (["A1", "A2", "A4", "B1", "B2"], []),
        (["T1", "T01", "T3", "T4", "T5"], []),
    ],
)
def test_only_running_numbers_can_have_gaps(labels, gone):
    """One prefix and a number, at least half of them there, first and last as they are."""
    assert missing(a_log(labels)) == gone


def test_each_angler_has_a_numbering_of_their_own_or_one_together():
    """Ann's and Bob's series are looked at apart; a series that they share is one."""
    labels = ["1", "2", "4", "5", "6", "1", "2", "3", "4", "5"]
    anglers = ["Ann"] * 5 + ["Bob"] * 5
    assert missing(a_log(labels, angler=anglers)) == ["3 (Ann)"]
    shared = [f"T{i}" for i in range(1, 13)]
    assert missing(a_log(shared, angler=["Ann", "Bob"] * 6)) == []
    assert missing(a_log(shared[:7] + shared[8:], angler=["Ann", "Bob"] * 5 + ["Ann"])) == ["T8"]


def days(*months: str, each: int = 6) -> list[str]:
    return [f"{month}-{4 * i + 1:02d}" for month in months for i in range(each)]


def dated(dates: list[str]) -> pd.DataFrame:
    return a_log([f"T{i}" for i in range(len(dates))], dates)


def test_a_month_without_a_trip_inside_the_season_is_named():
    """Six trips a month, none in July."""
    log = dated(days("2025-04", "2025-05", "2025-06", "2025-08", "2025-09"))
    assert missing_months(log) == ["2025-07"]
    log = dated(days("2025-04", "2025-05", "2025-08", "2025-09", "2025-10", each=7))
    assert missing_months(log) == ["2025-06", "2025-07"]


def test_winters_and_closed_seasons_are_no_gaps():
    """Over the turn of the year, or longer than two months, is no hole in the log."""
    winter = dated(days("2024-09", "2024-10", "2025-03", "2025-04"))
    assert gaps_in_the_log(winter) == []
    turn = dated(days("2024-10", "2024-11", "2025-01", "2025-02"))
    assert gaps_in_the_log(turn) == []
    closed = dated(days("2025-01", "2025-02", "2025-06", "2025-07"))
    assert gaps_in_the_log(closed) == []


def test_a_month_that_few_trips_may_well_miss_is_not_named():
    """Six trips over seven months leave some month out as a rule."""
    log = dated(["2025-04-02", "2025-05-20", "2025-07-01", "2025-08-09", "2025-10-01"])
    assert gaps_in_the_log(log) == []


def test_without_dates_only_numbers_are_looked_at():
    """Unknown dates are no months."""
    log = dated(days("2025-04", "2025-05")).assign(date=pd.NaT)
    assert gaps_in_the_log(log) == []
