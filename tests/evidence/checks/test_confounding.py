"""Where a variant's hours went: named on logs made that way, quiet where chance did it."""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest

import simulated_seasons as seasons
import unseen_seasons as unseen
from evidence.checks.clean_logs import alarms
from rodhours.evidence.checks.confounding import confounded
from rodhours.words.notes import says
from simulated_seasons import FAVOURITE, REFERENCE, Season

FAULTS = {
    "month": lambda log: log["date"].dt.month.isin([6, 7, 8]),
    "venue": lambda log: log["venue"] == "Osier Pit",
    "water_temp_c": lambda log: log["water_temp_c"] > 15.0,
}


def a_log(seed: int, years: int = 1, trips: int = 50) -> pd.DataFrame:
    rng = np.random.default_rng([seed, 6])
    return seasons.logged(rng, seasons.one_a_trip(rng, 1.0, Season(trips=trips)), years)


def favoured(log: pd.DataFrame, wanted: pd.Series, seed: int, often: float = 0.9) -> pd.DataFrame:
    """The favourite on nine of ten trips of the wanted kind, the reference on the others."""
    trips = wanted.groupby(log["session"], sort=False).first()
    kept = np.random.default_rng([seed, 7]).random(len(trips)) < often
    choice = np.where(trips == kept, FAVOURITE, REFERENCE)
    return log.assign(variant=log["session"].map(dict(zip(trips.index, choice, strict=True))))


def named_by(log: pd.DataFrame) -> set[str]:
    return {note.numbers["by"] for note in confounded(log, REFERENCE, FAVOURITE)}


def test_clean_logs_are_left_alone():
    """At most 10 % of 200 clean logs, over all variants and dimensions; measured 1.5 %."""
    assert alarms(confounded) <= 0.10


@pytest.mark.parametrize("years", [1, 3])
@pytest.mark.parametrize("by", FAULTS)
def test_a_favourite_of_one_month_water_or_temperature_is_named(by, years):
    """At least 8 of 10 logs made that way; measured 29 or 30 of 30."""
    logs = [a_log(seed, years) for seed in range(10)]
    found = [by in named_by(favoured(log, FAULTS[by](log), i)) for i, log in enumerate(logs)]
    assert sum(found) >= 8


def test_a_rod_of_its_own_is_named_and_is_no_constant_of_trips():
    """The favourite always on rod 2: by rod, which differs within trips; nothing else."""
    rng = np.random.default_rng(8)
    log = seasons.logged(rng, seasons.both_on_every_trip(rng, season=Season(trips=20, rods=2)))
    log["variant"] = np.where(log["rod"] == "2", FAVOURITE, REFERENCE)
    (note,) = confounded(log, REFERENCE, FAVOURITE)
    assert note.numbers["by"] == "rod"
    assert note.numbers["level"] == "2"
    assert note.numbers["difference"] is None
    assert not note.numbers["constant_within_trips"]
    assert note.severity == "serious"


def by_hand() -> pd.DataFrame:
    """Twelve trips of one rod: the favourite has 6 of its 8 trips on Osier Pit, plain 0 of 4
    there, where plain's like (a third bait) caught twice as much."""
    venue = ["Osier Pit"] * 6 + ["Alder Mere"] * 6 + ["Osier Pit"] * 10 + ["Alder Mere"] * 20
    variant = [FAVOURITE] * 6 + [FAVOURITE] * 2 + [REFERENCE] * 4 + ["other"] * 30
    fish = [1] * 12 + [4] * 10 + [2] * 20
    return pd.DataFrame(
        {
            "session": [f"T{i}" for i in range(42)],
            "venue": venue,
            "variant": variant,
            "hours": 10.0,
            "fish": fish,
        }
    )


def test_the_numbers_are_shares_of_rod_hours_and_what_the_mix_alone_would_do():
    """By hand: shares 6/8 and 0; difference sqrt(Q / (1 − Q/4)) with Q = 2·0.75 + 2·0.75²/1.25;
    other baits caught 40 in 100 h on Osier Pit and 44 in 240 h on Alder Mere, one fish at the
    average rate of 84 in 340 h added to each."""
    from rodhours.evidence.checks.allocation import coded
    from rodhours.evidence.checks.confounding import mix_ratio

    log = by_hand()
    rows = coded(log)
    level = (log["venue"] == "Osier Pit").to_numpy().astype(np.int64)
    average = 84 / 340
    pit, mere = 41 / (100 + 1 / average), 45 / (240 + 1 / average)
    found, low, high = mix_ratio(
        rows, rows.code(FAVOURITE), level, np.array([0.25, 0.75]), np.array([1.0, 0.0])
    )
    one = 0.25 * mere + 0.75 * pit
    assert found == pytest.approx(one / mere)
    # Each trip is a stint of 10 hours: its fish less those expected, over 1 less its part of hours.
    at_pit, at_mere = (
        0.75 / one / (100 + 1 / average),
        (0.25 / one - 1 / mere) / (240 + 1 / average),
    )
    part_pit, part_mere = 1 - 10 / (100 + 1 / average), 1 - 10 / (240 + 1 / average)
    variance = 10 * (at_pit * (4 - 10 * pit) / part_pit) ** 2 + at_pit**2 + at_mere**2
    variance += 20 * (at_mere * (2 - 10 * mere) / part_mere) ** 2
    variance += 4 * (at_mere * (1 - 10 * mere) / part_mere) ** 2
    reach = np.exp(1.959964 * variance**0.5)
    assert (low, high) == pytest.approx((found / reach, found * reach), rel=1e-5)


def test_the_note_holds_its_numbers():
    """Shares, level, distance and the flag, on a log large enough not to be chance."""
    log = pd.concat([by_hand().assign(session=lambda f, i=i: f["session"] + f".{i}") for i in "ab"])
    (note,) = confounded(log, REFERENCE, FAVOURITE)
    q = 2 * 0.75 + 2 * 0.75**2 / 1.25
    assert note.code == "confounded"
    assert note.variant == FAVOURITE
    assert note.numbers["level"] == "Osier Pit"
    assert note.numbers["share"] == pytest.approx(0.75)
    assert note.numbers["reference_share"] == 0
    assert note.numbers["difference"] == pytest.approx((q / (1 - q / 4)) ** 0.5)
    assert note.numbers["constant_within_trips"]
    assert note.numbers["mix_ratio"] > 1.5


def test_water_temperature_is_told_by_its_means():
    """The means by rod-hours, and no level."""
    log = favoured(a_log(1), FAULTS["water_temp_c"](a_log(1)), 1)
    note = next(
        one for one in confounded(log, REFERENCE, FAVOURITE) if one.numbers["by"] == "water_temp_c"
    )
    for name, key in ((FAVOURITE, "mean"), (REFERENCE, "reference_mean")):
        own = log[log["variant"] == name]
        expected = np.average(own["water_temp_c"], weights=own["hours"])
        assert note.numbers[key] == pytest.approx(expected)
    assert note.numbers["level"] is None
    assert note.numbers["constant_within_trips"]


def test_what_is_not_logged_is_not_looked_at():
    """Without dates, waters, rods and temperatures, or with empty ones, there is nothing to say."""
    log = favoured(a_log(2), FAULTS["month"](a_log(2)), 2)
    bare = log[["session", "variant", "hours", "fish"]]
    assert confounded(bare, REFERENCE, FAVOURITE) == []
    empty = log.assign(date=pd.NaT, venue=None, rod=None, water_temp_c=np.nan)
    assert confounded(empty, REFERENCE, FAVOURITE) == []
    assert confounded(log, REFERENCE, "never fished") == []


def growing(count: int, **options) -> list[pd.DataFrame]:
    return [
        unseen.growing_rate(np.random.default_rng([seed, 22]), **options) for seed in range(count)
    ]


def by_month(log: pd.DataFrame) -> list:
    notes = confounded(log, REFERENCE, FAVOURITE)
    return [note for note in notes if note.numbers["by"] == "month"]


def gives_up(log: pd.DataFrame) -> bool:
    """Whether a note says that nothing can be said."""
    return any(note.numbers["unshared"] > 0.2 for note in by_month(log))


def test_months_without_another_bait_cannot_be_spoken_of():
    """A bait changed once in a growing season: serious in each of 6 logs, no figure, no adjusting,
    whichever of the two is asked about."""
    for log in growing(6):
        for pair in ((REFERENCE, FAVOURITE), (FAVOURITE, REFERENCE)):
            note = next(one for one in confounded(log, *pair) if one.numbers["by"] == "month")
            assert note.severity == "serious"
            assert note.numbers["unshared"] > 0.2
            assert note.numbers["mix_ratio"] is None
            assert "--adjust" not in says(note)
            assert "look" not in says(note)


def test_the_unshared_part_is_counted_in_rod_hours():
    """By hand: 30 of the favourite's 100 hours are in a month that no other bait was fished in."""
    dealt = {
        (FAVOURITE, "2025-05-10"): 3,
        (FAVOURITE, "2025-06-10"): 7,
        (REFERENCE, "2025-06-10"): 2,
        (REFERENCE, "2025-07-10"): 20,
    }
    rows = [(*one, 10.0, 1) for one, trips in dealt.items() for _ in range(trips)]
    log = pd.DataFrame(rows, columns=["variant", "date", "hours", "fish"])
    log["session"] = [f"T{one}" for one in log.index]
    (note,) = confounded(log, REFERENCE, FAVOURITE)
    assert note.numbers["unshared"] == pytest.approx(0.3)


@pytest.mark.full
def test_no_overlap_at_full_size():
    """200 logs each: clean ones left alone, no overlap found; and where half of the trips were
    drawn, the limits of the mix hold its true value in 90 % and more. Measured: 2 %, 100 %, and 253
    of 268, 94 %."""
    alarms_on_clean = sum(map(gives_up, growing(200, overlap=1.0))) / 200
    found = sum(map(gives_up, growing(200))) / 200
    held = told = 0
    for log in growing(1200, overlap=0.6):
        for note in by_month(log):
            if note.numbers["mix_ratio"] is None:
                continue
            told += 1
            growth = 4.0 ** (np.arange(45) / 45 - 0.5)
            month = log["date"].dt.month
            of_month = pd.Series(growth).groupby(month).transform("mean")
            own, other = (of_month[log["variant"] == one].mean() for one in (FAVOURITE, REFERENCE))
            held += note.numbers["mix_low"] <= own / other <= note.numbers["mix_high"]
    print(f"\nno overlap: alarms {alarms_on_clean}, found {found}, mix {held} of {told}")
    assert alarms_on_clean <= 0.10
    assert found >= 0.90
    assert held >= 0.90 * told
