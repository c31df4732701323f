"""A proposed layout as plain text: each column, what it is taken for, its cells and readings."""

from __future__ import annotations

from rodhours.log.layout import proposal_text as words
from rodhours.log.layout.contents import one_line
from rodhours.log.layout.layout import LEAVE_OUT
from rodhours.log.layout.propose import Match, Proposal
from rodhours.report.text_tables import columns, wrapped

LONGEST_NAME = 24


def layout_text(proposal: Proposal, width: int | None) -> str:
    """The proposal as it is shown on a terminal; `width` None leaves each sentence on one line."""
    rows = [(one_line(match.theirs), _taken_for(proposal, match)) for match in proposal.matches]
    first = min(max(columns(name) for name, _ in (*rows, (words.YOUR_COLUMN, ""))), LONGEST_NAME)
    second = max(columns(ours) for _, ours in (*rows, ("", words.OUR_COLUMN)))
    lines = [
        f"{words.tables_laid_out(proposal)}:",
        _row(words.YOUR_COLUMN, words.OUR_COLUMN, words.CELLS, first, second),
    ]
    for match, (name, ours) in zip(proposal.matches, rows, strict=True):
        # One line a column: its cells, or where they are read otherwise, how.
        lines.append(_row(name, ours, words.match_lines(match)[-1], first, second))
    return "\n".join([*lines, *(wrapped(line, width) for line in words.remarks(proposal))])


def _taken_for(proposal: Proposal, match: Match) -> str:
    if match.ours is not None:
        return match.ours
    return words.LEFT_OUT if proposal.layout.columns.get(match.theirs) == LEAVE_OUT else words.KEPT


def _row(name: str, ours: str, cells: str, first: int, second: int) -> str:
    pad = " " * max(first - columns(name), 0)
    return f"  {name}{pad}  {ours}{' ' * (second - columns(ours))}  {cells}".rstrip()
