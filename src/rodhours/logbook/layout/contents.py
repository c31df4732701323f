"""What the cells of a column hold, and whether one of our columns could be what they are.

Looks at distinct texts; says nothing of names.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

from rodhours.logbook.cells import (
    DAY_FIRST,
    CellFault,
    date_forms,
    hours_readings,
    number_readings,
    read_date,
    read_time,
    weight_readings,
)
from rodhours.logbook.layout.layout import COLUMNS
from rodhours.logbook.tables import Kind

MOST = 0.6
"""The share of the distinct texts that must be readable for a column to hold such things."""
LOOKED_AT = 400
"""Distinct texts that are looked at."""
_WORDS_FOR_COUNTS = ("-", "–", "x", "nil", "none", "blank", "blanked")


@dataclass(frozen=True)
class Contents:
    """The cells of one column, as they stand in the file."""

    cells: Sequence[str]

    @cached_property
    def distinct(self) -> tuple[str, ...]:
        """The filled texts, each once, in the order of the file."""
        found = dict.fromkeys(text for cell in self.cells if (text := cell.strip()))
        return tuple(found)[:LOOKED_AT]

    @property
    def samples(self) -> tuple[str, ...]:
        """Three cells to show."""
        return self.distinct[:3]

    @property
    def empty(self) -> int:
        """How many cells are empty."""
        return sum(1 for cell in self.cells if not cell.strip())

    def mostly(self, readable: Callable[[str], bool]) -> bool:
        """Whether most of the distinct texts can be read so; False where no cell is filled."""
        texts = self.distinct
        return bool(texts) and sum(map(readable, texts)) >= MOST * len(texts)

    @cached_property
    def numbers(self) -> bool:
        """Whether these are numbers, in whatever form."""
        return self.mostly(lambda text: bool(number_readings(text.removesuffix("%").rstrip())))

    @cached_property
    def counts(self) -> bool:
        """Whether these are whole numbers of a size that fish come in."""
        return self.mostly(
            lambda t: t.lower() in _WORDS_FOR_COUNTS or (t.isdecimal() and int(t) < 500)
        )

    @cached_property
    def dates(self) -> bool:
        """Whether these are dates, with or without a time."""
        return bool(date_forms(self.distinct)) or self.mostly(_is_day_first)

    @cached_property
    def clock_times(self) -> bool:
        """Whether these are times of day without a date."""
        return self.mostly(_is_time) and not self.numbers

    @cached_property
    def hours(self) -> bool:
        """Whether these can be hours."""
        return self.mostly(lambda text: bool(hours_readings(text)) or _with_comma(text))

    @cached_property
    def weights(self) -> bool:
        """Whether these can be weights."""
        return self.mostly(lambda text: bool(weight_readings(text)))

    @cached_property
    def named_weights(self) -> bool:
        """Whether these are weights with their unit, which nothing else looks like."""
        return self.mostly(lambda t: any(form is None for form, _ in weight_readings(t)))

    @cached_property
    def repeated(self) -> bool:
        """Whether few texts stand for many cells, as labels do."""
        filled = len(self.cells) - self.empty
        return len(self.distinct) <= max(3, filled // 2)

    def could_be(self, ours: str) -> bool:
        """Whether the cells can be what one of our columns holds; empty ones can be anything."""
        if not self.distinct:
            return True
        kind = COLUMNS[ours].kind
        if ours == "hours":
            return self.hours
        if kind is Kind.WHOLE:
            return self.counts
        if kind is Kind.NUMBER:
            return self.numbers
        if kind is Kind.DATE:
            return self.dates
        if kind is Kind.MOMENT:
            return self.dates or self.mostly(_is_time)
        if kind is Kind.WEIGHT:
            return self.weights
        if ours in ("variant", "venue", "species", "angler"):
            return not (self.numbers or self.dates or self.clock_times)
        if kind is Kind.COMPASS:
            return self.mostly(lambda text: set(text.upper()) <= set("NESW"))
        if kind is Kind.OUTCOME:
            return self.mostly(lambda text: text.lower() in ("landed", "lost"))
        return True


def _is_day_first(text: str) -> bool:
    try:
        read_date(text, DAY_FIRST)
    except CellFault:
        return False
    return True


def _is_time(text: str) -> bool:
    try:
        read_time(text)
    except CellFault:
        return False
    return True


def _with_comma(text: str) -> bool:
    return "," in text and bool(hours_readings(text.replace(",", ".")))
