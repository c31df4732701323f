"""Sessions left out of an answer: the note that every answer has of them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rodhours.counts import listed
from rodhours.log.change_texts import of_angler
from rodhours.words.parts import Parts


def sessions_left_out(sessions: Sequence[Mapping[str, Any]]) -> Parts:
    """The note on every answer: which sessions are left out and why, and what that may do to it.

    Each has `session`, `angler` (or None) and `because`.
    """
    named = [
        f"{of_angler(one['session'], one['angler'])} (because: {one['because']})"
        for one in sessions
    ]
    several = len(sessions) > 1
    first = sessions[0]["session"]
    return Parts(
        f"Left out of this answer {'are' if several else 'is'} {listed(named)}.",
        "Left out for how it was fished or logged, a trip costs no more than its hours; left out "
        "for what it caught, good or bad, it bends the answer, and the limits know nothing of it.",
        # A sentence may not begin with a command: its first letter would be made a capital.
        f"To count {'the first' if several else 'it'} again, type rodhours leave-out "
        f"{first if first.isalnum() else repr(first)} --take-back at any time.",
    )
