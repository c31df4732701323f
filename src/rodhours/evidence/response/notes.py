"""What limits the answer about an ingredient: the notes that follow from its own numbers."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp, log

import numpy as np
import pandas as pd

from rodhours.evidence.basis import FEWEST_DF
from rodhours.evidence.compare_notes import NoteWriter
from rodhours.evidence.fitted import spread_of_difference
from rodhours.evidence.response.line import Line, Slope
from rodhours.evidence.response.recipe_numbers import other_columns
from rodhours.evidence.response.result import LackOfFit
from rodhours.evidence.result import CAUTION, INFORMATION, SERIOUS
from rodhours.evidence.results import ALL_TRIPS, SAME_TRIPS
from rodhours.evidence.verdicts import FEWEST_FISH

MORE_THAN_CHANCE = 2.0


class ResponseNotes(NoteWriter):
    """Collects the notes of one answer; those that any answer has are a comparison's."""

    def __init__(self, column: str) -> None:
        super().__init__()
        self.column = column

    def missing(self, rows: pd.DataFrame) -> None:
        """Stints of variants whose recipe does not give the column."""
        if rows.empty:
            return
        self._add(
            "recipe_missing",
            CAUTION,
            column=self.column,
            variants=sorted({str(one) for one in rows["variant"].dropna()}),
            stints=len(rows),
            rod_hours=float(pd.to_numeric(rows["hours"], errors="coerce").sum()),
            fish=int(pd.to_numeric(rows["fish"], errors="coerce").sum()),
        )

    def step_chosen(self, per: float) -> None:
        self._add("step_chosen", INFORMATION, column=self.column, per=per)

    def variants_not_linked(self, variants: Sequence[str]) -> None:
        self._add("variants_not_linked", INFORMATION, variants=list(variants))

    def not_same_trips(self, reason: str, contrasting_sessions: int) -> None:
        self._add(
            "not_same_trips",
            SERIOUS,
            column=self.column,
            reason=reason,
            contrasting_sessions=contrasting_sessions,
        )

    def recipes(self, table: pd.DataFrame, line: Line) -> None:
        """What else differs between the variants of the answer's rows."""
        present = np.unique(line.stints.variant)
        others = other_columns(
            table,
            self.column,
            [line.stints.variants[one] for one in present],
            line.variants.rod_hours[present],
        )
        for other, correlation in others.together:
            self._add(
                "moves_together",
                SERIOUS,
                other=other,
                column=self.column,
                correlation=correlation,
            )
        if others.different:
            self._add(
                "other_differences",
                INFORMATION,
                column=self.column,
                columns=list(others.different),
            )

    def fit(self, line: Line, slope: Slope) -> None:
        """Whether there is an answer at all, and from how many fish."""
        fish = line.fish
        if fish == 0:
            self._add("no_fish", SERIOUS, rod_hours=float(line.stints.hours.sum()))
            return
        if not line.converged:
            self.no_fit(SAME_TRIPS if line.same_trips else ALL_TRIPS)
        elif line.df < FEWEST_DF:
            self._add("too_few_trips", SERIOUS, sessions=line.sessions)
        if slope.runs_off:
            low = slope.runs_off < 0
            self._add("runs_off", CAUTION, column=self.column, end="lowest" if low else "highest")
        middle = float(line.values[0] + line.values[-1]) / 2.0
        below, above = (
            int(line.fish_at[side].sum()) for side in (line.values < middle, line.values > middle)
        )
        if min(below, above) < FEWEST_FISH:
            self._add(
                "few_fish",
                SERIOUS if fish < FEWEST_FISH else CAUTION,
                column=self.column,
                middle=middle,
                below=below,
                above=above,
            )

    def step_and_range(self, line: Line, per: float) -> None:
        """A step beyond what was fished, and a range without anything between its ends."""
        if per > line.span * (1 + 1e-9):
            self._add("step_beyond_range", CAUTION, column=self.column, per=per, span=line.span)
        if len(line.values) == 2:
            self._add(
                "two_values",
                INFORMATION,
                column=self.column,
                values=[float(one) for one in line.values],
            )

    def lack_of_fit(self, lack: LackOfFit) -> None:
        """Baits that lie far from the line."""
        self._add("lack_of_fit", CAUTION, p_value=lack.p_value)

    def beside_all_trips(
        self, slope: Slope, line: Line, all_slope: Slope, everything: Line, per: float
    ) -> None:
        """Whether the same trips and all trips differ by more than chance, as in a comparison."""
        if everything.fish and not everything.converged:
            self.no_fit(ALL_TRIPS)
        one, other = slope.log_ratio, all_slope.log_ratio
        steps, all_steps = per / line.span, per / everything.span
        own, wide = slope.spread, all_slope.spread
        spread = spread_of_difference(
            None if own is None else steps * own, None if wide is None else all_steps * wide
        )
        if one is None or other is None or not spread:
            return
        same_ratio, all_ratio = exp(steps * one), exp(all_steps * other)
        z = (log(all_ratio) - log(same_ratio)) / spread
        if abs(z) > MORE_THAN_CHANCE:
            self._add(
                "favourite_conditions",
                CAUTION,
                column=self.column,
                per=per,
                same_trips_ratio=same_ratio,
                all_trips_ratio=all_ratio,
                z=z,
            )
