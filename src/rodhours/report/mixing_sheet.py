"""A mixing sheet as plain text and as one printed page."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rodhours.kitchen.order import Bought
from rodhours.kitchen.sheet import MixingSheet
from rodhours.report.templates import template
from rodhours.report.text_tables import aligned, wrapped
from rodhours.words import kitchen as words


def sheet_text(sheet: MixingSheet, width: int | None = None, origins: bool = False) -> str:
    """The sheet for a terminal; sentences are wrapped at `width`, the table never.

    With `origins`, where each figure comes from, what it rests on, and all cautions.
    """
    content = _content(sheet)
    rows = content["rows"]
    name, number = (max(len(row[i]) for row in rows) for i in (0, 1))
    table = [
        f"{what:<{name}}  {much:>{number}}  {source if origins else ''}".rstrip()
        for what, much, source in rows
    ]
    parts = [f"{content['title']}\n{wrapped(content['subtitle'], width)}", "\n".join(table)]
    told = (*content["explained"], *content["lift"]) if origins else words.in_short(sheet)
    parts += [wrapped(text, width) for text in told]
    if origins:
        cautions = [wrapped(text, width, "- ", "  ") for text in content["cautions"]]
        parts.append("\n".join(["With care", *cautions]))
    return "\n\n".join(parts)


def order_text(sheets: Sequence[MixingSheet], bought: Sequence[Bought]) -> str:
    """Several sheets as one order: what is mixed first, what to have at hand, what it costs."""
    rows = [words.bought_row(one) for one in bought]
    lines = aligned([["to have at hand", "how much", "cost"], *rows], None)
    return "\n\n".join(
        [words.order_says(sheets), "\n".join(lines), *words.cost_says(sheets, bought)]
    )


def sheet_page(sheet: MixingSheet, version: str) -> str:
    """The sheet as one A4 page of HTML that asks for nothing."""
    made = template("mixing_sheet.html.j2", {"version": version}, {sheet.variant})
    page: str = made.render(_content(sheet))
    return page


def _content(sheet: MixingSheet) -> dict[str, Any]:
    return {
        "title": words.title(sheet),
        "subtitle": words.subtitle(sheet),
        "rows": [
            (
                words.what(line, sheet.batch),
                words.amount(line.amount, line.unit),
                words.origin(line.origins),
            )
            for line in sheet.quantities
        ],
        "explained": words.explained(sheet.batch),
        "lift": words.lift_sentences(sheet.lift),
        "cautions": (*words.CAUTIONS, words.RULES),
    }
