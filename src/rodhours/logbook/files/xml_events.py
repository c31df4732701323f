"""XML read as a stream of events, without entities or document types: nothing can grow in it."""

from __future__ import annotations

import posixpath
from collections.abc import Callable
from xml.parsers import expat

Attributes = dict[str, str]


class BadXml(ValueError):
    """XML that is damaged, or declares what no spreadsheet does."""


def read_events(
    data: bytes,
    start: Callable[[str, Attributes], object],
    end: Callable[[str], object] | None = None,
    text: Callable[[str], object] | None = None,
) -> None:
    """Call the handlers for every element and text; names come without their prefix.

    Raises BadXml for XML that is not well formed and for any document type declaration.
    """
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartDoctypeDeclHandler = _refuse
    parser.EntityDeclHandler = _refuse
    local: dict[str, str] = {}

    def bare(name: str) -> str:
        short = local.get(name)
        if short is None:
            short = local[name] = name.rpartition(":")[2]
        return short

    parser.StartElementHandler = lambda name, attributes: start(
        bare(name), {bare(key): value for key, value in attributes.items()}
    )
    if end is not None:
        parser.EndElementHandler = lambda name: end(bare(name))
    if text is not None:
        parser.CharacterDataHandler = text
    try:
        parser.Parse(data, True)
    except (expat.ExpatError, UnicodeError, LookupError) as error:
        raise BadXml(str(error)) from None


def related_parts(relations: bytes | None) -> dict[str, str]:
    """The parts of a zipped workbook by the ids under which its list of sheets names them."""
    targets: dict[str, str] = {}

    def relation(name: str, attributes: Attributes) -> None:
        if name == "Relationship":
            target = attributes.get("Target", "")
            path = target.lstrip("/") if target.startswith("/") else f"xl/{target}"
            targets[attributes.get("Id", "")] = posixpath.normpath(path)

    if relations is not None:
        read_events(relations, relation)
    return targets


def _refuse(*_: object) -> None:
    raise BadXml("a document type declaration")
