"""The fish that the angler really wants, counted by stint: by species, by weight, landed or lost.

Frames in, a frame of stints out in which `fish` counts those alone, so that every other part of
the evidence answers for them unchanged. What the log cannot say is left out and counted.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
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


@dataclass(frozen=True)
class FishCounted:
    """What was counted, and what the log could not say.

    `fish` were counted of `concerned`: all fish of that outcome but those known to be of another
    species. `unknown` of these lack what would decide, by variant in `unknown_by_variant` (most
    first), and are not counted. Stints without a count of lost fish are left out.
    """

    species: str | None
    min_weight_kg: float | None
    outcome: str
    fish: int
    concerned: int
    unknown: int
    unknown_by_variant: Mapping[str, int]
    stints_left_out: int
    rod_hours_left_out: float
    lost_from_catches: bool

    @property
    def choice(self) -> dict[str, Any]:
        """Species, least weight (kg) and outcome, those that were asked for."""
        asked = {"species": self.species, "min_weight_kg": self.min_weight_kg}
        chosen: dict[str, Any] = {name: one for name, one in asked.items() if one is not None}
        return {**chosen, "outcome": self.outcome}

    @property
    def notes(self) -> tuple[Note, ...]:
        """The same as notes that travel with an answer."""
        found: list[Note] = []
        if self.stints_left_out:
            left = {"stints": self.stints_left_out, "rod_hours": self.rod_hours_left_out}
            found.append(Note("lost_not_logged", None, CAUTION, left))
        if self.unknown:
            found.append(Note("fish_not_known", None, CAUTION, self.undecided))
        if self.lost_from_catches:
            found.append(Note("lost_from_catches", None, INFORMATION, {}))
        return tuple(found)

    @property
    def undecided(self) -> dict[str, Any]:
        """The choice, and how many of the fish concerned the log cannot decide about."""
        return {
            **self.choice,
            "unknown": self.unknown,
            "concerned": self.concerned,
            "by_variant": dict(self.unknown_by_variant),
        }


def wanted_fish(
    stints: pd.DataFrame,
    catches: pd.DataFrame,
    species: str | None = None,
    min_weight_kg: float | None = None,
    outcome: str = LANDED,
) -> tuple[pd.DataFrame, FishCounted]:
    """The stints with `fish` counting the wanted fish alone, and what could not be counted.

    `stints` is a stint frame (session, variant, fish; angler, rod and lost where known), `catches`
    has one row a fish: session, rod, variant (angler, species, weight in kg, outcome where known),
    and `stint`, the key in the index of `stints` where that is named so; fish without a key go to
    the stint of their session, rod and variant. `min_weight_kg` is above 0; a fish of just that
    weight counts. `outcome` is landed, lost or hooked (both).

    Lost fish are those of `stints.lost`, and stints without that count are left out; where no
    stint has one, they are those that catches lists. Raises UsageError for an unknown species or
    outcome, where fish are not listed in catches but would have to be, and where more than
    `MOST_UNKNOWN` of the fish concerned lack the species or the weight that was asked for.
    """
    by_fish = species is not None or min_weight_kg is not None
    _check_choice(catches, species, min_weight_kg, outcome)
    is_lost = (_texts(catches, "outcome") == LOST).to_numpy(dtype=bool)
    place = _placed(stints, catches)
    kept, total, from_catches = _all_fish(stints, place, is_lost, outcome)
    counted = total
    unknown = np.zeros(len(stints))
    concerned = float(total[kept].sum())
    if by_fish:
        of_outcome = {LANDED: ~is_lost, LOST: is_lost, HOOKED: np.ones_like(is_lost)}[outcome]
        here = (place >= 0) & of_outcome
        here[here] = kept[place[here]]
        other, wanted, undecided = _sorted_out(catches[here], species, min_weight_kg)
        at = place[here]
        counted = np.bincount(at[wanted], minlength=len(stints)).astype(float)
        unlisted = _unlisted(stints, total * kept, np.bincount(at, minlength=len(stints)))
        unknown = np.bincount(at[undecided], minlength=len(stints)) + unlisted
        concerned -= int(other.sum())
    left = stints[~kept]
    note = FishCounted(
        species=species,
        min_weight_kg=min_weight_kg,
        outcome=outcome,
        fish=int(counted[kept].sum()),
        concerned=int(concerned),
        unknown=int(unknown.sum()),
        unknown_by_variant=_by_variant(stints, unknown),
        stints_left_out=len(left),
        rod_hours_left_out=float(left["hours"].sum()) if len(left) else 0.0,
        lost_from_catches=from_catches,
    )
    if note.unknown > MOST_UNKNOWN * note.concerned:
        numbers = {**note.undecided, "most": MOST_UNKNOWN}
        raise NoAnswer(Note("too_many_unknown", None, SERIOUS, numbers))
    fish = counted[kept].astype(np.int64)
    return stints[kept].assign(fish=fish), note


def _check_choice(
    catches: pd.DataFrame, species: str | None, min_weight_kg: float | None, outcome: str
) -> None:
    """Refuse a choice that is none, and one that needs fish which are not listed."""
    if outcome not in OUTCOMES:
        raise UsageError(f"The outcome is one of {', '.join(OUTCOMES)}, not '{outcome}'.")
    if min_weight_kg is not None and not (np.isfinite(min_weight_kg) and min_weight_kg > 0):
        raise UsageError(f"The least weight is above 0 kg, not {min_weight_kg}.")
    known = set(_texts(catches, "species").dropna())
    unlisted = species is not None and not known
    if unlisted or (min_weight_kg is not None and not len(catches)):
        chosen = {"species": species, "min_weight_kg": min_weight_kg, "outcome": outcome}
        raise NoAnswer(Note("no_catches", None, SERIOUS, chosen))
    if species is not None and species not in known:
        raise UsageError(unknown_name("species", species, known))


def _texts(frame: pd.DataFrame, name: str) -> pd.Series:
    """A column as texts, all missing where the frame has none of that name."""
    if name in frame.columns:
        return frame[name].astype(object).where(frame[name].notna(), None)
    return pd.Series(None, index=frame.index, dtype=object)


def _all_fish(
    stints: pd.DataFrame, place: np.ndarray, is_lost: np.ndarray, outcome: str
) -> tuple[np.ndarray, np.ndarray, bool]:
    """Which stints are kept, their fish of that outcome, and whether catches counted the lost."""
    landed = stints["fish"].to_numpy(dtype=np.float64, na_value=np.nan)
    everything = np.ones(len(stints), dtype=bool)
    if outcome == LANDED:
        return everything, landed, False
    recorded = pd.to_numeric(_texts(stints, "lost")).to_numpy(dtype=np.float64, na_value=np.nan)
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


def _placed(stints: pd.DataFrame, catches: pd.DataFrame) -> np.ndarray:
    """Row of the stint that had each fish, -1 where that is none of these stints.

    By the key where there is one; else the first stint of the fish's session, rod and variant.
    Rods are passed over in sessions whose stints have none, as the logbook does.
    """
    place = np.full(len(catches), -1, dtype=np.int64)
    if not len(catches) or not len(stints):
        return place
    keyed = np.zeros(len(catches), dtype=bool)
    if stints.index.name == _KEY and _KEY in catches.columns:
        keys = catches[_KEY].astype("Int64")
        keyed = keys.notna().to_numpy()
        place[keyed] = stints.index.get_indexer(pd.Index(keys[keyed].astype("int64")))
    trip = ["session", "angler"]
    rows = pd.DataFrame({name: _texts(stints, name) for name in (*trip, "rod", "variant")})
    rows = rows.reset_index(drop=True).fillna("")
    fish = pd.DataFrame({name: _texts(catches, name) for name in (*trip, "rod", "variant")})
    fish = fish.reset_index(drop=True).fillna("").astype(str)
    rows = rows.astype(str).assign(row=np.arange(len(rows)))
    rows["rodless"] = (rows["rod"] == "").groupby([rows[name] for name in trip]).transform("all")
    for by_rod in (True, False):
        for by_variant in (True, False):
            names = [*trip, *(["rod"] if by_rod else []), *(["variant"] if by_variant else [])]
            possible = rows if by_rod else rows[rows["rodless"]]
            grouped = possible.groupby(names, as_index=False)
            first = grouped.agg(row=("row", "first"), variants=("variant", "nunique"))
            found = fish[names].merge(first[first["variants"] == 1], on=names, how="left")
            fits = ~keyed & (place < 0) & found["row"].notna().to_numpy()
            fits &= (fish["variant"] != "").to_numpy() == by_variant
            place[fits] = found["row"].to_numpy()[fits].astype(np.int64)
    return place


def _sorted_out(
    catches: pd.DataFrame, species: str | None, min_weight_kg: float | None
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Masks of the fish known to be of another species, known to be wanted, and undecided."""
    other = np.zeros(len(catches), dtype=bool)
    out, wanted = other.copy(), ~other
    if species is not None:
        named = _texts(catches, "species")
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
        cells = _texts(catches, "weight").to_numpy(dtype=np.float64, na_value=np.nan)
    except (TypeError, ValueError) as error:
        raise UsageError("The column 'weight' of catches holds kilograms, numbers only.") from error
    values: np.ndarray = cells
    return values


def _unlisted(stints: pd.DataFrame, total: np.ndarray, listed: np.ndarray) -> np.ndarray:
    """Fish counted in stints but not listed in catches, at the first stint of their rod's bait.

    Summed over a session's stints of one rod and variant, since a fish may be known to no more.
    """
    names = ("session", "angler", "rod", "variant")
    cell = pd.DataFrame({name: _texts(stints, name) for name in names}).fillna("").astype(str)
    code = cell.groupby(list(names)).ngroup().to_numpy()
    missing = np.bincount(code, total) - np.bincount(code, listed)
    at = np.unique(code, return_index=True)[1]
    unlisted = np.zeros(len(stints))
    unlisted[at] = np.maximum(0.0, missing)
    return unlisted


def _by_variant(stints: pd.DataFrame, unknown: np.ndarray) -> dict[str, int]:
    variants = stints["variant"].astype(str).to_numpy()
    sums = pd.Series(unknown).groupby(variants).sum().astype(int)
    sums = sums[sums > 0].sort_values(ascending=False, kind="stable")
    return {str(name): int(many) for name, many in sums.items()}
