"""The season's report as one HTML page that asks for nothing: the same bytes for the same input."""

from __future__ import annotations

import re

from rodhours.report.outline import season_outline
from rodhours.report.season import Season
from rodhours.report.templates import LONGEST, pieces, template
from rodhours.words import report as words
from rodhours.words.notes import WHAT_LIMITS
from rodhours.words.planning_next import WHAT_SETTLES


def season_page(season: Season) -> str:
    """The whole page. Raises ValueError where the season has no stint."""
    variants = {str(name) for name in season.stints["variant"].unique()}
    page: str = template(
        "page.html.j2",
        _KNOWN,
        pieces=lambda text: [
            (piece if whole else _tied(piece), whole)
            for piece, whole in pieces(str(text), variants | {season.result.reference})
        ],
    ).render(vars(season_outline(season)))
    return page


_KNOWN = {
    "longest": LONGEST,
    "names": words.NAMES,
    "glossary": words.GLOSSARY,
    "cautions": words.CAUTIONS,
    "nothing_limits": words.NOTHING_LIMITS,
    "what_limits": WHAT_LIMITS,
    "what_settles": WHAT_SETTLES,
    "model_columns": words.MODEL_COLUMNS,
    "rows_left_out": words.ROWS_LEFT_OUT.format,
    "saved_as": words.SAVED_AS.format,
}
"""What the template asks for by name beside the outline."""


def _tied(text: str) -> str:
    """A sentence whose numbers do not part from their unit at the end of a line."""
    text = re.sub(r"(?<=\d) (?=%|(?:ml|mm|kg|g|lb|oz|s)\b|°C)", "\u00a0", text)
    return re.sub(r"\bp ([=<]) (?=\d)", "p\u00a0\\1\u00a0", text)
