"""Layouts on the command line: questions, one at a time, and files with the answers.

Without a terminal nothing is asked and nothing is guessed: the proposal is the answer.
"""

from __future__ import annotations

import shlex
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from rodhours.cli.output import answer, answer_json, talk, width_of_answers
from rodhours.errors import LayoutNeeded, UnusableFile
from rodhours.whole_files import write_together

if TYPE_CHECKING:
    from rodhours.log.layout.propose import Proposal
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


def confirmed(doubted: Sequence[str]) -> bool:
    """Whether what is beyond sense is right; nobody confirms it where nobody can be asked."""
    if not can_ask():
        return False
    shown = [f"  {one}" for one in doubted[:SHOWN]]
    shown += [f"  and {len(doubted) - SHOWN} more"] if len(doubted) > SHOWN else []
    asks = "\n".join(["Is this right?", *shown])
    return choice(asks, ["no, it waits until it is corrected", "yes, all of it is as written"]) == 1


def print_proposals(files: Sequence[Path], as_json: bool) -> None:
    """Print the layout proposed for each table as TOML, or all of them as JSON."""
    from rodhours.log.layout.proposal_text import proposal_text
    from rodhours.log.layout.propose import proposals_for

    proposals = proposals_for(files)
    if as_json:
        answer_json({"schema": 1, "layouts": [_machine_form(one) for one in proposals]})
        return
    answer("\n".join(proposal_text(one) for one in proposals).rstrip())


def after_unknown_columns(error: LayoutNeeded, files: Sequence[Path], as_json: bool) -> Path:
    """Propose a layout for the table whose columns are not ours.

    On a terminal what is undecided is asked, and the answers are written: the path of the layout
    to import with is returned. Without a terminal the proposed layout is printed with the same
    questions, and the error is raised.
    """
    from rodhours.log.layout.proposal_text import how_to_go_on, proposal_text
    from rodhours.log.layout.propose import proposals_for
    from rodhours.log.layout.reshape import REFUSED

    proposal = next(iter(proposals_for(files, error.table)), None)
    if proposal is None or not proposal.matched:
        raise error  # no trip log at all
    if not as_json and can_ask():
        return _ask(error, files, proposal)
    raw, says = proposal.raw, str(error)
    if proposal.fish_only:
        says = REFUSED.format(raw.place_of_table)
    if as_json:
        answer_json({"schema": 1, "error": says, **_machine_form(proposal)})
    else:
        answer(proposal_text(proposal).rstrip())
    talk(says)
    if not proposal.fish_only and not as_json:
        talk(how_to_go_on(raw.file, len(proposal.questions)))
    raise typer.Exit(error.exit_code)


def _ask(error: LayoutNeeded, files: Sequence[Path], proposal: Proposal) -> Path:
    """Ask until nothing is undecided: each answer may settle others, or raise new ones."""
    from rodhours.log.layout.proposal_text import proposal_text
    from rodhours.log.layout.propose import proposals_for
    from rodhours.log.layout.questions import MOST_ASKED, entry_lines, taken_unasked
    from rodhours.report.layout_text import layout_text

    answered: dict[str, Entries] = {}
    count = 0
    while proposal.questions and not proposal.fish_only and not proposal.unanswerable:
        question = taken_unasked(proposal.questions, MOST_ASKED - count)
        if question is not None:
            lines = "; ".join(entry_lines(question.likely))
            talk(f"Not asked: {question.asks} Taken: {next(iter(question.answers))} ({lines}).")
            answered[question.about] = question.likely
        else:
            question, count = proposal.questions[0], count + 1
            entries = _asked(question)
            if entries is None:
                raise typer.Exit(error.exit_code)
            answered[question.about] = entries
        (proposal,) = proposals_for(files, error.table, answered)[:1]
    talk("")
    answer(layout_text(proposal, width_of_answers()))
    if not proposal.complete:
        talk(str(error))
        raise typer.Exit(error.exit_code)
    file = proposal.raw.file
    target, number = Path(f"{file}.layout.toml"), 2
    while target.exists() or target.is_symlink():
        target, number = Path(f"{file}.layout-{number}.toml"), number + 1
    try:
        write_together({target.name: proposal_text(proposal)}, target.parent)
    except OSError as failed:
        raise UnusableFile(
            f"{target}: the layout cannot be written ({failed.strerror or failed}). "
            "Nothing was imported."
        ) from None
    again = shlex.join(["rodhours", "import", file, "--layout", str(target)])
    talk(f"This is in {target}. If it is wrong: rodhours undo, correct it there, then\n  {again}\n")
    return target


def _asked(question: Question) -> Entries | None:
    """The entries of the answer that is given; None where the input ends."""
    cells = f"\n  {' | '.join(question.cells)}" if question.cells else ""
    says = list(question.answers)
    given = choice(question.asks + cells, says, question.typed[0] if question.typed else None)
    if given is None:
        return None
    if given < 0 and question.typed is not None:
        return question.typed[1](-given)
    return question.answers[says[given]]


def _machine_form(proposal: Proposal) -> dict[str, Any]:
    from rodhours.log.layout.proposal_text import proposal_text
    from rodhours.log.layout.questions import entry_lines

    return {
        "file": proposal.raw.file,
        "sheet": proposal.raw.sheet,
        "table": proposal.raw.table,
        "layout": proposal_text(proposal),
        "missing": list(proposal.missing),
        "questions": [
            {
                "asks": one.asks,
                "cells": list(one.cells),
                "answers": [
                    {"says": says, "lines": entry_lines(told)} for says, told in one.answers.items()
                ],
            }
            for one in proposal.questions
        ],
        "fish_only": proposal.fish_only,
    }
