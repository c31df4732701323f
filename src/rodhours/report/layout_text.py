"""A proposed layout as plain text: each column, what it is taken for, its cells and readings."""

from __future__ import annotations

from rodhours.log.layout.contents import one_line
from rodhours.log.layout.layout import KEEP, LEAVE_OUT
from rodhours.log.layout.proposal_text import column_lines, remarks, tables_laid_out
from rodhours.log.layout.propose import Proposal
from rodhours.report.text_tables import columns, wrapped

LONGEST_NAME = 24
_PLAINLY = {KEEP: "(kept as it is)", LEAVE_OUT: "(left out)"}


def layout_text(proposal: Proposal, width: int | None) -> str:
    """The proposal as it is shown on a terminal; `width` None leaves each sentence on one line."""
    rows = [("your column", "for rodhours", "three of its cells")]
    for name in proposal.cells:
        ours = proposal.layout.columns[name]
        # One line a column: its cells, or where they are read otherwise, how.
        rows.append((one_line(name), _PLAINLY.get(ours, ours), column_lines(proposal, name)[-1]))
    first = min(max(columns(name) for name, _, _ in rows), LONGEST_NAME)
    second = max(columns(ours) for _, ours, _ in rows)
    lines = [f"{tables_laid_out(proposal)}:"]
    for name, ours, cells in rows:
        name += " " * max(first - columns(name), 0)
        lines.append(f"  {name}  {ours}{' ' * (second - columns(ours))}  {cells}".rstrip())
    return "\n".join([*lines, *(wrapped(line, width) for line in remarks(proposal))])
