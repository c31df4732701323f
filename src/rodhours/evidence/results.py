"""The frozen results of the evidence: numbers, their basis and their notes; no text, no colour.

`to_dict()` is the machine form that `--json` prints (schema 1). Values that do not exist are None.
Field names follow the tidy vocabulary: an estimate, `conf_low`, `conf_high`, `p_value`.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass, field, replace
from typing import Any

import pandas as pd

from rodhours.evidence.notebook import shown
from rodhours.evidence.result import Note, order_notes
from rodhours.wording.answer import headline

SAME_TRIPS = "same trips"
ALL_TRIPS = "all trips"


@dataclass(frozen=True)
class Limits:
    """Limits and p without the family's adjustment."""

    conf_low: float | None
    conf_high: float | None
    p_value: float | None


@dataclass(frozen=True)
class RatioEstimate:
    """A rate ratio with limits and p that hold for the family."""

    rate_ratio: float | None
    conf_low: float | None
    conf_high: float | None
    p_value: float | None


@dataclass(frozen=True)
class AllTripsEstimate(RatioEstimate):
    """The answer from every stint, and what it rests on."""

    fish: int
    rod_hours: float
    sessions: int


def estimate_row(
    basis: str, part: Any, verdict: str | None, rests_on: AllTripsEstimate
) -> dict[str, Any]:
    """One estimate as a row of a tidy frame.

    `part` has rate_ratio, conf_low, conf_high and p_value; fish, rod-hours and sessions are its
    own, or those of `rests_on` where it has none.
    """
    return {
        "basis": basis,
        "estimate": part.rate_ratio,
        "conf_low": part.conf_low,
        "conf_high": part.conf_high,
        "p_value": part.p_value,
        "verdict": verdict,
        **{
            name: getattr(part, name, getattr(rests_on, name))
            for name in ("fish", "rod_hours", "sessions")
        },
    }


@dataclass(frozen=True)
class Comparison:
    """One variant against the reference: the headline answer and the two beside it.

    `sessions` are those of the headline fit, `shared_sessions` those that had both this variant
    and the reference in the water; fish and rod-hours are those of the headline basis.
    """

    variant: str
    basis: str
    rate_ratio: float | None
    conf_low: float | None
    conf_high: float | None
    p_value: float | None
    verdict: str
    fish: int
    rod_hours: float
    reference_fish: int
    reference_rod_hours: float
    sessions: int
    shared_sessions: int
    alone: Limits
    all_trips: AllTripsEstimate
    poisson: RatioEstimate


@dataclass(frozen=True)
class FittedModel:
    """One fit of the session model: `session_sd` is s, `clumping` the variance a.

    None where nothing could be fitted, since no variant had a fish.
    """

    basis: str
    adjusted_for: tuple[str, ...]
    sessions: int
    cells: int | None
    df: int | None
    session_sd: float | None
    clumping: float | None
    log_likelihood: float | None


@dataclass(frozen=True)
class ComparisonResult:
    """All variants asked for against one reference, from one fit per basis."""

    reference: str
    confidence: float
    adjusted_for: tuple[str, ...]
    comparisons: tuple[Comparison, ...]
    models: tuple[FittedModel, ...]
    margin: float
    version: str
    notes: tuple[Note, ...]
    filters: Mapping[str, Any] = field(default_factory=dict)
    logbook_sha256: str | None = None

    def with_source(self, filters: Mapping[str, Any], logbook_sha256: str) -> ComparisonResult:
        """The same result, knowing the rows that were chosen and the logbook they came from."""
        return replace(self, filters=dict(filters), logbook_sha256=logbook_sha256)

    def with_notes(self, notes: Iterable[Note]) -> ComparisonResult:
        """The same result with further notes, worst first; new ones come after equals."""
        return replace(self, notes=order_notes((*self.notes, *notes)))

    @property
    def frame(self) -> pd.DataFrame:
        """A tidy frame: one row a comparison and basis.

        Columns: variant, reference, basis, estimate, conf_low, conf_high, p_value, verdict,
        fish, rod_hours, sessions. The basis `poisson` is 'as if every fish came by itself'.
        """
        rows: list[dict[str, Any]] = []
        for one in self.comparisons:
            shown: list[tuple[str, Any, str | None]] = [(one.basis, one, one.verdict)]
            if one.basis != ALL_TRIPS:
                shown.append((ALL_TRIPS, one.all_trips, None))
            shown.append(("poisson", one.poisson, None))
            rows.extend(
                {
                    "variant": one.variant,
                    "reference": self.reference,
                    **estimate_row(basis, part, verdict, one.all_trips),
                }
                for basis, part, verdict in shown
            )
        return pd.DataFrame(rows)

    @property
    def headlines(self) -> tuple[str, ...]:
        """The answer to each comparison in plain words."""
        return tuple(
            headline(one, self.reference, self.confidence, self.margin)
            for one in self.to_dict()["comparisons"]
        )

    def _repr_html_(self) -> str:
        return shown((*self.headlines, *(note.says for note in self.notes)), self.frame)

    def to_dict(self) -> dict[str, Any]:
        """The machine form, equal to what `rodhours compare --json` prints."""
        return {
            "schema": 1,
            "reference": self.reference,
            "confidence": self.confidence,
            "adjusted_for": list(self.adjusted_for),
            "comparisons": [asdict(one) for one in self.comparisons],
            "models": [
                {**asdict(one), "adjusted_for": list(one.adjusted_for)} for one in self.models
            ],
            "filters": dict(self.filters),
            "margin": self.margin,
            "version": self.version,
            "logbook_sha256": self.logbook_sha256,
            "notes": [note.to_dict() for note in self.notes],
        }


@dataclass(frozen=True)
class RateRow:
    """The catch rate of one group of stints, with the interval of the session model."""

    group: str
    sessions: int
    blanks: int
    stints: int
    rod_hours: float
    fish: int
    per_100_rod_hours: float | None
    conf_low: float | None
    conf_high: float | None
    method: str
    model_per_100_rod_hours: float | None = None
    """The model's own estimate, only where the plain ratio of totals falls outside its interval."""

    def to_dict(self) -> dict[str, Any]:
        """The machine form; the model's own estimate only where there is one."""
        machine = asdict(self)
        if self.model_per_100_rod_hours is None:
            del machine["model_per_100_rod_hours"]
        return machine


@dataclass(frozen=True)
class RateSummary:
    """Catch rates by group, and of the whole log."""

    by: str
    rows: tuple[RateRow, ...]
    total: RateRow
    filters: Mapping[str, Any] = field(default_factory=dict)
    notes: tuple[Note, ...] = ()

    @property
    def frame(self) -> pd.DataFrame:
        """A tidy frame: one row a group, the total last; columns as in the machine form."""
        frame = pd.DataFrame([row.to_dict() for row in (*self.rows, self.total)])
        numbers = [name for name in frame if name not in ("group", "method")]
        return frame.astype({name: float for name in numbers if frame[name].dtype == object})

    def _repr_html_(self) -> str:
        return shown((note.says for note in self.notes), self.frame)

    def to_dict(self) -> dict[str, Any]:
        """The machine form, equal to what `rodhours summary --json` prints.

        `filters` and `notes` are in it only where rows or fish were chosen.
        """
        machine: dict[str, Any] = {
            "schema": 1,
            "by": self.by,
            "rows": [row.to_dict() for row in self.rows],
            "total": self.total.to_dict(),
        }
        if self.filters:
            machine["filters"] = dict(self.filters)
            machine["notes"] = [note.to_dict() for note in self.notes]
        return machine
