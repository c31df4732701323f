"""Answers go to stdout, talk goes to stderr."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any

from rodhours.progress import Progress
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
def progress_bar(label: str, wanted: bool = True) -> Iterator[Progress | None]:
    """A function of (done, to do) that says both and the time left in one line on stderr; None
    where nobody looks on. No escape sequence is written, so that NO_COLOR has nothing to forbid."""
    if not (wanted and sys.stderr.isatty() and os.environ.get("TERM") != "dumb"):
        yield None
        return
    import time

    width, first = 0, None

    def draw(text: str) -> None:
        nonlocal width
        print(f"\r{text:{width}}", end="", file=sys.stderr, flush=True)
        width = len(text)

    def move(done: int, to_do: int) -> None:
        nonlocal first
        now = time.monotonic()
        # The start of the processes, before the first piece is done, says nothing of the pace.
        began, at_first = first = first or (now, done)
        text = f"{label} {done:,} of {to_do:,}"
        if done > at_first:
            seconds = (now - began) * (to_do - done) / (done - at_first)
            text += f", {seconds / 60:.0f} min left" if seconds > 90 else f", {seconds:.0f} s left"
        draw(text)

    draw(f"{label} ...")
    try:
        yield move
    finally:
        draw("")
        print("\r", end="", file=sys.stderr, flush=True)
