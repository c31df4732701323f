"""An ingredient's answer: same trips and all trips, curve, the variants' own points, notes.

The same-trip answer is the headline wherever it exists, as in a comparison of variants.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp, log

import numpy as np
import pandas as pd
from scipy.stats import chi2

from rodhours.errors import UsageError
from rodhours.evidence.basis import FEWEST_DF, Answer, Basis
from rodhours.evidence.compare_notes import Notes
from rodhours.evidence.fitted import fitted_model
from rodhours.evidence.response import notes as about
from rodhours.evidence.response.line import Line, Slope
from rodhours.evidence.response.recipe_numbers import (
    USUAL,
    columns_that_differ,
    numeric_column,
    recipe_table,
    step_of,
)
from rodhours.evidence.response.result import (
    BENDS,
    BENT,
    FALLS,
    LEVEL,
    MARGIN,
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
from rodhours.evidence.result import CAUTION, INFORMATION, SERIOUS, order_notes
from rodhours.evidence.results import ALL_TRIPS, SAME_TRIPS
from rodhours.evidence.session_model.data import Floats
from rodhours.evidence.stints import Stints, prepare, require_confidence, require_frame
from rodhours.evidence.trips import (
    FEWEST_SAME_TRIP_DF,
    FEWEST_SESSIONS,
    same_trip_rows,
    session_table,
)
from rodhours.evidence.verdicts import FEWEST_FISH, WIDEST

MOST = 3
"""Ingredients that a report answers for."""
_CURVE_STEPS = 20


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
    require_confidence(confidence)
    for needed in ("variant", "hours", "fish"):
        if needed not in stints.columns:
            raise UsageError(f"The frame of stints has no column '{needed}'.")
    require_frame(recipes, "Recipes")
    table = recipe_table(recipes)
    numbers = numeric_column(table, column)
    value_of_row = stints["variant"].map(numbers.to_dict()).to_numpy(dtype="float64")
    known = ~np.isnan(value_of_row)
    _refuse_one_value(column, value_of_row[known])
    notes = Notes()
    about.missing(notes, column, stints[~known])
    stints = stints[known]
    prepared = prepare(stints, (adjust,) if isinstance(adjust, str) else tuple(adjust))
    for left in prepared.left_out:
        notes.add("stints_left_out", CAUTION, **left)
    value = np.array([numbers.get(name, np.nan) for name in prepared.variants], dtype="float64")
    step, chosen = step_of(column, _refuse_one_value(column, value[prepared.variant]), per)
    if chosen:
        notes.add("step_chosen", INFORMATION, column=column, per=step)
    everything = _line(prepared, value, reference, same_trips=False)
    same, reason = _same_trips(prepared, value, reference, notes)
    lines = {ALL_TRIPS: everything} if same is None else {SAME_TRIPS: same, ALL_TRIPS: everything}
    basis, line = next(iter(lines.items()))
    alpha = 1.0 - confidence
    all_slope = everything.slope(alpha)
    slope = all_slope if same is None else same.slope(alpha)
    bent = None if slope.low is None or slope.high is None else line.bend()
    lack = None
    if slope.log_ratio is not None and line.df >= FEWEST_DF:
        shown = line.straight if bent is None or line.bent is None else line.bent
        if (found := line.lack_of_fit(shown)) is not None:
            lack = LackOfFit(STRAIGHT if bent is None else BENT, *found, float(chi2.sf(*found)))
    about.recipes(notes, column, table, line)
    if reason:
        why = {"reason": reason, "contrasting_sessions": everything.contrasting_sessions}
        notes.add("not_same_trips", SERIOUS, column=column, **why)
    about.fit(notes, column, line, slope)
    if same is not None:
        about.beside_all_trips(notes, column, step, (line, slope), (everything, all_slope))
    if step > line.span * (1 + 1e-9):
        notes.add("step_beyond_range", CAUTION, column=column, per=step, span=line.span)
    if len(line.values) == 2:
        notes.add("two_values", INFORMATION, column=column, values=line.values.tolist())
    if bent is not None:
        notes.add("bend", CAUTION, p_value=bent.p_value)
    if lack is not None and lack.is_poor:
        notes.add("lack_of_fit", CAUTION, line=lack.line, p_value=lack.p_value)
    notes.columns(
        prepared,
        everything.adjusted_columns if everything.fish else None,
        None if same is None else same.variants.covariate_of,
    )
    if same is not None:
        notes.rods(stints, prepared.adjusted_for)
    reference_value = float(value[line.variants.reference])
    return ResponseResult(
        column=column,
        unit=USUAL.get(column, (None,))[0],
        per=step,
        confidence=1.0 - alpha,
        adjusted_for=prepared.adjusted_for,
        basis=basis,
        **vars(_estimate(line, slope, step)),
        verdict=verdict(slope, line.fish, bends=bent is not None),
        values=tuple(float(one) for one in line.values),
        reference_value=reference_value,
        reference_variant=prepared.variants[line.variants.reference],
        all_trips=_estimate(everything, all_slope, step),
        bent=bent,
        lack_of_fit=lack,
        curve=_curve(line, slope, bent, reference_value, alpha),
        points=_points(line, value, alpha),
        models=tuple(fitted_model(name, one) for name, one in lines.items()),
        notes=order_notes(notes),
    )


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


def _line(stints: Stints, value: Floats, reference: str | None, *, same_trips: bool) -> Line:
    """The line of these rows; its reference variant is the one asked for, where that has caught a
    fish, else the lowest that has.

    Of several at one value the one with most rod-hours; on the same-trip basis one that was in at
    least 4 sessions, where there is one. `value` is the ingredient by variant code.
    """
    present = np.unique(stints.variant)
    table = session_table(stints)
    fish = np.bincount(stints.variant, stints.fish, len(stints.variants))
    usable = present[fish[present] > 0]
    often = usable[table.fished.sum(axis=0)[usable] >= FEWEST_SESSIONS]
    usable = often if len(often) else usable if len(usable) else present
    hours = table.hours.sum(axis=0)
    asked = [one for one in usable if stints.variants[one] == reference]
    code = min(asked or usable, key=lambda one: (value[one], -hours[one]))
    basis = Basis.of(stints, int(code), same_trips=same_trips)
    return Line(basis, value[stints.variant], same_trips)


def _same_trips(
    stints: Stints, value: Floats, reference: str | None, notes: Notes
) -> tuple[Line | None, str]:
    """The same-trip line, and why it does not exist ('' where it does).

    Of several sets of linked variants with at least two values each, the one with most rod-hours
    on trips that had two or more of them.
    """
    table = session_table(stints)
    best: np.ndarray | None = None
    most = 0.0
    seen = np.zeros(len(value), dtype=bool)
    for one in np.unique(stints.variant):
        if seen[one]:
            continue
        linked = table.linked_to(int(one))
        seen |= linked
        rows = same_trip_rows(stints, table, linked)
        hours = float(stints.hours[rows].sum())
        if len(np.unique(value[stints.variant[rows]])) >= 2 and hours > most:
            best, most = rows, hours
    if best is None:
        return None, "unlinked"
    line = _line(stints.take(best), value, reference, same_trips=True)
    if line.contrasting_sessions < FEWEST_SESSIONS:
        return None, "few_sessions"
    if line.df < FEWEST_SAME_TRIP_DF:
        return None, "few_df"
    left = np.setdiff1d(stints.variant, line.stints.variant)
    if len(left):
        names = [stints.variants[one] for one in left]
        notes.add("variants_not_linked", INFORMATION, variants=names)
    return line, ""


def _estimate(line: Line, slope: Slope, per: float) -> StepEstimate:
    ratio, low, high = (
        None if value is None else exp(value * per / line.span)
        for value in (slope.log_ratio, slope.low, slope.high)
    )
    return StepEstimate(
        ratio,
        low,
        high,
        slope.p_value,
        fish=line.fish,
        rod_hours=float(line.stints.hours.sum()),
        sessions=line.sessions,
        contrasting_sessions=line.contrasting_sessions,
    )


def _curve(
    line: Line, slope: Slope, bent: Bend | None, reference: float, alpha: float
) -> tuple[CurvePoint, ...]:
    """The line shown, at even steps over the range and at every value that was fished."""
    if slope.log_ratio is None:
        return ()
    even = np.linspace(line.values[0], line.values[-1], _CURVE_STEPS + 1)
    where = np.unique(np.concatenate((even, line.values)))
    # Even steps that fall on a value but for rounding.
    where = where[np.append(True, np.diff(where) > 1e-9 * line.span)]
    points = []
    for value in (float(one) for one in where):
        here, share = slope, (value - reference) / line.span
        if abs(share) <= 1e-9:
            points.append(CurvePoint(reference, 1.0, 1.0, 1.0))
            continue
        if bent is not None:
            here, share = line.bent_ratio(value, reference, alpha), 1.0
        # Below the reference the band of a straight line turns over.
        low, high = (here.low, here.high)[:: 1 if share > 0 else -1]
        points.append(
            CurvePoint(
                value,
                exp(share * (here.log_ratio or 0.0)),
                None if low is None else exp(share * low),
                None if high is None else exp(share * high),
            )
        )
    return tuple(points)


def _points(line: Line, value: Floats, alpha: float) -> tuple[VariantPoint, ...]:
    basis, variants = line.variants, line.stints.variants
    sessions = session_table(line.stints).fished.sum(axis=0)
    points = []
    present = np.unique(line.stints.variant)
    for one in sorted(present, key=lambda one: (value[one], variants[one])):
        answer = Answer()
        enough = min(sessions[one], sessions[basis.reference]) >= FEWEST_SESSIONS
        if one == basis.reference and basis.fish[one] > 0:
            answer = Answer(1.0)
        elif enough or not line.same_trips:
            answer = basis.answer(int(one), alpha, alpha)
        points.append(
            VariantPoint(
                variants[one],
                float(value[one]),
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
    return LEVEL if max(-slope.low, slope.high) <= log(MARGIN) else UNSETTLED
