"""What the ledger of batches says: dry mix to an egg, sizes within and between batches, ages.

Pure functions of the frame of batches (one row a batch: batch, variant, date, quantities, and
diameters_mm, a tuple of the diameters of single baits) and of the stint frame.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

import numpy as np
import pandas as pd

from rodhours.evidence.dates import dates_of
from rodhours.evidence.result import Result


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

    A ratio of totals, so that a large batch counts for more than a small one.
    """
    mine = batches[batches["variant"] == variant]
    mine = mine[mine["dry_g"].notna() & mine["eggs"].notna()]
    if mine.empty:
        return None
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


def age_at_use(stints: pd.DataFrame, batches: pd.DataFrame) -> pd.Series[Any]:
    """Days from the making of a stint's batch to its session, by the index of the stints.

    Both frames name the batch in `batch`, written alike; NaN where the batch is not in the
    ledger or the session has no date. Below 0 where one of the two dates must be wrong.
    """
    made = dict(zip(batches["batch"], batches["date"], strict=True))
    day = dates_of(stints).dt.normalize()
    days = (day - pd.to_datetime(stints["batch"].map(made))).dt.days
    return days.astype("float64").rename("batch_age_days")


@dataclass(frozen=True)
class BatchUse:
    """How a batch was fished: stints, rod-hours, and its age then in days (None: not known)."""

    stints: int
    rod_hours: float
    youngest_days: int | None
    oldest_days: int | None


def batch_uses(stints: pd.DataFrame, batches: pd.DataFrame) -> dict[str, BatchUse]:
    """The use of every batch of the ledger; `stints` name batches as the ledger writes them."""
    ages = age_at_use(stints, batches)
    uses = {}
    for batch in batches["batch"]:
        on = (stints["batch"] == batch).fillna(False).to_numpy(dtype=bool)
        known = ages[on].dropna()
        uses[str(batch)] = BatchUse(
            int(on.sum()),
            float(stints.loc[on, "hours"].sum()),
            int(known.min()) if len(known) else None,
            int(known.max()) if len(known) else None,
        )
    return uses


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
    notes: str | None
    diameters_mm: tuple[float, ...]
    size: BatchSize
    use: BatchUse


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
) -> Ledger:
    """The ledger of those batches, which are all of `variant` where one is given."""
    uses = batch_uses(stints, batches)
    recorded = []
    for record in batches.to_dict("records"):
        cells: dict[str, Any] = {
            str(name): None if _empty(cell) else cell for name, cell in record.items()
        }
        sizes = tuple(record["diameters_mm"])
        cells |= {"date": record["date"].date().isoformat(), "diameters_mm": sizes}
        size = BatchSize(len(sizes), *_mean_sd(sizes))
        recorded.append(LedgerBatch(**cells, size=size, use=uses[str(record["batch"])]))
    return Ledger(variant, tuple(recorded), variants_of(batches), tuple(hints))


def _empty(cell: Any) -> bool:
    return cell is None or (isinstance(cell, float) and math.isnan(cell))
