"""A proposed layout in words: in its file and on a terminal."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import suppress

from rodhours.counts import listed, tallied


def either(phrases: Iterable[str]) -> str:
    """What would be right, where a layout states several forms."""
    return ", or ".join(phrases)


LEGEND = (
    "Left: your columns, as the file has them. Right: what they are for rodhours,",
    'or "keep" (kept as it is, under its own name), or "leave out" (not imported).',
)
_UNITS = {"hours": " hours", "_temp_c": " °C", "depth_m": " m", "range_m": " m", "_hpa": " hPa"}


def tables_laid_out(file: str, sheet: str | None, alike: int = 0) -> str:
    """What a layout is for; `alike` is how many further tables have the same columns."""
    of = file if sheet is None else f"{file}, sheet {sheet}"
    if not alike:
        return of
    return f"{of} and {tallied(alike, 'sheet' if sheet is not None else 'table')} like it"


def opens_a_layout(file: str, sheet: str | None, alike: int = 0) -> list[str]:
    """The first lines of a layout file."""
    return [
        f"How the columns and values of {tables_laid_out(file, sheet, alike)} are read.",
        "A proposal: read it, correct it, then import with rodhours import FILE --layout THIS.",
        "Lines that begin with # say something or are not in force.",
    ]


def samples_said(samples: Sequence[str]) -> str:
    """Three cells of a column."""
    return " | ".join(samples) if samples else "(every cell is empty)"


def read_as(ours: str, text: str, value: str | None, fault: str | None) -> str:
    """One cell and its reading."""
    if value is None:
        return f"{text} cannot be read: should be {fault}"
    with suppress(ValueError):
        value = f"{float(value):.6g}"
    unit = next((unit for end, unit in _UNITS.items() if ours.endswith(end)), "")
    return f"{text} is read as {value}{unit}"


def is_both_ways(theirs: str, texts: Sequence[str]) -> str:
    """Dates whose day and month could be either way round."""
    return (
        f"{theirs} could be read day first or month first ({listed(texts)}); day first is "
        'proposed. If it is month first, write form = "month-day-year" under [dates]'
    )


def tie_said(ours: str, names: Sequence[str]) -> str:
    """Several columns that may be the same of ours."""
    return (
        f"{listed(names, 'or')} may be {ours}: equally likely, so that is left open. Write "
        f'"{ours}" at the one that is'
    )


def missing_said(ours: str, holds: str, candidates: Sequence[str]) -> str:
    """A needed column that none of theirs was matched to."""
    may = f"; it may be {listed(candidates, 'or')}" if candidates else ""
    return f"No column was found for {ours} ({holds}), which is needed{may}"


def session_said(names: Sequence[str], sessions: int | None) -> str:
    """Which columns together make a session."""
    count = f"; that makes {tallied(sessions, 'session')}" if sessions is not None else ""
    return (
        f"No column names the session, so {listed(names)} together make one{count}. One session "
        "is one stay at one water"
    )


def above_said(names: Sequence[str]) -> str:
    """Columns with empty cells that may mean as above."""
    return (
        f"{listed(names)} {'has' if len(names) == 1 else 'have'} empty cells. If an empty cell "
        "means the same as above, take the # off"
    )


def alike_said(ours: str) -> str:
    """Labels that differ in capitals, spaces or punctuation alone."""
    return (
        f"These labels of {ours} are probably the same; they are not merged unless you take the # "
        "off"
    )


def labels_said() -> str:
    """The labels of the baits, each with itself, to be given another."""
    return (
        "Every label of the baits. To give one another, take its # off and change the right-hand "
        "side"
    )


def empty_counts_said(empty: int) -> str:
    """Empty cells in the count of fish."""
    return (
        f"{tallied(empty, 'cell')} of the fish {'is' if empty == 1 else 'are'} empty and will be "
        "refused. If an empty cell is a blank, take the # off"
    )


def weight_unit_said() -> str:
    """Weights without a unit whose unit nothing states."""
    return (
        "Weights without a unit: say what they mean, kg, g, lb (whole pounds), decimal lb or "
        "lb.oz (22.4 is 22 lb 4 oz)"
    )


WHY_FISH_ONLY = (
    "the rows are fish, one each, and no row stands for the hours without fish. A catch rate is "
    "fish divided by all the hours the bait was in the water, so hours that caught nothing count "
    "as much as the others; without them every bait would look alike"
)
HOW_TO_ADD_HOURS = (
    "Add them as one row for each rod and trip, with the columns session, rod, variant, hours and "
    "fish, 0 fish for a blank (a sheet or file named stints). The rows of fish can stay as they "
    "are, as a sheet or file named catches: rodhours import stints.csv catches.csv"
)


def fish_only(place: str) -> str:
    """The refusal of a log of fish alone."""
    return f"{place}: {WHY_FISH_ONLY}. {HOW_TO_ADD_HOURS}."


def wide_said(rods: Sequence[str]) -> str:
    """A group of columns for each rod."""
    return (
        f"One row is a trip with a group of columns for each rod ({listed(rods)}); each rod that "
        "had a bait becomes a stint. {rod} stands for the rod."
    )


YOUR_COLUMN, OUR_COLUMN, CELLS = "your column", "for rodhours", "three of its cells"
KEPT_POUNDS = (
    "Kept word for word and used in no answer. A spreadsheet keeps a typed 22.10 as 22.1, so ten "
    "ounces and one look alike: write 22lb 10oz. Weights that count are one row a fish, in catches."
)
KEPT, LEFT_OUT = "(kept as it is)", "(left out)"
ASK_TO_WRITE = "Write this as a layout file, {file}, that you can correct?"
ASK_TO_IMPORT = "Import with it now?"


def proposed_for(place: str) -> str:
    """The heading of a proposal."""
    return f"{place}: proposed layout"


def alike_shown(ours: str, labels: Sequence[str]) -> str:
    """Labels that differ in capitals, spaces or punctuation alone."""
    quoted = [f'"{label}"' for label in labels]
    return (
        f"Of {ours}, {listed(quoted)} are probably the same; they stay apart unless the layout "
        "says so."
    )


def layout_written(file: str) -> str:
    """The layout file is on disk."""
    return f"The layout is in {file}."


def correct_it_first(file: str, layout: str) -> str:
    """What to do where the proposal has gaps."""
    return (
        f"Something in it is left to you: correct it in a text editor, then rodhours import {file} "
        f"--layout {layout}"
    )


def use_it_later(file: str, layout: str) -> str:
    """What to do where the layout was written and not used."""
    return f"Read it, correct it, then: rodhours import {file} --layout {layout}"


def how_to_go_on(file: str) -> str:
    """What to do with a proposal that was printed."""
    return (
        "A layout for it is proposed on standard output; nothing was imported. Keep it with "
        f"rodhours import {file} --propose > my.layout.toml, read and correct it, then rodhours "
        f"import {file} --layout my.layout.toml"
    )


def clock_said(theirs: str, end: str | None = None) -> str:
    """Times of day without a date; `end` is their column with the day of the end."""
    if end is not None:
        return f"Times of day are of the days in {theirs} (the start) and {end} (the end)."
    return (
        f"Times of day are of the day in {theirs}, and an end before its start is of the next day: "
        "a stint of more than 24 hours cannot be told from its times, only from a column of hours "
        "beside them."
    )


def above_shown(names: Sequence[str]) -> str:
    """Empty cells that will be refused unless the layout says what they mean."""
    return (
        f"{listed(names)} {'has' if len(names) == 1 else 'have'} empty cells, which are refused "
        "unless the layout says that they mean as above; the line for it is in the file, not in "
        "force."
    )


def empty_counts_shown(empty: int) -> str:
    """Empty counts that will be refused unless the layout says what they mean."""
    return (
        f"{tallied(empty, 'cell')} of the fish {'is' if empty == 1 else 'are'} empty, and refused "
        "unless the layout says that an empty cell is a blank; the line for it is in the file, not "
        "in force."
    )


def sheet_chosen(sheet: str, sheets: Sequence[str]) -> str:
    """The sheet that is most likely the log, among all."""
    return (
        f"The workbook has the sheets {listed(sheets)}; the log is taken to be {sheet}, whose "
        "columns fit best."
    )
