"""The one fault that every reader of cells raises."""


class CellFault(ValueError):
    """What would be right in a cell that cannot be taken: a phrase that follows "should be"."""
