"""Variants against a reference: the same-trip answer, the all-trips answer, and the verdict.

The same-trip answer is the headline wherever it exists; the all-trips answer and the one 'as if
every fish came by itself' stand beside it, so that a reader sees what they would have flattered.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

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
    most_shared,
    same_trip_rows,
    session_table,
)
from rodhours.evidence.verdicts import verdict

MOST_VARIANTS = 30
"""More variants than this in one fit take minutes, and each would have next to no fish."""
_BASES = ("auto", "same", "all")


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
        notes.add("stints_left_out", CAUTION, **left)
    if reference is not None:
        code = prepared.code_of(reference)
    else:
        asked_about = prepared.code_of(variant) if isinstance(variant, str) else None
        code, shared_hours = most_shared(prepared, asked_about)
        chosen = {"reference": prepared.variants[code], "shared_rod_hours": shared_hours}
        notes.add("reference_chosen", INFORMATION, **chosen)
    asked = _asked(prepared, code, variant)
    bases = {ALL_TRIPS: Basis.of(prepared, code, same_trips=False)}
    reasons: dict[int, str] = {}
    if basis != "all":
        same, reasons = same_trip_basis(prepared, code, asked)
        bases = bases if same is None else {SAME_TRIPS: same, **bases}
    beside = None if earlier is None else by_season(earlier, prepared.adjusted_for)
    joint = {} if beside is None else {name: joined(one, beside) for name, one in bases.items()}
    of = (bases, joint, reasons, session_table(prepared).shared_with(code))
    work = _Work(prepared, code, asked, 1.0 - confidence, margin, notes, *of)
    comparisons, models = work.run(stints, forced=basis == "same", checks=checks)
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


def same_trip_basis(
    stints: Stints, reference: int, asked: list[int]
) -> tuple[Basis | None, dict[int, str]]:
    """The same-trip basis where a variant has one, and for each why not ('' where it has)."""
    table = session_table(stints)
    linked = table.linked_to(reference)
    rows = same_trip_rows(stints, table, linked)
    if not rows.any():
        return None, dict.fromkeys(asked, "unlinked")
    basis = Basis.of(stints.take(rows), reference, same_trips=True)
    sessions = session_table(basis.stints).fished.sum(axis=0)
    reasons: dict[int, str] = {}
    for one in asked:
        if not linked[one] or sessions[one] == 0:
            reasons[one] = "unlinked"
        elif min(sessions[one], sessions[reference]) < FEWEST_SESSIONS:
            reasons[one] = "few_sessions"
        elif basis.fish.sum() > 0 and basis.df < FEWEST_SAME_TRIP_DF:
            reasons[one] = "few_df"
        else:
            reasons[one] = ""
    return None if all(reasons.values()) else basis, reasons


@dataclass(frozen=True)
class _Work:
    """One comparison under way.

    `bases` are all trips, and the same trips where they exist; `joint` those of them with earlier
    seasons beside. `reasons` says for each variant why it has no same-trip answer, `shared` counts
    the sessions that had both it and the reference.
    """

    stints: Stints
    reference: int
    asked: list[int]
    alpha: float
    margin: float
    notes: Notes
    bases: Mapping[str, Basis]
    joint: Mapping[str, Basis]
    reasons: Mapping[int, str]
    shared: np.ndarray

    @property
    def family_alpha(self) -> float:
        return self.alpha / max(1, len(self.asked))

    def run(
        self, frame: pd.DataFrame, *, forced: bool, checks: bool
    ) -> tuple[tuple[Comparison, ...], tuple[FittedModel, ...]]:
        """All comparisons asked for, and the models behind them."""
        everything, same = self.bases[ALL_TRIPS], self.bases.get(SAME_TRIPS)
        if forced and self.asked and all(self.reasons.values()):
            raise NoSameTrips(*map(self._not_there, self.asked))
        self.notes.columns(
            self.stints,
            everything.adjusted_columns if everything.fish.sum() > 0 else None,
            None if same is None else same.covariate_of,
        )
        if not self.asked:
            self.notes.add("one_variant", SERIOUS)
            return (), ()
        headlines = tuple(self._one(one, forced) for one in self.asked)
        comparisons = tuple(one.comparison for one in headlines)
        if checks:
            of = (frame, self.stints, headlines, everything, self.family_alpha, self.margin)
            self.notes.extend(findings(Subject(*of)))
        for name, part in self.bases.items():
            if part.fish.sum() > 0 and not part.fitted.converged:
                self.notes.add("no_fit", SERIOUS, basis=name)
        if any(one.basis == SAME_TRIPS for one in comparisons):
            self.notes.rods(frame, self.stints.adjusted_for)
        return comparisons, tuple(fitted_model(*one) for one in self.bases.items())

    def _not_there(self, variant: int) -> Note:
        numbers = {"shared_sessions": int(self.shared[variant]), "reason": self.reasons[variant]}
        return Note("no_same_trips", self.stints.variants[variant], SERIOUS, numbers)

    def _one(self, variant: int, forced: bool) -> Headline:
        """One variant against the reference, and its notes."""
        levels, family = (self.alpha, self.family_alpha), (self.family_alpha, self.family_alpha)
        reason = self.reasons.get(variant, "")
        name = SAME_TRIPS if SAME_TRIPS in self.bases and (forced or not reason) else ALL_TRIPS
        led_by = self.bases[name]
        # Forced to the same trips, a variant without them has no answer there.
        gone = name == SAME_TRIPS and bool(reason)
        answer = Answer() if gone else led_by.answer(variant, *levels)
        beside = answer
        if name == SAME_TRIPS:
            beside = self.bases[ALL_TRIPS].answer(variant, *family)
        comparison = self._comparison(variant, name, answer, beside)
        both = self.joint.get(name, led_by)
        if both.earlier is not None and answer.rate_ratio is not None:
            alone, answer, led_by = comparison, both.answer(variant, *levels), both
            beside = answer if name == ALL_TRIPS else beside
            comparison = self._comparison(variant, name, answer, beside)
            self.notes.append(earlier_seasons(comparison, alone, both.earlier.sessions))
        if led_by.goes_along(variant):
            columns = list(dict.fromkeys(led_by.adjusted_columns))
            self.notes.add("goes_along", SERIOUS, comparison.variant, columns=columns)
        few_trips = led_by.fish.sum() > 0 and led_by.df < FEWEST_DF
        self.notes.about(comparison, reason, self.margin, few_trips)
        return Headline(comparison, variant, led_by, answer)

    def _comparison(
        self, variant: int, basis: str, answer: Answer, all_answer: Answer
    ) -> Comparison:
        everything, led_by = self.bases[ALL_TRIPS], self.bases[basis]
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
            shared_sessions=int(self.shared[variant]),
            alone=Limits(answer.alone_low, answer.alone_high, answer.p_value),
            all_trips=AllTripsEstimate(
                **vars(self._estimate(all_answer)),
                fish=int(everything.fish[variant]),
                rod_hours=float(everything.rod_hours[variant]),
                sessions=everything.sessions,
            ),
            poisson=self._estimate(
                fish_by_fish(everything, variant, self.reference, self.family_alpha)
            ),
        )

    def _estimate(self, answer: Answer | RatioEstimate) -> RatioEstimate:
        """An answer with the p of the family: m·p, at most 1."""
        p = answer.p_value
        family_p = None if p is None else min(1.0, len(self.asked) * p)
        return RatioEstimate(answer.rate_ratio, answer.conf_low, answer.conf_high, family_p)


def fish_by_fish(
    everything: Basis, variant: int, reference: int, alpha: float
) -> Answer | RatioEstimate:
    """As if every fish came by itself: exact where one of the two has none."""
    fish, reference_fish = (int(everything.fish[one]) for one in (variant, reference))
    hours, reference_hours = (everything.rod_hours[one] for one in (variant, reference))
    if min(fish, reference_fish) == 0 and not everything.covariates.shape[1]:
        return two_rate_limits(
            fish, float(hours), reference_fish, float(reference_hours), 1 - alpha
        )
    return everything.by_itself.answer(variant, alpha, alpha)
