"""A proposed layout as plain text: each column, what it is taken for, its cells and readings."""

from __future__ import annotations

from rodhours.log.layout import proposal_words as words
from rodhours.log.layout.layout import LEAVE_OUT
from rodhours.log.layout.proposal_text import match_lines
from rodhours.log.layout.propose import Match, Proposal
from rodhours.log.layout.toml import one_line
from rodhours.report.text_tables import columns, wrapped

LONGEST_NAME = 24


def layout_text(proposal: Proposal, width: int | None) -> str:
    """The proposal as it is shown on a terminal; `width` None leaves each sentence on one line."""
    rows = [(one_line(match.theirs), _taken_for(proposal, match)) for match in proposal.matches]
    first = min(max(columns(name) for name, _ in (*rows, (words.YOUR_COLUMN, ""))), LONGEST_NAME)
    second = max(columns(ours) for _, ours in (*rows, ("", words.OUR_COLUMN)))
    lines = [
        f"{words.tables_laid_out(proposal.file, proposal.sheet, proposal.sheets_alike)}:",
        _row(words.YOUR_COLUMN, words.OUR_COLUMN, words.CELLS, first, second),
    ]
    for match, (name, ours) in zip(proposal.matches, rows, strict=True):
        # One line a column: its cells, or where they are read otherwise, how.
        lines.append(_row(name, ours, match_lines(match)[-1], first, second))
    return "\n".join([*lines, *(wrapped(line, width) for line in remarks(proposal))])


def remarks(proposal: Proposal) -> list[str]:
    """What is said of the proposal as a whole: the sheet, the rods, the trips."""
    layout = proposal.layout
    said = [words.sheet_chosen(proposal.sheet or "", proposal.sheets)] if proposal.sheets else []
    if proposal.rods:
        said.append(words.apart_said(layout, proposal.rods))
    if layout.session_from:
        said.append(f"{words.session_said(layout.session_from, proposal.sessions)}.")
    if proposal.fish_only:
        said.append(words.fish_only(proposal.place))
    elif proposal.unanswerable:
        said.append(f"{words.no_column_said(proposal.unanswerable, proposal.rods)}.")
    return said


def _taken_for(proposal: Proposal, match: Match) -> str:
    if match.ours is not None:
        return match.ours
    return words.LEFT_OUT if proposal.layout.columns.get(match.theirs) == LEAVE_OUT else words.KEPT


def _row(name: str, ours: str, cells: str, first: int, second: int) -> str:
    pad = " " * max(first - columns(name), 0)
    return f"  {name}{pad}  {ours}{' ' * (second - columns(ours))}  {cells}".rstrip()
