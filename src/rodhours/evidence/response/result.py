"""The frozen result of `respond`: the rate ratio per step of an ingredient, and what limits it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, ClassVar

import pandas as pd

from rodhours.evidence.result import Result
from rodhours.evidence.results import ALL_TRIPS, AllTripsEstimate, FittedModel, estimate_row

MARGIN = 1.25
"""A line whose ends are within this many times of each other is level."""
RISES, FALLS, BENDS, LEVEL = "rises", "falls", "bends", "level"
UNSETTLED, TOO_LITTLE = "unsettled", "too little to say"
STRAIGHT, BENT = "straight", "bent"
PEAK, DIP = "peak", "dip"
POOR_FIT = 0.05
"""The baits are said to lie too far from the line where the p of that is below this."""


@dataclass(frozen=True)
class StepEstimate(AllTripsEstimate):
    """The rate ratio per step on one basis, and what it rests on.

    `contrasting_sessions` had at least two values of the ingredient in the water.
    """

    contrasting_sessions: int


@dataclass(frozen=True)
class Bend:
    """A line that bends on the log scale; only there where its p is below 0.05.

    `p_value` is that of the squared term. `turns_at` is the value of the ingredient at which the
    curve is highest (`turn` is `peak`) or lowest (`dip`) inside the observed range, else None.
    """

    p_value: float
    turn: str | None
    turns_at: float | None


@dataclass(frozen=True)
class LackOfFit:
    """Likelihood ratio of the line shown against a rate of each variant's own.

    `p_value` is from the chi-square distribution with `df` degrees of freedom.
    """

    line: str
    statistic: float
    df: int
    p_value: float

    @property
    def is_poor(self) -> bool:
        """Whether the baits lie further from the line than chance alone would put them."""
        return self.p_value < POOR_FIT


@dataclass(frozen=True)
class CurvePoint:
    """The line at one value of the ingredient, as a ratio to the rate at `reference_value`."""

    value: float
    ratio: float
    conf_low: float | None
    conf_high: float | None


@dataclass(frozen=True)
class VariantPoint:
    """One variant's own rate ratio against the reference variant, whatever the line says.

    `ratio` is 1 without limits for the reference variant, 0 without fish, and None with fewer
    than 4 sessions on the same-trip basis.
    """

    variant: str
    value: float
    ratio: float | None
    conf_low: float | None
    conf_high: float | None
    fish: int
    rod_hours: float
    sessions: int


@dataclass(frozen=True, kw_only=True, repr=False)
class ResponseResult(Result):
    """How the catch rate goes with an ingredient: the headline basis, and all trips beside it.

    `per` is the step that the rate ratio is for, in the `unit` of the column. The curve and the
    variants' points are ratios to the rate at `reference_value`, the value of
    `reference_variant`: the lowest value at which a fish was caught.
    """

    column: str
    unit: str | None
    per: float
    confidence: float
    adjusted_for: tuple[str, ...]
    basis: str
    rate_ratio: float | None
    conf_low: float | None
    conf_high: float | None
    p_value: float | None
    verdict: str
    fish: int
    rod_hours: float
    sessions: int
    contrasting_sessions: int
    values: tuple[float, ...]
    reference_value: float
    reference_variant: str
    all_trips: StepEstimate
    bent: Bend | None
    lack_of_fit: LackOfFit | None
    curve: tuple[CurvePoint, ...]
    points: tuple[VariantPoint, ...]
    models: tuple[FittedModel, ...]
    margin: float = MARGIN

    ROWS: ClassVar[str] = "points"

    @property
    def has_interval(self) -> bool:
        """Whether there is a line, or an interval of a bait; the reference alone has none."""
        return bool(self.curve) or any(one.conf_low or one.conf_high for one in self.points)

    @property
    def frame(self) -> pd.DataFrame:
        """A tidy frame: one row a basis.

        Columns: column, per, basis, rate_ratio, conf_low, conf_high, p_value, verdict, fish,
        rod_hours, sessions.
        """
        shown: list[tuple[str, Any, str | None]] = [(self.basis, self, self.verdict)]
        if self.basis != ALL_TRIPS:
            shown.append((ALL_TRIPS, self.all_trips, None))
        return pd.DataFrame(
            {
                "column": self.column,
                "per": self.per,
                **estimate_row(basis, part, verdict, self.all_trips),
            }
            for basis, part, verdict in shown
        )
