"""Answers go to stdout, talk goes to stderr."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from rodhours.unseen import shown

WIDEST_LINE = 100
"""Sentences are not wrapped wider than this: longer lines are hard to read."""


def answer(text: str) -> None:
    """Print an answer on stdout; characters that would steer the terminal as code points."""
    print(shown(text))


def talk(text: str) -> None:
    """Say something beside the answer, on stderr."""
    print(shown(text), file=sys.stderr)


def answer_json(content: Mapping[str, Any]) -> None:
    """Print a machine form on stdout; NaN never appears, missing values are null."""
    print(json_text(content))


def json_text(content: Mapping[str, Any]) -> str:
    """A machine form as text; NaN never appears, missing values are null."""
    import json

    return json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False)


def take_any_text() -> None:
    """Make the streams write a character that their encoding lacks as its escape.

    The escape is also what JSON has for it, up to U+FFFF.
    """
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")


def width_of_answers() -> int | None:
    """Columns to wrap sentences at; None where stdout is a pipe or a file."""
    if not sys.stdout.isatty():
        return None
    import shutil

    return min(WIDEST_LINE, shutil.get_terminal_size().columns)


@contextmanager
def progress_bar(label: str, wanted: bool = True) -> Iterator[Callable[[int, int], None] | None]:
    """A function of (done, to do) that moves a bar on stderr; None where nobody looks on."""
    if not (wanted and sys.stderr.isatty() and os.environ.get("TERM") != "dumb"):
        yield None
        return
    import typer

    with typer.progressbar(length=1, label=label, file=sys.stderr) as bar:

        def move(done: int, to_do: int) -> None:
            bar.length = to_do
            bar.update(done - bar.pos)

        yield move
