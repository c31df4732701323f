"""Does a part of the log carry the answer, a batch or a person? Each part left out in turn."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import log
from typing import Any

import numpy as np
import pandas as pd

from rodhours.evidence.basis import Answer, Basis
from rodhours.evidence.result import SERIOUS, Note
from rodhours.evidence.results import SAME_TRIPS, Comparison
from rodhours.evidence.stints import Stints, prepare
from rodhours.evidence.trips import same_trip_rows, session_table
from rodhours.evidence.verdicts import AHEAD, BEHIND


def one_angler_carries(
    frame: pd.DataFrame, stints: Stints, one: Comparison, basis: Basis, alpha: float
) -> list[Note]:
    """A note where a bait ahead or behind owes it to a single angler, each left out in turn.

    The arguments are those of `carried_by`.
    """
    if "angler" not in frame or frame["angler"].fillna("").nunique() < 2:
        return []
    without = [
        ({"angler": str(name)}, (frame["angler"] != name).fillna(True))
        for name in frame["angler"].dropna().unique()
    ]
    return carried_by("one_angler_carries", frame, without, stints, one, basis, alpha)


def carried_by(
    code: str,
    frame: pd.DataFrame,
    without: Sequence[tuple[Mapping[str, Any], pd.Series]],
    stints: Stints,
    one: Comparison,
    basis: Basis,
    alpha: float,
) -> list[Note]:
    """A note on the part of a log that a bait ahead or behind owes it to, the worst one.

    It does where without that part the ratio lies on the other side of 1 or outside the limits.
    `frame` is what `stints` was prepared from, `without` has each part's numbers for the note and
    a mask of the other rows, `basis` is the one of the answer `one` at 1 - `alpha`.
    """
    if one.verdict not in (AHEAD, BEHIND) or not one.rate_ratio:
        return []
    found = []
    for part, kept in without:
        answer = _answer(frame[kept], one, basis, stints, alpha)
        ratio = answer.rate_ratio
        if ratio is None or not _carries(one, ratio):
            continue
        moved = abs(log(ratio / one.rate_ratio)) if ratio > 0 else np.inf
        found.append(
            (moved, Note(code, one.variant, SERIOUS, {**part, **both_answers(one, answer)}))
        )
    return [max(found, key=lambda pair: pair[0])[1]] if found else []


def _carries(one: Comparison, ratio: float) -> bool:
    side = ratio <= 1 if one.verdict == AHEAD else ratio >= 1
    low, high = one.conf_low or 0.0, np.inf if one.conf_high is None else one.conf_high
    return side or not low <= ratio <= high


def _answer(
    frame: pd.DataFrame, one: Comparison, basis: Basis, whole: Stints, alpha: float
) -> Answer:
    """The answer of the same kind from other rows; its fit starts from that of `basis`."""
    reference = whole.variants[basis.reference]
    if not {one.variant, reference} <= set(frame["variant"].astype(str)):
        return Answer()
    stints = prepare(frame, whole.adjusted_for)
    code, same = stints.code_of(reference), one.basis == SAME_TRIPS
    if same:
        table = session_table(stints)
        stints = stints.take(same_trip_rows(stints, table, table.linked_to(code)))
    if not len(stints):
        return Answer()
    rest = replace(Basis.of(stints, code, same_trips=same), near=basis.fitted.best)
    return rest.answer(stints.code_of(one.variant), alpha, alpha)


def both_answers(one: Comparison, other: Answer | Comparison) -> dict[str, Any]:
    """The ratio of an answer and that of another without something, with its limits."""
    return {
        "rate_ratio": one.rate_ratio,
        "rate_ratio_without": other.rate_ratio,
        "conf_low_without": other.conf_low,
        "conf_high_without": other.conf_high,
    }
