"""An ingredient's answer: same trips and all trips, curve, the variants' own points, notes.

The same-trip answer is the headline wherever it exists, as in a comparison of variants.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import exp, log
from typing import Any

import numpy as np
import pandas as pd
from scipy.stats import chi2

from rodhours import __version__
from rodhours.errors import UsageError
from rodhours.evidence.basis import FEWEST_DF, Basis
from rodhours.evidence.comparison_notes import MORE_THAN_CHANCE, NoteWriter
from rodhours.evidence.ingredients.line import Line, Slope
from rodhours.evidence.ingredients.recipes import (
    numeric_column,
    other_columns,
    recipe_table,
    step_of,
)
from rodhours.evidence.ingredients.results import (
    Bend,
    CurvePoint,
    LackOfFit,
    ResponseNote,
    ResponseResult,
    StepEstimate,
    VariantPoint,
)
from rodhours.evidence.results import ALL_TRIPS, SAME_TRIPS, FittedModel, Note
from rodhours.evidence.session_model.data import Floats
from rodhours.evidence.severities import CAUTION, INFORMATION, SERIOUS, order_notes
from rodhours.evidence.stints import Stints, prepare
from rodhours.evidence.trips import FEWEST_SESSIONS, same_trip_rows, session_table
from rodhours.evidence.verdicts import FEWEST_FISH, WIDEST

RISES, FALLS, BENDING, LEVEL = "rises", "falls", "bends", "level"
UNSETTLED, TOO_LITTLE = "unsettled", "too little to say"
MARGIN = 1.25
"""A line whose ends are within this many times of each other is level."""
BENDS = 0.05
"""A bend is shown where its p is below this."""
POOR_FIT = 0.05
FEWEST_SAME_TRIP_DF = 4
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

    Returns the frozen result. Raises UsageError (a ValueError) for anything asked for that is not
    there, for a column of words, and where the rows have fewer than two values of the column.
    """
    if not 0.0 < confidence < 1.0:
        raise UsageError(f"Confidence is between 0 and 1, such as 0.95, not {confidence}.")
    for needed in ("variant", "hours", "fish"):
        if needed not in stints.columns:
            raise UsageError(f"The frame of stints has no column '{needed}'.")
    table = recipe_table(recipes)
    numbers = numeric_column(table, column)
    value_of_row = stints["variant"].map(numbers.to_dict()).to_numpy(dtype="float64")
    known = ~np.isnan(value_of_row)
    fished = np.unique(value_of_row[known])
    if len(fished) < 2:
        raise UsageError(_too_few_values(column, fished))
    notes = _Notes()
    notes.missing(column, stints[~known])
    prepared = prepare(stints[known], (adjust,) if isinstance(adjust, str) else tuple(adjust))
    for left in prepared.left_out:
        notes.stints_left_out(left)
    value = np.array([numbers.get(name, np.nan) for name in prepared.variants], dtype="float64")
    left_values = np.unique(value[prepared.variant])
    if len(left_values) < 2:
        raise UsageError(_too_few_values(column, left_values))
    step, chosen = step_of(column, [float(one) for one in left_values], per)
    if chosen:
        notes.add("step_chosen", INFORMATION, column=column, per=step)
    return _Work(prepared, value, column, step, 1.0 - confidence, table, notes).run()


def _too_few_values(column: str, values: Floats) -> str:
    held = f"only {values[0]:g}" if len(values) else "none"
    return (
        f"The stints chosen have fewer than two values of '{column}' ({held}), so there is nothing "
        "to compare it with. Fish baits that differ in it."
    )


@dataclass
class _Notes(NoteWriter):
    """Collects the notes of one answer."""

    notes: list[Note] = field(default_factory=list)

    def add(self, code: str, severity: str, **numbers: Any) -> None:
        self.notes.append(ResponseNote(code, None, severity, numbers))

    def _add(self, code: str, severity: str, variant: str | None = None, **numbers: Any) -> None:
        self.add(code, severity, **numbers)

    def missing(self, column: str, rows: pd.DataFrame) -> None:
        """Stints of variants whose recipe does not give the column."""
        if rows.empty:
            return
        self.add(
            "recipe_missing",
            CAUTION,
            column=column,
            variants=sorted({str(one) for one in rows["variant"].dropna()}),
            stints=len(rows),
            rod_hours=float(pd.to_numeric(rows["hours"], errors="coerce").sum()),
            fish=int(pd.to_numeric(rows["fish"], errors="coerce").sum()),
        )


@dataclass(frozen=True)
class _Work:
    """One answer under way; `value` is the ingredient by variant code."""

    stints: Stints
    value: Floats
    column: str
    per: float
    alpha: float
    recipes: pd.DataFrame
    notes: _Notes

    def run(self) -> ResponseResult:
        everything = self._line(np.ones(len(self.stints), dtype=bool), same_trips=False)
        same, reason = self._same_trips()
        basis, line = (ALL_TRIPS, everything) if same is None else (SAME_TRIPS, same)
        all_slope = everything.slope(self.alpha)
        slope = all_slope if same is None else same.slope(self.alpha)
        bent = self._bend(line, slope)
        lack = self._lack_of_fit(line, slope, bent)
        low, high = _limits(slope, line, self.per)
        self._notes(line, same, reason, slope, all_slope, everything)
        if bent is not None:
            self.notes.add("bend", CAUTION, p_value=bent.p_value)
        if lack is not None and lack.p_value < POOR_FIT:
            self.notes.add("lack_of_fit", CAUTION, line=lack.line, p_value=lack.p_value)
        used = (
            {ALL_TRIPS: everything} if same is None else {SAME_TRIPS: same, ALL_TRIPS: everything}
        )
        reference = line.variants.reference
        return ResponseResult(
            column=self.column,
            unit=UNITS.get(self.column),
            per=self.per,
            confidence=1.0 - self.alpha,
            adjusted_for=self.stints.adjusted_for,
            basis=basis,
            rate_ratio=_ratio(slope, line, self.per),
            conf_low=low,
            conf_high=high,
            p_value=slope.p_value,
            verdict=verdict(slope, int(line.stints.fish.sum()), bends=bent is not None),
            fish=int(line.stints.fish.sum()),
            rod_hours=float(line.stints.hours.sum()),
            sessions=line.sessions,
            contrasting_sessions=line.contrasting_sessions,
            values=tuple(float(one) for one in line.values),
            reference_value=float(self.value[reference]),
            reference_variant=self.stints.variants[reference],
            all_trips=self._estimate(everything, all_slope),
            bent=bent,
            lack_of_fit=lack,
            curve=self._curve(line, slope, bent),
            points=self._points(line),
            models=tuple(_model(name, one) for name, one in used.items()),
            version=__version__,
            notes=order_notes(self.notes.notes),
        )

    def _line(self, rows: np.ndarray, *, same_trips: bool) -> Line:
        """The line of these rows; its reference variant is the lowest that has caught a fish.

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
        reference = min(usable, key=lambda one: (self.value[one], -hours[one]))
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
            self.notes.add(
                "variants_not_linked",
                INFORMATION,
                variants=[self.stints.variants[one] for one in left],
            )
        return line, ""

    def _estimate(self, line: Line, slope: Slope) -> StepEstimate:
        low, high = _limits(slope, line, self.per)
        return StepEstimate(
            _ratio(slope, line, self.per),
            low,
            high,
            slope.p_value,
            fish=int(line.stints.fish.sum()),
            rod_hours=float(line.stints.hours.sum()),
            sessions=line.sessions,
            contrasting_sessions=line.contrasting_sessions,
        )

    def _bend(self, line: Line, slope: Slope) -> Bend | None:
        if slope.log_ratio is None or slope.low is None or slope.high is None:
            return None
        p = line.bend_p
        if p is None or p >= BENDS:
            return None
        turning = line.turning_point
        if turning is None:
            return Bend(p, None, None)
        return Bend(p, "peak" if turning[1] else "dip", turning[0])

    def _lack_of_fit(self, line: Line, slope: Slope, bent: Bend | None) -> LackOfFit | None:
        if slope.log_ratio is None or line.df < FEWEST_DF:
            return None
        found = line.lack_of_fit(bent=bent is not None)
        if found is None:
            return None
        statistic, df = found
        name = "straight" if bent is None else "bent"
        return LackOfFit(name, statistic, df, float(chi2.sf(statistic, df)))

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
            ratio: float | None = None
            low: float | None = None
            high: float | None = None
            enough = min(sessions[one], sessions[basis.reference]) >= FEWEST_SESSIONS
            if one == basis.reference and basis.fish[one] > 0:
                ratio = 1.0
            elif basis.fish.sum() > 0 and (enough or not line.same_trips):
                answer = basis.answer(int(one), self.alpha, self.alpha)
                ratio, low, high = answer.rate_ratio, answer.conf_low, answer.conf_high
            points.append(
                VariantPoint(
                    self.stints.variants[one],
                    float(self.value[one]),
                    ratio,
                    low,
                    high,
                    fish=int(basis.fish[one]),
                    rod_hours=float(basis.rod_hours[one]),
                    sessions=int(sessions[one]),
                )
            )
        return tuple(points)

    def _notes(
        self,
        line: Line,
        same: Line | None,
        reason: str,
        slope: Slope,
        all_slope: Slope,
        everything: Line,
    ) -> None:
        notes, column = self.notes, self.column
        present = np.unique(line.stints.variant)
        others = other_columns(
            self.recipes,
            column,
            [self.stints.variants[one] for one in present],
            line.variants.rod_hours[present],
        )
        for other, correlation in others.together:
            notes.add(
                "moves_together", SERIOUS, other=other, column=column, correlation=correlation
            )
        if others.different:
            notes.add(
                "other_differences", INFORMATION, column=column, columns=list(others.different)
            )
        if reason:
            notes.add(
                "not_same_trips",
                SERIOUS,
                column=column,
                reason=reason,
                contrasting_sessions=everything.contrasting_sessions,
            )
        fish = int(line.stints.fish.sum())
        if fish == 0:
            notes.add("no_fish", SERIOUS, rod_hours=float(line.stints.hours.sum()))
        elif not line.converged:
            notes.add("no_fit", SERIOUS, basis=SAME_TRIPS if line.same_trips else ALL_TRIPS)
        elif line.df < FEWEST_DF:
            notes.add("too_few_trips", SERIOUS, sessions=line.sessions)
        if same is not None and everything.stints.fish.sum() > 0 and not everything.converged:
            notes.add("no_fit", CAUTION, basis=ALL_TRIPS)
        if slope.runs_off:
            notes.add(
                "runs_off",
                CAUTION,
                column=column,
                end="lowest" if slope.runs_off < 0 else "highest",
                value=float(line.values[0 if slope.runs_off < 0 else -1]),
            )
        self._few_fish(line, fish)
        if self.per > line.span * (1 + 1e-9):
            notes.add("step_beyond_range", CAUTION, column=column, per=self.per, span=line.span)
        if len(line.values) == 2:
            notes.add(
                "two_values", INFORMATION, column=column, values=[float(v) for v in line.values]
            )
        if same is not None:
            self._favourite_conditions(slope, line, all_slope, everything)
        for name in self.stints.adjusted_for:
            if fish and name not in everything.adjusted_columns:
                covariate_of = self.stints.covariate_of
                constant = name not in covariate_of or not np.ptp(
                    self.stints.covariates[:, covariate_of.index(name)]
                )
                notes.column_not_used(name, constant=bool(constant))
            elif same is not None and name not in same.variants.covariate_of:
                notes.column_constant_within_trips(name)
        notes.rods(
            logged=bool((self.stints.rod >= 0).any()),
            adjusted="rod" in self.stints.adjusted_for,
            same_trips=same is not None,
        )

    def _few_fish(self, line: Line, fish: int) -> None:
        middle = float(line.values[0] + line.values[-1]) / 2.0
        below, above = (
            int(line.fish_at[side].sum()) for side in (line.values < middle, line.values > middle)
        )
        if fish > 0 and min(below, above) < FEWEST_FISH:
            self.notes.add(
                "few_fish",
                SERIOUS if fish < FEWEST_FISH else CAUTION,
                column=self.column,
                middle=middle,
                below=below,
                above=above,
            )

    def _favourite_conditions(
        self, slope: Slope, line: Line, all_slope: Slope, everything: Line
    ) -> None:
        """Whether the two bases differ by more than chance, as in a comparison."""
        if None in (slope.log_ratio, all_slope.log_ratio, slope.spread, all_slope.spread):
            return
        assert slope.log_ratio is not None and all_slope.log_ratio is not None  # noqa: PT018
        assert slope.spread is not None and all_slope.spread is not None  # noqa: PT018
        one, other = (self.per / part.span for part in (line, everything))
        square = (one * slope.spread) ** 2 - (other * all_slope.spread) ** 2
        spread = float(np.sqrt(square)) if square > 0 else one * slope.spread
        if spread <= 0:
            return
        same_ratio, all_ratio = exp(one * slope.log_ratio), exp(other * all_slope.log_ratio)
        z = (log(all_ratio) - log(same_ratio)) / spread
        if abs(z) > MORE_THAN_CHANCE:
            self.notes.add(
                "favourite_conditions",
                SERIOUS,
                column=self.column,
                per=self.per,
                same_trips_ratio=same_ratio,
                all_trips_ratio=all_ratio,
                z=z,
            )


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
        return BENDING
    if slope.low is None or slope.high is None or slope.high - slope.low > log(WIDEST):
        return TOO_LITTLE
    if max(-slope.low, slope.high) <= log(MARGIN):
        return LEVEL
    return UNSETTLED


def _ratio(slope: Slope, line: Line, per: float) -> float | None:
    return None if slope.log_ratio is None else exp(slope.log_ratio * per / line.span)


def _limits(slope: Slope, line: Line, per: float) -> tuple[float | None, float | None]:
    low, high = (
        None if limit is None else exp(limit * per / line.span) for limit in (slope.low, slope.high)
    )
    return low, high


def _model(name: str, line: Line) -> FittedModel:
    adjusted = tuple(dict.fromkeys(line.adjusted_columns))
    if line.stints.fish.sum() == 0:
        return FittedModel(name, adjusted, line.sessions, 0, 0, None, None, None)
    best = line.fitted.best
    converged = best.converged
    return FittedModel(
        basis=name,
        adjusted_for=adjusted,
        sessions=line.sessions,
        cells=line.fitted.data.cells,
        df=line.df,
        session_sd=best.s if converged else None,
        clumping=best.t**2 if converged else None,
        log_likelihood=best.value if converged else None,
    )
