"""The fish that the angler really wants, counted by stint: by species, by weight, landed or lost.

Frames in, a frame of stints out in which `fish` counts those alone, so that every other part of
the evidence answers for them unchanged. What the log cannot say is left out and counted.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

from rodhours.errors import UsageError
from rodhours.evidence.result import CAUTION, INFORMATION, SERIOUS, NoAnswer, Note
from rodhours.near import unknown_name

LANDED, LOST, HOOKED = "landed", "lost", "hooked"
OUTCOMES = (LANDED, LOST, HOOKED)
MOST_UNKNOWN = 0.05
"""Above this share of the fish concerned without a weight or a species there is no answer."""

_KEY = "stint"


def wanted_fish(
    stints: pd.DataFrame,
    catches: pd.DataFrame,
    species: str | None = None,
    min_weight_kg: float | None = None,
    outcome: str = LANDED,
) -> tuple[pd.DataFrame, dict[str, Any], tuple[Note, ...]]:
    """The stints with `fish` counting the wanted fish alone, the choice, and what it left out.

    `stints` is the stint frame and `catches` that of the fish of a logbook; fish without the key
    of a stint go to the first of their session, angler, rod and variant. `min_weight_kg` is above
    0; a fish of just that weight counts. `outcome` is landed, lost or hooked (both).

    Lost fish are those of `stints.lost`, and stints without that count are left out; where no
    stint has one, they are those that catches lists. Raises UsageError for an unknown species or
    outcome, where fish are not listed in catches but would have to be, and where more than
    `MOST_UNKNOWN` of the fish concerned lack the species or the weight that was asked for.
    """
    asked = {"species": species, "min_weight_kg": min_weight_kg}
    choice: dict[str, Any] = {name: one for name, one in asked.items() if one is not None}
    choice["outcome"] = outcome
    _check_choice(catches, species, min_weight_kg, outcome)
    is_lost = (catches["outcome"] == LOST).to_numpy(dtype=bool)
    cell, place = _placed(stints, catches)
    kept, counted, from_catches = _all_fish(stints, place, is_lost, outcome)
    notes: list[Note] = []
    if not kept.all():
        left = stints[~kept]
        absent = {"stints": len(left), "rod_hours": float(left["hours"].sum())}
        notes.append(Note("lost_not_logged", None, CAUTION, absent))
    if len(choice) > 1:
        of_outcome = {LANDED: ~is_lost, LOST: is_lost, HOOKED: np.ones_like(is_lost)}[outcome]
        here = (place >= 0) & of_outcome
        here[here] = kept[place[here]]
        other, wanted, undecided = _sorted_out(catches[here], species, min_weight_kg)
        total, at = counted * kept, place[here]
        counted = np.bincount(at[wanted], minlength=len(stints)).astype(float)
        unknown = np.bincount(at[undecided], minlength=len(stints)).astype(float)
        # Fish counted but not listed, at the first stint of their rod's bait: a fish may be known
        # to no more.
        missing = np.bincount(cell, total) - np.bincount(cell[at], minlength=cell.max() + 1)
        unknown[np.unique(cell, return_index=True)[1]] += np.maximum(0.0, missing)
        concerned = int(total.sum() - other.sum())
        many = int(unknown.sum())
        of = {**choice, "unknown": many, "concerned": concerned}
        of["by_variant"] = _by_variant(stints, unknown)
        if many > MOST_UNKNOWN * concerned:
            of["most"] = MOST_UNKNOWN
            raise NoAnswer(Note("too_many_unknown", None, SERIOUS, of))
        if many:
            notes.append(Note("fish_not_known", None, CAUTION, of))
    if from_catches:
        notes.append(Note("lost_from_catches", None, INFORMATION, {}))
    fish = counted[kept].astype(np.int64)
    return stints[kept].assign(fish=fish), choice, tuple(notes)


def _check_choice(
    catches: pd.DataFrame, species: str | None, min_weight_kg: float | None, outcome: str
) -> None:
    """Refuse a choice that is none, and one that needs fish which are not listed."""
    if outcome not in OUTCOMES:
        raise UsageError(f"The outcome is one of {', '.join(OUTCOMES)}, not '{outcome}'.")
    if min_weight_kg is not None and not (np.isfinite(min_weight_kg) and min_weight_kg > 0):
        raise UsageError(f"The least weight is above 0 kg, not {min_weight_kg}.")
    known = set(catches["species"].dropna())
    unlisted = species is not None and not known
    if unlisted or (min_weight_kg is not None and not len(catches)):
        chosen = {"species": species, "min_weight_kg": min_weight_kg, "outcome": outcome}
        raise NoAnswer(Note("no_catches", None, SERIOUS, chosen))
    if species is not None and species not in known:
        raise UsageError(unknown_name("species", species, known))


def _all_fish(
    stints: pd.DataFrame, place: np.ndarray, is_lost: np.ndarray, outcome: str
) -> tuple[np.ndarray, np.ndarray, bool]:
    """Which stints are kept, their fish of that outcome, and whether catches counted the lost."""
    landed = stints["fish"].to_numpy(dtype=np.float64, na_value=np.nan)
    everything = np.ones(len(stints), dtype=bool)
    if outcome == LANDED:
        return everything, landed, False
    recorded = stints["lost"].to_numpy(dtype=np.float64, na_value=np.nan)
    kept = ~np.isnan(recorded)
    from_catches = not kept.any()
    if from_catches:
        # Where some stints have a count, catches must not fill in the others: that would keep
        # just those empty stints which did lose a fish.
        if not is_lost.any():
            raise NoAnswer(Note("no_count_of_lost", None, SERIOUS, {}))
        listed = place[is_lost & (place >= 0)]
        recorded = np.bincount(listed, minlength=len(stints)).astype(float)
        kept = everything
    lost = np.where(kept, recorded, 0.0)
    return kept, lost if outcome == LOST else landed + lost, from_catches


def _placed(stints: pd.DataFrame, catches: pd.DataFrame) -> tuple[np.ndarray, np.ndarray]:
    """A code of session, angler, rod and variant of each stint, and the row of the stint that had
    each fish, -1 where that is none of these."""
    names = ["session", "angler", "rod", "variant"]
    cells = pd.concat([stints[names], catches[names]], ignore_index=True).astype(object).fillna("")
    cell, of_fish = np.split(pd.factorize(pd.MultiIndex.from_frame(cells))[0], [len(stints)])
    first = pd.Series(np.arange(len(stints))).groupby(cell).first()
    keyed = catches[_KEY].notna().to_numpy()
    by_key = stints.index.get_indexer(pd.Index(catches[_KEY].fillna(-1).astype("int64")))
    return cell, np.where(keyed, by_key, first.reindex(of_fish, fill_value=-1))


def _sorted_out(
    catches: pd.DataFrame, species: str | None, min_weight_kg: float | None
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Masks of the fish known to be of another species, known to be wanted, and undecided."""
    other = np.zeros(len(catches), dtype=bool)
    out, wanted = other.copy(), ~other
    if species is not None:
        named = catches["species"]
        other = (named.notna() & (named != species)).to_numpy(dtype=bool)
        out |= other
        wanted &= (named == species).to_numpy(dtype=bool)
    if min_weight_kg is not None:
        weight = weights_kg(catches)
        out |= weight < min_weight_kg
        wanted &= weight >= min_weight_kg
    return other, wanted, ~out & ~wanted


def weights_kg(catches: pd.DataFrame) -> np.ndarray:
    """The weights of fish in kilograms, NaN where none is logged; UsageError for texts."""
    try:
        values: np.ndarray = catches["weight"].to_numpy(dtype=np.float64, na_value=np.nan)
    except (TypeError, ValueError) as error:
        raise UsageError("The column 'weight' of catches holds kilograms, numbers only.") from error
    return values


def _by_variant(stints: pd.DataFrame, unknown: np.ndarray) -> dict[str, int]:
    variants = stints["variant"].astype(str).to_numpy()
    sums = pd.Series(unknown).groupby(variants).sum().astype(int)
    sums = sums[sums > 0].sort_values(ascending=False, kind="stable")
    return {str(name): int(many) for name, many in sums.items()}
