"""The frozen result of `respond`: the rate ratio per step of an ingredient, and what limits it.

`to_dict()` is the machine form that `rodhours response --json` prints (schema 1). Values that do
not exist are None.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from typing import Any

import pandas as pd

from rodhours.evidence.result import Note
from rodhours.evidence.results import ALL_TRIPS, AllTripsEstimate, FittedModel, estimate_row

MARGIN = 1.25
"""A line whose ends are within this many times of each other is level."""


@dataclass(frozen=True)
class ResponseNote(Note):
    """Something that limits the answer about an ingredient."""


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


@dataclass(frozen=True)
class ResponseResult:
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
    version: str
    notes: tuple[Note, ...]
    margin: float = MARGIN
    filters: Mapping[str, Any] = field(default_factory=dict)
    logbook_sha256: str | None = None

    def with_source(self, filters: Mapping[str, Any], logbook_sha256: str) -> ResponseResult:
        """The same result, knowing the rows that were chosen and the logbook they came from."""
        return replace(self, filters=dict(filters), logbook_sha256=logbook_sha256)

    @property
    def frame(self) -> pd.DataFrame:
        """A tidy frame: one row a basis.

        Columns: column, per, basis, estimate, conf_low, conf_high, p_value, verdict, fish,
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

    def to_dict(self) -> dict[str, Any]:
        """The machine form, equal to what `rodhours response --json` prints."""
        machine = {
            "schema": 1,
            **{name: getattr(self, name) for name in _PLAIN},
            "adjusted_for": list(self.adjusted_for),
            "values": list(self.values),
            "all_trips": asdict(self.all_trips),
            "bent": None if self.bent is None else asdict(self.bent),
            "lack_of_fit": None if self.lack_of_fit is None else asdict(self.lack_of_fit),
            "curve": [asdict(one) for one in self.curve],
            "points": [asdict(one) for one in self.points],
            "models": [
                {**asdict(one), "adjusted_for": list(one.adjusted_for)} for one in self.models
            ],
            "filters": dict(self.filters),
            "version": self.version,
            "logbook_sha256": self.logbook_sha256,
            "notes": [note.to_dict() for note in self.notes],
        }
        return machine


_PLAIN = (
    "column",
    "unit",
    "per",
    "confidence",
    "basis",
    "rate_ratio",
    "conf_low",
    "conf_high",
    "p_value",
    "margin",
    "verdict",
    "fish",
    "rod_hours",
    "sessions",
    "contrasting_sessions",
    "reference_value",
    "reference_variant",
)
