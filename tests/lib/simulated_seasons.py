"""Invented seasons with a stated truth, for testing whether an interval holds it.

Scope: numpy only, one function a kind of log, each returning a stint frame with the columns
session, rod, variant, hours, fish. The law is that of the session model: given a session's
hidden effect z, fish of a stint are Poisson with mean hours x rate x ratio x exp(s z - s^2 / 2),
times a gamma factor of mean 1 where clumps by stint are asked for.

`logged` writes dates, waters, water temperature and batches into such a log, unrelated to the
baits: a log without a fault in where the hours went.

What differs between the kinds is who gets which variant, and whether the choice knew z ("mood":
the angler saw that the trip looked good and nobody wrote it down).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from scipy.special import ndtr

REFERENCE = "plain"
FAVOURITE = "pellet-20"
# How steeply the chance of fishing the favourite rises with the hidden effect: the chance is the
# normal distribution function of MOOD x z. Set so that the all-trips answer is flattered as in
# the evidence for the method: medians of 2.21 and 2.94 for true ratios of 1 and 1.5.
MOOD = 0.94


@dataclass(frozen=True)
class Season:
    """What all kinds share: the angler's schedule and the true law of the fish.

    `hours` of one stint, `rate` of the reference in fish per rod-hour averaged over sessions,
    `session_sd` s, `stint_clumping` the variance of a stint's gamma factor, `take_sd` how much
    the log ratio of each variant differs from trip to trip.
    """

    trips: int = 40
    rods: int = 3
    hours: float = 24.0
    rate: float = 0.03
    session_sd: float = 1.0
    stint_clumping: float = 0.0
    take_sd: float = 0.0


USUAL = Season()


def both_on_every_trip(
    rng: np.random.Generator, ratio: float = 1.0, season: Season = USUAL
) -> pd.DataFrame:
    """Both variants in the water on every trip; with an odd number of rods they take turns."""
    trip, rod = _grid(season)
    return _fish(rng, season, (trip + rod) % 2, [1.0, ratio])


def one_a_trip(
    rng: np.random.Generator, ratio: float = 1.0, season: Season = USUAL
) -> pd.DataFrame:
    """All rods of a trip fish one variant, drawn for each trip without looking."""
    drawn = rng.permutation(np.arange(season.trips) % 2)
    return _fish(rng, season, _whole_trips(drawn, season), [1.0, ratio])


def each_rod_by_mood(
    rng: np.random.Generator, ratio: float = 1.0, season: Season = USUAL, mood: float = MOOD
) -> pd.DataFrame:
    """Rod by rod the favourite is the more likely the better the trip looks."""
    z = rng.standard_normal(season.trips)
    chance = ndtr(mood * z)[:, None]
    drawn = (rng.random((season.trips, season.rods)) < chance).astype(int)
    return _fish(rng, season, drawn, [1.0, ratio], z)


def whole_trips_by_mood(
    rng: np.random.Generator,
    ratio: float = 1.0,
    season: Season = USUAL,
    mood: float = MOOD,
    shared: float = 0.4,
) -> pd.DataFrame:
    """A part `shared` of the trips has both variants; the rest is all one, by the mood."""
    z = rng.standard_normal(season.trips)
    trip, rod = _grid(season)
    drawn = _whole_trips((rng.random(season.trips) < ndtr(mood * z)).astype(int), season)
    is_shared = rng.permutation(season.trips) < round(shared * season.trips)
    return _fish(
        rng, season, np.where(is_shared[:, None], (trip + rod) % 2, drawn), [1.0, ratio], z
    )


def third_rod_by_mood(
    rng: np.random.Generator, ratio: float = 1.0, season: Season = USUAL, mood: float = MOOD
) -> pd.DataFrame:
    """The first two rods always fish one variant each; all others go by the mood."""
    z = rng.standard_normal(season.trips)
    drawn = (rng.random((season.trips, season.rods)) < ndtr(mood * z)[:, None]).astype(int)
    drawn[:, 0], drawn[:, 1] = 0, 1
    return _fish(rng, season, drawn, [1.0, ratio], z)


def clumps_by_stint(
    rng: np.random.Generator,
    ratio: float = 1.0,
    season: Season = Season(session_sd=0.7, stint_clumping=1.0),
) -> pd.DataFrame:
    """Both on every trip; a stint's fish come in clumps beside the trip's own effect."""
    return both_on_every_trip(rng, ratio, season)


def mood_and_clumps(
    rng: np.random.Generator,
    ratio: float = 1.0,
    season: Season = Season(session_sd=0.7, stint_clumping=1.0),
    mood: float = MOOD,
) -> pd.DataFrame:
    """Each rod by the mood, and a stint's fish come in clumps."""
    return each_rod_by_mood(rng, ratio, season, mood)


def few_trips(
    rng: np.random.Generator, ratio: float = 1.0, trips: int = 12, one_each: bool = False
) -> pd.DataFrame:
    """A short log of two rods: both on every trip, or one a trip where `one_each`."""
    season = Season(trips=trips, rods=2)
    return (one_a_trip if one_each else both_on_every_trip)(rng, ratio, season)


def hardly_fished(
    rng: np.random.Generator, ratio: float = 1.0, season: Season = USUAL, stints: int = 3
) -> pd.DataFrame:
    """The variant had `stints` short stints (6 hours) in a season of the reference."""
    drawn = np.zeros((season.trips, season.rods), dtype=int)
    drawn[rng.choice(season.trips, stints, replace=False), 0] = 1
    hours = np.where(drawn == 1, 6.0, season.hours)
    return _fish(rng, season, drawn, [1.0, ratio], hours=hours)


def several_variants(
    rng: np.random.Generator,
    ratios: Sequence[float] = (1.0, 1.0, 1.5, 1.5, 2.5, 2.5),
    season: Season = Season(trips=60),
) -> pd.DataFrame:
    """The reference and `ratios` for variant-1, variant-2 ..., drawn rod by rod."""
    drawn = rng.integers(0, len(ratios) + 1, (season.trips, season.rods))
    return _fish(rng, season, drawn, [1.0, *ratios])


def several_by_mood(
    rng: np.random.Generator,
    ratio: float = 1.0,
    others: Sequence[float] = (1.0, 1.0),
    season: Season = USUAL,
    mood: float = MOOD,
) -> pd.DataFrame:
    """The favourite by the mood, rod by rod; the rest is drawn evenly from the others."""
    z = rng.standard_normal(season.trips)
    shape = (season.trips, season.rods)
    rest = rng.integers(0, len(others) + 1, shape)
    rest = np.where(rest == 0, 0, rest + 1)
    drawn = np.where(rng.random(shape) < ndtr(mood * z)[:, None], 1, rest)
    return _fish(rng, season, drawn, [1.0, ratio, *others], z)


def follows_the_leader(
    rng: np.random.Generator, ratio: float = 1.0, season: Season = USUAL, greed: float = 0.8
) -> pd.DataFrame:
    """The bait ahead so far gets all rods but one in a part `greed` of the trips, else one rod.

    What is fished depends on what was caught before, as with an angler who looks after each trip.
    """
    z = rng.standard_normal(season.trips)
    shape = (season.trips, season.rods)
    # What each rod would catch with either bait; the angler sees the one that was fished.
    each = [_fish(rng, season, np.full(shape, one), [1.0, ratio], z) for one in (0, 1)]
    fish = [frame["fish"].to_numpy().reshape(shape) for frame in each]
    greedy = rng.random(season.trips) < greed
    first = rng.integers(0, 2)
    drawn = np.empty(shape, dtype=int)
    caught, hours = np.zeros(2), np.full(2, 1e-9)
    for trip in range(season.trips):
        rates = caught / hours
        leader = first if rates[0] == rates[1] else int(np.argmax(rates))
        mostly = leader if greedy[trip] else 1 - leader
        drawn[trip] = mostly
        drawn[trip, trip % season.rods] = 1 - mostly
        for one in (0, 1):
            caught[one] += fish[one][trip][drawn[trip] == one].sum()
            hours[one] += season.hours * (drawn[trip] == one).sum()
    is_second = drawn.ravel() == 1
    return each[0].assign(
        **{name: each[0][name].mask(is_second, each[1][name]) for name in ("variant", "fish")}
    )


WATERS = ("Alder Mere", "Osier Pit", "Teasel Lake")


def logged(rng: np.random.Generator, frame: pd.DataFrame, years: int = 1) -> pd.DataFrame:
    """The log with date, venue, water_temp_c and batch, none of them related to the baits.

    Trips T1, T2 ... are strewn over April to October of each year in the order of the log, waters
    are drawn by 6 : 3 : 1, water temperature follows the year with an error of 1.5 °C, and each
    variant changes to its second batch half-way through its stints.
    """
    trip = frame["session"].astype(int).to_numpy()
    trips = int(trip.max()) + 1
    day = np.sort(365 * rng.integers(0, years, trips) + rng.integers(0, 214, trips))
    dates = pd.Timestamp("2023-04-01") + pd.to_timedelta(day, unit="D")
    wave = np.cos(2.0 * np.pi * (dates.day_of_year.to_numpy() - 25) / 365.25)
    water = np.round(13.0 - 7.0 * wave + rng.normal(0.0, 1.5, trips), 1)
    venue = rng.choice(np.array(WATERS, dtype=object), trips, p=[0.6, 0.3, 0.1])
    turn = frame.groupby("variant").cumcount()
    half = frame.groupby("variant")["hours"].transform("size") / 2
    return frame.assign(
        session=[f"T{one + 1}" for one in trip],
        date=dates[trip],
        venue=venue[trip],
        water_temp_c=water[trip],
        batch=[
            f"{variant} {'first' if early else 'second'}"
            for variant, early in zip(frame["variant"], turn < half, strict=True)
        ],
    )


def _grid(season: Season) -> tuple[np.ndarray, np.ndarray]:
    return np.arange(season.trips)[:, None], np.arange(season.rods)[None, :]


def _whole_trips(drawn: np.ndarray, season: Season) -> np.ndarray:
    return np.broadcast_to(drawn[:, None], (season.trips, season.rods))


def _labels(count: int) -> np.ndarray:
    names = [REFERENCE, FAVOURITE] if count <= 4 else [REFERENCE]
    return np.array([*names, *(f"variant-{i}" for i in range(len(names), count))], dtype=object)


def _fish(
    rng: np.random.Generator,
    season: Season,
    variant: np.ndarray,
    ratios: Sequence[float],
    z: np.ndarray | None = None,
    hours: np.ndarray | None = None,
) -> pd.DataFrame:
    """Draw the fish of every stint; `variant` is (trips, rods) of codes into `ratios`."""
    shape = (season.trips, season.rods)
    if z is None:
        z = rng.standard_normal(season.trips)
    if hours is None:
        hours = np.full(shape, season.hours)
    s = season.session_sd
    mean = hours * season.rate * np.asarray(ratios)[variant]
    mean = mean * np.exp(s * z - s * s / 2.0)[:, None]
    if season.take_sd:
        takes = season.take_sd * rng.standard_normal((season.trips, len(ratios)))
        takes[:, 0] = 0.0
        # Mean 1, as the session's effect has: the ratio stays that of the average rates.
        level = np.where(np.arange(len(ratios)) > 0, season.take_sd**2 / 2.0, 0.0)
        mean = mean * np.exp(np.take_along_axis(takes - level, variant, axis=1))
    if season.stint_clumping:
        a = season.stint_clumping
        mean = mean * rng.gamma(1.0 / a, a, shape)
    trip, rod = np.indices(shape)
    return pd.DataFrame(
        {
            "session": trip.ravel(),
            "rod": rod.ravel() + 1,
            "variant": _labels(len(ratios))[variant].ravel(),
            "hours": hours.ravel(),
            "fish": rng.poisson(mean).ravel(),
        }
    ).astype({"session": str, "rod": str})
