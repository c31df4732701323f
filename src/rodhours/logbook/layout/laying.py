"""A table while a layout is applied to it: what is known of its columns so far."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from rodhours.logbook.layout.layout import Layout
from rodhours.logbook.raw_table import RawTable


@dataclass
class Laying:
    """A table while it is laid out: canonical texts and faults under our names.

    `texts` and `faults` go by our column (or a kept one's own name); `names` maps ours to
    theirs; `raw_texts` are their cells, filled down, by their name.
    """

    raw: RawTable
    layout: Layout
    texts: dict[str, list[str]] = field(default_factory=dict)
    faults: dict[str, dict[int, tuple[str, str | None]]] = field(default_factory=dict)
    names: dict[str, str] = field(default_factory=dict)
    raw_texts: dict[str, Sequence[str]] = field(default_factory=dict)

    def at_fault(self, column: str, position: int) -> bool:
        """Whether the layout cannot read this cell."""
        return position in self.faults.get(column, ())
