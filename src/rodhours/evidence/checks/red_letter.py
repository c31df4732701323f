"""Does one trip carry the answer? Leave out each session in turn and look how far it moves.

All sessions by one Newton step from the full fit, the three that matter most by a refit.
"""

from __future__ import annotations

from math import log

import numpy as np
import pandas as pd

from rodhours.evidence.basis import Answer, Basis
from rodhours.evidence.checks.batches import both_answers
from rodhours.evidence.fitted import Headline, Subject
from rodhours.evidence.result import CAUTION, SERIOUS, Note
from rodhours.evidence.session_model.scores import shift_without
from rodhours.evidence.verdicts import WIDEST, verdict

REFITTED = 3
FAR = 0.5
"""A session matters that moves the log ratio by more than this part of the half-width."""
EDGE = 0.3
"""A verdict that changes by less of a move than this, in half-widths, stood on a knife's edge: some
trip moves any answer so far. In clean logs of 12, 25 and 40 trips the trip that moves most moves
0.20 to 0.23, and beyond 0.32, 0.28 and 0.25 in one log of ten (100 simulated logs each)."""
DOUBT, SPARE = 2.0, 0.1
"""How much more than its Newton step a session may move the answer, and how far off, in
half-widths, its limits may lie from there."""


def red_letter_trip(of: Subject, headline: Headline) -> list[Note]:
    """A note on the session whose leaving out changes the verdict or moves the log ratio too far.

    None where no session does, or where there is no interval to measure a move by. Serious where
    the verdict changes by a movement. Numbers: `session`, `angler`, `date`, `fish` and
    `reference_fish` of that trip; `rate_ratio` and `verdict` with it and without.
    """
    basis, variant, answer = headline.basis, headline.variant, headline.answer
    alpha, margin = of.alpha, of.margin
    if not (answer.rate_ratio and answer.conf_low and answer.conf_high):
        return []
    at = log(answer.rate_ratio)
    ends = log(answer.conf_low) - at, log(answer.conf_high) - at
    half_width = 0.5 * (ends[1] - ends[0])
    edges = (-log(margin) - at, -at, log(margin) - at)
    # How far the limits, moved together or apart, are from another verdict.
    spare = min(abs(end - edge) for end in ends for edge in edges)
    spare = min(spare, 0.5 * abs(2.0 * half_width - log(WIDEST))) - SPARE * half_width
    usual = _verdict(basis, variant, answer, margin)
    shifts = shift_without(basis.fitted.data, basis.fitted.best, basis.column_of(variant))
    found: list[tuple[bool, float, Note]] = []
    for k in np.argsort(-np.abs(shifts), kind="stable")[:REFITTED]:
        # Far from mattering, even if the Newton step tells but half of it.
        if DOUBT * abs(shifts[k]) < min(FAR * half_width, spare):
            break
        session = int(basis.fitted.data.session_code[k])
        if session >= basis.first_earlier:
            continue
        rest = basis.without_session(session)
        without = rest.answer(variant, alpha, alpha)
        if not (without.rate_ratio and without.conf_low and without.conf_high):
            continue
        moved = abs(log(without.rate_ratio) - at)
        after = _verdict(rest, variant, without, margin)
        turned = after != usual
        if turned or moved > FAR * half_width:
            numbers = {
                **_trip(of, session),
                "fish": int(basis.fish[variant] - rest.fish[variant]),
                "reference_fish": int((basis.fish - rest.fish)[basis.reference]),
                **both_answers(headline.comparison, without),
                "verdict": headline.comparison.verdict,
                "verdict_without": after,
                "verdict_changes": turned,
            }
            severity = SERIOUS if turned and moved > EDGE * half_width else CAUTION
            note = Note("red_letter_trip", headline.comparison.variant, severity, numbers)
            found.append((turned, moved, note))
    return [max(found, key=lambda one: one[:2])[2]] if found else []


def _trip(of: Subject, session: int) -> dict[str, str | None]:
    row = of.frame.iloc[int(of.stints.first_row[session])]
    date, angler = row.get("date"), row.get("angler")
    return {
        "session": str(row["session"]),
        "angler": angler if isinstance(angler, str) else None,
        "date": None if pd.isna(date) else pd.Timestamp(date).date().isoformat(),
    }


def _verdict(basis: Basis, variant: int, answer: Answer, margin: float) -> str:
    fish = int(basis.fish[variant]), int(basis.fish[basis.reference])
    return verdict(answer.conf_low, answer.conf_high, *fish, margin)
