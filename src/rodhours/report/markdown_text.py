"""Any text as plain Markdown (CommonMark): nothing in it takes effect, and it reads as it is.

Only what could take effect is escaped, so that `pellet-20` stays `pellet-20` in a terminal too.
"""

from __future__ import annotations

import re
import textwrap
import unicodedata
from collections.abc import Sequence

from rodhours.report.text_tables import columns

WIDTH = 92
"""Sentences are wrapped here; tables are as wide as they are."""
_TAKES_EFFECT = re.compile(
    r"[\\`*\[\]|~$]|<(?=[A-Za-z/!?])"
    # An underscore between two letters or figures is one; elsewhere it could begin emphasis.
    r"|(?<![^\W_])_|_(?![^\W_])"
    r"|&(?=#?\w+;)"
    # Many readers make links of addresses that nobody marked as such.
    r"|(?<=www)\.|(?<=WWW)\.|:(?=//)|@"
)
_BLOCK_START = re.compile(r"[-+](?=\s|$)|>|#(?=#{0,5}(?:\s|$))|(?=[-=+: ]+$)")
_NUMBERED = re.compile(r"(\d{1,9})(?=[.)](?:\s|$))")


def escaped(text: str) -> str:
    """A text as one line of Markdown that shows exactly its letters.

    Line breaks and runs of blanks become one blank (as in HTML), control characters, which a
    terminal would obey, the replacement character.
    """
    line = " ".join(text.split())
    line = "".join("\ufffd" if unicodedata.category(one) == "Cc" else one for one in line)
    return _TAKES_EFFECT.sub(r"\\\g<0>", line)


def paragraph(line: str, first: str = "", later: str = "") -> str:
    """One escaped line as a paragraph, wrapped, with `first` before its first line and `later`
    before the others; no line of it begins a list, a quotation, a heading or a rule."""
    lines = textwrap.wrap(line, WIDTH - len(later), break_long_words=False, break_on_hyphens=False)
    kept = [_no_block(one) for one in lines]
    return "\n".join((later if i else first) + one for i, one in enumerate(kept))


def _no_block(line: str) -> str:
    numbered = _NUMBERED.match(line)
    if numbered:
        return f"{numbered[1]}\\{line[numbered.end() :]}"
    return f"\\{line}" if _BLOCK_START.match(line) else line


def heading(level: int, text: str) -> str:
    """A heading of one line."""
    # A run of # at the end would be taken for the end of the heading.
    return re.sub(r"(?<= )#(?=#*$)", r"\\#", f"{'#' * level} {escaped(text)}")


def pipe_table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Rows of text under their heads as a pipe table with columns that line up."""
    cells = [[escaped(cell) for cell in row] for row in (heads, *rows)]
    widths = [max(3, *(columns(row[i]) for row in cells)) for i in range(len(heads))]

    def line(row: Sequence[str]) -> str:
        padded = (
            cell + " " * (wide - columns(cell)) for cell, wide in zip(row, widths, strict=True)
        )
        return f"| {' | '.join(padded)} |"

    rule = f"| {' | '.join('-' * wide for wide in widths)} |"
    return "\n".join([line(cells[0]), rule, *map(line, cells[1:])])
