"""The frozen results of the evidence: numbers, their basis and their notes; no text, no colour.

Values that do not exist are None. Field names follow the tidy vocabulary: an estimate, `conf_low`,
`conf_high`, `p_value`.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass, field
from typing import Any, ClassVar

import pandas as pd

from rodhours.evidence.result import ONLY_WHERE_KNOWN, Note, Result
from rodhours.evidence.verdicts import SETTLED

SAME_TRIPS = "same trips"
ALL_TRIPS = "all trips"
AS_PLANNED = "as planned"
DIRECT_SHARE = 0.5
"""Below this share of the trips with both in the water, most of the evidence is indirect."""


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
    """An answer beside the headline's (from every stint, or as planned), and what it rests on."""

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
        "rate_ratio": part.rate_ratio,
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
class RatioRow:
    """One estimate of one comparison; the verdict where it is the headline's."""

    variant: str
    reference: str
    basis: str
    rate_ratio: float | None
    conf_low: float | None
    conf_high: float | None
    p_value: float | None
    verdict: str | None
    fish: int
    rod_hours: float
    sessions: int


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
    as_planned: AllTripsEstimate | None = field(default=None, metadata=ONLY_WHERE_KNOWN)
    """By the bait that the plan asked for, where many stints had another."""

    @property
    def is_direct(self) -> bool:
        """Whether most trips of the answer had this variant and the reference together."""
        return self.shared_sessions >= DIRECT_SHARE * self.sessions


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


@dataclass(frozen=True, repr=False)
class ComparisonResult(Result):
    """All variants asked for against one reference, from one fit per basis."""

    reference: str
    confidence: float
    adjusted_for: tuple[str, ...]
    comparisons: tuple[Comparison, ...]
    models: tuple[FittedModel, ...]
    margin: float

    ROWS: ClassVar[str] = "rows"

    @property
    def settled(self) -> list[str]:
        """The variants of which the log says that they are ahead, behind or level."""
        return [one.variant for one in self.comparisons if one.verdict in SETTLED]

    @property
    def rows(self) -> list[RatioRow]:
        """One a comparison and basis; `poisson` is 'as if every fish came by itself'."""
        rows: list[RatioRow] = []
        for one in self.comparisons:
            shown: list[tuple[str, Any, str | None]] = [(one.basis, one, one.verdict)]
            if one.basis != ALL_TRIPS:
                shown.append((ALL_TRIPS, one.all_trips, None))
            shown.append(("poisson", one.poisson, None))
            if one.as_planned is not None:
                shown.append((AS_PLANNED, one.as_planned, None))
            rows.extend(
                RatioRow(
                    one.variant,
                    self.reference,
                    **estimate_row(basis, part, verdict, one.all_trips),
                )
                for basis, part, verdict in shown
            )
        return rows

    @property
    def frame(self) -> pd.DataFrame:
        """A tidy frame of the rows; its columns are the fields of `RatioRow`."""
        return pd.DataFrame([asdict(row) for row in self.rows])


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
    model_per_100_rod_hours: float | None = field(default=None, metadata=ONLY_WHERE_KNOWN)
    """The model's own estimate, only where the plain ratio of totals falls outside its interval."""


@dataclass(frozen=True, repr=False)
class RateSummary(Result):
    """Catch rates by group, and of the whole log."""

    by: str
    rows: tuple[RateRow, ...]
    total: RateRow
    confidence: float

    ROWS: ClassVar[str] = "rows"
    KEYS: ClassVar[tuple[str, ...]] = ("by", "rows", "total")
    KEYS_OF_A_CHOICE: ClassVar[tuple[str, ...]] = ("filters", "notes")

    @property
    def frame(self) -> pd.DataFrame:
        """A tidy frame: one row a group, columns as in the machine form; not the total."""
        frame = pd.DataFrame([asdict(row) for row in self.rows])
        if frame["model_per_100_rod_hours"].isna().all():
            del frame["model_per_100_rod_hours"]
        numbers = [name for name in frame if name not in ("group", "method")]
        return frame.astype({name: float for name in numbers if frame[name].dtype == object})


@dataclass(frozen=True, repr=False)
class CheckResult(Result):
    """What all checks found: its notes, and the reference they were looked at against."""

    reference: str

    KEYS: ClassVar[tuple[str, ...]] = ("findings",)
    KEYS_OF_A_CHOICE: ClassVar[tuple[str, ...]] = ("filters",)

    @property
    def findings(self) -> tuple[Note, ...]:
        """The notes under the name that they have in the machine form."""
        return self.notes
