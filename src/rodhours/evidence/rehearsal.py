"""A rehearsal: seasons with a known truth on the log's own schedule, analysed by the same code.

It counts how often the interval holds the truth, beside counting every fish by itself, and how
often such a season settles a given ratio; then the same where the model's assumptions are broken.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

import numpy as np
import pandas as pd

from rodhours.errors import UsageError
from rodhours.evidence.basis import Basis
from rodhours.evidence.compare import compare
from rodhours.evidence.processes import spread
from rodhours.evidence.results import SAME_TRIPS
from rodhours.evidence.seasons import ARMS, OWN, Schedule, Truth, season
from rodhours.evidence.session_model.data import Floats
from rodhours.evidence.stints import Stints, prepare
from rodhours.evidence.trips import most_shared
from rodhours.evidence.verdicts import AHEAD
from rodhours.version import __version__
from rodhours.wording.rehearsal import ASSUMPTIONS

SETTLED_RATIOS = (1.25, 1.5, 2.0, 3.0)
"""True ratios for which the chance of settling is shown."""
CONFIDENCE = 0.95
FEWEST_SEASONS = 50
"""Arms and further ratios get half the seasons asked for, at least this many if so many were."""
MOST_SEASONS = 100_000
WIDEST_RATIO = 100.0
SECONDS_A_PIECE = 0.4
"""How long a piece of work takes, about: short, so that Ctrl-C is heard soon."""

LOW, HIGH, POISSON_LOW, POISSON_HIGH, IS_AHEAD, IS_SAME_TRIPS = range(6)
"""Columns of the outcomes; limits that do not exist are NaN."""

Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class ArmResult:
    """What the seasons of one arm gave.

    `ratio` is the truth, `asked` and `seasons` how many seasons were wanted and how many there
    are. `held` counts seasons whose interval held the truth; no limit on a side holds it on that
    side, and `no_limit` counts those seasons apart. `median_width` is upper over lower limit,
    None where most seasons lack one. `same_trips` counts seasons with a same-trip answer.
    """

    arm: str
    ratio: float
    asked: int
    seasons: int
    held: int
    poisson_held: int
    ahead: int
    no_limit: int
    same_trips: int
    median_width: float | None

    @property
    def coverage(self) -> float | None:
        """Share of seasons whose interval held the truth."""
        return _share(self.held, self.seasons)

    @property
    def poisson_coverage(self) -> float | None:
        """Share of seasons in which the interval of counting every fish by itself did."""
        return _share(self.poisson_held, self.seasons)

    @property
    def settled(self) -> float | None:
        """Share of seasons with the verdict ahead."""
        return _share(self.ahead, self.seasons)

    def to_dict(self) -> dict[str, Any]:
        """The machine form of an arm."""
        return {
            "arm": self.arm,
            "assumption_broken": ASSUMPTIONS[self.arm],
            "seasons": self.seasons,
            "coverage": self.coverage,
            "poisson_coverage": self.poisson_coverage,
            "median_width": self.median_width,
            "no_limit": self.no_limit,
            "same_trips": self.same_trips,
        }


@dataclass(frozen=True)
class RehearsalResult:
    """The rehearsed seasons: the model's own, the further ratios, and the arms.

    `basis` is that of the log's own answer. `rate` (fish per rod-hour of the reference),
    `session_sd` and `clumping` are the all-trips fit's, and the truth of the seasons.
    """

    reference: str
    variant: str
    basis: str
    ratio: float
    seed: int
    trips: int
    stints: int
    rate: float
    session_sd: float
    clumping: float
    own: ArmResult
    ladder: tuple[ArmResult, ...]
    arms: tuple[ArmResult, ...]
    version: str = __version__
    filters: Mapping[str, Any] = field(default_factory=dict)

    def with_choice(self, filters: Mapping[str, Any]) -> RehearsalResult:
        """The same result, knowing the rows and the fish that were chosen."""
        return replace(self, filters=dict(filters))

    @property
    def seasons(self) -> int:
        """The model's own seasons at the ratio asked for."""
        return self.own.seasons

    @property
    def coverage(self) -> float | None:
        """Share of the model's own seasons whose interval held the truth."""
        return self.own.coverage

    @property
    def poisson_coverage(self) -> float | None:
        """The same of counting every fish by itself."""
        return self.own.poisson_coverage

    @property
    def median_width(self) -> float | None:
        """Typical upper over lower limit."""
        return self.own.median_width

    @property
    def settled(self) -> dict[float, float | None]:
        """For each true ratio the share of seasons that settle it."""
        return {one.ratio: one.settled for one in self.ladder}

    @property
    def complete(self) -> bool:
        """Whether every season that was asked for is there."""
        return all(one.seasons == one.asked for one in (self.own, *self.ladder, *self.arms))

    def to_dict(self) -> dict[str, Any]:
        """The machine form, equal to what `rodhours rehearse --json` prints."""
        return {
            "schema": 1,
            "seasons": self.seasons,
            "seasons_asked": self.own.asked,
            "ratio": self.ratio,
            "coverage": self.coverage,
            "poisson_coverage": self.poisson_coverage,
            "settled": {f"{one.ratio:g}": one.settled for one in self.ladder},
            "settled_seasons": {f"{one.ratio:g}": one.seasons for one in self.ladder},
            "median_width": self.median_width,
            "no_limit": self.own.no_limit,
            "same_trips": self.own.same_trips,
            "arms": [one.to_dict() for one in self.arms],
            "seed": self.seed,
            "reference": self.reference,
            "variant": self.variant,
            "basis": self.basis,
            "confidence": CONFIDENCE,
            "trips": self.trips,
            "stints": self.stints,
            "truth": {
                "reference_per_100_rod_hours": 100.0 * self.rate,
                "session_sd": self.session_sd,
                "clumping": self.clumping,
            },
            "complete": self.complete,
            "filters": dict(self.filters),
            "version": self.version,
        }


@dataclass(frozen=True)
class Plan:
    """All that is needed to make and analyse any season: a schedule and a truth.

    `frame` holds the log's rows without its fish: session, angler and rod where logged, variant,
    hours. `basis` is that of the log's own answer, `seconds` how long that took.
    """

    frame: pd.DataFrame
    schedule: Schedule
    truth: Truth
    names: tuple[str, ...]
    variant: int
    basis: str
    seed: int
    seconds: float

    @property
    def reference(self) -> int:
        return self.truth.reference

    def season_frame(self, arm: str, ratio: float, number: int) -> pd.DataFrame:
        """One rehearsed season as a stint frame."""
        truth = self.truth.with_ratio(self.variant, ratio)
        made = season(self.schedule, truth, arm, self.variant, self.seed, number)
        names = np.array(self.names, dtype=object)[made.variant]
        return self.frame.assign(variant=names, fish=made.fish)


@dataclass(frozen=True)
class Piece:
    """Seasons `first` to `stop` (not included) of one arm at one ratio."""

    arm: str
    ratio: float
    first: int
    stop: int


def rehearse(
    stints: pd.DataFrame,
    reference: str | None = None,
    variant: str | None = None,
    ratio: float = 1.5,
    seasons: int = 200,
    seed: int = 1,
    jobs: int = 1,
    progress: Progress | None = None,
) -> RehearsalResult:
    """Rehearse the log's own schedule with a known truth.

    Parameters
    ----------
    stints
        A stint frame (see `compare`). Its sessions, rods, hours and variants are the schedule;
        its catches give the reference's rate, the session effect and the clumps (all-trips fit).
    reference, variant
        Without a reference, the variant with most shared rod-hours; without a variant, the one
        among the others with most shared rod-hours.
    ratio
        The variant's true rate ratio in the seasons; all other variants catch as the reference.
    seasons
        Seasons of the model's own kind at that ratio. Each broken assumption, and each further
        ratio of `SETTLED_RATIOS`, gets half as many, at least 50 where so many were asked for.
    seed
        The same seed gives the same result, whatever `jobs` is.
    jobs
        Processes to use. Above 1 a script needs the usual `if __name__ == "__main__":`.
    progress
        Called with the seasons done and those to do.

    Ctrl-C ends the rehearsal and gives the result so far, whose `complete` is False; with nothing
    done, KeyboardInterrupt goes on. UsageError (a ValueError) for anything asked for that is not
    there, and for a log without a fish.
    """
    _check_options(ratio, seasons, seed, jobs)
    plan = plan_of(stints, reference, variant, seed)
    fewer = min(seasons, max(FEWEST_SEASONS, seasons // 2))
    asked = {(OWN, one): fewer for one in SETTLED_RATIOS}
    asked |= {(arm, ratio): fewer for arm in ARMS}
    asked[OWN, ratio] = seasons
    pieces = _pieces(asked, plan.seconds)
    so_far, total = 0, sum(asked.values())

    def after_each(piece: Piece) -> None:
        nonlocal so_far
        so_far += piece.stop - piece.first
        if progress is not None:
            progress(so_far, total)

    found = spread(partial(outcomes_of, plan), pieces, jobs, after_each)
    results = {key: _counted(*key, number, pieces, found) for key, number in asked.items()}
    if not any(one.seasons for one in results.values()):
        raise KeyboardInterrupt
    return RehearsalResult(
        reference=plan.names[plan.reference],
        variant=plan.names[plan.variant],
        basis=plan.basis,
        ratio=ratio,
        seed=seed,
        trips=len(np.unique(plan.schedule.session)),
        stints=len(np.unique(plan.schedule.stint)),
        rate=plan.truth.rate,
        session_sd=plan.truth.session_sd,
        clumping=plan.truth.clumping,
        own=results[OWN, ratio],
        ladder=tuple(results[OWN, one] for one in SETTLED_RATIOS),
        arms=tuple(results[arm, ratio] for arm in ARMS),
    )


def plan_of(stints: pd.DataFrame, reference: str | None, variant: str | None, seed: int) -> Plan:
    """The schedule and the truth of a log; UsageError as `rehearse` says."""
    prepared = prepare(stints)
    if reference is None:
        asked_about = None if variant is None else prepared.code_of(variant)
        reference = prepared.variants[most_shared(prepared, asked_about)[0]]
    code = prepared.code_of(reference)
    if variant is None:
        variant = prepared.variants[most_shared(prepared, code)[0]]
        if variant == reference:
            raise UsageError(
                f"The log knows one bait only ('{reference}'): there is no comparison to rehearse."
            )
    truth = _truth(prepared, code)
    began = time.perf_counter()
    (own,) = compare(stints, reference=reference, variant=variant, checks=False).comparisons
    seconds = time.perf_counter() - began
    columns = ["session", "angler", "rod", "variant", "hours"]
    frame = stints[[one for one in columns if one in stints.columns]].reset_index(drop=True)
    names = prepared.variants
    return Plan(
        frame=frame,
        schedule=schedule_of(frame, names),
        truth=truth,
        names=names,
        variant=prepared.code_of(variant),
        basis=own.basis,
        seed=seed,
        seconds=seconds,
    )


def schedule_of(frame: pd.DataFrame, names: Sequence[str]) -> Schedule:
    """The rows of a log as codes: a session by angler and session, a stint by rod and variant."""
    variant = pd.Categorical(frame["variant"].astype(str), categories=list(names)).codes
    session_keys = [one for one in ("session", "angler") if one in frame.columns]
    session = frame.groupby(session_keys, sort=False, dropna=False).ngroup().to_numpy()
    rows = np.arange(len(frame))
    if "rod" in frame.columns:
        keys = frame.assign(session=session, variant=variant)
        by_rod = keys.groupby(["session", "rod", "variant"], sort=False, dropna=False).ngroup()
        # A row without a rod is a stint of its own.
        stint = np.where(frame["rod"].isna(), len(frame) + rows, by_rod)
    else:
        stint = rows
    _, stint = np.unique(stint, return_inverse=True)
    pairs = np.unique(session * len(names) + variant)
    return Schedule(
        session=session.astype(np.int64),
        stint=stint.astype(np.int64),
        variant=variant.astype(np.int64),
        hours=frame["hours"].to_numpy(dtype=np.float64),
        variants=len(names),
        cells_are_stints=len(pairs) == len(np.unique(session)),
    )


def _truth(prepared: Stints, reference: int) -> Truth:
    """The law of the seasons, from the all-trips fit; every variant as good as the reference.

    A reference without a fish has no rate to rehearse with: that of the whole log stands in.
    """
    basis = Basis.of(prepared, reference, same_trips=False)
    fish = float(basis.fish.sum())
    if fish == 0:
        raise UsageError("The log holds no fish yet: there is no catch rate to rehearse with.")
    best = basis.fitted.best
    if not best.converged:
        raise UsageError("The catches of this log cannot be fitted: there is nothing to rehearse.")
    rate = fish / float(basis.rod_hours.sum())
    if basis.base == reference:
        rate = float(np.exp(best.b[0]))
    ratios = np.ones(len(prepared.variants))
    return Truth(reference, rate, ratios, abs(float(best.s)), float(best.t) ** 2)


def outcomes_of(plan: Plan, piece: Piece) -> Floats:
    """Make and analyse the seasons of a piece; (seasons, 6), one row a season in their order."""
    found = np.full((piece.stop - piece.first, 6), np.nan)
    for row, number in zip(found, range(piece.first, piece.stop), strict=True):
        (one,) = compare(
            plan.season_frame(piece.arm, piece.ratio, number),
            reference=plan.names[plan.reference],
            variant=plan.names[plan.variant],
            confidence=CONFIDENCE,
            # Only the answer is counted, and what could fool a reader costs time to look for.
            checks=False,
        ).comparisons
        limits = (one.conf_low, one.conf_high, one.poisson.conf_low, one.poisson.conf_high)
        row[:4] = [np.nan if value is None else value for value in limits]
        row[IS_AHEAD] = one.verdict == AHEAD
        row[IS_SAME_TRIPS] = one.basis == SAME_TRIPS
    return found


def count_outcomes(arm: str, ratio: float, asked: int, outcomes: Floats) -> ArmResult:
    """The counts of an arm from its outcomes, (seasons, 6).

    The median width is given to six figures: limits are found no closer than that, and the last
    digits of linear algebra differ from machine to machine.
    """
    low, high = outcomes[:, LOW], outcomes[:, HIGH]
    # Written so that a limit that is not there (NaN) excludes nothing.
    held = ~(low > ratio) & ~(high < ratio)
    poisson_held = ~(outcomes[:, POISSON_LOW] > ratio) & ~(outcomes[:, POISSON_HIGH] < ratio)
    open_side = ~(low > 0) | ~np.isfinite(high)
    width = np.full(len(outcomes), np.inf)
    np.divide(high, low, out=width, where=~open_side)
    median = float(np.median(width)) if len(width) else np.inf
    return ArmResult(
        arm=arm,
        ratio=ratio,
        asked=asked,
        seasons=len(outcomes),
        held=int(held.sum()),
        poisson_held=int(poisson_held.sum()),
        ahead=int(outcomes[:, IS_AHEAD].sum()),
        no_limit=int(open_side.sum()),
        same_trips=int(outcomes[:, IS_SAME_TRIPS].sum()),
        median_width=float(f"{median:.6g}") if np.isfinite(median) else None,
    )


def _pieces(asked: dict[tuple[str, float], int], seconds: float) -> list[Piece]:
    """Pieces of about the same time, all arms advancing together: a part answers every question."""
    size = int(np.clip(SECONDS_A_PIECE / max(seconds, 1e-3), 1, 10))
    pieces = [
        (first / number, Piece(arm, ratio, first, min(first + size, number)))
        for (arm, ratio), number in asked.items()
        for first in range(0, number, size)
    ]
    return [piece for _, piece in sorted(pieces, key=lambda one: one[0])]


def _counted(
    arm: str, ratio: float, asked: int, pieces: Sequence[Piece], found: Sequence[Floats | None]
) -> ArmResult:
    """An arm's counts from those of its pieces that are done."""
    parts = [
        outcomes
        for piece, outcomes in zip(pieces, found, strict=True)
        if outcomes is not None and (piece.arm, piece.ratio) == (arm, ratio)
    ]
    return count_outcomes(arm, ratio, asked, np.concatenate([np.empty((0, 6)), *parts]))


def _share(count: int, seasons: int) -> float | None:
    return count / seasons if seasons else None


def _check_options(ratio: float, seasons: int, seed: int, jobs: int) -> None:
    if not (np.isfinite(ratio) and 1 / WIDEST_RATIO <= ratio <= WIDEST_RATIO):
        raise UsageError(f"The true ratio is between 0.01 and 100, such as 1.5, not {ratio}.")
    if not 1 <= seasons <= MOST_SEASONS:
        raise UsageError(f"Rehearse between 1 and {MOST_SEASONS:,} seasons, not {seasons:,}.")
    if seed < 0:
        raise UsageError(f"A seed is a whole number from 0 on, not {seed}.")
    if jobs < 1:
        raise UsageError(f"The number of jobs is 1 or more, not {jobs}.")
