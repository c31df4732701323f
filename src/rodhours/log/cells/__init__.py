"""Cells to canonical values, each in a stated form; what is in none is refused, not guessed.

Every reader takes a stripped, filled text and is pure.
"""

LOG_YEARS = range(1900, 2200)
"""A date outside these years is a slip; clock changes can be worked out in all of them."""


class CellFault(ValueError):
    """What would be right in a cell that cannot be taken: a phrase that follows "should be"."""
