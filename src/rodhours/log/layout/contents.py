"""What the cells of a column hold, in which forms, and how each form is read.

The plainest form that reads every cell is taken, or the one that reads most; day first is
taken wherever it reads the dates, month first only where nothing else does.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple

from rodhours.log.cells import CellFault
from rodhours.log.cells.cell import LONGEST_VALUE, Dates, Units, cell_reader
from rodhours.log.cells.dates import (
    DATE_FORMS,
    DAY_FIRST,
    ISO,
    MONTH_FIRST,
    YEAR_FIRST,
    day_of_year,
    is_clock,
    is_dated,
    read_date,
    read_period,
    read_weekday_time,
)
from rodhours.log.cells.hours import in_words, read_stay
from rodhours.log.cells.numbers import COUNT_WORDS, as_plain, is_number
from rodhours.log.cells.times import clock_text
from rodhours.log.cells.weights import plain_weight, weight_readings
from rodhours.log.layout.layout import COLUMNS, MEASURES, Layout
from rodhours.log.layout.names import unit_in_name
from rodhours.log.tables import Kind

MOST = 0.6
"""The share of the distinct texts that must be readable for a column to hold such things."""
LOOKED_AT = 400
"""Distinct texts that are looked at."""
_BETWEEN_WEIGHTS = re.compile(r"[,;+&/|\n]|\band\b", re.IGNORECASE)
_BUT_COMMAS = re.compile(r"[;+&/|\n]|\band\b|,(?!\d)|(?<!\d),", re.IGNORECASE)
"""The same where a comma between digits is that of a decimal."""
FISH_NAMED = re.compile(
    r"(\d{1,3})\s*(?:fish|carp|tench|bream|barbel|landed|caught|banked)", re.IGNORECASE
)
LOST_TOO = re.compile(
    r"(?:(?P<landed>\d{1,3})\s*(?:[+/&,;(]|and)\s*)?(?P<lost>\d{1,3})\s*(?:lost|dropped)\)?",
    re.IGNORECASE,
)
"""`1 + 1 lost`, `2 (1 lost)`, `1 lost`."""
WEIGHTS_TOO = re.compile(
    r"(?P<landed>\d{1,2})\s*[(:]\s*(?P<weight>[^)]*(?:lb|kg|oz)[^)]*)\)?", re.IGNORECASE
)
"""`2 (18lb, 9lb 4oz)`."""
_WORDS = re.compile(r"\b(?!(?:lbs?|ozs?|kgs?|kilos?|grams?|pounds?|ounces?)\b)[^\W\d_]{2,}\b")
_KILOS = re.compile(r"\d+[.,]\d{1,3}(?=\s*kg)", re.IGNORECASE)

_UNITS = {"hours": " h", "_temp_c": " °C", "depth_m": " m", "range_m": " m", "_hpa": " hPa"}


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
        fits = sum(len(text) <= LONGEST_VALUE and readable(text) for text in self.distinct)
        return fits >= MOST * len(self.distinct) > 0

    @cached_property
    def numbers(self) -> bool:
        """Whether these are numbers, in whatever form."""
        return self.mostly(lambda text: is_number(text.removesuffix("%").rstrip()))

    @cached_property
    def counts(self) -> bool:
        """Whether these are whole numbers of a size that fish come in."""
        return self.mostly(
            lambda text: (
                text.lower() in COUNT_WORDS
                or (text.isdecimal() and int(text) < 500)
                or any(form.fullmatch(text) for form in (LOST_TOO, WEIGHTS_TOO, FISH_NAMED))
            )
        )

    @cached_property
    def dates(self) -> bool:
        """Whether these are dates, with or without a time."""
        dated = self.mostly(lambda text: any(is_dated(text, form) for form in DATE_FORMS))
        return dated or (self.yearless and not self.numbers)

    @cached_property
    def yearless(self) -> bool:
        """Whether some of these are dates without their year, and most are dates."""
        forms = (DAY_FIRST, MONTH_FIRST)
        some = any(day_of_year(one, form) is not None for one in self.distinct for form in forms)
        return some and self.mostly(is_a_date)

    @cached_property
    def clock_times(self) -> bool:
        """Whether these are times of day without a date."""
        return self.mostly(is_clock) and not self.numbers

    @cached_property
    def periods(self) -> bool:
        """Whether these say from which time to which."""
        return self.mostly(lambda text: read_period(text) is not None)

    @cached_property
    def steps(self) -> set[int]:
        """How the whole numbers change from row to row; {1} where they number the trips."""
        texts = [cell.strip() for cell in self.cells if cell.strip()]
        plain = len({*texts}) > 2 and all(text.isdecimal() and len(text) < 6 for text in texts)
        return {int(one) - int(above) for above, one in pairwise(texts)} - {0} if plain else set()

    @cached_property
    def named_weights(self) -> bool:
        """Whether these are weights with their unit, which nothing else looks like."""
        weighed = [text for text in self.distinct if text.lower() not in COUNT_WORDS]
        return Contents(weighed).mostly(
            lambda text: any(None in dict(weight_readings(one)) for one in weights_in(text))
        )

    def could_be(self, ours: str) -> bool:
        """Whether the cells can be what one of our columns holds; empty ones can be anything."""
        kind = COLUMNS[ours].kind
        if not self.distinct:
            return True
        if ours == "hours":
            return self.mostly(
                lambda text: (
                    is_number(text)
                    or any(in_words(text, mark) for mark in ".,")
                    or read_stay(text) is not None
                )
            )
        if kind is Kind.WEIGHT:
            weighed = [text for text in self.distinct if COUNT_WORDS.get(text.lower()) != 0]
            return Contents(weighed).mostly(lambda one: all(map(weight_readings, weights_in(one))))
        if kind is Kind.MOMENT:
            return self.dates or self.mostly(is_clock)
        if kind is Kind.COMPASS:
            return self.mostly(lambda text: set(text.upper()) <= set("NESW"))
        if kind is Kind.OUTCOME:
            return self.mostly(lambda text: text.lower() in ("landed", "lost"))
        if ours in ("variant", "venue", "species", "angler"):
            return not (self.numbers or self.dates or self.clock_times or self.periods)
        held = {Kind.WHOLE: "counts", Kind.NUMBER: "numbers", Kind.DATE: "dates"}
        return kind not in held or bool(getattr(self, held[kind]))


def filled_down(cells: Sequence[str]) -> list[str]:
    """Each empty cell takes the last filled one above it; those above the first stay empty."""
    filled: list[str] = []
    last = ""
    for cell in cells:
        last = cell if cell.strip() else last
        filled.append(last)
    return filled


def one_line(text: str, longest: int = 40) -> str:
    """A cell as it can stand in a comment: in one line, without what TOML forbids there."""
    line = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    return line if len(line) <= longest else f"{line[: longest - 3]}..."


def find_units(columns: Mapping[str, tuple[str, Contents]]) -> Units:
    """How quantities are written; `columns` has for ours the name of theirs and its cells."""
    units = {ours: unit_in_name(name) for ours, (name, _) in columns.items()}
    numeric = (Kind.NUMBER, Kind.WHOLE)
    held = [one for ours, (_, one) in columns.items() if COLUMNS[ours].kind in numeric]
    texts = [text for one in held for text in one.distinct]
    weights = columns["weight"][1].distinct if "weight" in columns else ()
    texts += _KILOS.findall(" ".join(weights))
    fits = {mark: sum(as_plain(text, mark) is not None for text in texts) for mark in ".,"}
    bare = any(None not in dict(weight_readings(one)) for one in weights)
    weight = units.get("weight") if bare else None
    return Units(
        hours="days" if units.get("hours") == "days" else "hours",
        weight=weight if weight in ("lb", "lb.oz", "kg", "g") else None,
        decimal="," if fits[","] > fits["."] else ".",
        measures={
            ours: unit
            for ours, allowed in MEASURES.items()
            if (unit := units.get(ours)) in allowed[1:] and unit
        },
    )


def find_dates(columns: Mapping[str, tuple[str, Contents]]) -> Dates:
    """How dates are written, and which column clock times need for their day.

    The year is that of the first date, where later ones are written without theirs.
    """
    of_kind = {
        kind: [one for ours, (_, one) in columns.items() if COLUMNS[ours].kind is kind]
        for kind in (Kind.DATE, Kind.MOMENT)
    }
    texts = [text for one in of_kind[Kind.DATE] for text in one.distinct]
    form, year = date_form(texts), None
    if any(day_of_year(text, form) is not None for text in texts):
        with suppress(CellFault):
            year = int(read_date(texts[0], form)[:4])
    clocks = any(one.clock_times for one in of_kind[Kind.MOMENT])
    clock_on = columns["date"][0] if clocks and "date" in columns else None
    for one in of_kind[Kind.MOMENT]:
        texts += () if one.clock_times else one.distinct
    return Dates(form=date_form(texts), clock_on=clock_on, year=year)


def weights_in(text: str, decimal: str = ".") -> list[str]:
    """The weights of a cell that holds one or several; the whole text where it cannot be split."""
    if not text or weight_readings(text, decimal):
        return [text] if text else []
    between = _BETWEEN_WEIGHTS if decimal == "." else _BUT_COMMAS
    split = [part.strip() for part in between.split(text)]
    # 22lb mirror: the words beside a weight are none of it.
    bare = [" ".join(_WORDS.sub(" ", part).split()) for part in split]
    pairs = zip(bare, split, strict=True)
    found = [one if weight_readings(one, decimal) else part for one, part in pairs]
    return found if all(split) else [text]


def says_more(text: str) -> bool:
    """Whether words stand beside the weights of a cell."""
    return text.lower() not in COUNT_WORDS and _WORDS.search(text) is not None


def date_form(texts: Iterable[str]) -> str:
    """The form that reads all of these dates, or most; those in ISO 8601 are read by any."""
    others = [text for text in texts if not ISO.match(text)]
    counts = {form: sum(_is_date(text, form) for text in others) for form in DATE_FORMS}
    return max(counts, key=lambda form: counts[form]) if others else YEAR_FIRST


class Reading(NamedTuple):
    """One form of cell, in words: whether it is read as it stands there, or cannot be read."""

    said: str
    plain: bool = False
    fault: bool = False


def read_forms(ours: str, contents: Contents, layout: Layout, workbook: bool) -> list[Reading]:
    """Each form of cell that a column of quantities has, with one example and its reading."""
    units, kind, known = layout.units, COLUMNS[ours].kind, layout.values.get(ours, {})
    texts: Iterable[str] = contents.distinct
    if kind is Kind.WEIGHT:
        texts = [one for text in texts for one in weights_in(text, units.decimal)]
    elif kind not in (Kind.NUMBER, Kind.WHOLE, Kind.DATE, Kind.MOMENT):
        return []
    # A time of day may have its day in another column.
    clocks = kind is Kind.MOMENT and layout.dates.clock_on is not None
    midnight = workbook and not clocks
    read_cell = cell_reader(COLUMNS[ours], workbook=midnight, units=units, dates=layout.dates)

    def read(text: str) -> str:
        if kind is Kind.WEIGHT:
            return plain_weight(text, units.weight, units.decimal)
        if clocks and is_clock(text):
            return clock_text(read_weekday_time(text)[1])
        return str(read_cell(text))

    unit = next((unit for end, unit in _UNITS.items() if ours.endswith(end)), "")
    found: dict[tuple[bool, str], Reading] = {}
    for text in texts:
        if text in known:
            continue
        try:
            value = read(text)
            plain = value in (text, f"{text}.0")
            with suppress(ValueError):
                value = f"{float(value):.6g}"
            reading = Reading(f"{one_line(text, 24)} is read as {value}{unit}", plain)
        except CellFault as wrong:
            said = f"{one_line(text, 24)} cannot be read: should be {wrong}"
            reading = Reading(said, fault=True)
        shape = re.sub(r"[^\W\d_]+", "a", re.sub(r"\d+", "0", text))
        found.setdefault((reading.fault, shape), reading)
    return list(found.values())


def is_a_date(text: str) -> bool:
    """Whether a text is a date in any order, with or without its year."""
    return any(_is_date(text, form) for form in DATE_FORMS)


def is_a_day(text: str) -> bool:
    """Whether a text is a date, or a day of the week."""
    return is_a_date(text) or is_clock(f"{text} 12:00")


def _is_date(text: str, form: str) -> bool:
    return day_of_year(text, form) is not None or is_dated(text, form)
