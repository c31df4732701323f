"""What the ledger of batches says: dry mix to an egg, sizes within and between batches, ages.

Pure functions of the frame of batches (one row a batch: batch, variant, date, quantities, and
diameters_mm, a tuple of the diameters of single baits) and of the stint frame.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
import pandas as pd


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
    """The baits measured of one batch: how many, their mean and standard deviation, mm."""

    batch: str
    variant: str
    baits: int
    mean_mm: float | None
    sd_mm: float | None


def batch_sizes(batches: pd.DataFrame) -> tuple[BatchSize, ...]:
    """One for each batch, in the order of the frame; None for what too few baits cannot say.

    The standard deviation is that of a sample (n - 1).
    """
    return tuple(
        BatchSize(str(batch), str(variant), len(measured), *_mean_sd(measured))
        for batch, variant, measured in zip(
            batches["batch"], batches["variant"], batches["diameters_mm"], strict=True
        )
    )


@dataclass(frozen=True)
class SizeSpread:
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

    def to_dict(self) -> dict[str, Any]:
        """The machine form."""
        return asdict(self)


def size_spreads(batches: pd.DataFrame) -> tuple[SizeSpread, ...]:
    """One for each variant of the ledger, by label."""
    spreads = []
    for variant, mine in batches.groupby("variant", sort=True):
        groups = [one for one in mine["diameters_mm"] if len(one)]
        baits = [size for group in groups for size in group]
        within, between = variance_components(groups)
        spreads.append(
            SizeSpread(
                str(variant),
                len(mine),
                len(groups),
                len(baits),
                *_mean_sd(baits),
                None if within is None else math.sqrt(within),
                None if between is None else math.sqrt(max(between, 0.0)),
            )
        )
    return tuple(spreads)


def variance_components(
    groups: list[tuple[float, ...]],
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


def _mean_sd(values: list[float] | tuple[float, ...]) -> tuple[float | None, float | None]:
    if not len(values):
        return None, None
    return float(np.mean(values)), float(np.std(values, ddof=1)) if len(values) > 1 else None


def age_at_use(stints: pd.DataFrame, batches: pd.DataFrame) -> pd.Series[Any]:
    """Days from the making of a stint's batch to its session, by the index of the stints.

    Both frames name the batch in `batch`, written alike; NaN where the batch is not in the
    ledger or the session has no date. Below 0 where one of the two dates must be wrong.
    """
    made = dict(zip(batches["batch"], batches["date"], strict=True))
    day = pd.to_datetime(stints["date"]).dt.normalize()
    days = (day - pd.to_datetime(stints["batch"].map(made))).dt.days
    return days.astype("float64").rename("batch_age_days")


@dataclass(frozen=True)
class BatchUse:
    """How a batch was fished: stints, rod-hours, and its age then in days (None: not known)."""

    batch: str
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
            str(batch),
            int(on.sum()),
            float(stints.loc[on, "hours"].sum()),
            int(known.min()) if len(known) else None,
            int(known.max()) if len(known) else None,
        )
    return uses


def ledger(batches: pd.DataFrame, stints: pd.DataFrame) -> dict[str, Any]:
    """The whole ledger in its machine form: `batches`, one each, and `variants`, one each.

    A batch has its own columns (numbers, or None where not recorded), the diameters measured,
    their `size`, and its `use` in the stints; a variant its size spread and its `dry_g_per_egg`.
    """
    uses = batch_uses(stints, batches)
    sizes = {one.batch: one for one in batch_sizes(batches)}
    listed = []
    for record in batches.to_dict("records"):
        size, use = sizes[record["batch"]], uses[record["batch"]]
        one = {str(name): None if _empty(cell) else cell for name, cell in record.items()}
        one["date"] = record["date"].date().isoformat()
        one["diameters_mm"] = list(record["diameters_mm"])
        one["size"] = {"baits": size.baits, "mean_mm": size.mean_mm, "sd_mm": size.sd_mm}
        one["use"] = {name: value for name, value in asdict(use).items() if name != "batch"}
        listed.append(one)
    variants = []
    for spread in size_spreads(batches):
        own = dry_g_per_egg(batches, spread.variant)
        variants.append({**spread.to_dict(), "dry_g_per_egg": None if own is None else asdict(own)})
    return {"batches": listed, "variants": variants}


def _empty(cell: Any) -> bool:
    return cell is None or (isinstance(cell, float) and math.isnan(cell))
