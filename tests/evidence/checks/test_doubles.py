"""Trips twice in a log: found in what is written twice, never in an honest season."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

import simulated_seasons as seasons
from rodhours.evidence.checks.as_logged import doubles
from simulated_seasons import Season


def season(seed: int) -> pd.DataFrame:
    frame = seasons.both_on_every_trip(
        np.random.default_rng(seed), 1.5, Season(trips=40, rate=0.02)
    )
    days = pd.Timestamp("2025-03-01") + pd.to_timedelta(pd.factorize(frame["session"])[0], "D")
    return frame.assign(
        session=frame["session"].astype(str), angler=None, venue="Alder Mere", date=days
    )


def test_a_log_twice_under_other_labels_or_an_angler_is_found():
    """All 40 pairs, the earlier first; of a named copy those with fish, blanks being of two."""
    one = season(1)
    again = one.assign(session="x" + one["session"])
    (note,) = doubles(pd.concat([one, again], ignore_index=True))
    assert note.severity == "serious"
    assert note.numbers["trips"] == 80
    assert note.numbers["pairs"] == [[label, f"x{label}"] for label in one["session"].unique()]
    (note,) = doubles(pd.concat([one, one.assign(angler="Ann")], ignore_index=True))
    fish = one.groupby("session", sort=False)["fish"].sum()
    assert note.numbers["pairs"] == [[label, f"{label} (Ann)"] for label in fish.index[fish > 0]]


def test_trips_known_to_be_two_are_no_finding():
    one = season(1)
    again = one.assign(session="x" + one["session"])
    apart = frozenset((label, None) for label in again["session"])
    assert doubles(pd.concat([one, again], ignore_index=True), apart) == []


@pytest.mark.parametrize("dated", [True, False])
def test_honest_logs_have_none(dated):
    """50 logs of 40 trips, mostly blank, of equal hours: no finding (measured: none of 400)."""
    for seed in range(50):
        frame = season(seed)
        assert doubles(frame if dated else frame.assign(date=pd.NaT)) == []
