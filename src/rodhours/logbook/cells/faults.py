"""The one fault that every reader of cells raises, and the years that a log can be of."""

LOG_YEARS = range(1900, 2200)
"""A date outside these years is a slip; clock changes can be worked out in all of them."""


class CellFault(ValueError):
    """What would be right in a cell that cannot be taken: a phrase that follows "should be"."""
