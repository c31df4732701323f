"""What is said of a table that was read by a layout: readings, dates both ways, near misses."""

from __future__ import annotations

from collections.abc import Mapping

from rodhours.logbook.labels import look_alikes
from rodhours.logbook.layout.contents import Contents
from rodhours.logbook.layout.laid_out import LaidOutTable
from rodhours.logbook.layout.layout import COLUMNS, Layout
from rodhours.logbook.layout.matching import find_column
from rodhours.logbook.layout.readings import both_ways, read_forms
from rodhours.logbook.raw_table import RawTable
from rodhours.logbook.tables import Kind
from rodhours.wording import layouts as words


def layout_hints(raw: RawTable, laid: LaidOutTable, layout: Layout) -> list[str]:
    """How hours, dates and weights were read, and labels that the layout may have meant."""
    hints = [
        words.of_another_table(raw.place_of_table, theirs, ours, raw.table)
        for theirs, ours in layout.columns.items()
        if ours in COLUMNS
        and ours not in laid.header
        and theirs not in layout.session_from
        and (name := find_column(theirs, raw.header)) is not None
        and name in laid.header
    ]
    clock_on = layout.dates.clock_on
    if clock_on is not None and find_column(clock_on, raw.header) is not None:
        hints.append(f"{raw.file}: {words.clock_said(clock_on, layout.dates.clock_end_on)}")
    for group in laid.names:
        for ours, theirs in group.items():
            if ours not in COLUMNS or theirs not in raw.header:
                continue
            contents = Contents(raw.columns[raw.header.index(theirs)])
            kind = COLUMNS[ours].kind
            if ours == "hours" or kind in (Kind.DATE, Kind.WEIGHT):
                readings = read_forms(ours, contents, layout, raw.workbook)
                shown = [
                    words.read_as(ours, one.text, one.value, None)
                    for one in readings
                    if one.value is not None and one.value not in (one.text, f"{one.text}.0")
                ]
                if shown:
                    hints.append(words.readings_said(raw.file, theirs, shown[:4]))
            if kind is Kind.DATE and (twice := both_ways(contents.distinct)):
                hints.append(words.both_ways_read(raw.file, theirs, twice, layout.dates.form))
            if ours in layout.values:
                hints += _near_values(raw, theirs, contents, layout.values[ours])
    return list(dict.fromkeys(hints))


def _near_values(
    raw: RawTable, theirs: str, contents: Contents, known: Mapping[str, str]
) -> list[str]:
    """Labels that the layout does not know, and that look like one that it does."""
    hints = []
    for group in look_alikes({*contents.distinct, *known} - {""}):
        listed = [text for text in group if text in known]
        for text in group:
            if text not in known and text in contents.distinct and listed:
                ours = known[listed[0]]
                if text != ours:
                    hints.append(words.near_value(raw.file, theirs, text, listed[0], ours))
    return hints
