"""Empty cells that mean "as above", where the layout says so."""

from __future__ import annotations

from collections.abc import Sequence


def filled_down(cells: Sequence[str]) -> list[str]:
    """Each empty cell takes the last filled one above it; those above the first stay empty."""
    filled: list[str] = []
    last = ""
    for cell in cells:
        if cell.strip():
            last = cell
        filled.append(last)
    return filled
