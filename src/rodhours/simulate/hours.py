"""How many trips and rod-hours it takes to settle a rate ratio, and what a season can show.

The formulas start the search; seasons made up under the same assumptions and judged by the
project's own interval settle it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import ClassVar

import pandas as pd

from rodhours.errors import UsageError
from rodhours.evidence.result import Result
from rodhours.progress import Progress
from rodhours.simulate.formulas import (
    DESIGNS,
    Assumptions,
    power_of_trips,
    ratio_by_formula,
    trips_by_formula,
)
from rodhours.simulate.grounds import ASKED_FOR, Grounds, grounds_of
from rodhours.simulate.planned import Condition, Judge
from rodhours.simulate.run import CONFIDENCE, Meter, check_work, judged
from rodhours.simulate.search import Place, Search
from rodhours.simulate.season import WIDEST_RATIO

SEASONS = 300
"""Simulated seasons for each place looked at, where nothing else is asked for."""
FEWEST_SEASONS = 10
MOST_TRIPS_ASKED = 2_000
MOST_VARIANTS = 20
_NEAREST_RATIO = 0.02
_ROUNDS = 3
_TRIPS, _ABOVE, _BELOW = "trips", "above", "below"

Question = tuple[str, str]
"""A design, and what is searched in it."""


@dataclass(frozen=True)
class DesignPlan:
    """What one design needs for the ratio asked for, and what a season in it can show.

    `trips` and `rod_hours` are None where no number that anybody fishes would do.
    `predicted_power` is the formula's at that many trips, `simulated_power` that of the project's
    own interval there with its Monte-Carlo standard error (both None where nothing was
    simulated); `trips_error` is the standard error of the trips themselves. `trips_by_formula` is
    where the search began. Without a ratio asked for, trips and powers are those of the season at
    its smallest ratio.

    The season's `smallest_ratio` (above 1) and `largest_ratio_below` (below 1) are those it would
    settle with the power asked for, None where none would; `season_power` is its chance to settle
    the ratio asked for. The trips at the ends of the rate's interval are scaled by formula.
    """

    design: str
    trips: int | None = None
    rod_hours: float | None = None
    predicted_power: float | None = None
    simulated_power: float | None = None
    monte_carlo_error: float | None = None
    trips_error: float | None = None
    trips_by_formula: int | None = None
    smallest_ratio: float | None = None
    smallest_ratio_error: float | None = None
    largest_ratio_below: float | None = None
    season_power: float | None = None
    season_power_error: float | None = None
    trips_at_low_rate: int | None = None
    trips_at_high_rate: int | None = None


@dataclass(frozen=True, repr=False)
class HoursPlan(Result):
    """How many trips and rod-hours it takes, and what a season can and cannot settle.

    `season_asked` says whether the season's trips were asked for; `seasons` are those simulated
    for each place looked at (0: by formula alone); `complete` is False where Ctrl-C ended the work.
    """

    ratio: float | None
    power: float
    family: int
    designs: tuple[DesignPlan, ...]
    season_trips: int
    season_asked: bool
    grounds: Grounds
    quick: bool
    seasons: int
    seed: int
    on_a_trip: int
    complete: bool = True
    confidence: float = CONFIDENCE

    ROWS: ClassVar[str] = "designs"
    KEYS: ClassVar[tuple[str, ...]] = (
        "ratio", "power", "designs", "smallest_ratio", "family", "confidence", "variants",
        "on_a_trip", "season_trips", "season_trips_from", "*grounds", "quick",
        "simulated_seasons=seasons", "seed", "complete", "filters", "version",
    )  # fmt: skip

    @property
    def variants(self) -> int:
        """How many share the trips, the reference among them."""
        return self.family + 1

    @property
    def season_trips_from(self) -> str:
        """Where the season's trips come from."""
        return ASKED_FOR if self.season_asked else self.grounds.season_source

    @property
    def together(self) -> DesignPlan:
        """All variants on every trip, or the reference and as many others as there are rods for."""
        return self.designs[0]

    @property
    def apart(self) -> DesignPlan:
        """One variant a trip."""
        return self.designs[1]

    @property
    def smallest_ratio(self) -> float | None:
        """What the season would show with all variants on every trip."""
        return self.together.smallest_ratio


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
        How many variants are compared with the reference: all of them are fished, each
        comparison is held to 1 − 0.05/family, and with more of them than rods they take turns
        beside the reference.
    quick
        By formula alone: too hopeful by 6 to 16 points of power for variants together on 5 to 20
        trips where s is 1 or more.
    seasons, seed, jobs, progress
        Simulated seasons for each place looked at; the same seed gives the same result whatever
        `jobs` is. `progress` is called with the seasons done and those to do.

    Ctrl-C ends the work and gives what is known so far, whose `complete` is False; before 10
    seasons of each place, KeyboardInterrupt goes on. UsageError (a ValueError) for what cannot be
    asked.
    """
    if ratio is None and trips is None:
        raise UsageError(
            "Say which ratio is to be settled (--ratio 1.5), or how many trips there are "
            "(--trips 20), or both."
        )
    _within("--ratio", ratio, 1 / WIDEST_RATIO, WIDEST_RATIO, 1.5)
    _within("--trips", trips, 1, MOST_TRIPS_ASKED, 20)
    _within("--rods", rods, 1, 20, 3)
    _within("--trip-hours", trip_hours, 0.1, 1_000, 24)
    _within("--power", power, 0.5, 0.99, 0.8)
    _within("--family", family, 1, MOST_VARIANTS - 1, 2)
    _within("--seasons", seasons, FEWEST_SEASONS, 100_000, SEASONS)
    if ratio is not None and abs(math.log(ratio)) < _NEAREST_RATIO:
        raise UsageError(
            f"--ratio {ratio:g} is as good as no difference: no number of trips settles that. "
            "Take one that would matter to you, such as 1.3."
        )
    check_work(seed, jobs)
    grounds = grounds_of(stints, reference, rods, trip_hours)
    # With one rod there is no turn but to swap during the trip.
    most = grounds.rods if grounds.rods and grounds.rods > 1 else None
    given = replace(grounds.assumptions(variants=family + 1), most_on_a_trip=most)
    season = grounds.season_trips if trips is None else trips
    if trips is not None and trips < given.fewest_trips:
        raise UsageError(
            f"With {given.variants} variants an answer needs {given.fewest_trips} trips or more; "
            f"--trips says {trips}."
        )
    work = _Work(given, power, (1.0 - CONFIDENCE) / family, ratio, season)
    if not quick:
        judge = Judge(given, work.alpha, seed)
        work.simulate(judge, seasons, jobs, Meter(progress), both_sides=trips is not None)
    return HoursPlan(
        ratio=ratio,
        power=power,
        family=family,
        designs=tuple(
            replace(work.plan(design, grounds), design=given.called(design)) for design in DESIGNS
        ),
        on_a_trip=given.on_a_trip,
        season_trips=season,
        season_asked=trips is not None,
        grounds=grounds,
        quick=quick,
        seasons=work.seasons,
        seed=seed,
        complete=work.complete,
    )


class _Work:
    """One plan under way: what is asked of each design, and what simulated seasons say of it."""

    def __init__(
        self, given: Assumptions, power: float, alpha: float, ratio: float | None, season: int
    ) -> None:
        self.given, self.power, self.alpha = given, power, alpha
        self.ratio, self.season = ratio, season
        self.seasons = 0
        self.complete = True
        self.counts: dict[Condition, int] = {}
        self.places: dict[Question, Place | None] = {}

    def simulate(
        self, judge: Judge, seasons: int, jobs: int, meter: Meter, *, both_sides: bool
    ) -> None:
        """Run all searches side by side, so that one set of processes serves all of a round."""
        self.seasons = seasons
        searches = self._searches(both_sides=both_sides)
        looked = {question: search.first() for question, search in searches.items()}
        singles = [self._season_at(design) for design in DESIGNS]
        wanted = [one for one in singles if one is not None]
        wanted += [one for conditions in looked.values() for one in conditions]
        for _ in range(_ROUNDS):
            new = [one for one in dict.fromkeys(wanted) if one not in self.counts]
            if not new:
                break
            asked = dict.fromkeys(new, seasons)
            settled = judged(judge.is_settled, asked, judge.seasons_a_piece, jobs, meter)
            done = min(len(outcomes) for outcomes in settled.values())
            self.complete = done == seasons
            if not self.complete:
                if self.counts:
                    # What the round before found stands.
                    break
                if done < FEWEST_SEASONS:
                    raise KeyboardInterrupt
                self.seasons = seasons = done
            self.counts |= {one: sum(outcomes[:done]) for one, outcomes in settled.items()}
            wanted = []
            for question, search in searches.items():
                conditions = looked[question]
                place = self.places[question] = search.found(self.counts, conditions, seasons)
                if place is not None and self.complete:
                    more = search.next(place, conditions)
                    conditions += more
                    wanted += more

    def _searches(self, *, both_sides: bool) -> dict[Question, Search]:
        """All searches, by design and question."""
        searches: dict[Question, Search] = {}
        for design in DESIGNS:
            search = Search(design, self.given, self.power, self.alpha)
            if self.ratio is not None:
                searches[design, _TRIPS] = replace(search, ratio=self.ratio)
            searches[design, _ABOVE] = replace(search, trips=self.season)
            if both_sides:
                searches[design, _BELOW] = replace(search, trips=self.season, below=True)
        return searches

    def _season_at(self, design: str) -> Condition | None:
        """The season at the ratio asked for, where an answer of so many trips exists."""
        if self.ratio is None or self.season < self.given.fewest_trips:
            return None
        return Condition(design, self.season, self.ratio)

    def plan(self, design: str, grounds: Grounds) -> DesignPlan:
        """Everything about one design."""
        above, above_error = self._settles(design, _ABOVE)
        chance, chance_error = self._chance(design)
        trips: int | None = self.season
        ratio, formula, error = self.ratio or above, None, None
        place = self.places.get((design, _TRIPS if self.ratio else _ABOVE))
        if self.ratio is not None:
            trips = formula = self._by_formula(design, self.given)
            if place is not None:
                trips = max(self.given.fewest_trips, math.ceil(place.x**2 - 1e-9))
                error = 2.0 * place.x * place.error
        simulated, monte_carlo = None, None
        if place is not None and ratio is not None:
            at = place.x if self.ratio is None or trips is None else math.sqrt(trips)
            simulated = self.power if self.ratio is None else place.line.power(at)
            monte_carlo = place.line.power_error(at)

        def at_rate(per_100: float | None) -> int | None:
            """About how many trips at another rate: the formula's, scaled as the answer is."""
            if per_100 is None or not trips or not formula:
                return None
            needed = self._by_formula(design, replace(self.given, rate=per_100 / 100.0))
            return None if needed is None else math.ceil(needed * trips / formula)

        return DesignPlan(
            design,
            trips=trips,
            rod_hours=None if trips is None else trips * self.given.rod_hours,
            predicted_power=None
            if trips is None or ratio is None
            else power_of_trips(design, trips, ratio, self.given, self.alpha),
            simulated_power=simulated,
            monte_carlo_error=monte_carlo,
            trips_error=error,
            trips_by_formula=formula,
            smallest_ratio=above,
            smallest_ratio_error=above_error,
            largest_ratio_below=self._settles(design, _BELOW)[0],
            season_power=chance,
            season_power_error=chance_error,
            trips_at_low_rate=at_rate(grounds.per_100_low),
            trips_at_high_rate=at_rate(grounds.per_100_high),
        )

    def _by_formula(self, design: str, given: Assumptions) -> int | None:
        """The trips that the ratio asked for needs by formula."""
        return trips_by_formula(design, self.ratio or 1.0, given, self.power, self.alpha)

    def _settles(self, design: str, side: str) -> tuple[float | None, float | None]:
        """The ratio that the season settles on one side, and its standard error."""
        below = side == _BELOW
        if not self.seasons:
            given = (self.given, self.power, self.alpha)
            return ratio_by_formula(design, self.season, *given, below=below), None
        place = self.places.get((design, side))
        if place is None or place.x > math.log(WIDEST_RATIO):
            return None, None
        ratio = math.exp(-place.x if below else place.x)
        return ratio, ratio * place.error

    def _chance(self, design: str) -> tuple[float | None, float | None]:
        """The season's chance to settle the ratio asked for, and its standard error."""
        if self.ratio is None:
            return None, None
        condition = self._season_at(design)
        if condition is None:
            return 0.0, None
        if condition in self.counts:
            share = self.counts[condition] / self.seasons
            error = math.sqrt(max(share * (1.0 - share), 0.25 / self.seasons) / self.seasons)
            return share, error
        return power_of_trips(design, self.season, self.ratio, self.given, self.alpha), None


def _within(option: str, value: float | None, low: float, high: float, such_as: float) -> None:
    if value is not None and not (math.isfinite(value) and low <= value <= high):
        raise UsageError(
            f"{option} takes a number from {low:,g} to {high:,g}, such as {such_as:g}, "
            f"not {value:,g}."
        )
