"""The season's report as plain Markdown: what the page says, in its order, readable as it stands.

A picture is what it shows, in words, and its numbers as a table; a table too long to be read past
stands at the end.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from rodhours.report.contents import Season, season_content
from rodhours.report.figures import Picture
from rodhours.report.markdown_text import escaped, heading, paragraph, pipe_table
from rodhours.report.parts import Part, Table
from rodhours.wording import report as words

MOST_ROWS_BETWEEN = 16
"""A picture with more rows of numbers has them at the end."""


def season_markdown(season: Season) -> str:
    """The whole report, the same text for the same season. ValueError where it has no stint."""
    content = season_content(season)
    put_off: list[tuple[str, Table]] = []
    blocks = [
        *_answer(content),
        *_all(content["parts"], put_off),
        heading(2, content["limits_heading"]),
        *(_notes(content["notes"]) or [_said(content["nothing_limits"])]),
        *_all(content["further"], put_off),
        *_method(content),
        *_provenance(content),
        *_glossary(content),
    ]
    if put_off:
        blocks.append(heading(2, words.FIXED["numbers_at_the_end"]))
    for title, numbers in put_off:
        blocks += [heading(3, title), *_table(numbers)]
    blocks += ["---", _said(content["cautions"])]
    return "\n\n".join(blocks) + "\n"


def _said(text: str) -> str:
    return paragraph(escaped(text))


def _led(name: str, text: str) -> str:
    """A paragraph that a word or two in italics lead."""
    return paragraph(f"*{escaped(name)}* {escaped(text)}")


def _answer(content: Mapping[str, Any]) -> Iterator[str]:
    """The first screen."""
    yield paragraph(f"*{escaped(content['title'])}*")
    yield heading(1, content["question"])
    yield paragraph(f"**{escaped(content['lead'])}**")
    if content["counted"]:
        yield _said(content["counted"])
    if content["answer_picture"]:
        picture, held = content["answer_picture"], content["adjusted"]
        yield _led(words.FIXED["picture_shows"], picture.alt)
        yield from _table(content["answer_numbers"])
        yield _led(words.FIXED["picture_read"], f"{picture.caption} {held}")
    if content["rests_on"]:
        yield _said(content["rests_on"])
    if content["worst"]:
        yield _led(content["what_limits"], content["worst"]["says"])
    if content["settles"]:
        yield _led(content["what_settles"], content["settles"])


def _all(parts: Iterable[Part], put_off: list[tuple[str, Table]]) -> Iterator[str]:
    for part in parts:
        yield from _part(part, put_off)


def _part(part: Part, put_off: list[tuple[str, Table]]) -> Iterator[str]:
    yield heading(2, part.heading)
    yield from map(_said, part.says)
    if part.picture is not None and part.numbers is not None:
        yield from _picture(part.heading, part.picture, part.numbers, put_off)
    yield from map(_said, part.beneath)
    for table in part.tables:
        yield heading(3, table.title)
        yield from _table(table)
    if part.folded:
        yield heading(3, part.folded_title)
        yield from map(_said, part.folded)
    yield from _notes(part.notes)


def _picture(
    title: str, picture: Picture, numbers: Table, put_off: list[tuple[str, Table]]
) -> Iterator[str]:
    yield _led(words.FIXED["picture_shows"], picture.alt)
    if len(numbers.rows) <= MOST_ROWS_BETWEEN:
        yield from _table(numbers)
    else:
        put_off.append((title, numbers))
        rows = len(numbers.rows) + numbers.left_out
        yield _said(words.rows_further_down(rows, words.FIXED["numbers_at_the_end"]))
    yield _led(words.FIXED["picture_read"], picture.caption)


def _table(table: Table) -> Iterator[str]:
    yield pipe_table(table.columns, table.rows)
    if table.left_out:
        yield _said(words.rows_left_out_of_text(table.left_out))
    if table.beneath:
        yield _said(table.beneath)


def _notes(notes: Sequence[Mapping[str, str]]) -> list[str]:
    """What limits an answer, each with how much it weighs."""
    return [
        paragraph(f"*{escaped(note['severity'])}.* {escaped(note['says'])}", "- ", "  ")
        for note in notes
    ]


def _method(content: Mapping[str, Any]) -> Iterator[str]:
    yield heading(2, words.FIXED["method"])
    yield from map(_said, content["method"])
    models = content["models"]
    if not models:
        return
    yield heading(3, words.FIXED["models"])
    for model in models:
        if model["says"]:
            yield _said(words.model_basis(model["basis"], model["says"]))
    figures = [[text for name, text in model.items() if name != "says"] for model in models]
    yield pipe_table(words.MODEL_COLUMNS, figures)


def _provenance(content: Mapping[str, Any]) -> Iterator[str]:
    yield heading(2, words.FIXED["provenance"])
    facts = [
        *content["provenance"],
        (words.FIXED["logbook"], content["logbook_sha256"]),
        (words.FIXED["made_by"], f"rodhours {content['version']}"),
    ]
    yield "\n".join(_item(name, value) for name, value in facts)


def _glossary(content: Mapping[str, Any]) -> Iterator[str]:
    yield heading(2, words.FIXED["glossary"])
    yield "\n".join(_item(name, value) for name, value in content["glossary"])


def _item(name: str, value: str) -> str:
    return paragraph(f"**{escaped(name)}:** {escaped(value)}", "- ", "  ")
