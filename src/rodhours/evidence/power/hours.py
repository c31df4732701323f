"""How many trips and rod-hours it takes to settle a rate ratio, and what a season can show.

The formulas start the search; seasons made up under the same assumptions and judged by the
project's own interval settle it.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pandas as pd

from rodhours.errors import UsageError
from rodhours.evidence.power.assumptions import Grounds, grounds_of
from rodhours.evidence.power.formulas import (
    DESIGNS,
    WIDEST_RATIO,
    Assumptions,
    power_of_trips,
    ratio_by_formula,
    trips_by_formula,
)
from rodhours.evidence.power.results import DesignPlan, HoursPlan
from rodhours.evidence.power.searches import Found, RatioSearch, Search, TripsSearch
from rodhours.evidence.power.simulated import Condition, Judge, count_settled

CONFIDENCE = 0.95
SEASONS = 300
"""Simulated seasons for each place looked at, where nothing else is asked for."""
MOST_TRIPS_ASKED = 2_000
MOST_VARIANTS = 20
_NEAREST_RATIO = 0.02
_ROUNDS = 3

Progress = Callable[[int, int], None]


def plan_hours(
    stints: pd.DataFrame | None = None,
    reference: str | None = None,
    ratio: float | None = None,
    trips: int | None = None,
    rods: int | None = None,
    trip_hours: float | None = None,
    power: float = 0.8,
    family: int = 1,
    quick: bool = False,
    seasons: int = SEASONS,
    seed: int = 1,
    jobs: int = 1,
    progress: Progress | None = None,
) -> HoursPlan:
    """Trips and rod-hours that a rate ratio needs, and the ratio that so many trips would show.

    Parameters
    ----------
    stints
        A stint frame (see `compare`): its reference's catch rate, how uneven its trips are and how
        much fish clump are taken from its all-trips fit. Stand-ins without one, and where it holds
        too little.
    reference
        Without one, the variant with most shared rod-hours.
    ratio
        The variant's true rate ratio, above or below 1.
    trips
        A season of so many trips: the smallest ratio it would show. Without it, the trips in the
        last year of the log. At least one of `ratio` and `trips` is given.
    rods, trip_hours
        Rods, and hours of a trip; without either, the log's median rod-hours a trip.
    power
        The chance of settling that is asked for.
    family
        How many variants are compared with the reference: all of them are fished, and each
        comparison is held to 1 − 0.05/family.
    quick
        By formula alone: too hopeful by 7 to 30 points of power below 22 trips.
    seasons, seed, jobs, progress
        Simulated seasons for each place looked at; the same seed gives the same result whatever
        `jobs` is. `progress` is called with the seasons done and those to do.

    Raises UsageError (a ValueError) for what cannot be asked.
    """
    _check(ratio, trips, rods, trip_hours, power, family, seasons, seed, jobs)
    grounds = grounds_of(stints, reference, rods, trip_hours)
    given = Assumptions(
        rate=grounds.per_100 / 100.0,
        session_sd=grounds.session_sd,
        clumping=grounds.clumping,
        rod_hours=grounds.rod_hours,
        variants=family + 1,
    )
    season = grounds.season_trips if trips is None else trips
    if trips is not None and trips < given.fewest_trips:
        raise UsageError(
            f"With {given.variants} variants an answer needs {given.fewest_trips} trips or more; "
            f"--trips says {trips}."
        )
    work = _Work(grounds, given, power, (1.0 - CONFIDENCE) / family, ratio, season)
    simulate = not quick
    searches = work.searches(both_sides=trips is not None) if simulate else {}
    asked = [work.season_at(one) for one in DESIGNS] if simulate else []
    found = _Simulation(Judge(given, work.alpha, seed), seasons, jobs, progress).run(
        searches, [one for one in asked if one is not None]
    )
    return HoursPlan(
        ratio=ratio,
        power=power,
        family=family,
        confidence=CONFIDENCE,
        variants=given.variants,
        designs=tuple(work.plan(one, found, quick=quick) for one in DESIGNS),
        season_trips=season,
        season_asked=trips is not None,
        grounds=grounds,
        quick=quick,
        seasons=0 if quick else seasons,
        seed=seed,
    )


class _Outcome:
    """What the simulation found: the searches' answers, and the shares of single conditions."""

    def __init__(self, seasons: int) -> None:
        self.seasons = seasons
        self.counts: dict[Condition, int] = {}
        self.found: dict[tuple[str, str], Found | None] = {}
        self.looked: dict[tuple[str, str], list[Condition]] = {}


class _Simulation:
    """Runs searches side by side, so that one set of processes serves all of a round."""

    def __init__(self, judge: Judge, seasons: int, jobs: int, progress: Progress | None) -> None:
        self._judge, self._seasons, self._jobs, self._progress = judge, seasons, jobs, progress
        self._done = self._to_do = 0

    def run(self, searches: dict[tuple[str, str], Search], singles: list[Condition]) -> _Outcome:
        out = _Outcome(self._seasons)
        out.looked = {key: one.first() for key, one in searches.items()}
        wanted = [*singles, *(one for looked in out.looked.values() for one in looked)]
        for _ in range(_ROUNDS):
            new = [one for one in dict.fromkeys(wanted) if one not in out.counts]
            if not new:
                break
            self._to_do += len(new) * self._seasons
            out.counts |= count_settled(self._judge, new, self._seasons, self._jobs, self._after)
            wanted = []
            for key, search in searches.items():
                looked = out.looked[key]
                out.found[key] = found = search.found(out.counts, looked, self._seasons)
                if found is not None:
                    more = search.next(found, looked)
                    looked += more
                    wanted += more
        for key, looked in out.looked.items():
            # What was to be looked at when the rounds were over was not looked at.
            out.looked[key] = [one for one in looked if one in out.counts]
        return out

    def _after(self, seasons: int) -> None:
        self._done += seasons
        if self._progress is not None:
            self._progress(self._done, self._to_do)


_TRIPS, _ABOVE, _BELOW = "trips", "above", "below"


class _Work:
    """One plan under way: what is asked of each design, and its answers put together."""

    def __init__(
        self,
        grounds: Grounds,
        given: Assumptions,
        power: float,
        alpha: float,
        ratio: float | None,
        season: int,
    ) -> None:
        self.grounds, self.given, self.power, self.alpha = grounds, given, power, alpha
        self.ratio, self.season = ratio, season

    def searches(self, *, both_sides: bool) -> dict[tuple[str, str], Search]:
        """All searches, by design and question."""
        out: dict[tuple[str, str], Search] = {}
        for design in DESIGNS:
            shared = (design, self.given, self.power, self.alpha)
            if self.ratio is not None:
                out[design, _TRIPS] = TripsSearch(*shared, self.ratio)
            out[design, _ABOVE] = RatioSearch(*shared, self.season, below=False)
            if both_sides:
                out[design, _BELOW] = RatioSearch(*shared, self.season, below=True)
        return out

    def season_at(self, design: str) -> Condition | None:
        """The season at the ratio asked for, where an answer of so many trips exists."""
        if self.ratio is None or self.season < self.given.fewest_trips:
            return None
        return Condition(design, self.season, self.ratio)

    def plan(self, design: str, out: _Outcome, *, quick: bool) -> DesignPlan:
        """Everything about one design."""
        shared = (self.given, self.power, self.alpha)
        above, above_error = self._ratio(design, _ABOVE, out, quick=quick)
        below, _ = self._ratio(design, _BELOW, out, quick=quick)
        chance, chance_error = self._chance(design, out, quick=quick)
        formula = trips = simulated = error = trips_error = predicted = None
        low = high = None
        if self.ratio is not None:
            formula = trips = trips_by_formula(design, self.ratio, *shared)
            found = out.found.get((design, _TRIPS))
            if found is not None:
                trips = max(self.given.fewest_trips, math.ceil(found.x**2 - 1e-9))
                simulated = found.line.power(math.sqrt(trips))
                error = found.line.power_error(math.sqrt(trips))
                trips_error = 2.0 * found.x * found.error
            if trips is not None:
                predicted = power_of_trips(design, trips, self.ratio, self.given, self.alpha)
            low = self._at_rate(design, self.grounds.per_100_low, trips, formula)
            high = self._at_rate(design, self.grounds.per_100_high, trips, formula)
        else:
            trips = self.season
            if above is not None:
                predicted = power_of_trips(design, trips, above, self.given, self.alpha)
                found = out.found.get((design, _ABOVE))
                if found is not None:
                    simulated = self.power
                    error = found.line.power_error(found.x)
        return DesignPlan(
            design=design,
            trips=trips,
            rod_hours=None if trips is None else trips * self.given.rod_hours,
            predicted_power=predicted,
            simulated_power=simulated,
            monte_carlo_error=error,
            trips_error=trips_error,
            trips_by_formula=formula,
            smallest_ratio=above,
            smallest_ratio_error=above_error,
            largest_ratio_below=below,
            season_power=chance,
            season_power_error=chance_error,
            trips_at_low_rate=low,
            trips_at_high_rate=high,
        )

    def _ratio(
        self, design: str, side: str, out: _Outcome, *, quick: bool
    ) -> tuple[float | None, float | None]:
        """The ratio that the season settles on one side, and its standard error."""
        below = side == _BELOW
        key = (design, side)
        if quick:
            return ratio_by_formula(
                design, self.season, self.given, self.power, self.alpha, below=below
            ), None
        if not out.looked.get(key):
            return None, None
        found = out.found[key]
        if found is None or found.x > math.log(WIDEST_RATIO):
            return None, None
        ratio = math.exp(-found.x if below else found.x)
        return ratio, ratio * found.error

    def _chance(
        self, design: str, out: _Outcome, *, quick: bool
    ) -> tuple[float | None, float | None]:
        """The season's chance to settle the ratio asked for, and its standard error."""
        if self.ratio is None:
            return None, None
        condition = self.season_at(design)
        if condition is None:
            return 0.0, None
        if condition in out.counts:
            share = out.counts[condition] / out.seasons
            return share, math.sqrt(max(share * (1.0 - share), 0.25 / out.seasons) / out.seasons)
        return power_of_trips(design, self.season, self.ratio, self.given, self.alpha), None

    def _at_rate(
        self, design: str, per_100: float | None, trips: int | None, formula: int | None
    ) -> int | None:
        """About how many trips at another catch rate: the formula's, scaled as the answer is."""
        if per_100 is None or not trips or not formula or self.ratio is None:
            return None
        other = Assumptions(
            per_100 / 100.0,
            self.given.session_sd,
            self.given.clumping,
            self.given.rod_hours,
            self.given.variants,
        )
        needed = trips_by_formula(design, self.ratio, other, self.power, self.alpha)
        return None if needed is None else math.ceil(needed * trips / formula)


def _check(
    ratio: float | None,
    trips: int | None,
    rods: int | None,
    trip_hours: float | None,
    power: float,
    family: int,
    seasons: int,
    seed: int,
    jobs: int,
) -> None:
    if ratio is None and trips is None:
        raise UsageError(
            "Say which ratio is to be settled (--ratio 1.5), or how many trips there are "
            "(--trips 20), or both."
        )
    if ratio is not None and not (np.isfinite(ratio) and 1 / WIDEST_RATIO <= ratio <= WIDEST_RATIO):
        raise UsageError(
            f"--ratio takes a number between 0.01 and 100, such as 1.5, not {ratio:g}."
        )
    if ratio is not None and abs(math.log(ratio)) < _NEAREST_RATIO:
        raise UsageError(
            f"--ratio {ratio:g} is as good as no difference: no number of trips settles that. "
            "Take one that would matter to you, such as 1.3."
        )
    if trips is not None and not 1 <= trips <= MOST_TRIPS_ASKED:
        raise UsageError(f"--trips takes a number from 1 to {MOST_TRIPS_ASKED:,}, not {trips:,}.")
    if rods is not None and not 1 <= rods <= 20:
        raise UsageError(f"--rods takes a number from 1 to 20, not {rods}.")
    if trip_hours is not None and not (np.isfinite(trip_hours) and 0 < trip_hours <= 1_000):
        raise UsageError(
            "--trip-hours takes the hours of one trip, above 0 and up to 1,000, "
            f"not {trip_hours:g}."
        )
    if not 0.5 <= power <= 0.99:
        raise UsageError(f"--power takes a chance from 0.5 to 0.99, such as 0.8, not {power:g}.")
    if not 1 <= family < MOST_VARIANTS:
        raise UsageError(
            f"--family takes how many variants are compared with the reference, 1 to "
            f"{MOST_VARIANTS - 1}, not {family}."
        )
    if not 10 <= seasons <= 100_000:
        raise UsageError(f"--seasons takes a number from 10 to 100,000, not {seasons:,}.")
    if seed < 0:
        raise UsageError(f"A seed is a whole number from 0 on, not {seed}.")
    if jobs < 1:
        raise UsageError(f"The number of jobs is 1 or more, not {jobs}.")
