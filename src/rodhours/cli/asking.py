"""Questions at import, one at a time, where a person can answer; the answers go to a file."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from rodhours.cli.output import talk

if TYPE_CHECKING:
    from rodhours.log.layout.questions import Question
    from rodhours.log.layout.toml import Entries

SHOWN = 8


def can_ask() -> bool:
    """Whether a person reads what is said and can answer it."""
    return sys.stdin.isatty() and sys.stdout.isatty()


def choice(asks: str, answers: Sequence[str], typed: range | None = None) -> int | None:
    """Which of the answers is given, from 0; a number of the range `typed` as its negative.

    Nothing typed is the first; None where the input ends.
    """
    talk(f"\n{asks}")
    for number, says in enumerate(answers, start=1):
        talk(f"  {number}  {says}")
    while True:
        sys.stderr.write(f"1 to {len(answers)} [1]: " if len(answers) > 1 else "1 [1]: ")
        sys.stderr.flush()
        line = sys.stdin.readline()
        if not line:
            talk("")
            return None
        text = line.strip() or "1"
        number = int(text) if text.isascii() and text.isdecimal() and len(text) < 9 else 0
        if 1 <= number <= len(answers):
            return number - 1
        if typed is not None and number in typed:
            return -number
        talk(f"Type a number from 1 to {len(answers)}, then Enter; Ctrl-C imports nothing.")


def asked(question: Question) -> Entries | None:
    """The entries of the answer to a question; None where the input ends."""
    cells = f"\n  {' | '.join(question.cells)}" if question.cells else ""
    says = list(question.answers)
    given = choice(question.asks + cells, says, question.typed[0] if question.typed else None)
    if given is None:
        return None
    if given < 0 and question.typed is not None:
        return question.typed[1](-given)
    return question.answers[says[given]]


def confirmed(doubted: Sequence[str]) -> bool:
    """Whether what is beyond sense is right; nobody confirms it where nobody can be asked."""
    if not can_ask():
        return False
    shown = [f"  {one}" for one in doubted[:SHOWN]]
    shown += [f"  and {len(doubted) - SHOWN} more"] if len(doubted) > SHOWN else []
    asks = "\n".join(["Is this right?", *shown])
    return choice(asks, ["no, it waits until it is corrected", "yes, all of it is as written"]) == 1
