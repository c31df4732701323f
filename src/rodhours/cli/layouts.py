"""Layout files on the command line: shown, asked about, printed, written beside the log.

Without a terminal nothing is asked and nothing is guessed: the proposal is the answer.
"""

from __future__ import annotations

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


def print_proposals(files: Sequence[Path], as_json: bool) -> None:
    """Print the layout proposed for each table as TOML, or all of them as JSON."""
    from rodhours.log.layout.proposal_text import proposal_text
    from rodhours.log.layout.propose import proposals_for

    proposals = proposals_for(files)
    if as_json:
        answer_json({"schema": 1, "layouts": [_machine_form(one) for one in proposals]})
        return
    answer("\n".join(proposal_text(one) for one in proposals).rstrip())


def after_unknown_columns(error: LayoutNeeded, files: Sequence[Path], as_json: bool) -> Path | None:
    """Propose a layout for the table whose columns are not ours.

    On a terminal the proposal is shown, and the file written and used if the user wants it so:
    the path of a layout to import with is returned, None where it is not to be used now. Without
    a terminal the proposed layout is printed and the error is raised.
    """
    from rodhours.log.layout.propose import proposals_for

    for proposal in proposals_for(files, error.table):
        if all(match.ours is None for match in proposal.matches):
            break  # no trip log at all
        if not as_json and sys.stdin.isatty() and sys.stdout.isatty():
            return _ask(error, proposal)
        _print_instead(error, proposal, as_json)
        raise typer.Exit(error.exit_code)
    raise error


def _print_instead(error: LayoutNeeded, proposal: Proposal, as_json: bool) -> None:
    from rodhours.log.layout import proposal_words as words
    from rodhours.log.layout.proposal_text import proposal_text

    says = words.fish_only(proposal.place) if proposal.fish_only else str(error)
    if as_json:
        answer_json({"schema": 1, "error": says, **_machine_form(proposal)})
    else:
        answer(proposal_text(proposal).rstrip())
    talk(says)
    if not proposal.fish_only and not as_json:
        talk(words.how_to_go_on(proposal.file))


def _ask(error: LayoutNeeded, proposal: Proposal) -> Path | None:
    from rodhours.log.layout import proposal_words as words
    from rodhours.report.layout_text import layout_text

    talk(str(error))
    talk("")
    answer(layout_text(proposal, width_of_answers()))
    talk("")
    if proposal.fish_only:
        raise typer.Exit(error.exit_code)
    target = _free_name(Path(f"{proposal.file}.layout.toml"))
    if not _yes(words.ASK_TO_WRITE.format(file=target), default=True):
        raise typer.Exit(error.exit_code)
    _write(target, proposal)
    talk(words.layout_written(str(target)))
    if not proposal.complete or proposal.ties or proposal.gaps or proposal.empty_counts:
        # An import would refuse rows that the layout has a line for, which is not in force yet.
        talk(words.correct_it_first(proposal.file, str(target)))
        raise typer.Exit(error.exit_code)
    if _yes(words.ASK_TO_IMPORT, default=False):
        return target
    talk(words.use_it_later(proposal.file, str(target)))
    return None


def _write(target: Path, proposal: Proposal) -> None:
    from rodhours.log.layout.proposal_text import proposal_text

    try:
        write_together({target.name: proposal_text(proposal)}, target.parent)
    except OSError as error:
        raise UnusableFile(
            f"{target}: the layout cannot be written ({error.strerror or error}). "
            "Nothing was imported."
        ) from None


def _free_name(target: Path) -> Path:
    """The file, or the first of its name with a number that is not there yet."""
    number = 2
    free = target
    while free.exists() or free.is_symlink():
        free = target.with_name(target.name.replace(".layout.toml", f".layout-{number}.toml"))
        number += 1
    return free


def _yes(question: str, default: bool) -> bool:
    """The answer to a question; the end of the input is a no."""
    try:
        return typer.confirm(question, default=default, err=True)
    except typer.Abort:
        talk("")
        return False


def _machine_form(proposal: Proposal) -> dict[str, Any]:
    from rodhours.log.layout.proposal_text import proposal_text

    return {
        "file": proposal.file,
        "sheet": proposal.sheet,
        "table": proposal.table,
        "layout": proposal_text(proposal),
        "missing": list(proposal.missing),
        "ties": {ours: list(names) for ours, names in proposal.ties.items()},
        "fish_only": proposal.fish_only,
    }
