"""What the ledger of batches says: dry mix to an egg, sizes within and between batches, ages.

Pure functions of the frame of batches (one row a batch: batch, variant, date, quantities, and
diameters_mm, a tuple of the diameters of single baits) and of the stint frame.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import date as Date
from typing import Any, ClassVar

import numpy as np
import pandas as pd

from rodhours.errors import UsageError
from rodhours.evidence.result import Result
from rodhours.kitchen.amounts import Origin, Stated, egg_contents_g, steps_in_one
from rodhours.kitchen.batch import USUAL_EGG_CLASS, bait_paste_g, dry_per_g_of_egg
from rodhours.kitchen.lift import PASTE_DENSITY, density_of_weighed, lift_known


@dataclass(frozen=True)
class DryPerEgg:
    """The angler's own figure: grams of dry mix that an egg took up.

    `egg_g` is what an egg weighed in those batches without its shell, None where not all of
    them say; `batches` is how many the figure comes from.
    """

    grams: float
    batches: int
    egg_g: float | None


def dry_g_per_egg(batches: pd.DataFrame, variant: str) -> DryPerEgg | None:
    """Dry mix by eggs over the batches of a variant that say both; None where none does.

    A ratio of totals, so that a large batch counts for more than a small one. A batch as its own
    sheet had it, to the last step of scales, says nothing new and is left out: the sheet's
    figure goes on. Eggs are those of class M where their grams alone are recorded.
    """
    mine = batches[(batches["variant"] == variant) & batches["dry_g"].notna()]
    mine = mine.assign(eggs=mine["eggs"].fillna(mine["egg_g"] / egg_contents_g(USUAL_EGG_CLASS)))
    mine = mine[mine["eggs"].notna()]
    own, figure = [], None
    for index, made in mine.sort_values("date", kind="stable").iterrows():
        if not _as_its_sheet(made, figure):
            own.append(index)
            figure = _figure(mine.loc[own])
    return figure


def _as_its_sheet(made: pd.Series[Any], figure: DryPerEgg | None) -> bool:
    """Whether the dry mix of a batch is what a sheet with that figure would have said."""
    eggs, unit = made["eggs"], "eggs"
    usual = egg_contents_g(USUAL_EGG_CLASS)
    per = dry_per_g_of_egg() * usual if figure is None else figure.grams
    if pd.notna(made["egg_g"]):
        eggs, unit = made["egg_g"], "g"
        per /= usual if figure is None or figure.egg_g is None else figure.egg_g
    step = 1 / steps_in_one(made["dry_g"], "g") + per / steps_in_one(eggs, unit)
    return bool(abs(made["dry_g"] - per * eggs) <= step)


def _figure(mine: pd.DataFrame) -> DryPerEgg:
    eggs = float(mine["eggs"].sum())
    weighed = bool(mine["egg_g"].notna().all())
    return DryPerEgg(
        float(mine["dry_g"].sum()) / eggs,
        len(mine),
        float(mine["egg_g"].sum()) / eggs if weighed else None,
    )


@dataclass(frozen=True)
class BatchSize:
    """The baits measured of one batch: how many, their mean and standard deviation, mm.

    The standard deviation is that of a sample (n - 1). None for what too few baits cannot say.
    """

    baits: int
    mean_mm: float | None
    sd_mm: float | None


@dataclass(frozen=True)
class VariantBatches:
    """How the sizes of one variant's baits spread, mm.

    `batches` is how many there are of the variant, `measured` how many of them have a bait
    measured, `baits` how many baits those are. `within_sd` is the spread from bait to bait in a
    batch, `between_sd` that from batch to batch which is left when the former is allowed for.
    None where the batches cannot say.
    """

    variant: str
    batches: int
    measured: int
    baits: int
    mean_mm: float | None
    sd_mm: float | None
    within_sd_mm: float | None
    between_sd_mm: float | None
    dry_g_per_egg: DryPerEgg | None


def variants_of(batches: pd.DataFrame) -> tuple[VariantBatches, ...]:
    """One for each variant of the ledger, by label."""
    spreads = []
    for variant, mine in batches.groupby("variant", sort=True):
        groups = [one for one in mine["diameters_mm"] if len(one)]
        baits = [size for group in groups for size in group]
        within, between = variance_components(groups)
        spreads.append(
            VariantBatches(
                str(variant),
                len(mine),
                len(groups),
                len(baits),
                *_mean_sd(baits),
                None if within is None else math.sqrt(within),
                None if between is None else math.sqrt(max(between, 0.0)),
                dry_g_per_egg(batches, str(variant)),
            )
        )
    return tuple(spreads)


def variance_components(
    groups: Sequence[Sequence[float]],
) -> tuple[float | None, float | None]:
    """Variance within groups and between them, one-way random model, from mean squares.

    `groups` are the measurements of each group, each with at least one. Within is the mean
    square within; between is (mean square between - mean square within) / n0 with
    n0 = (N - sum(n_i ** 2) / N) / (k - 1), which may come out below 0. None for within where no
    group has two measurements, for between where that is so or there is only one group.
    Source: analysis of variance estimators for unbalanced data, Searle, Casella and McCulloch,
    Variance Components (1992), chapter 3 (from memory).
    """
    sizes = np.array([len(group) for group in groups], dtype=np.float64)
    total, many = float(sizes.sum()), len(groups)
    if many == 0 or total <= many:
        return None, None
    means = np.array([np.mean(group) for group in groups])
    inside = sum(
        float(((np.asarray(group) - mean) ** 2).sum())
        for group, mean in zip(groups, means, strict=True)
    )
    within = inside / (total - many)
    if many == 1:
        return within, None
    overall = float((sizes * means).sum()) / total
    among = float((sizes * (means - overall) ** 2).sum()) / (many - 1)
    usual = (total - float((sizes**2).sum()) / total) / (many - 1)
    return within, (among - within) / usual


def _mean_sd(values: Sequence[float]) -> tuple[float | None, float | None]:
    if not len(values):
        return None, None
    return float(np.mean(values)), float(np.std(values, ddof=1)) if len(values) > 1 else None


@dataclass(frozen=True)
class BatchUse:
    """How a batch was fished: stints, rod-hours, and its age then in days (None: not known)."""

    stints: int
    rod_hours: float
    youngest_days: int | None
    oldest_days: int | None
    baits_used: float | None


def batch_uses(stints: pd.DataFrame, batches: pd.DataFrame) -> dict[str, BatchUse]:
    """The use of every batch of the ledger; `stints` is the stint frame, with `age_days`."""
    rows = stints.reindex(columns=["batch", "hours", "age_days", "baits_used"])
    rows["baits_used"] = pd.to_numeric(rows["baits_used"], errors="coerce")
    uses = {}
    for batch in batches["batch"]:
        on = rows[rows["batch"] == batch]
        ages, taken = on["age_days"].dropna(), on["baits_used"].dropna()
        uses[str(batch)] = BatchUse(
            len(on),
            float(on["hours"].sum()),
            int(ages.min()) if len(ages) else None,
            int(ages.max()) if len(ages) else None,
            float(taken.sum()) if len(taken) else None,
        )
    return uses


def paste_by_baits(
    made: Mapping[Any, Any], recipes: pd.DataFrame
) -> tuple[float | None, float | None]:
    """The paste of a batch as weighed (dry mix with its egg where not), and what its baits hold, g.

    None for what a batch or its recipe does not say.
    """
    weighed = made.get("paste_g")
    if weighed is None and made.get("dry_g") is not None:
        weighed = made["dry_g"] * (1 + 1 / dry_per_g_of_egg())
    of = recipes[recipes["variant"] == made["variant"]]
    if made.get("baits") is None or of.empty:
        return weighed, None
    row = of.iloc[0]
    with suppress(UsageError):
        each = bait_paste_g(row["size_mm"], row["cork_mm"], PASTE_DENSITY.value)
        return weighed, float(made["baits"] * each)
    return weighed, None


@dataclass(frozen=True)
class LedgerBatch:
    """One batch of the ledger as recorded (None where it was not), its size and its use."""

    batch: str
    variant: str
    date: str
    baits: float | None
    dry_g: float | None
    pellet_g: float | None
    eggs: float | None
    egg_g: float | None
    attractor_ml: float | None
    albumen_g: float | None
    paste_g: float | None
    boil_s: float | None
    drying_days: float | None
    weight_of_20: float | None
    lift_g: float | None
    lift_after_h: float | None
    paste_lot: str | None
    paste_date: str | None
    notes: str | None
    diameters_mm: tuple[float, ...]
    size: BatchSize
    use: BatchUse
    lift_reckoned_g: float | None

    @property
    def baits_left(self) -> float | None:
        """Baits that are left, where it is known how many were used."""
        if self.baits is None or self.use.baits_used is None:
            return None
        return self.baits - self.use.baits_used

    @property
    def days_frozen(self) -> int | None:
        """Days from the making of the paste to that of the batch."""
        if self.paste_date is None:
            return None
        return (Date.fromisoformat(self.date) - Date.fromisoformat(self.paste_date)).days


def paste_densities(batches: pd.DataFrame, recipes: pd.DataFrame) -> dict[str, Stated]:
    """The density of a bait's own paste, kg/m³, from its latest batch of which 20 were weighed.

    Their mean diameter is that of the diameters measured; one that no paste can have is none.
    """
    found = {}
    corks = dict(zip(recipes["variant"], recipes.get("cork_mm", []), strict=False))
    for made in batches.sort_values("date", kind="stable").to_dict("records"):
        sizes, cork = made["diameters_mm"], corks.get(made["variant"])
        if len(sizes) and cork is not None and made["weight_of_20"] > 0 and cork >= 0:
            with suppress(UsageError):
                density = density_of_weighed(made["weight_of_20"], 20, float(np.mean(sizes)), cork)
                found[str(made["variant"])] = Stated(density, Origin.MEASURED)
    return found


@dataclass(frozen=True, repr=False)
class Ledger(Result):
    """The ledger, whole or of one variant; `hints` say what in it does not fit together."""

    variant: str | None
    batches: tuple[LedgerBatch, ...]
    variants: tuple[VariantBatches, ...]
    hints: tuple[str, ...]

    KEYS: ClassVar[tuple[str, ...]] = ("variant", "batches", "variants", "hints")


def ledger(
    batches: pd.DataFrame,
    stints: pd.DataFrame,
    variant: str | None = None,
    hints: Sequence[str] = (),
    recipes: pd.DataFrame | None = None,
) -> Ledger:
    """The ledger of those batches, which are all of `variant` where one is given.

    With `recipes` the lift of the baits as measured is reckoned beside that measured in a glass.
    """
    uses = batch_uses(stints, batches)
    recipes = pd.DataFrame({"variant": []}) if recipes is None else recipes
    paste = paste_densities(batches, recipes)
    rows = {row["variant"]: row for row in recipes.to_dict("records")}
    recorded = []
    for record in batches.to_dict("records"):
        cells: dict[str, Any] = {
            str(name): None if _empty(cell) else cell for name, cell in record.items()
        }
        sizes = tuple(record["diameters_mm"])
        cells |= {"date": record["date"].date().isoformat(), "diameters_mm": sizes}
        size = BatchSize(len(sizes), *_mean_sd(sizes))
        of = rows.get(record["variant"], {})
        mean = of.get("size_mm") if size.mean_mm is None else size.mean_mm
        lifts = lift_known(mean, of.get("cork_mm"), paste.get(record["variant"]))
        reckoned = None if lifts is None else lifts.lift_g.typical
        use = uses[str(record["batch"])]
        recorded.append(LedgerBatch(**cells, size=size, use=use, lift_reckoned_g=reckoned))
    return Ledger(variant, tuple(recorded), variants_of(batches), tuple(hints))


def _empty(cell: Any) -> bool:
    return cell is None or (isinstance(cell, float) and math.isnan(cell))
