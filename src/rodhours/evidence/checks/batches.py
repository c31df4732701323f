"""Does a part of the log carry an answer? A batch or a person left out; what batches do besides.

A batch is known by the column `batch` of the stints. Batches of a bait are looked at where at
least half of its rod-hours name one.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import replace
from math import exp, log
from typing import Any

import numpy as np
import pandas as pd

from rodhours.evidence.basis import Answer, Basis
from rodhours.evidence.fitted import Headline, Subject
from rodhours.evidence.rates import two_rate_limits
from rodhours.evidence.result import CAUTION, INFORMATION, SERIOUS, Note
from rodhours.evidence.results import SAME_TRIPS, Comparison, ComparisonResult
from rodhours.evidence.stints import Stints, prepare
from rodhours.evidence.trips import same_trips
from rodhours.evidence.verdicts import AHEAD

LOGGED_SHARE = 0.5
"""Batches of a variant are counted where at least this share of its rod-hours names one."""
ONE_SHARE = 0.85
"""A batch with more than this share of the rod-hours that name one counts as the only one: a few
stints of another, or of a code written wrong, show nothing of the recipe."""
APART_P = 0.01
"""A batch stands apart below this p, over all batches of its bait."""
FAR = 1.5
"""Nearer than this, in standard errors, no profile has so small a p."""
Batches = Mapping[str, Sequence[str]]
"""The batches of each bait, that of most rod-hours first; no bait of which too few are logged."""
Part = tuple[Mapping[str, Any], pd.Series]
"""A part of a log that may carry an answer: its numbers for the note, and a mask of the rest."""


def batches_of(stints: pd.DataFrame) -> Batches:
    """The batches of every bait of a stint frame."""
    if "batch" not in stints.columns or not stints["batch"].notna().any():
        return {}
    hours = stints["hours"].astype(float)
    bait = stints["variant"].astype(str)
    whole = hours.groupby(bait).sum()
    known = hours.groupby([bait, stints["batch"].astype("object")]).sum()
    found = {}
    for name, own in known.sort_values(ascending=False, kind="stable").groupby(level=0):
        if own.sum() >= LOGGED_SHARE * whole[name]:
            codes = [str(code) for _, code in own.index]
            found[str(name)] = codes[:1] if own.iloc[0] > ONE_SHARE * own.sum() else codes
    return found


def one_batch_each(batches: Batches, reference: str, variant: str) -> list[Note]:
    """A note where the variant or the reference was fished from a single batch.

    Numbers: `batches` and `reference_batches`, how many each was fished from; None where its
    batches are not logged for at least half of its rod-hours. Silent where no batch is logged.
    """
    counts = [len(batches.get(one, ())) or None for one in (variant, reference)]
    if 1 not in counts or variant == reference:
        return []
    numbers = {"batches": counts[0], "reference_batches": counts[1]}
    return [Note("one_batch_each", variant, INFORMATION, numbers)]


def each_batch(frame: pd.DataFrame, batches: Batches, baits: Iterable[str]) -> list[Part]:
    """The batches of those baits that have several."""
    bait_of = frame["variant"].astype(str)
    return [
        ({"batch": code, "batch_of": bait}, (frame["batch"] != code) | (bait_of != bait))
        for bait in baits
        for code in batches.get(bait, ())
        if len(batches[bait]) > 1
    ]


def each_angler(frame: pd.DataFrame) -> list[Part]:
    """The anglers of a log of several."""
    if "angler" not in frame or frame["angler"].fillna("").nunique() < 2:
        return []
    names = frame["angler"].dropna().unique()
    return [({"angler": str(name)}, (frame["angler"] != name).fillna(True)) for name in names]


def carried_by(code: str, of: Subject, headline: Headline, parts: Sequence[Part]) -> list[Note]:
    """A note on the part of a log that a bait ahead or behind owes it to, the worst one.

    It does where without that part the ratio lies on the other side of 1 or outside the limits.
    """
    one = headline.comparison
    if not one.rate_ratio:
        return []
    found = []
    for part, kept in parts:
        rest = _rest(of.frame[kept], one, headline.basis, of.stints)
        if rest is None:
            continue
        code_of = rest.stints.code_of(one.variant)
        estimate = rest.estimate(code_of)
        if estimate is not None and not _carries(one, exp(estimate[0])):
            continue
        answer = rest.answer(code_of, of.alpha, of.alpha)
        ratio = answer.rate_ratio
        if ratio is not None and _carries(one, ratio):
            moved = abs(log(ratio / one.rate_ratio)) if ratio > 0 else np.inf
            numbers = {**part, **both_answers(one, answer)}
            found.append((moved, Note(code, one.variant, SERIOUS, numbers)))
    return [max(found, key=lambda pair: pair[0])[1]] if found else []


def _carries(one: Comparison, ratio: float) -> bool:
    side = ratio <= 1 if one.verdict == AHEAD else ratio >= 1
    low, high = one.conf_low or 0.0, np.inf if one.conf_high is None else one.conf_high
    return side or not low <= ratio <= high


def _rest(frame: pd.DataFrame, one: Comparison, basis: Basis, whole: Stints) -> Basis | None:
    """The basis of the same kind of other rows; its fit starts from that of `basis`."""
    reference = whole.variants[basis.reference]
    if not {one.variant, reference} <= set(frame["variant"].astype(str)):
        return None
    stints = prepare(frame, whole.adjusted_for)
    code, same = stints.code_of(reference), one.basis == SAME_TRIPS
    if same:
        stints = stints.take(same_trips(stints, code))
    if not len(stints):
        return None
    found = Basis.of(stints, code, same_trips=same)
    return replace(found, near=basis.fitted.best, earlier=basis.earlier)


def both_answers(one: Comparison, other: Answer | Comparison) -> dict[str, Any]:
    """The ratio of an answer and that of another without something, with its limits."""
    return {
        "rate_ratio": one.rate_ratio,
        "rate_ratio_without": other.rate_ratio,
        "conf_low_without": other.conf_low,
        "conf_high_without": other.conf_high,
    }


def batch_apart(stints: pd.DataFrame, batches: Batches, baits: Collection[str]) -> list[Note]:
    """A note for a bait of which one batch caught otherwise than the others, all trips counted.

    The session model compares it with the other batches of the bait, so that trips may differ as
    trips do; p is times the number of batches. Numbers: `batch`, `rate_ratio` against the others
    with its limits (95 %), `fish` of both and `p_value`.
    """
    notes = []
    for bait in baits:
        codes = batches.get(bait, ())
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
    basis, own = Basis.of(parted, parted.code_of(bait), same_trips=False), parted.code_of(label)
    estimate = basis.estimate(own)
    # Nor does a fit that puts the two so few of its errors apart.
    if estimate is not None and abs(estimate[0]) < FAR * estimate[1]:
        return None
    answer = basis.answer(own, 0.05, 0.05)
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
