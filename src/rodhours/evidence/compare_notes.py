"""What limits a comparison: the notes that follow from its own numbers, worst first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import pandas as pd

from rodhours.evidence.checks.rods import WITHIN_TRIPS
from rodhours.evidence.result import CAUTION, INFORMATION, SERIOUS, Note
from rodhours.evidence.results import ALL_TRIPS, SAME_TRIPS, Comparison
from rodhours.evidence.stints import LeftOut, Stints
from rodhours.evidence.verdicts import AHEAD, BEHIND, FEWEST_FISH, is_small


@dataclass
class NoteWriter:
    """Collects the notes of one comparison."""

    notes: list[Note] = field(default_factory=list)

    def _add(self, code: str, severity: str, variant: str | None = None, **numbers: Any) -> None:
        held: Mapping[str, Any] = numbers
        self.notes.append(Note(code, variant, severity, held))

    def stints_left_out(self, left: LeftOut) -> None:
        self._add("stints_left_out", CAUTION, **vars(left))

    def reference_chosen(self, reference: str, shared_rod_hours: float) -> None:
        numbers = {"reference": reference, "shared_rod_hours": shared_rod_hours}
        self._add("reference_chosen", INFORMATION, None, **numbers)

    def one_variant(self) -> None:
        self._add("one_variant", SERIOUS)

    def no_fit(self, basis: str) -> None:
        self._add("no_fit", SERIOUS, basis=basis)

    def column_not_used(self, column: str, *, constant: bool) -> None:
        self._add(
            "column_not_used",
            CAUTION,
            column=column,
            reason="it is the same on every stint"
            if constant
            else "it goes along with what is compared, and the two cannot be told apart",
        )

    def goes_along(self, variant: str, columns: Sequence[str]) -> None:
        self._add("goes_along", SERIOUS, variant, columns=list(dict.fromkeys(columns)))

    def column_constant_within_trips(self, column: str) -> None:
        self._add("column_constant_within_trips", INFORMATION, column=column)

    def columns(
        self,
        stints: Stints,
        adjusted_columns: Sequence[str] | None,
        same_trips_columns: Sequence[str] | None,
    ) -> None:
        """Columns of adjust that a basis does not use.

        `adjusted_columns` are those in the all-trips design (None: no fish, no design),
        `same_trips_columns` those that vary within a trip (None: no same-trip basis).
        """
        for name in stints.adjusted_for:
            if adjusted_columns is not None and name not in adjusted_columns:
                constant = name not in stints.covariate_of or not np.ptp(
                    stints.covariates[:, stints.covariate_of.index(name)]
                )
                self.column_not_used(name, constant=bool(constant))
            elif same_trips_columns is not None and name not in same_trips_columns:
                self.column_constant_within_trips(name)

    def rods(self, frame: pd.DataFrame, adjusted: Sequence[str]) -> None:
        """Favouritism within a trip, by rod or spot: what a same-trip answer cannot see."""
        logged = [by for by in WITHIN_TRIPS if by in frame.columns and frame[by].notna().any()]
        if not logged:
            self._add("rods_not_logged", CAUTION)
        elif left := [by for by in logged if by not in adjusted]:
            self._add("adjust_by_rod", INFORMATION, columns=left)

    def about(
        self,
        one: Comparison,
        *,
        reason: str,
        margin: float,
        df: int | None,
        fewest_df: int,
    ) -> None:
        """The notes of one comparison.

        `reason` says why there is no same-trip answer ('' where there is, or none was wanted).
        """
        if reason:
            forced = one.basis == SAME_TRIPS
            self._add(
                "no_same_trips" if forced else "not_same_trips",
                SERIOUS,
                one.variant,
                shared_sessions=one.shared_sessions,
                reason=reason,
            )
            if forced:
                # There is no answer that anything else could limit.
                return
        if df is not None and df < fewest_df:
            self._add("too_few_trips", SERIOUS, one.variant, sessions=one.sessions)
        if one.basis == ALL_TRIPS:
            self._hidden_conditions(one)
        self._fish(one)
        if one.basis == SAME_TRIPS and not one.is_direct:
            self._add(
                "mostly_indirect",
                CAUTION,
                one.variant,
                shared_sessions=one.shared_sessions,
                sessions=one.sessions,
            )
        if is_small(one.verdict, one.conf_low, one.conf_high, margin):
            self._add("small_difference", INFORMATION, one.variant, margin=margin)

    def _hidden_conditions(self, one: Comparison) -> None:
        if one.verdict == AHEAD and one.conf_low is not None:
            self._add("hidden_conditions", CAUTION, one.variant, factor=one.conf_low)
        elif one.verdict == BEHIND and one.conf_high is not None:
            self._add("hidden_conditions", CAUTION, one.variant, factor=one.conf_high)

    def _fish(self, one: Comparison) -> None:
        if one.fish == 0:
            self._add("no_fish", CAUTION, one.variant, rod_hours=one.rod_hours)
        if one.reference_fish == 0:
            self._add(
                "no_fish_on_reference", CAUTION, one.variant, rod_hours=one.reference_rod_hours
            )
        if one.fish + one.reference_fish > 0 and min(one.fish, one.reference_fish) < FEWEST_FISH:
            self._add(
                "few_fish",
                SERIOUS if one.fish + one.reference_fish < FEWEST_FISH else CAUTION,
                one.variant,
                fish=one.fish,
                reference_fish=one.reference_fish,
            )
