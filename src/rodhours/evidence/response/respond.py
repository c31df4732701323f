"""An ingredient's answer: same trips and all trips, curve, the variants' own points, notes.

The same-trip answer is the headline wherever it exists, as in a comparison of variants.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp, log

import numpy as np
import pandas as pd
from scipy.stats import chi2

from rodhours.errors import UsageError
from rodhours.evidence.basis import FEWEST_DF, Answer, Basis
from rodhours.evidence.fitted import fitted_model
from rodhours.evidence.response.line import Line, Slope
from rodhours.evidence.response.notes import ResponseNotes
from rodhours.evidence.response.recipe_numbers import (
    columns_that_differ,
    numeric_column,
    recipe_table,
    step_of,
)
from rodhours.evidence.response.result import (
    BENDS,
    BENT,
    DIP,
    FALLS,
    LEVEL,
    MARGIN,
    PEAK,
    RISES,
    STRAIGHT,
    TOO_LITTLE,
    UNSETTLED,
    Bend,
    CurvePoint,
    LackOfFit,
    ResponseResult,
    StepEstimate,
    VariantPoint,
)
from rodhours.evidence.result import order_notes
from rodhours.evidence.results import ALL_TRIPS, SAME_TRIPS
from rodhours.evidence.session_model.data import Floats
from rodhours.evidence.stints import Stints, prepare, require_frame
from rodhours.evidence.trips import (
    FEWEST_SAME_TRIP_DF,
    FEWEST_SESSIONS,
    same_trip_rows,
    session_table,
)
from rodhours.evidence.verdicts import FEWEST_FISH, WIDEST

BEND_P = 0.05
"""A bend is shown where its p is below this."""
MOST = 3
"""Ingredients that a report answers for."""
_CURVE_STEPS = 20

UNITS = {
    "pellet_pct": "points",
    "attractor_ml_per_egg": "ml per egg",
    "size_mm": "mm",
    "cork_mm": "mm",
    "albumen_g_per_kg": "g per kg",
    "boil_s": "s",
}


def respond(
    stints: pd.DataFrame,
    recipes: pd.DataFrame,
    column: str,
    per: float | None = None,
    adjust: Sequence[str] = (),
    confidence: float = 0.95,
    reference: str | None = None,
) -> ResponseResult:
    """How the catch rate per rod-hour goes with a number of the recipe.

    Parameters
    ----------
    stints
        One row a stint: `session`, `variant`, `hours` (> 0, any unit), `fish` (whole, >= 0);
        `angler`, `rod`, `date` where known, and the columns named in `adjust`.
    recipes
        One row a variant: `variant` and the numbers of its recipe.
    column
        The recipe column asked about, such as `pellet_pct`; a number on each variant. Stints of
        variants without that number are left out, with a note.
    per
        The step that the rate ratio is for, in the unit of the column. Without one: 10 points of
        `pellet_pct`, 1 ml of `attractor_ml_per_egg`, 1 mm of `size_mm`, 10 g of
        `albumen_g_per_kg`, 10 s of `boil_s`, and a round step of the observed range else.
    adjust
        Columns of the stints to adjust for; `month` and `time_of_year` are derived from `date`.
    confidence
        Confidence of the intervals, between 0 and 1.
    reference
        The variant that the curve and the variants are against, wherever it can be.

    Returns the frozen result. Raises UsageError (a ValueError) for anything asked for that is not
    there, for a column of words, and where the rows have fewer than two values of the column.
    """
    if not 0.0 < confidence < 1.0:
        raise UsageError(f"Confidence is between 0 and 1, such as 0.95, not {confidence}.")
    for needed in ("variant", "hours", "fish"):
        if needed not in stints.columns:
            raise UsageError(f"The frame of stints has no column '{needed}'.")
    require_frame(recipes, "Recipes")
    table = recipe_table(recipes)
    numbers = numeric_column(table, column)
    value_of_row = stints["variant"].map(numbers.to_dict()).to_numpy(dtype="float64")
    known = ~np.isnan(value_of_row)
    _refuse_one_value(column, value_of_row[known])
    notes = ResponseNotes(column)
    notes.missing(stints[~known])
    prepared = prepare(stints[known], (adjust,) if isinstance(adjust, str) else tuple(adjust))
    for left in prepared.left_out:
        notes.stints_left_out(left)
    value = np.array([numbers.get(name, np.nan) for name in prepared.variants], dtype="float64")
    fished = _refuse_one_value(column, value[prepared.variant])
    step, chosen = step_of(column, fished, per)
    if chosen:
        notes.step_chosen(step)
    work = _Work(stints[known], prepared, value, column, step, 1.0 - confidence, table, notes)
    return replace(work, reference=reference).run()


@dataclass(frozen=True)
class SeveralResponses:
    """The answers, in the order of the recipe's columns, and the columns past the first few."""

    responses: tuple[ResponseResult, ...] = ()
    further: tuple[str, ...] = ()


def respond_to_several(
    stints: pd.DataFrame,
    recipes: pd.DataFrame,
    adjust: Sequence[str] = (),
    confidence: float = 0.95,
    reference: str | None = None,
    most: int = MOST,
) -> SeveralResponses:
    """`respond` for each number of the recipe that differs between the variants of these stints.

    `recipes` has one row a variant. At most `most` are answered; a column that cannot be (recipes
    that say too little of it) is passed over, as is one that was always changed together with one
    that is answered. Two variants have no line but their comparison: nothing is answered.
    """
    if "variant" not in recipes.columns:
        return SeveralResponses()
    fished = recipes[recipes["variant"].isin(stints["variant"].unique())]
    found: list[ResponseResult] = []
    further: list[str] = []
    along: set[str] = set()
    for column in columns_that_differ(fished) if len(fished) > 2 else ():
        if column in along:
            continue
        if len(found) == most:
            further.append(column)
            continue
        try:
            one = respond(stints, recipes, column, None, adjust, confidence, reference)
        except UsageError:
            continue
        found.append(one)
        together = (note for note in one.notes if note.code == "moves_together")
        along.update(note.numbers["other"] for note in together)
    return SeveralResponses(tuple(found), tuple(further))


def _refuse_one_value(column: str, values: Floats) -> list[float]:
    """The distinct values, ascending; UsageError for fewer than two."""
    fished = [float(value) for value in np.unique(values)]
    if len(fished) < 2:
        held = f"only {fished[0]:g}" if fished else "none"
        raise UsageError(
            f"The stints chosen have fewer than two values of '{column}' ({held}), so there is "
            "nothing to compare it with. Fish baits that differ in it."
        )
    return fished


@dataclass(frozen=True)
class _Work:
    """One answer under way; `value` is the ingredient by variant code."""

    frame: pd.DataFrame
    stints: Stints
    value: Floats
    column: str
    per: float
    alpha: float
    recipes: pd.DataFrame
    notes: ResponseNotes
    reference: str | None = None

    def run(self) -> ResponseResult:
        everything = self._line(np.ones(len(self.stints), dtype=bool), same_trips=False)
        same, reason = self._same_trips()
        basis, line = (ALL_TRIPS, everything) if same is None else (SAME_TRIPS, same)
        all_slope = everything.slope(self.alpha)
        slope = all_slope if same is None else same.slope(self.alpha)
        bent = self._bend(line, slope)
        lack = self._lack_of_fit(line, slope, bent)
        notes = self.notes
        notes.recipes(self.recipes, line)
        if reason:
            notes.not_same_trips(reason, everything.contrasting_sessions)
        notes.fit(line, slope)
        used = {ALL_TRIPS: everything}
        if same is not None:
            used = {SAME_TRIPS: same, **used}
            notes.beside_all_trips(slope, line, all_slope, everything, self.per)
        notes.step_and_range(line, self.per)
        notes.shape(bent, lack)
        notes.columns(
            self.stints,
            everything.adjusted_columns if everything.fish else None,
            None if same is None else same.variants.covariate_of,
        )
        if same is not None:
            notes.rods(self.frame, self.stints.adjusted_for)
        reference = line.variants.reference
        return ResponseResult(
            column=self.column,
            unit=UNITS.get(self.column),
            per=self.per,
            confidence=1.0 - self.alpha,
            adjusted_for=self.stints.adjusted_for,
            basis=basis,
            **vars(self._estimate(line, slope)),
            verdict=verdict(slope, line.fish, bends=bent is not None),
            values=tuple(float(one) for one in line.values),
            reference_value=float(self.value[reference]),
            reference_variant=self.stints.variants[reference],
            all_trips=self._estimate(everything, all_slope),
            bent=bent,
            lack_of_fit=lack,
            curve=self._curve(line, slope, bent),
            points=self._points(line),
            models=tuple(fitted_model(name, one) for name, one in used.items()),
            notes=order_notes(self.notes.notes),
        )

    def _line(self, rows: np.ndarray, *, same_trips: bool) -> Line:
        """The line of these rows; its reference variant is the one asked for, where that has
        caught a fish, else the lowest that has.

        Of several at one value the one with most rod-hours; on the same-trip basis one that was
        in at least 4 sessions, where there is one.
        """
        stints = self.stints.take(rows)
        present = np.unique(stints.variant)
        table = session_table(stints)
        fish = np.bincount(stints.variant, stints.fish, len(stints.variants))
        usable = present[fish[present] > 0]
        often = usable[table.fished.sum(axis=0)[usable] >= FEWEST_SESSIONS]
        usable = often if len(often) else usable if len(usable) else present
        hours = table.hours.sum(axis=0)
        asked = [one for one in usable if self.stints.variants[one] == self.reference]
        reference = min(asked or usable, key=lambda one: (self.value[one], -hours[one]))
        basis = Basis.of(stints, int(reference), same_trips=same_trips)
        return Line(basis, self.value[stints.variant], same_trips)

    def _same_trips(self) -> tuple[Line | None, str]:
        """The same-trip line, and why it does not exist ('' where it does).

        Of several sets of linked variants with at least two values each, the one with most
        rod-hours on trips that had two or more of them.
        """
        table = session_table(self.stints)
        best: np.ndarray | None = None
        most = 0.0
        seen = np.zeros(len(self.value), dtype=bool)
        for one in np.unique(self.stints.variant):
            if seen[one]:
                continue
            linked = table.linked_to(int(one))
            seen |= linked
            rows = same_trip_rows(self.stints, table, linked)
            hours = float(self.stints.hours[rows].sum())
            values = np.unique(self.value[self.stints.variant[rows]])
            if len(values) >= 2 and hours > most:
                best, most = rows, hours
        if best is None:
            return None, "unlinked"
        line = self._line(best, same_trips=True)
        if line.contrasting_sessions < FEWEST_SESSIONS:
            return None, "few_sessions"
        if line.df < FEWEST_SAME_TRIP_DF:
            return None, "few_df"
        left = np.setdiff1d(self.stints.variant, line.stints.variant)
        if len(left):
            self.notes.variants_not_linked([self.stints.variants[one] for one in left])
        return line, ""

    def _estimate(self, line: Line, slope: Slope) -> StepEstimate:
        ratio, low, high = (
            None if value is None else exp(value * self.per / line.span)
            for value in (slope.log_ratio, slope.low, slope.high)
        )
        return StepEstimate(
            ratio,
            low,
            high,
            slope.p_value,
            fish=line.fish,
            rod_hours=line.rod_hours,
            sessions=line.sessions,
            contrasting_sessions=line.contrasting_sessions,
        )

    def _bend(self, line: Line, slope: Slope) -> Bend | None:
        if slope.log_ratio is None or slope.low is None or slope.high is None:
            return None
        p = line.bend_p
        if p is None or p >= BEND_P:
            return None
        turns_at, is_peak = line.turning_point or (None, None)
        return Bend(p, None if is_peak is None else PEAK if is_peak else DIP, turns_at)

    def _lack_of_fit(self, line: Line, slope: Slope, bent: Bend | None) -> LackOfFit | None:
        if slope.log_ratio is None or line.df < FEWEST_DF:
            return None
        lack = line.lack_of_fit(bent=bent is not None)
        if lack is None:
            return None
        return LackOfFit(STRAIGHT if bent is None else BENT, *lack, float(chi2.sf(*lack)))

    def _curve(self, line: Line, slope: Slope, bent: Bend | None) -> tuple[CurvePoint, ...]:
        """The line shown, at even steps over the range and at every value that was fished."""
        if slope.log_ratio is None:
            return ()
        reference = float(self.value[line.variants.reference])
        even = np.linspace(line.values[0], line.values[-1], _CURVE_STEPS + 1)
        where = np.unique(np.concatenate((even, line.values)))
        # Even steps that fall on a value but for rounding.
        where = where[np.append(True, np.diff(where) > 1e-9 * line.span)]
        points = []
        for value in (float(one) for one in where):
            if abs(value - reference) <= 1e-9 * line.span:
                points.append(CurvePoint(reference, 1.0, 1.0, 1.0))
                continue
            if bent is not None:
                here = line.bent_ratio(value, reference, self.alpha)
                share = 1.0
            else:
                here, share = slope, (value - reference) / line.span
            # Below the reference the band of a straight line turns over.
            low, high = (here.low, here.high) if share > 0 else (here.high, here.low)
            assert here.log_ratio is not None
            points.append(
                CurvePoint(
                    value,
                    exp(share * here.log_ratio),
                    None if low is None else exp(share * low),
                    None if high is None else exp(share * high),
                )
            )
        return tuple(points)

    def _points(self, line: Line) -> tuple[VariantPoint, ...]:
        basis = line.variants
        sessions = session_table(line.stints).fished.sum(axis=0)
        present = np.unique(line.stints.variant)
        points = []
        for one in sorted(present, key=lambda one: (self.value[one], self.stints.variants[one])):
            answer = Answer()
            enough = min(sessions[one], sessions[basis.reference]) >= FEWEST_SESSIONS
            if one == basis.reference and basis.fish[one] > 0:
                answer = Answer(1.0)
            elif basis.fish.sum() > 0 and (enough or not line.same_trips):
                answer = basis.answer(int(one), self.alpha, self.alpha)
            points.append(
                VariantPoint(
                    self.stints.variants[one],
                    float(self.value[one]),
                    answer.rate_ratio,
                    answer.conf_low,
                    answer.conf_high,
                    fish=int(basis.fish[one]),
                    rod_hours=float(basis.rod_hours[one]),
                    sessions=int(sessions[one]),
                )
            )
        return tuple(points)


def verdict(slope: Slope, fish: int, *, bends: bool = False) -> str:
    """What the line's limits over the whole observed range say.

    `too little to say` under 5 fish; `rises` or `falls` where both limits lie on one side of 1;
    `bends` where a bent line is shown; `too little to say` without a limit on one side or with
    limits more than 16-fold apart; `level` where the ends of the range are within 1.25 times of
    each other at both limits; else `unsettled`. The whole range is judged and not a step, so
    that the step asked for changes no verdict.
    """
    if fish < FEWEST_FISH:
        return TOO_LITTLE
    if slope.low is not None and slope.low > 0:
        return RISES
    if slope.high is not None and slope.high < 0:
        return FALLS
    if bends:
        return BENDS
    if slope.low is None or slope.high is None or slope.high - slope.low > log(WIDEST):
        return TOO_LITTLE
    if max(-slope.low, slope.high) <= log(MARGIN):
        return LEVEL
    return UNSETTLED
