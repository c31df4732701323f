"""What batches do to an answer: one batch only, one that carries it, one apart, one off its recipe.

A batch is known by the column `batch` of the stints. Batches of a bait are looked at where at
least half of its rod-hours name one.
"""

from __future__ import annotations

from collections.abc import Callable, Collection

import numpy as np
import pandas as pd

from rodhours.evidence.basis import Answer, Basis
from rodhours.evidence.checks.carries import both_answers, carried_by
from rodhours.evidence.rates import two_rate_limits
from rodhours.evidence.result import CAUTION, INFORMATION, SERIOUS, Note
from rodhours.evidence.results import Comparison, ComparisonResult
from rodhours.evidence.stints import Stints, prepare

LOGGED_SHARE = 0.5
"""Batches of a variant are counted where at least this share of its rod-hours names one."""
ONE_SHARE = 0.85
"""A batch with more than this share of the rod-hours that name one counts as the only one: a few
stints of another, or of a code written wrong, show nothing of the recipe."""
APART_P = 0.01
"""A batch stands apart below this p, over all batches of its bait."""


def one_batch_each(stints: pd.DataFrame, reference: str, variant: str) -> list[Note]:
    """A note where the variant or the reference was fished from a single batch.

    Numbers: `batches` and `reference_batches`, how many each was fished from; None where its
    batches are not logged for at least half of its rod-hours. Silent where no batch is logged.
    """
    counts = [len(batches_of(stints, one)) or None for one in (variant, reference)]
    if 1 not in counts or variant == reference:
        return []
    numbers = {"batches": counts[0], "reference_batches": counts[1]}
    return [Note("one_batch_each", variant, INFORMATION, numbers)]


def batches_of(stints: pd.DataFrame, variant: str) -> list[str]:
    """The batches of a bait, that of most rod-hours first; none where too few are logged."""
    if "batch" not in stints.columns:
        return []
    mine = stints.loc[stints["variant"].to_numpy(dtype=str) == variant, ["batch", "hours"]]
    hours = mine["hours"].groupby(mine["batch"].astype("object")).sum().astype(float)
    hours = hours.sort_values(ascending=False, kind="stable")
    known = float(hours.sum())
    if hours.empty or known < LOGGED_SHARE * float(mine["hours"].sum()):
        return []
    codes = [str(code) for code in hours.index]
    return codes[:1] if hours.iloc[0] > ONE_SHARE * known else codes


def one_batch_carries(
    frame: pd.DataFrame, stints: Stints, one: Comparison, basis: Basis, alpha: float
) -> list[Note]:
    """A note where a bait ahead or behind owes it to a single batch, each left out in turn.

    `frame` is what `stints` was prepared from, `basis` the one of the answer `one` at 1 - `alpha`.
    """
    without = []
    for bait in (one.variant, stints.variants[basis.reference]):
        codes = batches_of(frame, bait)
        for code in codes if len(codes) > 1 else ():
            kept = (frame["batch"] != code) | (frame["variant"].astype(str) != bait)
            without.append(({"batch": code, "batch_of": bait}, kept))
    return carried_by("one_batch_carries", frame, without, stints, one, basis, alpha)


def batch_apart(stints: pd.DataFrame, baits: Collection[str]) -> list[Note]:
    """A note for a bait of which one batch caught otherwise than the others, all trips counted.

    The session model compares it with the other batches of the bait, so that trips may differ as
    trips do; p is times the number of batches. Numbers: `batch`, `rate_ratio` against the others
    with its limits (95 %), `fish` of both and `p_value`.
    """
    notes = []
    for bait in baits:
        codes = batches_of(stints, bait)
        apart = [_apart(stints, bait, code, len(codes)) for code in codes if len(codes) > 1]
        found = [note for note in apart if note is not None]
        notes += sorted(found, key=lambda note: float(note.numbers["p_value"]))[:1]
    return notes


def _apart(stints: pd.DataFrame, bait: str, code: str, batches: int) -> Note | None:
    variant = stints["variant"].to_numpy(dtype=str)
    this = (variant == bait) & (stints["batch"] == code).fillna(False).to_numpy(dtype=bool)
    others = (variant == bait) & ~this
    fish, hours = (
        [float(stints[name].to_numpy(dtype=float)[on].sum()) for on in (this, others)]
        for name in ("fish", "hours")
    )
    # As if every fish came by itself: where that sees nothing, trips that differ see less.
    alone = two_rate_limits(int(fish[0]), hours[0], int(fish[1]), hours[1])
    if alone.p_value is None or alone.p_value * batches >= APART_P:
        return None
    label = f"{bait} {code}"
    parted = prepare(stints.assign(variant=np.where(this, label, variant)))
    basis = Basis.of(parted, parted.code_of(bait), same_trips=False)
    answer = basis.answer(parted.code_of(label), 0.05, 0.05)
    if answer.p_value is None or answer.p_value * batches >= APART_P:
        return None
    numbers = {
        "batch": code,
        "rate_ratio": answer.rate_ratio,
        "conf_low": answer.conf_low,
        "conf_high": answer.conf_high,
        "fish": int(fish[0]),
        "other_fish": int(fish[1]),
        "p_value": answer.p_value * batches,
    }
    return Note("batch_apart", bait, CAUTION, numbers)


def off_recipe_notes(
    result: ComparisonResult,
    without: Callable[[Collection[tuple[str, str]]], ComparisonResult],
    off: Collection[tuple[str, str]],
) -> tuple[Note, ...]:
    """A note for each answer that stints of a batch off its recipe are part of.

    `off` are batches with their baits, `without` gives the same answers without the stints of
    some; a bait that has no stint left is not in it. Serious where the verdict is another without
    all of them, or without one.
    """
    if not off:
        return ()
    rest = _by_variant(without(off))
    alone = {of: _by_variant(without([of])) for of in off} if len(off) > 1 else {}
    notes = []
    for one in result.comparisons:
        mine = [of for of in off if of[1] in (one.variant, result.reference)]
        if not mine:
            continue
        others = [rest.get(one.variant)]
        if len(mine) > 1:
            others += [alone[of].get(one.variant) for of in mine]
        verdicts = [None if other is None else other.verdict for other in others]
        answers = [both_answers(one, other or Answer()) for other in others]
        codes = [code for code, _ in mine]
        numbers = {
            "batches": codes,
            **answers[0],
            "verdict": one.verdict,
            "verdict_without": verdicts[0],
            "each": [
                {"batch": code, **told} for code, told in zip(codes, answers[1:], strict=False)
            ],
        }
        severity = CAUTION if {*verdicts} == {one.verdict} else SERIOUS
        notes.append(Note("batch_off_recipe", one.variant, severity, numbers))
    return tuple(notes)


def _by_variant(result: ComparisonResult) -> dict[str, Comparison]:
    return {one.variant: one for one in result.comparisons}
