"""Variants against a reference: the same-trip answer, the all-trips answer, and the verdict.

The same-trip answer is the headline wherever it exists; the all-trips answer and the one 'as if
every fish came by itself' stand beside it, so that a reader sees what they would have flattered.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import pandas as pd

from rodhours.errors import UsageError
from rodhours.evidence.basis import FEWEST_DF, Answer, Basis
from rodhours.evidence.checks.on_comparison import findings
from rodhours.evidence.checks.plan import with_plan_beside
from rodhours.evidence.compare_notes import Notes
from rodhours.evidence.earlier import apart, by_season, earlier_seasons, joined
from rodhours.evidence.fitted import Headline, Subject, fitted_model
from rodhours.evidence.rates import two_rate_limits
from rodhours.evidence.result import (
    CAUTION,
    INFORMATION,
    SERIOUS,
    NoSameTrips,
    Note,
    order_notes,
)
from rodhours.evidence.results import (
    ALL_TRIPS,
    SAME_TRIPS,
    AllTripsEstimate,
    Comparison,
    ComparisonResult,
    FittedModel,
    Limits,
    RatioEstimate,
)
from rodhours.evidence.stints import Stints, prepare, require_confidence
from rodhours.evidence.trips import (
    FEWEST_SAME_TRIP_DF,
    FEWEST_SESSIONS,
    SessionTable,
    most_shared,
    same_trip_rows,
    session_table,
)
from rodhours.evidence.verdicts import verdict

MOST_VARIANTS = 30
"""More variants than this in one fit take minutes, and each would have next to no fish."""
_BASES = {"auto": "auto", "same": SAME_TRIPS, "all": ALL_TRIPS}


def compare(
    stints: pd.DataFrame,
    reference: str | None = None,
    variant: str | Sequence[str] | None = None,
    adjust: Sequence[str] = (),
    confidence: float = 0.95,
    basis: str = "auto",
    margin: float = 1.25,
    checks: bool = True,
) -> ComparisonResult:
    """Compare catch rates per rod-hour: one variant, or all others, against a reference.

    Parameters
    ----------
    stints
        One row a stint: `session`, `variant`, `hours` (> 0, any unit), `fish` (whole, >= 0);
        `angler`, `rod`, `date` where known, and the columns named in `adjust`. Rows with a true
        `earlier` are of earlier seasons: they tell how uneven trips are, where those agree.
    reference
        The variant to compare with; without one, the variant with most shared rod-hours.
    variant
        The variant to compare, or several; without one all others, with intervals and p-values that
        hold for the family (Bonferroni).
    adjust
        Columns to adjust for; `month` and `time_of_year` are derived from `date`.
    confidence
        Confidence of the intervals, between 0 and 1.
    basis
        `auto` (same trips where that exists), `same` or `all`.
    margin
        Ratios within 1/margin and margin count as level; above 1.
    checks
        Whether to look for what could still fool the reader (a trip that carries the answer,
        blanks not logged, and so on). Without them the notes are those of the answer itself.

    Returns the frozen result. Raises UsageError (a ValueError) for anything asked for that is
    not there, NoSuchBasis where `basis="same"` is forced and does not exist.
    """
    _check_options(confidence, basis, margin)
    stints, earlier = apart(stints)
    prepared = prepare(stints, (adjust,) if isinstance(adjust, str) else tuple(adjust))
    found = len(np.unique(prepared.variant))
    if found > MOST_VARIANTS:
        raise UsageError(
            f"A comparison takes at most {MOST_VARIANTS} variants, and these rows have {found}: "
            "give one label to those that are one bait ('rodhours rename'), or choose fewer rows."
        )
    notes = Notes()
    for left in prepared.left_out:
        notes.add("stints_left_out", CAUTION, **vars(left))
    if reference is not None:
        code = prepared.code_of(reference)
    else:
        asked_about = prepared.code_of(variant) if isinstance(variant, str) else None
        code, shared_hours = most_shared(prepared, asked_about)
        chosen = {"reference": prepared.variants[code], "shared_rod_hours": shared_hours}
        notes.add("reference_chosen", INFORMATION, **chosen)
    asked = _asked(prepared, code, variant)
    beside = None if earlier is None else by_season(earlier, prepared.adjusted_for)
    work = _Work(stints, prepared, code, asked, 1.0 - confidence, margin, notes, beside)
    comparisons, models = work.run(_BASES[basis], checks=checks)
    result = ComparisonResult(
        reference=prepared.variants[code],
        confidence=confidence,
        adjusted_for=prepared.adjusted_for,
        comparisons=comparisons,
        models=models,
        margin=margin,
        notes=order_notes(notes),
    )
    if not checks:
        return result
    options = (result.reference, variant, adjust, confidence, basis, margin, False)
    return with_plan_beside(result, stints, lambda planned: compare(planned, *options))


def _check_options(confidence: float, basis: str, margin: float) -> None:
    require_confidence(confidence)
    if basis not in _BASES:
        raise UsageError(f"The basis is one of {', '.join(_BASES)}, not '{basis}'.")
    if not (np.isfinite(margin) and margin > 1.0):
        raise UsageError(f"The margin is a ratio above 1, such as 1.25, not {margin}.")


def _asked(stints: Stints, reference: int, variant: str | Sequence[str] | None) -> list[int]:
    """The codes of the variants to compare with the reference."""
    present = np.unique(stints.variant)
    if reference not in present:
        name = stints.variants[reference]
        raise UsageError(f"The reference '{name}' has no stint in the rows chosen.")
    if variant is None:
        return [int(one) for one in present if one != reference]
    wanted = {}
    for name in (variant,) if isinstance(variant, str) else variant:
        wanted[name] = stints.code_of(name)
        if wanted[name] == reference:
            raise UsageError(f"'{name}' is the reference itself; name another variant.")
        if wanted[name] not in present:
            raise UsageError(f"The variant '{name}' has no stint in the rows chosen.")
    return list(wanted.values())


@dataclass(frozen=True)
class _Bases:
    """All trips, and the same trips where they exist.

    `reasons` says for each variant why it has no same-trip answer ('' where it has one, or where
    none was wanted); `shared` counts the sessions that had both it and the reference. `beside` has
    those of the bases that earlier seasons stand beside.
    """

    everything: Basis
    same: Basis | None
    reasons: dict[int, str]
    shared: np.ndarray
    beside: Mapping[str, Basis]

    @property
    def used(self) -> list[tuple[str, Basis]]:
        """The fitted bases by name."""
        same = [] if self.same is None else [(SAME_TRIPS, self.same)]
        return [*same, (ALL_TRIPS, self.everything)]


@dataclass(frozen=True)
class _Work:
    """One comparison under way."""

    frame: pd.DataFrame
    stints: Stints
    reference: int
    asked: list[int]
    alpha: float
    margin: float
    notes: Notes
    earlier: Stints | None = None

    @property
    def family_alpha(self) -> float:
        return self.alpha / max(1, len(self.asked))

    def run(
        self, basis: str, *, checks: bool
    ) -> tuple[tuple[Comparison, ...], tuple[FittedModel, ...]]:
        """All comparisons asked for, and the models behind them."""
        bases = self._bases(basis)
        everything, same = bases.everything, bases.same
        if basis == SAME_TRIPS and self.asked and all(bases.reasons[one] for one in self.asked):
            raise NoSameTrips(*(self._not_there(one, bases) for one in self.asked))
        self.notes.columns(
            self.stints,
            everything.adjusted_columns if everything.fish.sum() > 0 else None,
            None if same is None else same.covariate_of,
        )
        if not self.asked:
            self.notes.add("one_variant", SERIOUS)
            return (), ()
        headlines = tuple(self._one(one, basis, bases) for one in self.asked)
        comparisons = tuple(one.comparison for one in headlines)
        if checks:
            of = (self.frame, self.stints, headlines, everything, self.family_alpha, self.margin)
            self.notes.extend(findings(Subject(*of)))
        models = tuple(fitted_model(name, part) for name, part in bases.used)
        for name, part in bases.used:
            if part.fish.sum() > 0 and not part.fitted.converged:
                self.notes.add("no_fit", SERIOUS, basis=name)
        if any(one.basis == SAME_TRIPS for one in comparisons):
            self.notes.rods(self.frame, self.stints.adjusted_for)
        return comparisons, models

    def _bases(self, basis: str) -> _Bases:
        table = session_table(self.stints)
        everything = Basis.of(self.stints, self.reference, same_trips=False)
        same, reasons = None, dict.fromkeys(self.asked, "")
        if basis != ALL_TRIPS:
            same, reasons = self._same_trips(table)
        bases = _Bases(everything, same, reasons, table.shared_with(self.reference), {})
        if self.earlier is None:
            return bases
        beside = {name: joined(part, self.earlier) for name, part in bases.used}
        return replace(bases, beside=beside)

    def _same_trips(self, table: SessionTable) -> tuple[Basis | None, dict[int, str]]:
        """The same-trip basis, and why it does not exist for a variant ('' where it does)."""
        linked = table.linked_to(self.reference)
        rows = same_trip_rows(self.stints, table, linked)
        if not rows.any():
            return None, dict.fromkeys(self.asked, "unlinked")
        basis = Basis.of(self.stints.take(rows), self.reference, same_trips=True)
        sessions = session_table(basis.stints).fished.sum(axis=0)
        reasons: dict[int, str] = {}
        for one in self.asked:
            if not linked[one] or sessions[one] == 0:
                reasons[one] = "unlinked"
            elif min(sessions[one], sessions[self.reference]) < FEWEST_SESSIONS:
                reasons[one] = "few_sessions"
            elif basis.fish.sum() > 0 and basis.df < FEWEST_SAME_TRIP_DF:
                reasons[one] = "few_df"
            else:
                reasons[one] = ""
        return None if all(reasons.values()) else basis, reasons

    def _not_there(self, variant: int, bases: _Bases) -> Note:
        numbers = {"shared_sessions": int(bases.shared[variant]), "reason": bases.reasons[variant]}
        return Note("no_same_trips", self.stints.variants[variant], SERIOUS, numbers)

    def _one(self, variant: int, basis: str, bases: _Bases) -> Headline:
        """One variant against the reference, and its notes."""
        levels, family = (self.alpha, self.family_alpha), (self.family_alpha, self.family_alpha)
        everything, same, reason = bases.everything, bases.same, bases.reasons[variant]
        if same is not None and (not reason or basis == SAME_TRIPS):
            # Forced to the same trips, a variant without them has no answer there.
            name, led_by = SAME_TRIPS, same
            answer = Answer() if reason else same.answer(variant, *levels)
            all_answer = everything.answer(variant, *family)
        else:
            name, led_by = ALL_TRIPS, everything
            answer = all_answer = everything.answer(variant, *levels)
        comparison = self._comparison(variant, name, answer, all_answer, bases)
        both = bases.beside.get(name, led_by)
        if both.earlier is not None and answer.rate_ratio is not None:
            alone, answer = comparison, both.answer(variant, *levels)
            all_answer = answer if name == ALL_TRIPS else all_answer
            comparison = self._comparison(variant, name, answer, all_answer, bases)
            self.notes.append(earlier_seasons(comparison, alone, both.earlier.sessions))
            led_by = both
        if led_by.goes_along(variant):
            columns = list(dict.fromkeys(led_by.adjusted_columns))
            self.notes.add("goes_along", SERIOUS, comparison.variant, columns=columns)
        few_trips = led_by.fish.sum() > 0 and led_by.df < FEWEST_DF
        self.notes.about(comparison, "" if basis == ALL_TRIPS else reason, self.margin, few_trips)
        return Headline(comparison, variant, led_by, answer)

    def _comparison(
        self, variant: int, basis: str, answer: Answer, all_answer: Answer, bases: _Bases
    ) -> Comparison:
        everything, led_by = bases.everything, dict(bases.used)[basis]
        fish, reference_fish = (int(led_by.fish[one]) for one in (variant, self.reference))
        headline = self._estimate(answer)
        return Comparison(
            variant=self.stints.variants[variant],
            basis=basis,
            **vars(headline),
            verdict=verdict(answer.conf_low, answer.conf_high, fish, reference_fish, self.margin),
            fish=fish,
            rod_hours=float(led_by.rod_hours[variant]),
            reference_fish=reference_fish,
            reference_rod_hours=float(led_by.rod_hours[self.reference]),
            sessions=led_by.sessions,
            shared_sessions=int(bases.shared[variant]),
            alone=Limits(answer.alone_low, answer.alone_high, answer.p_value),
            all_trips=AllTripsEstimate(
                **vars(self._estimate(all_answer)),
                fish=int(everything.fish[variant]),
                rod_hours=float(everything.rod_hours[variant]),
                sessions=everything.sessions,
            ),
            poisson=self._poisson(variant, everything),
        )

    def _estimate(self, answer: Answer | RatioEstimate) -> RatioEstimate:
        """An answer with the p of the family: m·p, at most 1."""
        p = answer.p_value
        family_p = None if p is None else min(1.0, len(self.asked) * p)
        return RatioEstimate(answer.rate_ratio, answer.conf_low, answer.conf_high, family_p)

    def _poisson(self, variant: int, everything: Basis) -> RatioEstimate:
        """As if every fish came by itself: exact where one of the two has none."""
        fish, reference_fish = (int(everything.fish[one]) for one in (variant, self.reference))
        hours, reference_hours = (everything.rod_hours[one] for one in (variant, self.reference))
        if min(fish, reference_fish) == 0 and not everything.covariates.shape[1]:
            confidence = 1.0 - self.family_alpha
            return self._estimate(
                two_rate_limits(
                    fish, float(hours), reference_fish, float(reference_hours), confidence
                )
            )
        alphas = self.family_alpha, self.family_alpha
        return self._estimate(everything.by_itself.answer(variant, *alphas))
