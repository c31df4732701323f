"""What long work tells whoever watches it: how much is done, and how much there is to do."""

from __future__ import annotations

from collections.abc import Callable

Progress = Callable[[int, int], None]
