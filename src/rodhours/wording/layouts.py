"""The words around layout files: what is wrong in one, what is proposed, and what it explains.

Phrases that end an error say what would be right.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import suppress

from rodhours.wording.numbers import listed, tallied

A_TEXT = "a text in quotation marks"
A_PATTERN = 'their column names with {rod} in place of the rod, such as "rod {rod} bait"'
A_PIVOT = "0 to 100: from which year of two digits on the 1900s are meant"
A_ZONE = 'a time zone by its name, such as "Europe/Berlin" or "UTC"'
A_SEPARATOR = '",", ";" or "\\t"'
AN_ENCODING = 'the name of an encoding, such as "utf-8" or "windows-1252"'
NO_ROD_FISHED = "the bait of at least one rod: a trip without a rod in the water is no trip"
FISHED_WITHOUT_BAIT = "filled, since this rod has fish or hours: the bait that was on it"
CLOCK_WITHOUT_START = "empty, or with the time of the start beside it"
A_ROW = "the number of the row with the column names, as the spreadsheet shows it"
A_TABLE = '"stints", "sessions", "catches" or "variants"'
SHEET_NAMES = 'the names of sheets, such as ["April", "May"]'
COLUMN_NAMES = 'names of columns in the file, each once, such as ["Date", "Water"]'
END_DAY_NEEDS_START = "beside clock_on, the column with the day of the start"
A_TIME_NEEDS_ITS_DAY = (
    "a date and a time; where a column has times of day alone, name the column of their dates "
    'under [dates], as in clock_on = "Date"'
)
DECIMAL_OR_DAYS = '"decimal" or "days", not both: a bare 1.5 would be either'
MARKS_DIFFER = "another mark than that of the decimals"
PATTERNS_DIFFER = "another pattern for each column"
WIDE_NEEDS_VARIANT = 'a pattern for the bait too, such as variant = "rod {rod} bait"'


def not_a_layout(name: str) -> str:
    """A file that is no text of a sensible length."""
    return f"{name}: this is not a layout file; a layout is a short text file in TOML."


def cannot_read(name: str, why: str) -> str:
    """A file that the system does not hand out."""
    return f"{name}: the layout cannot be read ({why})."


def not_toml(name: str, why: str) -> str:
    """A text that is no TOML; `why` names line and column."""
    return (
        f"{name}: this is not TOML: {why}. Names and texts stand in quotation marks, as in "
        '"Bait" = "variant".'
    )


def wrong_entry(name: str, line: int | None, entry: str, found: str | None, right: str) -> str:
    """One entry of a layout file that cannot be taken."""
    where = f"{name}, line {line}" if line is not None else name
    said = f"found {found}; " if found is not None else ""
    return f"{where}: {entry}: {said}should be {right}."


def one_of(allowed: Iterable[str], near: Sequence[str]) -> str:
    """The words that an entry may be."""
    names = [f'"{one}"' for one in allowed]
    meant = f' (did you mean "{near[0]}"?)' if near else ""
    return f"one of {', '.join(names)}{meant}"


def a_section(name: str) -> str:
    """An entry that must be a section of its own."""
    return f"a section: [{name}] on a line of its own, its entries below"


def session_twice(theirs: str) -> str:
    """A session is a column or is made from several."""
    return f'left out, since [columns] has "{theirs}" = "session"'


def ours_twice(ours: str, theirs: str) -> str:
    """Two columns for one of ours."""
    return f'another column of ours, "keep" or "leave out": "{theirs}" is {ours} already'


def keep_is_ours(theirs: str) -> str:
    """A column that would be read although it should be kept as it is."""
    return (
        f'"{theirs}" or "leave out": a column of that name is read as ours, so that it cannot '
        "be kept unread"
    )


def no_such_column(
    layout: str, entry: str, theirs: str, near: Sequence[str], header: Sequence[str], where: str
) -> str:
    """A layout that names a column which the file has not."""
    meant = f" (did you mean {listed([repr(one) for one in near], 'or')}?)" if near else ""
    return (
        f'{layout}: {entry} names the column "{theirs}", which {where} has not{meant}. Its '
        f"columns are {', '.join(header)}. Correct the layout file, or remove that line."
    )


def not_split_among_rods(counted: str) -> str:
    """A count of the whole row in a layout of rods."""
    return (
        f"in [wide], with a pattern for each rod: a count of {counted} for the whole row cannot "
        "be shared out among the rods"
    )


def one_column_twice(layout: str, place: str, first: str, second: str, ours: str) -> str:
    """Two columns of the file that would both be one of ours."""
    return (
        f'{place}: the columns "{first}" and "{second}" would both be {ours}. In {layout} under '
        f'[columns] give one of them another name, "{second}" = "leave out" for example.'
    )


def nothing_above(holds: str, theirs: str) -> str:
    """An empty cell where one is needed."""
    return (
        f"filled: {holds} (if an empty cell means as above, name {theirs!r} in the layout under "
        "[fill_down])"
    )


def either(phrases: Iterable[str]) -> str:
    """What would be right, where a layout states several forms."""
    return ", or ".join(phrases)


def a_number_cell(text: str) -> str:
    """A cell of a workbook that may be a number with decimals or with thousands."""
    plain = text.replace(".", "")
    return (
        f"a number without the point, {plain}, or with a decimal comma, "
        f"{text.replace('.', ',')}, whichever is meant"
    )


def no_day_for_clock(theirs: str) -> str:
    """A time whose day is unknown."""
    return f"a time with its day: the column {theirs!r} of this row has no date that can be read"


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


def as_remembered(file: str, layout: str, on: str) -> str:
    """A layout that the logbook remembers is used."""
    return (
        f"{file}: read as laid out in {layout} on {on}, remembered for files with these columns "
        "(--no-layout leaves that aside)."
    )


def like_an_export(place: str, layout: str) -> str:
    """A file whose columns an export of the logbook has too, though a layout is remembered."""
    return (
        f"{place}: {layout} is remembered for files with these columns. They are the trip log's "
        "own, which an export has too, so that its cells could be meant either way. Import it "
        f"with --layout {layout}, or with --no-layout if it is in the trip log's own format."
    )


def layout_lacks(place: str, layout: str, missing: Sequence[str], header: Sequence[str]) -> str:
    """A layout that leaves a needed column without one of theirs."""
    what = "column" if len(missing) == 1 else "columns"
    return (
        f"{place}: {layout} names no {what} for {listed(missing, 'or')}, which "
        f"{'is' if len(missing) == 1 else 'are'} needed. The file has {', '.join(header)}: "
        f'write "{missing[0]}" at the right one under [columns].'
    )


def readings_said(file: str, theirs: str, readings: Sequence[str]) -> str:
    """How the cells of a column were read."""
    return f"{file}, column {theirs}: {'; '.join(readings)}."


def both_ways_read(file: str, theirs: str, texts: Sequence[str], form: str) -> str:
    """Dates that could be read both ways, read as the layout says."""
    order = "month first" if form.startswith("month") else "day first"
    return (
        f"{file}, column {theirs}: {listed(texts)} could be read day first or month first; read "
        f"{order}, as the layout says."
    )


def near_value(file: str, theirs: str, text: str, known: str, ours: str) -> str:
    """A label that is probably one which the layout knows."""
    return (
        f'{file}, column {theirs}: "{text}" was taken as it stands; it looks like "{known}", which '
        f'the layout has as "{ours}".'
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


def of_another_table(place: str, theirs: str, ours: str, table: str) -> str:
    """A column that a layout gives a name which this table has not."""
    return (
        f'{place}: the column {theirs} is kept as it is: the layout has it as "{ours}", which '
        f"{table} have not."
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
