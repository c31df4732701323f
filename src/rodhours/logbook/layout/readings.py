"""How the cells of matched columns are written: the forms that read them, and each reading.

The plainest form that reads every cell is taken, or the one that reads most; day first is
taken wherever it reads the dates, month first only where nothing else does.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import partial

from rodhours.logbook.cells import (
    DATE_FORMS,
    DAY_FIRST,
    MONTH_FIRST,
    NUMBER_FORMS,
    PLAIN,
    YEAR_FIRST,
    CellFault,
    NumberForm,
    ambiguous,
    clock_text,
    hours_readings,
    number_readings,
    read_date,
    read_date_and_time,
    read_time,
    weight_readings,
)
from rodhours.logbook.layout.contents import Contents
from rodhours.logbook.layout.forms import Reader, cell_reader
from rodhours.logbook.layout.layout import COLUMNS, MEASURES, Dates, Layout, Units
from rodhours.logbook.layout.synonyms import unit_in_name
from rodhours.logbook.tables import Kind

SHOWN_FORMS = 6
"""How many forms of a column are shown with their reading."""
_ISO = re.compile(r"\d{4}-\d{2}-\d{2}.*")
_DAY_ONLY_FORMS = (YEAR_FIRST, DAY_FIRST, *DATE_FORMS[3:], MONTH_FIRST)
"""In the order in which they are tried: month first comes last."""


@dataclass(frozen=True)
class Reading:
    """One form of cell in a column: an example, and what it is read as, or what would be right."""

    text: str
    value: str | None
    fault: str | None
    cells: int


def find_units(columns: Mapping[str, tuple[str, Contents]]) -> Units:
    """How quantities are written; `columns` has for ours the name of theirs and its cells."""
    numeric = [
        contents.distinct
        for ours, (_, contents) in columns.items()
        if COLUMNS[ours].kind in (Kind.NUMBER, Kind.WHOLE)
    ]
    numbers = _number_form([text for texts in numeric for text in texts])
    hours: tuple[str, ...] = ("decimal",)
    if "hours" in columns:
        name, contents = columns["hours"]
        hours = _hours_forms(contents.distinct, numbers, unit_in_name(name) == "days")
    weight = None
    if "weight" in columns:
        name, contents = columns["weight"]
        weight = _weight_form(contents.distinct, unit_in_name(name))
    measures = {
        ours: unit
        for ours, allowed in MEASURES.items()
        if ours in columns
        and (unit := unit_in_name(columns[ours][0])) in allowed
        and unit != allowed[0]
    }
    return Units(hours, weight, numbers.decimal, numbers.thousands or "", measures)


def find_dates(columns: Mapping[str, tuple[str, Contents]]) -> Dates:
    """How dates are written, and which column clock times need for their day."""
    texts = [
        text
        for ours, (_, contents) in columns.items()
        if COLUMNS[ours].kind is Kind.DATE
        for text in contents.distinct
    ]
    clock_on = None
    for ours, (_, contents) in columns.items():
        if COLUMNS[ours].kind is Kind.MOMENT:
            if contents.clock_times:
                clock_on = columns["date"][0] if "date" in columns else None
            else:
                texts.extend(contents.distinct)
    return Dates(form=date_form(texts), clock_on=clock_on)


def date_form(texts: Iterable[str]) -> str:
    """The form that reads all of these dates, or most; those in ISO 8601 are read by any."""
    others = [text for text in texts if not _ISO.fullmatch(text)]
    if not others:
        return YEAR_FIRST
    counts = {form: sum(_is_date(text, form) for text in others) for form in _DAY_ONLY_FORMS}
    return max(counts, key=lambda form: counts[form])


def both_ways(texts: Iterable[str]) -> tuple[str, ...]:
    """Up to two dates of a column that month first reads as well, to other days; else none."""
    return ambiguous(text for text in texts if not _ISO.fullmatch(text))


def read_forms(ours: str, contents: Contents, layout: Layout, workbook: bool) -> list[Reading]:
    """Each form of cell that a column has, with one example and its reading."""
    read = cell_reader(ours, layout, workbook=workbook)
    if layout.dates.clock_on is not None and COLUMNS[ours].kind is Kind.MOMENT:
        read = partial(_clock_or_moment, layout, cell_reader(ours, layout, workbook=False))
    values = layout.values.get(ours, {})
    found: dict[str, Reading] = {}
    counts: Counter[str] = Counter()
    for text in contents.distinct:
        if read is None or text in values:
            continue
        value, fault = None, None
        try:
            value = read(text)
        except CellFault as wrong:
            fault = str(wrong)
        shape = f"{'' if fault is None else '!'}{_shape(text)}"
        counts[shape] += 1
        found.setdefault(shape, Reading(text, value, fault, 0))
    return [Reading(one.text, one.value, one.fault, counts[shape]) for shape, one in found.items()]


def _clock_or_moment(layout: Layout, moment: Reader | None, text: str) -> str:
    """A time of day, its day being in another column; or a date with a time."""
    try:
        return clock_text(read_time(text, layout.dates.clock, layout.units.numbers))
    except CellFault as fault:
        try:
            return moment(text) if moment is not None else text
        except CellFault:
            raise fault from None


def _shape(text: str) -> str:
    return re.sub(r"[^\W\d_]+", "a", re.sub(r"\d+", "0", text))


def _is_date(text: str, form: str) -> bool:
    for read in (read_date, read_date_and_time):
        try:
            value = read(text, form)
        except CellFault:
            continue
        return form in (YEAR_FIRST, DAY_FIRST, MONTH_FIRST) or "1950" < value < "2100"
    return False


def _number_form(texts: Sequence[str]) -> NumberForm:
    """The plainest form that reads the most of these texts."""
    readable: Counter[NumberForm] = Counter()
    for text in texts:
        readable.update(form for form, _ in number_readings(text))
    if not readable:
        return PLAIN
    most = max(readable.values())
    return next(form for form in NUMBER_FORMS if readable[form] == most)


def _hours_forms(texts: Sequence[str], numbers: NumberForm, in_days: bool) -> tuple[str, ...]:
    met: dict[str, None] = {}
    for text in texts:
        for form, _ in hours_readings(text, numbers)[:1]:
            met["days" if in_days and form == "decimal" else form] = None
    return tuple(sorted(met, key=("decimal", "days", "clock", "spelt").index)) or ("decimal",)


def _weight_form(texts: Sequence[str], said: str | None) -> str | None:
    """What a bare weight means, where the column's name says it; None where nothing does."""
    bare = [t for t in texts if not any(form is None for form, _ in weight_readings(t))]
    return said if bare and said in ("lb", "lb.oz", "kg", "g") else None
