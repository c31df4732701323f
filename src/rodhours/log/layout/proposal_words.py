"""A proposed layout in words: in its file and on a terminal."""

from __future__ import annotations

import shlex
from collections.abc import Sequence
from contextlib import suppress

from rodhours.counts import listed, tallied
from rodhours.log.layout.layout import COLUMNS, Layout

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


def session_said(names: Sequence[str], sessions: int | None) -> str:
    """Which columns together make a session."""
    count = f"; that makes {tallied(sessions, 'session')}" if sessions is not None else ""
    make = f"{listed(names)} together make one" if len(names) > 1 else f"each {names[0]} is one"
    return f"No column names the session, so {make}{count}. One session is one stay at one water"


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


def apart_said(layout: Layout, names: Sequence[str]) -> str:
    """Columns for each rod, or for each bait."""
    mark, what, had = (
        ("{rod}", "rod", "had a bait")
        if any("{rod}" in name for name in layout.groups)
        else ("{bait}", "bait", "was out")
    )
    return (
        f"One row is a trip with columns for each {what} ({listed(names)}); each {what} that {had} "
        f"becomes a stint. {mark} stands for the {what}."
    )


YOUR_COLUMN, OUR_COLUMN, CELLS = "your column", "for rodhours", "three of its cells"
KEPT_POUNDS = (
    "Kept word for word and used in no answer. A spreadsheet keeps a typed 22.10 as 22.1, so ten "
    "ounces and one look alike: write 22lb 10oz. Weights that count are one row a fish, in catches."
)
KEPT, LEFT_OUT = "(kept as it is)", "(left out)"


def clock_said(theirs: str, end: str | None = None) -> str:
    """Times of day without a date; `end` is their column with the day of the end."""
    if end is not None:
        return f"Times of day are of the days in {theirs} (the start) and {end} (the end)."
    return (
        f"Times of day are of the day in {theirs}, and an end before its start is of the next day: "
        "a stint of more than 24 hours can be told only by a day of the week beside its end, or by "
        "a column of hours."
    )


def sheet_chosen(sheet: str, sheets: Sequence[str]) -> str:
    """The sheet that is most likely the log, among all."""
    return (
        f"The workbook has the sheets {listed(sheets)}; the log is taken to be {sheet}, whose "
        "columns fit best."
    )


def no_column_said(ours: Sequence[str], rods: Sequence[str] = ()) -> str:
    """Needed columns that no column of the file can be; `rods` stand side by side in it."""
    if rods and "fish" in ours:
        return (
            "Nothing says which rod had the fish: give each a column of its own, such as "
            f"{rods[0]} fish, with 0 for a blank"
        )
    holds = [f"{one} ({COLUMNS[one].holds})" for one in ours]
    return (
        f"No column can be {listed(holds, 'or')}, which is needed. Where one is, write in the "
        f'layout, under [columns], "Its name" = "{ours[0]}"; else add one to the sheet'
    )


def layout_written(file: str, layout: str) -> str:
    """The layout file is on disk, and how a wrong answer is put right."""
    again = shlex.join(["rodhours", "import", file, "--layout", layout])
    return f"This is in {layout}. If it is wrong: rodhours undo, correct it there, then\n  {again}"


def how_to_go_on(file: str, questions: int) -> str:
    """What to do with a proposal that was printed, as commands to paste."""
    file = shlex.quote(file)
    answers = "answer the questions in it, each with the line beside it" if questions else "read it"
    return (
        "A layout for it is proposed on standard output; nothing was imported. Keep it, "
        f"{answers}, then import with it (on a terminal, import asks instead):\n"
        f"  rodhours import {file} --propose > my.layout.toml\n"
        f"  rodhours import {file} --layout my.layout.toml"
    )
