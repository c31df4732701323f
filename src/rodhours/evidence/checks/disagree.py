"""Does the ratio differ by water, season or angler? An average over such may hold for none."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
import pandas as pd
from scipy.special import fdtrc

from rodhours.evidence.basis import FEWEST_DF, Basis
from rodhours.evidence.checks.allocation import FAMILY_CHANCE, codes, days_of, plain, sums
from rodhours.evidence.result import CAUTION, SERIOUS, Note
from rodhours.evidence.session_model.data import Floats, Integers
from rodhours.evidence.stints import Stints
from rodhours.evidence.trips import FEWEST_SESSIONS, session_table
from rodhours.evidence.verdicts import FEWEST_FISH


def ratios_disagree(
    frame: pd.DataFrame, stints: Stints, reference: int, asked: Sequence[int], margin: float
) -> list[Note]:
    """Notes on variants whose ratio to the reference differs by venue, season (year) or angler.

    `stints` were prepared from `frame`. Looks at the sessions that had both, in levels with at
    least 4 of them and 5 fish on the two together, where there are two such levels. The session
    model with one ratio is held against that with a ratio for each level (both with each level's
    own rate and its own same-trip column): the likelihood ratio, by the number of further
    ratios, against an F distribution with the fit's degrees of freedom, beyond 95 % over all
    variants and levels together. Numbers: `by`, `levels` (each with its `ratio` and its
    `sessions`), `p_value`, and `opposite`: whether one lies above the margin and one below.
    """
    looked_at = [
        (variant, by, basis, level, names)
        for variant in asked
        for by, of_session, names in _levels(frame, stints)
        if (basis := _rows(stints, reference, variant, of_session)) is not None
        for level in [of_session[basis.stints.session]]
    ]
    found = []
    for variant, by, basis, level, names in looked_at:
        p, ratios = _test(basis, variant, level)
        if p is None or p >= FAMILY_CHANCE / len(looked_at):
            continue
        known = [one for one in ratios.values() if one is not None] or [1.0]
        opposite = min(known) < 1.0 / margin and max(known) > margin
        sessions = {one: len(np.unique(basis.stints.session[level == one])) for one in ratios}
        levels = [
            {"level": plain(names[one]), "ratio": ratio, "sessions": sessions[one]}
            for one, ratio in ratios.items()
        ]
        numbers = {"by": by, "levels": levels, "p_value": p, "opposite": opposite}
        severity = SERIOUS if opposite else CAUTION
        found.append(Note("ratios_disagree", stints.variants[variant], severity, numbers))
    return found


def _levels(frame: pd.DataFrame, stints: Stints) -> Iterator[tuple[str, Integers, np.ndarray]]:
    """Each dimension with the level of each session code (-1: unknown) and the levels' names."""
    of_session = frame.iloc[stints.first_row]
    for by in ("venue", "angler"):
        if by in frame.columns:
            yield by, *codes(of_session, by)
    years = days_of(of_session).astype("datetime64[Y]")
    names, level = np.unique(years, return_inverse=True)
    yield "season", np.where(np.isnat(years), -1, level), names


def _rows(stints: Stints, reference: int, variant: int, level: Integers) -> Basis | None:
    """The two variants' stints in sessions that had both, in levels that have enough of them."""
    table = session_table(stints)
    both = (table.fished[:, variant] & table.fished[:, reference]) & (
        level[: len(table.hours)] >= 0
    )
    pair = both[stints.session] & np.isin(stints.variant, (variant, reference))
    if not pair.any():
        return None
    fish = sums(level[stints.session[pair]], stints.fish[pair], int(level.max()) + 1)
    trips = np.bincount(level[: len(both)][both], minlength=len(fish))
    enough = (fish >= FEWEST_FISH) & (trips >= FEWEST_SESSIONS)
    if enough.sum() < 2:
        return None
    pair[pair] = enough[level[stints.session[pair]]]
    return Basis.of(stints.take(pair), reference, same_trips=True)


def _test(
    basis: Basis, variant: int, level: Integers
) -> tuple[float | None, dict[int, float | None]]:
    """p of one ratio against a ratio for each level, and these ratios."""
    if not (basis.fish[variant] > 0 and basis.fish[basis.reference] > 0):
        return None, {}
    present = np.unique(level)
    is_level = (level[:, None] == present[1:]).astype(np.float64)
    own = is_level * (basis.stints.variant == variant)[:, None]
    one = _with(basis, is_level, "level", basis.shares * is_level)
    each = _with(one, own, "ratio", np.empty((len(level), 0)))
    further = each.adjusted_columns.count("ratio")
    if not one.fitted.converged or further < len(present) - 1 or each.df < FEWEST_DF:
        return None, {}
    start, best = 2 + len(each.adjusted_columns) - further, one.fitted.best
    each = replace(each, near=replace(best, b=np.insert(best.b, start, np.zeros(further))))
    gained = max(0.0, 2.0 * (each.fitted.best.value - one.fitted.best.value))
    p = float(fdtrc(further, each.df, gained / further))
    log_ratios = each.fitted.best.b[1] + np.append(0.0, each.fitted.best.b[start:][:further])
    fish, which = basis.stints.fish, basis.stints.variant
    ratios: dict[int, float | None] = {}
    for name, log_ratio in zip(present, log_ratios, strict=True):
        # 0 where the variant caught nothing on a level, None where the other did.
        own, other = (
            fish[(level == name) & (which == one)].any() for one in (variant, basis.reference)
        )
        ratios[int(name)] = (float(np.exp(log_ratio)) if own else 0.0) if other else None
    return p, ratios


def _with(basis: Basis, columns: Floats, name: str, shares: Floats) -> Basis:
    """The basis with further covariates of that name, and further same-trip columns."""
    return replace(
        basis,
        covariates=np.column_stack((basis.covariates, columns)),
        covariate_of=(*basis.covariate_of, *[name] * columns.shape[1]),
        shares=np.column_stack((basis.shares, shares)),
    )
