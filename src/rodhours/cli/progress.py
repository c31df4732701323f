"""A progress bar with the time left, on stderr and only where a person looks on.

Nothing is drawn into a pipe or a file. No colour is used, so that NO_COLOR has nothing to forbid.
"""

from __future__ import annotations

import math
import os
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TextIO

LONGEST_BAR = 30
SECONDS_BETWEEN_DRAWINGS = 0.1


class Bar:
    """One line that is drawn over and over; the clock starts with the first piece done.

    What comes before that is the start of the processes, which says nothing of the time left.
    """

    def __init__(self, label: str, stream: TextIO) -> None:
        self._label, self._stream = label, stream
        self._first: tuple[float, int] | None = None
        self._drawn_at = -math.inf
        self._width = 0
        self._draw(f"{label} ...")

    def move(self, done: int, to_do: int) -> None:
        """Draw how much is done; not more often than an eye can follow."""
        now = time.monotonic()
        if self._first is None:
            self._first = (now, done)
        if now - self._drawn_at < SECONDS_BETWEEN_DRAWINGS and done < to_do:
            return
        self._drawn_at = now
        began, at_first = self._first
        left = ""
        if done > at_first:
            left = f", {time_left((now - began) * (to_do - done) / (done - at_first))} left"
        said = f" {done:,} of {to_do:,}{left}"
        import shutil

        columns = shutil.get_terminal_size().columns
        length = min(LONGEST_BAR, columns - len(self._label) - len(said) - 4)
        full = max(0, length) * done // to_do
        bar = f" [{'#' * full}{'.' * (length - full)}]" if length > 4 else ""
        self._draw(f"{self._label}{bar}{said}"[: columns - 1])

    def clear(self) -> None:
        """Leave the line as it was before."""
        self._draw("")
        self._stream.write("\r")
        self._stream.flush()

    def _draw(self, text: str) -> None:
        self._stream.write(f"\r{text}{' ' * (self._width - len(text))}")
        self._stream.flush()
        self._width = len(text)


def time_left(seconds: float) -> str:
    """A time to wait, no finer than it can be known: `8 s`, `3 min`, `2 h`."""
    if seconds < 90:
        return f"{math.ceil(seconds)} s"
    if seconds < 90 * 60:
        return f"{round(seconds / 60)} min"
    return f"{round(seconds / 3600)} h"


@contextmanager
def progress_bar(label: str, wanted: bool = True) -> Iterator[Callable[[int, int], None] | None]:
    """Gives a function of (done, to do) that moves the bar; None where there is no bar."""
    if not (wanted and sys.stderr.isatty() and os.environ.get("TERM") != "dumb"):
        yield None
        return
    bar = Bar(label, sys.stderr)
    try:
        yield bar.move
    finally:
        bar.clear()
