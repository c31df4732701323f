"""From a frame of stints to arrays: checked, coded, rows of one stint added up, covariates built.

A session is known by angler and session together. Rows of one session with the same rod, variant
and covariates are one stint; without a rod each row is a stint of its own.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
import pandas as pd

from rodhours.errors import UsageError
from rodhours.evidence.darkness import NIGHT
from rodhours.evidence.dates import dates_of
from rodhours.evidence.session_model.data import Floats, Integers
from rodhours.near import unknown_name

NO_NIGHT = (
    "'night' needs cast_in and cast_out, and where that was: latitude and longitude of the "
    "sessions, or --at with both."
)
DERIVED = ("month", "time_of_year")
"""Covariates made from the date."""

_ALWAYS_TEXT = ("rod", "month")
_YEAR_DAYS = 365.25


@dataclass(frozen=True)
class Stints:
    """Stints as arrays, one entry each; `covariates` (stints, q) with the column each came from.

    `session` and `variant` are codes into the names; `rod` is -1 where no rod was logged.
    `first_row` is the place in the frame of the first row of each session code; `left_out` are,
    by column, the stints that lack a covariate: stints, rod_hours and fish.
    """

    session: Integers
    variant: Integers
    rod: Integers
    hours: Floats
    fish: Floats
    covariates: Floats
    covariate_of: tuple[str, ...]
    variants: tuple[str, ...]
    adjusted_for: tuple[str, ...]
    left_out: tuple[Mapping[str, Any], ...]
    rod_names: tuple[str, ...]
    first_row: Integers

    def __len__(self) -> int:
        return len(self.hours)

    def take(self, chosen: np.ndarray) -> Stints:
        """The chosen stints (a mask or indices); names and codes stay."""
        return replace(
            self,
            session=self.session[chosen],
            variant=self.variant[chosen],
            rod=self.rod[chosen],
            hours=self.hours[chosen],
            fish=self.fish[chosen],
            covariates=self.covariates[chosen],
        )

    def code_of(self, variant: str) -> int:
        """The code of a variant; UsageError with a suggestion where there is none of that name."""
        name = str(variant)  # Labels may be numbers, and are texts from here on.
        if name in self.variants:
            return self.variants.index(name)
        raise UsageError(unknown_name("variant", name, self.variants))


def prepare(frame: pd.DataFrame, adjust: Sequence[str] = ()) -> Stints:
    """Check a frame of stints and turn it into arrays.

    `frame` has one row a stint with `session`, `variant`, `hours` (> 0, any unit) and `fish`
    (whole, >= 0), and the columns named in `adjust` (`month` and `time_of_year` are derived
    from `date`). UsageError names a missing column or a value that is out of bounds.
    """
    hours, fish = _hours_and_fish(frame)
    variant, names = pd.factorize(frame["variant"].to_numpy(dtype=object), sort=True)
    _refuse(frame, "variant", frame["variant"].to_numpy(), variant < 0, "a variant on every stint")
    session = session_codes(frame)
    rod, rods = np.full(len(frame), -1), np.empty(0, dtype=object)
    if "rod" in frame.columns:
        rod, rods = pd.factorize(frame["rod"].to_numpy(dtype=object), sort=True)
    wanted = tuple(dict.fromkeys(adjust))
    columns, column_of, missing = _covariates(frame, wanted)
    left_out: tuple[dict[str, Any], ...] = tuple(
        {
            "column": column,
            "stints": int(lacks.sum()),
            "rod_hours": float(hours[lacks].sum()),
            "fish": int(fish[lacks].sum()),
        }
        for column, lacks in missing.items()
        if lacks.any()
    )
    stints = Stints(
        session,
        variant.astype(np.int64),
        rod.astype(np.int64),
        hours,
        fish,
        columns,
        column_of,
        tuple(str(one) for one in names),
        wanted,
        left_out,
        tuple(str(one) for one in rods),
        np.unique(session, return_index=True)[1],
    )
    if left_out:
        kept = ~np.any(list(missing.values()), axis=0)
        if not kept.any():
            lacking = ", ".join(one["column"] for one in left_out)
            raise UsageError(f"No stint is left: none has a value in {lacking}.")
        stints = stints.take(kept)
    return _coded_categories(_one_row_a_stint(stints))


def require_frame(frame: object, what: str) -> None:
    """Raise UsageError where something else than a frame is given for stints, recipes, catches."""
    if not isinstance(frame, pd.DataFrame):
        raise UsageError(
            f"{what} are a pandas DataFrame, not {type(frame).__name__}; read a file with "
            "pandas.read_csv, or ask a logbook: rodhours.question('logbook.sqlite')."
        )


def require_confidence(confidence: float) -> None:
    """Raise UsageError for a confidence that is none."""
    if not 0.0 < confidence < 1.0:
        raise UsageError(f"Confidence is between 0 and 1, such as 0.95, not {confidence}.")


def _hours_and_fish(frame: pd.DataFrame) -> tuple[Floats, Floats]:
    """The columns that every frame of stints needs, checked."""
    require_frame(frame, "Stints")
    for column in ("session", "variant", "hours", "fish"):
        if column not in frame.columns:
            raise UsageError(
                f"The frame of stints has no column '{column}'; "
                "it needs session, variant, hours and fish."
            )
    if not len(frame):
        raise UsageError("There are no stints in the rows chosen.")
    hours, fish = _numbers(frame, "hours"), _numbers(frame, "fish")
    _refuse(frame, "hours", hours, ~(np.isfinite(hours) & (hours > 0)), "hours above 0")
    whole = np.isfinite(fish) & (fish >= 0) & (fish == np.floor(fish))
    _refuse(frame, "fish", fish, ~whole, "a whole number of fish, 0 for none")
    return hours, fish


def session_codes(frame: pd.DataFrame) -> Integers:
    """Codes of the sessions, which are known by angler and session together."""
    labels = frame["session"].to_numpy()
    session, _ = pd.factorize(frame["session"].to_numpy(dtype=object), sort=True)
    _refuse(frame, "session", labels, session < 0, "a session on every stint")
    if "angler" in frame.columns:
        angler, anglers = pd.factorize(frame["angler"].to_numpy(dtype=object), sort=True)
        if len(anglers) > 1 or (len(anglers) == 1 and (angler < 0).any()):
            pairs = session.astype(np.int64) * (len(anglers) + 1) + (angler + 1)
            session = pd.factorize(pairs, sort=True)[0]
    return np.asarray(session, dtype=np.int64)


def _numbers(frame: pd.DataFrame, column: str) -> Floats:
    try:
        values: Floats = frame[column].to_numpy(dtype=np.float64, na_value=np.nan)
    except (TypeError, ValueError) as error:
        raise UsageError(f"The column '{column}' holds something that is no number.") from error
    return values


def _refuse(
    frame: pd.DataFrame, column: str, values: np.ndarray, bad: np.ndarray, right: str
) -> None:
    if bad.any():
        first = int(np.flatnonzero(bad)[0])
        found = values[first].item() if hasattr(values[first], "item") else values[first]
        raise UsageError(
            f"The column '{column}' holds {found!r} in row {frame.index[first]!r}; "
            f"right would be {right}."
        )


def _covariates(
    frame: pd.DataFrame, adjust: tuple[str, ...]
) -> tuple[Floats, tuple[str, ...], dict[str, np.ndarray]]:
    """Raw covariates: numbers as they are, categories as codes marked by a leading '='."""
    parts: list[Floats] = []
    column_of: list[str] = []
    missing: dict[str, np.ndarray] = {}
    for column in adjust:
        if column in DERIVED and column not in frame.columns:
            if "date" not in frame.columns:
                raise UsageError(f"'{column}' needs the dates of the sessions; the log has none.")
            dates = dates_of(frame)
            missing[column] = dates.isna().to_numpy()
            if column == "time_of_year":
                angle = 2.0 * np.pi * dates.dt.day_of_year.to_numpy(dtype=float) / _YEAR_DAYS
                parts += [np.sin(angle), np.cos(angle)]
                column_of += [column, column]
                continue
            values: pd.Series = dates.dt.month
        elif column in ("session", "variant", "hours", "fish"):
            raise UsageError(f"'{column}' is part of the comparison itself, nothing to adjust for.")
        elif column == NIGHT and column not in frame.columns:
            raise UsageError(NO_NIGHT)
        elif column not in frame.columns:
            raise UsageError(unknown_name("column", column, {*frame.columns, *DERIVED}))
        else:
            values = frame[column]
            missing[column] = values.isna().to_numpy()
        if pd.api.types.is_datetime64_any_dtype(values):
            raise UsageError(
                f"'{column}' holds dates; adjust by 'month' or 'time_of_year' instead."
            )
        numeric = pd.api.types.is_numeric_dtype(values) and not pd.api.types.is_bool_dtype(values)
        if numeric and column not in _ALWAYS_TEXT:
            parts.append(values.to_numpy(dtype=np.float64, na_value=np.nan))
            column_of.append(column)
        else:
            codes, _ = pd.factorize(values.to_numpy(dtype=object), sort=True)
            parts.append(codes.astype(float))
            column_of.append("=" + column)
    table = np.column_stack(parts) if parts else np.empty((len(frame), 0))
    return table, tuple(column_of), missing


def _one_row_a_stint(stints: Stints) -> Stints:
    """Add up rows of one session with the same rod, variant and covariates, in a sure order.

    Sums and searches then come out alike, to the last digit, whatever the order of the rows.
    """
    keys = [stints.session, stints.variant, stints.rod, *stints.covariates.T]
    order = np.lexsort((stints.fish, stints.hours, *keys[::-1]))
    stints = stints.take(order)
    new = np.ones(len(order), dtype=bool)
    # Rows without a rod may repeat: each is a stint of its own.
    new[1:] = stints.rod[1:] < 0
    for key in keys:
        new[1:] |= np.diff(key[order]) != 0
    start = np.flatnonzero(new)
    return replace(
        stints.take(start),
        hours=np.add.reduceat(stints.hours, start),
        fish=np.add.reduceat(stints.fish, start),
    )


def _coded_categories(stints: Stints) -> Stints:
    """Categories as indicators against their most fished level, numbers centred and scaled.

    Scaling changes no answer; it keeps the numbers of one size for the optimiser.
    """
    if not stints.covariate_of:
        return stints
    parts: list[Floats] = []
    names: list[str] = []
    for j, name in enumerate(stints.covariate_of):
        values = stints.covariates[:, j]
        if name.startswith("="):
            codes = values.astype(np.int64)
            present = np.unique(codes)
            usual = present[np.argmax(np.bincount(codes, stints.hours)[present])]
            for level in present[present != usual]:
                parts.append((codes == level).astype(float))
                names.append(name[1:])
        else:
            mean = float(np.average(values, weights=stints.hours))
            size = float(np.sqrt(np.average((values - mean) ** 2, weights=stints.hours)))
            parts.append((values - mean) / size if size > 0 else values * 0.0)
            names.append(name)
    table = np.column_stack(parts) if parts else np.empty((len(stints), 0))
    return replace(stints, covariates=table, covariate_of=tuple(names))
