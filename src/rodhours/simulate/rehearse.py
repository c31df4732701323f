"""A rehearsal: seasons with a known truth on the log's own schedule, analysed by the same code.

It counts how often the interval holds the truth, beside counting every fish by itself, and how
often such a season settles a given ratio; then the same where the model's assumptions are broken.
"""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from typing import ClassVar, NamedTuple

import numpy as np
import pandas as pd

from rodhours.errors import UsageError
from rodhours.evidence.basis import Basis
from rodhours.evidence.compare import compare, fish_by_fish, same_trip_basis
from rodhours.evidence.result import Result
from rodhours.evidence.stints import Stints, prepare
from rodhours.evidence.trips import most_shared
from rodhours.evidence.verdicts import AHEAD, verdict
from rodhours.progress import Progress
from rodhours.simulate.run import CONFIDENCE, Meter, check_work, judged
from rodhours.simulate.season import ARMS, OWN, WIDEST_RATIO, Schedule, Truth, season

SETTLED_RATIOS = (1.25, 1.5, 2.0, 3.0)
"""True ratios for which the chance of settling is shown."""
FEWEST_SEASONS = 50
"""Arms and further ratios get half the seasons asked for, at least this many if so many were."""
MOST_SEASONS = 100_000
SECONDS_A_PIECE = 0.4
"""How long a piece of work takes, about: short, so that Ctrl-C is heard soon."""

Kind = tuple[str, float]
"""An arm, and the true ratio."""


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

    KEYS: ClassVar[tuple[str, ...]] = (
        "arm", "seasons", "coverage", "poisson_coverage", "median_width", "no_limit", "same_trips",
    )  # fmt: skip

    @property
    def coverage(self) -> float | None:
        """Share of seasons whose interval held the truth."""
        return self._share(self.held)

    @property
    def poisson_coverage(self) -> float | None:
        """Share of seasons in which the interval of counting every fish by itself did."""
        return self._share(self.poisson_held)

    @property
    def settled(self) -> float | None:
        """Share of seasons with the verdict ahead."""
        return self._share(self.ahead)

    def _share(self, seasons: int) -> float | None:
        return seasons / self.seasons if self.seasons else None


@dataclass(frozen=True, repr=False)
class RehearsalResult(Result):
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
    confidence: float = CONFIDENCE

    ROWS: ClassVar[str] = "ladder"
    KEYS: ClassVar[tuple[str, ...]] = (
        "seasons=own.seasons", "seasons_asked=own.asked", "ratio", "coverage=own.coverage",
        "poisson_coverage=own.poisson_coverage", "settled", "settled_seasons",
        "median_width=own.median_width", "no_limit=own.no_limit", "same_trips=own.same_trips",
        "arms", "seed", "reference", "variant", "basis", "confidence", "trips", "stints", "truth",
        "complete", "filters", "version",
    )  # fmt: skip

    @property
    def settled(self) -> dict[float, float | None]:
        """For each true ratio the share of seasons that settle it."""
        return {arm.ratio: arm.settled for arm in self.ladder}

    @property
    def settled_seasons(self) -> dict[float, int]:
        """For each true ratio the seasons that there are."""
        return {arm.ratio: arm.seasons for arm in self.ladder}

    @property
    def truth(self) -> dict[str, float]:
        """The law of the seasons, with the reference's rate in fish per 100 rod-hours."""
        return {
            "reference_per_100_rod_hours": 100.0 * self.rate,
            "session_sd": self.session_sd,
            "clumping": self.clumping,
        }

    @property
    def complete(self) -> bool:
        """Whether every season that was asked for is there."""
        return all(arm.seasons == arm.asked for arm in (self.own, *self.ladder, *self.arms))


class Outcome(NamedTuple):
    """What `compare` says of one season; limits that do not exist are NaN."""

    low: float
    high: float
    poisson_low: float
    poisson_high: float
    is_ahead: float
    is_same_trips: float


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
        made = season(self.schedule, truth, self.seed, (number,), arm, self.variant)
        names = np.array(self.names, dtype=object)[made.variant]
        return self.frame.assign(variant=names, fish=made.fish)


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
    if not (np.isfinite(ratio) and 1 / WIDEST_RATIO <= ratio <= WIDEST_RATIO):
        raise UsageError(f"The true ratio is between 0.01 and 100, such as 1.5, not {ratio}.")
    if not 1 <= seasons <= MOST_SEASONS:
        raise UsageError(f"Rehearse between 1 and {MOST_SEASONS:,} seasons, not {seasons:,}.")
    check_work(seed, jobs)
    plan = plan_of(stints, reference, variant, seed)
    fewer = min(seasons, max(FEWEST_SEASONS, seasons // 2))
    asked: dict[Kind, int] = {(OWN, further): fewer for further in SETTLED_RATIOS}
    asked |= {(arm, ratio): fewer for arm in ARMS}
    asked[OWN, ratio] = seasons
    size = int(np.clip(SECONDS_A_PIECE / max(plan.seconds, 1e-3), 1, 10))
    outcomes = judged(partial(outcome_of, plan), asked, lambda _: size, jobs, Meter(progress))
    if not any(outcomes.values()):
        raise KeyboardInterrupt

    def counted(arm: str, ratio: float) -> ArmResult:
        return count_outcomes(arm, ratio, asked[arm, ratio], outcomes[arm, ratio])

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
        own=counted(OWN, ratio),
        ladder=tuple(counted(OWN, further) for further in SETTLED_RATIOS),
        arms=tuple(counted(arm, ratio) for arm in ARMS),
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


def outcome_of(plan: Plan, kind: Kind, number: int) -> Outcome:
    """Make and analyse a season: the headline of `compare`, and counting fish by fish."""
    stints = prepare(plan.season_frame(*kind, number), ())
    reference, variant = (stints.code_of(plan.names[one]) for one in (plan.reference, plan.variant))
    everything = Basis.of(stints, reference, same_trips=False)
    same, _ = same_trip_basis(stints, reference, [variant])
    alpha, led_by = 1.0 - CONFIDENCE, same or everything
    answer = led_by.answer(variant, alpha, alpha)
    beside = fish_by_fish(everything, variant, reference, alpha)
    fish, reference_fish = int(led_by.fish[variant]), int(led_by.fish[reference])
    side = verdict(answer.conf_low, answer.conf_high, fish, reference_fish)
    limits = (answer.conf_low, answer.conf_high, beside.conf_low, beside.conf_high)
    low, high, poisson_low, poisson_high = (np.nan if limit is None else limit for limit in limits)
    return Outcome(low, high, poisson_low, poisson_high, side == AHEAD, same is not None)


def count_outcomes(arm: str, ratio: float, asked: int, outcomes: Sequence[Outcome]) -> ArmResult:
    """The counts of an arm from the outcomes of its seasons.

    The median width is given to six figures: limits are found no closer than that, and the last
    digits of linear algebra differ from machine to machine.
    """
    low, high, poisson_low, poisson_high, ahead, same_trips = (
        np.array(outcomes, dtype=float).reshape(-1, len(Outcome._fields)).T
    )
    # Written so that a limit that is not there (NaN) excludes nothing.
    held = ~(low > ratio) & ~(high < ratio)
    poisson_held = ~(poisson_low > ratio) & ~(poisson_high < ratio)
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
        ahead=int(ahead.sum()),
        no_limit=int(open_side.sum()),
        same_trips=int(same_trips.sum()),
        median_width=float(f"{median:.6g}") if np.isfinite(median) else None,
    )
