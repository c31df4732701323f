"""Sizes of fish by variant: what was weighed, and typical weight against the reference.

The comparison is a linear mixed model of log weight with the session as group, so that a trip on
a water of big fish is no merit of the bait fished there. It is about the weighed fish alone.
"""

from __future__ import annotations

import math
import warnings
from dataclasses import asdict, dataclass, field
from typing import ClassVar

import numpy as np
import pandas as pd
from scipy.special import stdtrit
from statsmodels.regression.mixed_linear_model import MixedLM

from rodhours.errors import UsageError
from rodhours.evidence.compare_notes import Notes
from rodhours.evidence.fish_counted import LOST, weights_kg
from rodhours.evidence.result import CAUTION, INFORMATION, Note, Result, order_notes
from rodhours.evidence.stints import require_confidence, require_frame
from rodhours.near import unknown_name

FEWEST_FISH = 5
"""A variant is compared from this many weighed fish on, and so is the reference."""
FEWEST_DF = 3
"""Degrees of freedom (sessions less variants) from which a comparison is made."""

NO_SPREAD = 1e-6
"""A session variance below this share of the fish's own is none: the fit is on its boundary."""

FEW_FISH, FEW_SESSIONS, NO_FIT = "few_fish", "few_sessions", "no_fit"


@dataclass(frozen=True)
class SizeRow:
    """The weighed fish of one variant; weights in kilograms, None where none was weighed."""

    variant: str
    weighed: int
    unweighed: int
    sessions: int
    median_kg: float | None
    lower_quartile_kg: float | None
    upper_quartile_kg: float | None
    biggest_kg: float | None


@dataclass(frozen=True)
class SizeComparison:
    """Typical weight of a variant's fish over that of the reference's, with limits.

    The ratio is exp(coefficient) of log weight, so of geometric means within a session. Without a
    ratio, `reason` is few_fish, few_sessions or no_fit. `sessions` are those with a weighed fish
    of either, `shared_sessions` those with one of both.
    """

    variant: str
    weight_ratio: float | None
    conf_low: float | None
    conf_high: float | None
    fish: int
    reference_fish: int
    sessions: int
    shared_sessions: int
    reason: str | None


@dataclass(frozen=True)
class SizeModel:
    """The fit: standard deviations of log weight between sessions and between fish of one."""

    fish: int
    sessions: int
    df: int
    session_sd: float
    fish_sd: float


@dataclass(frozen=True, kw_only=True, repr=False)
class SizesResult(Result):
    """Sizes by variant, comparisons with the reference, and each weighed fish.

    `fish` has one row a weighed fish: variant, session (a number), weight_kg.
    """

    reference: str
    confidence: float
    rows: tuple[SizeRow, ...]
    comparisons: tuple[SizeComparison, ...]
    model: SizeModel | None
    fish: pd.DataFrame = field(compare=False)

    ROWS: ClassVar[str] = "rows"
    KEYS: ClassVar[tuple[str, ...]] = (
        "reference",
        "confidence",
        "rows",
        "comparisons",
        "model",
        "filters",
        "notes",
    )

    @property
    def compared(self) -> tuple[SizeComparison, ...]:
        """The comparisons that have a ratio."""
        return tuple(one for one in self.comparisons if one.weight_ratio is not None)

    @property
    def frame(self) -> pd.DataFrame:
        """A tidy frame: one row a variant, the reference first.

        Columns: variant, weighed, unweighed, sessions, median_kg, lower_quartile_kg,
        upper_quartile_kg, biggest_kg, weight_ratio, conf_low, conf_high.
        """
        against = {one.variant: one for one in self.comparisons}
        ratio = ("weight_ratio", "conf_low", "conf_high")
        return pd.DataFrame(
            asdict(row) | {name: getattr(against.get(row.variant), name, None) for name in ratio}
            for row in self.rows
        )


def sizes(
    catches: pd.DataFrame, reference: str | None = None, confidence: float = 0.95
) -> SizesResult:
    """Sizes of landed fish by variant, and typical weight against the reference.

    `catches` has one row a fish: `session`, `variant`, `weight` (kg, missing where not weighed),
    and `angler`, `outcome` and `species` where known; fish lost are left out. Without a reference
    the variant with most weighed fish is taken. Each comparison is from one mixed model of log
    weight on all weighed fish (restricted maximum likelihood, session as random intercept:
    Laird & Ware 1982, Biometrics 38:963-74), its limits those of Student's t with sessions less
    variants degrees of freedom, together at `confidence` (Bonferroni).

    Raises UsageError where no landed fish is weighed, for a weight that is no number above 0, and
    for an unknown reference.
    """
    require_confidence(confidence)
    require_frame(catches, "Catches")
    landed, weight = _landed_fish(catches)
    weighed = ~np.isnan(weight)
    variants = landed["variant"].astype(str).to_numpy()
    names = sorted(set(variants))
    if reference is None:
        counts = pd.Series(variants[weighed]).value_counts()
        chosen = min(counts[counts == counts.max()].index)
    elif reference in names:
        chosen = reference
    else:
        raise UsageError(unknown_name("variant with a fish", reference, names))
    keys = [landed["session"].astype(str)]
    if "angler" in landed.columns:
        keys.append(landed["angler"].astype(object).where(landed["angler"].notna(), "").astype(str))
    trip = landed.groupby(keys, sort=True).ngroup().to_numpy()
    fish = pd.DataFrame(
        {"variant": variants[weighed], "session": trip[weighed], "weight_kg": weight[weighed]}
    )
    fish = fish.sort_values(["variant", "session", "weight_kg"], ignore_index=True)
    order = [chosen, *(name for name in names if name != chosen)]
    rows = tuple(_row(name, fish, int(((variants == name) & ~weighed).sum())) for name in order)
    comparisons, model = _compared(fish, rows, confidence)
    return SizesResult(
        reference=chosen,
        confidence=confidence,
        rows=rows,
        comparisons=comparisons,
        model=model,
        notes=_notes(landed, weighed, rows, reference is None),
        fish=fish,
    )


def _landed_fish(catches: pd.DataFrame) -> tuple[pd.DataFrame, np.ndarray]:
    """The fish that were landed on a variant, and their weights in kilograms, NaN where none."""
    for column in ("session", "variant", "weight"):
        if column not in catches.columns:
            raise UsageError(
                f"The catches have no column '{column}'; sizes need session, variant and weight."
            )
    landed = catches[catches["variant"].notna()]
    if "outcome" in landed.columns:
        landed = landed[landed["outcome"].fillna("landed") != LOST]
    weight = weights_kg(landed)
    if (weight <= 0).any():
        raise UsageError("A weight in catches is above 0 kg.")
    if np.isnan(weight).all():
        raise UsageError(
            "No landed fish has a weight in the log. Write it in the column weight of catches, "
            "such as 22lb 4oz or 10.1 kg."
        )
    return landed, weight


def _row(variant: str, fish: pd.DataFrame, unweighed: int) -> SizeRow:
    own = fish[fish["variant"] == variant]
    if own.empty:
        return SizeRow(variant, 0, unweighed, 0, None, None, None, None)
    lower, median, upper = (float(one) for one in np.quantile(own["weight_kg"], [0.25, 0.5, 0.75]))
    sessions, biggest = int(own["session"].nunique()), float(own["weight_kg"].max())
    return SizeRow(variant, len(own), unweighed, sessions, median, lower, upper, biggest)


def _compared(
    fish: pd.DataFrame, rows: tuple[SizeRow, ...], confidence: float
) -> tuple[tuple[SizeComparison, ...], SizeModel | None]:
    """Every variant against the first row's, from one fit of those with enough fish."""
    reference, *others = rows
    enough = [row.variant for row in others if row.weighed >= FEWEST_FISH]
    ratios: dict[str, tuple[float, float, float]] = {}
    model, reason = None, FEW_FISH
    if enough and reference.weighed >= FEWEST_FISH:
        used = fish[fish["variant"].isin([reference.variant, *enough])]
        df = used["session"].nunique() - len(enough) - 1
        reason = FEW_SESSIONS if df < FEWEST_DF else NO_FIT
        fitted = None if df < FEWEST_DF else _fit(used, enough, df)
        if fitted is not None:
            log_ratio, error, model = fitted
            quantile = float(stdtrit(df, 1.0 - (1.0 - confidence) / len(enough) / 2.0))
            half = quantile * error
            limits = np.exp([log_ratio, log_ratio - half, log_ratio + half]).T
            ratios = dict(zip(enough, map(tuple, limits.tolist()), strict=True))
    trips = fish.groupby("variant")["session"].agg(set)
    found = []
    for row in others:
        ours, theirs = (trips.get(name, set()) for name in (row.variant, reference.variant))
        ratio, low, high = ratios.get(row.variant) or (None, None, None)
        why = reason if row.variant in enough else FEW_FISH
        found.append(
            SizeComparison(
                row.variant,
                ratio,
                low,
                high,
                fish=row.weighed,
                reference_fish=reference.weighed,
                sessions=len(ours | theirs),
                shared_sessions=len(ours & theirs),
                reason=None if row.variant in ratios else why,
            )
        )
    return tuple(found), model


def _fit(
    fish: pd.DataFrame, variants: list[str], df: int
) -> tuple[np.ndarray, np.ndarray, SizeModel] | None:
    """Log ratios of the variants, their standard errors and the mixed model; None where it has no
    usable maximum."""
    log_weight = np.log(fish["weight_kg"].to_numpy(dtype=np.float64))
    # Of one size for the optimiser; the answer does not depend on it.
    scale = float(log_weight.std())
    if not scale > 1e-9:
        return None
    own, session = (fish[name].to_numpy() for name in ("variant", "session"))
    design = np.column_stack([np.ones(len(fish)), *((own == name) for name in variants)])
    design = design.astype(np.float64)
    endog = (log_weight - log_weight.mean()) / scale
    try:
        with warnings.catch_warnings():
            # What they say is looked at below: convergence, boundary, usable errors.
            warnings.simplefilter("ignore")
            mixed = MixedLM(endog, design, groups=session).fit(reml=True, method="powell")
    except (np.linalg.LinAlgError, ValueError):
        return None
    spread, noise = float(np.asarray(mixed.cov_re)[0, 0]), float(mixed.scale)
    fixed = np.asarray(mixed.fe_params)
    if not mixed.converged or not (noise > 0 and np.isfinite(spread)):
        return None
    ratio = spread / noise if spread > NO_SPREAD * noise else 0.0
    error = np.sqrt(noise * np.diag(_inverse(design, session, ratio)))
    if not (np.isfinite(fixed).all() and np.isfinite(error).all() and (error > 0).all()):
        return None
    spreads = scale * math.sqrt(ratio * noise), scale * math.sqrt(noise)
    model = SizeModel(len(fish), int(fish["session"].nunique()), int(df), *spreads)
    return scale * fixed[1:], scale * error[1:], model


def _inverse(design: np.ndarray, session: np.ndarray, ratio: float) -> np.ndarray:
    """The inverse of X'V⁻¹X for V = I + ratio·ZZ', Z the indicators of the sessions.

    The covariance of generalised least squares, in units of the fish's own variance. The errors
    that come with the fit are from the curvature in variances too, which fails near a variance
    of 0, where many logs lie.
    """
    code, sizes_of = np.unique(session, return_inverse=True, return_counts=True)[1:]
    sums = np.zeros((len(sizes_of), design.shape[1]))
    np.add.at(sums, code, design)
    # Sherman & Morrison (1950) session by session.
    weights = ratio / (1.0 + ratio * sizes_of)
    return np.asarray(np.linalg.pinv(design.T @ design - (sums * weights[:, None]).T @ sums))


def _notes(
    landed: pd.DataFrame, weighed: np.ndarray, rows: tuple[SizeRow, ...], reference_chosen: bool
) -> tuple[Note, ...]:
    found = Notes()
    unweighed = {row.variant: row.unweighed for row in rows if row.unweighed}
    if unweighed:
        many = {"unweighed": sum(unweighed.values()), "of": len(landed)}
        found.add("fish_not_weighed", CAUTION, **many, by_variant=unweighed)
    if "species" in landed.columns:
        species = landed["species"][weighed].dropna().astype(str).value_counts()
        if len(species) > 1:
            kinds = {str(name): int(many) for name, many in sorted(species.items())}
            found.add("several_species", CAUTION, species=kinds)
    if reference_chosen and len(rows) > 1:
        chosen = {"reference": rows[0].variant, "weighed": rows[0].weighed}
        found.add("size_reference_chosen", INFORMATION, **chosen)
    return order_notes(found)
