"""What limits the answer about an ingredient: the notes that follow from its own numbers."""

from __future__ import annotations

from math import exp, sqrt

import numpy as np
import pandas as pd

from rodhours.evidence.basis import FEWEST_DF
from rodhours.evidence.compare_notes import Notes
from rodhours.evidence.response.line import Line, Slope
from rodhours.evidence.response.recipe_numbers import other_columns
from rodhours.evidence.result import CAUTION, INFORMATION, SERIOUS
from rodhours.evidence.results import ALL_TRIPS, SAME_TRIPS
from rodhours.evidence.verdicts import FEWEST_FISH

MORE_THAN_CHANCE = 2.0


def missing(notes: Notes, column: str, rows: pd.DataFrame) -> None:
    """Stints of variants whose recipe does not give the column."""
    if rows.empty:
        return
    hours, fish = (pd.to_numeric(rows[name], errors="coerce").sum() for name in ("hours", "fish"))
    notes.add(
        "recipe_missing",
        CAUTION,
        column=column,
        variants=sorted({str(one) for one in rows["variant"].dropna()}),
        stints=len(rows),
        rod_hours=float(hours),
        fish=int(fish),
    )


def recipes(notes: Notes, column: str, table: pd.DataFrame, line: Line) -> None:
    """What else differs between the variants of the answer's rows."""
    present = np.unique(line.stints.variant)
    names = [line.stints.variants[one] for one in present]
    together, different = other_columns(table, column, names, line.variants.rod_hours[present])
    for other, correlation in together:
        along = {"other": other, "column": column, "correlation": correlation}
        notes.add("moves_together", SERIOUS, **along)
    if different:
        notes.add("other_differences", INFORMATION, column=column, columns=different)


def fit(notes: Notes, column: str, line: Line, slope: Slope) -> None:
    """Whether there is an answer at all, and from how many fish."""
    fish = line.fish
    if fish == 0:
        notes.add("no_fish", SERIOUS, rod_hours=float(line.stints.hours.sum()))
        return
    if not line.converged:
        notes.add("no_fit", SERIOUS, basis=SAME_TRIPS if line.same_trips else ALL_TRIPS)
    elif line.df < FEWEST_DF:
        notes.add("too_few_trips", SERIOUS, sessions=line.sessions)
    if slope.runs_off:
        end = "lowest" if slope.runs_off < 0 else "highest"
        notes.add("runs_off", CAUTION, column=column, end=end)
    middle = float(line.values[0] + line.values[-1]) / 2.0
    below, above = (
        int(line.fish_at[side].sum()) for side in (line.values < middle, line.values > middle)
    )
    if min(below, above) < FEWEST_FISH:
        weight = SERIOUS if fish < FEWEST_FISH else CAUTION
        notes.add("few_fish", weight, column=column, middle=middle, below=below, above=above)


def beside_all_trips(
    notes: Notes, column: str, per: float, same: tuple[Line, Slope], everything: tuple[Line, Slope]
) -> None:
    """Whether the same trips and all trips differ by more than chance, as in a comparison."""
    if everything[0].fish and not everything[0].converged:
        notes.add("no_fit", SERIOUS, basis=ALL_TRIPS)
    one, other = (
        [
            None if value is None else per / line.span * value
            for value in (slope.log_ratio, slope.spread)
        ]
        for line, slope in (same, everything)
    )
    if one[0] is None or other[0] is None or not one[1] or other[1] is None:
        return
    # The all-trips estimate is the more precise one where both are right, so that the variance of
    # the difference is that of the variances (Hausman 1978, Econometrica 46:1251-71).
    square = one[1] ** 2 - other[1] ** 2
    z = (other[0] - one[0]) / (sqrt(square) if square > 0 else one[1])
    if abs(z) > MORE_THAN_CHANCE:
        ratios = {"same_trips_ratio": exp(one[0]), "all_trips_ratio": exp(other[0])}
        notes.add("favourite_conditions", CAUTION, column=column, per=per, **ratios, z=z)
