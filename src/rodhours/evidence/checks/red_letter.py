"""Does one trip carry the answer? Leave out each session in turn and look how far it moves.

All sessions by one Newton step from the full fit, the three that matter most by a refit.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import log

import numpy as np

from rodhours.evidence.basis import Answer, Basis
from rodhours.evidence.session_model.likelihood import NODES
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
"""How much more than its Newton step a session may move the answer, and a part of the width."""


@dataclass(frozen=True)
class RedLetterTrip:
    """The session without which the answer changes most, and the answer without it.

    `moved` is the shift of the log ratio on leaving it out, in half-widths of the interval.
    """

    session: int
    moved: float
    without: Answer
    verdict: str
    verdict_changes: bool
    fish: int
    reference_fish: int

    @property
    def is_serious(self) -> bool:
        """Whether the verdict changes by a movement, not by a limit on a knife's edge."""
        return self.verdict_changes and abs(self.moved) > EDGE


def red_letter_trip(
    basis: Basis, variant: int, answer: Answer, alpha: float, margin: float
) -> RedLetterTrip | None:
    """The session whose leaving out changes the verdict or moves the log ratio too far.

    `basis` is the fitted one, `answer` its answer for the variant's code at 1 − `alpha` (the
    family's), `margin` that of the verdict. None where no session does, or where there is no
    interval to measure a move by.
    """
    low, high = answer.conf_low, answer.conf_high
    if not (answer.rate_ratio and low and high):
        return None
    if not (basis.fish[variant] > 0 and basis.fish[basis.reference] > 0):
        return None
    half_width = 0.5 * log(high / low)
    usual = _verdict(basis, variant, answer, margin)
    shifts = shift_without(basis.fitted.data, basis.fitted.best, basis.column_of(variant), NODES)
    found: list[RedLetterTrip] = []
    for k in np.argsort(-np.abs(shifts), kind="stable")[:REFITTED]:
        shift = float(shifts[k])
        # Far from mattering, even if the Newton step tells but half of it.
        if DOUBT * abs(shift) + SPARE * half_width < _room(low, high, margin, shift) and (
            DOUBT * abs(shift) < FAR * half_width
        ):
            continue
        session = int(basis.fitted.data.session_code[k])
        rest = basis.without_session(session)
        if not (rest.fish[variant] > 0 and rest.fish[basis.reference] > 0):
            continue
        without = rest.answer(variant, alpha, alpha)
        if without.rate_ratio is None:
            continue
        moved = log(without.rate_ratio / answer.rate_ratio) / half_width
        verdict_without = _verdict(rest, variant, without, margin)
        changes = verdict_without != usual
        if changes or abs(moved) > FAR:
            taken = basis.fish - rest.fish
            found.append(
                RedLetterTrip(
                    session,
                    moved,
                    without,
                    verdict_without,
                    changes,
                    int(taken[variant]),
                    int(taken[basis.reference]),
                )
            )
    return max(found, key=lambda one: (one.verdict_changes, abs(one.moved)), default=None)


def _room(low: float, high: float, margin: float, shift: float) -> float:
    """How far both limits must move that way, in log ratio, before the verdict turns."""
    bottom, top, band = log(low), log(high), log(margin)
    # Upwards a limit below 1 comes to 1, downwards one above it.
    way = 1.0 if shift > 0 else -1.0
    ends = [-way * end for end in (bottom, top) if -way * end > 0]
    # Both limits within the margin is a matter of the width as much as of the place.
    level = abs(max(-band - bottom, top - band))
    too_wide = abs(log(WIDEST) - (top - bottom)) / 2.0
    return min(*ends, level, too_wide) if ends else min(level, too_wide)


def _verdict(basis: Basis, variant: int, answer: Answer, margin: float) -> str:
    fish, reference_fish = int(basis.fish[variant]), int(basis.fish[basis.reference])
    return verdict(answer.conf_low, answer.conf_high, fish, reference_fish, margin)
