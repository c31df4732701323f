"""The error values that a spreadsheet shows where a formula failed, so that they can be named."""

from __future__ import annotations

import re

from rodhours.logbook.cells.faults import CellFault
from rodhours.wording import cells as words

_ERRORS = re.compile(
    r"#(?:DIV/0!|N/A|NAME\?|NULL!|NUM!|REF!|VALUE!|GETTING_DATA|SPILL!|CALC!|#+|)|(?:Err:\d{3})",
    re.IGNORECASE,
)


def is_error_cell(text: str) -> bool:
    """Whether a cell holds a spreadsheet's error (`#DIV/0!`), or only the sign that it is narrow.

    `####` is what a column too narrow for its numbers shows, and what then gets copied.
    """
    return len(text) > 1 and _ERRORS.fullmatch(text) is not None


def refuse_error_cell(text: str) -> None:
    """Raise CellFault, naming the error, where a cell holds one."""
    if text[:1] in "#Ee" and is_error_cell(text):
        raise CellFault(words.an_error_cell(text))
