"""What limits a comparison: the notes that follow from its own numbers, worst first."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import pandas as pd

from rodhours.evidence.checks.rods import WITHIN_TRIPS
from rodhours.evidence.result import CAUTION, INFORMATION, SERIOUS, Note
from rodhours.evidence.results import ALL_TRIPS, SAME_TRIPS, Comparison
from rodhours.evidence.stints import Stints
from rodhours.evidence.verdicts import AHEAD, BEHIND, FEWEST_FISH, is_small


class Notes(list[Note]):
    """The notes of one answer, as they are found."""

    def add(self, code: str, severity: str, variant: str | None = None, /, **numbers: Any) -> None:
        """One more."""
        self.append(Note(code, variant, severity, numbers))

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
                of = stints.covariate_of
                varies = name in of and np.ptp(stints.covariates[:, of.index(name)]) > 0
                reason = (
                    "it goes along with what is compared, and the two cannot be told apart"
                    if varies
                    else "it is the same on every stint"
                )
                self.add("column_not_used", CAUTION, column=name, reason=reason)
            elif same_trips_columns is not None and name not in same_trips_columns:
                self.add("column_constant_within_trips", INFORMATION, column=name)

    def rods(self, frame: pd.DataFrame, adjusted: Sequence[str]) -> None:
        """Favouritism within a trip, by rod or spot: what a same-trip answer cannot see."""
        logged = [by for by in WITHIN_TRIPS if by in frame.columns and frame[by].notna().any()]
        if not logged:
            self.add("rods_not_logged", CAUTION)
        elif left := [by for by in logged if by not in adjusted]:
            self.add("adjust_by_rod", INFORMATION, columns=left)

    def about(self, one: Comparison, reason: str, margin: float, few_trips: bool) -> None:
        """The notes of one comparison.

        `reason` says why there is no same-trip answer ('' where there is, or none was wanted),
        `few_trips` that there are too few for any.
        """
        if reason:
            forced = one.basis == SAME_TRIPS
            code = "no_same_trips" if forced else "not_same_trips"
            shared = one.shared_sessions
            self.add(code, SERIOUS, one.variant, shared_sessions=shared, reason=reason)
            if forced:
                # There is no answer that anything else could limit.
                return
        if few_trips:
            self.add("too_few_trips", SERIOUS, one.variant, sessions=one.sessions)
        nearer = {AHEAD: one.conf_low, BEHIND: one.conf_high}.get(one.verdict)
        if one.basis == ALL_TRIPS and nearer is not None:
            self.add("hidden_conditions", CAUTION, one.variant, factor=nearer)
        if one.fish == 0:
            self.add("no_fish", CAUTION, one.variant, rod_hours=one.rod_hours)
        if one.reference_fish == 0:
            hours = one.reference_rod_hours
            self.add("no_fish_on_reference", CAUTION, one.variant, rod_hours=hours)
        fish = one.fish, one.reference_fish
        if sum(fish) > 0 and min(fish) < FEWEST_FISH:
            weight = SERIOUS if sum(fish) < FEWEST_FISH else CAUTION
            self.add("few_fish", weight, one.variant, fish=fish[0], reference_fish=fish[1])
        if one.basis == SAME_TRIPS and not one.is_direct:
            of = {"shared_sessions": one.shared_sessions, "sessions": one.sessions}
            self.add("mostly_indirect", CAUTION, one.variant, **of)
        if is_small(one.verdict, one.conf_low, one.conf_high, margin):
            self.add("small_difference", INFORMATION, one.variant, margin=margin)
