"""The templates of pages and sheets: texts escaped, a name that nobody gave is an error."""

from __future__ import annotations

from collections.abc import Callable
from importlib.resources import files
from typing import Any

from jinja2 import Environment, StrictUndefined, Template


def template(name: str, known: dict[str, Any], **filters: Callable[..., Any]) -> Template:
    """A template by the name of its file; it knows `known` by name, and these filters."""
    environment = Environment(
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.globals.update(known)
    environment.filters.update(filters)
    source = files("rodhours.report").joinpath(name).read_text(encoding="utf-8")
    return environment.from_string(source)
