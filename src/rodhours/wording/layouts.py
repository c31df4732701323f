"""The words around layout files: what is wrong in one, what is proposed, and what it explains.

Phrases that end an error say what would be right.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rodhours.wording.numbers import listed

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


def one_of(allowed: Iterable[str], near: str | None) -> str:
    """The words that an entry may be."""
    names = [f'"{one}"' for one in allowed]
    meant = f' (did you mean "{near}"?)' if near is not None else ""
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


def theirs_twice(theirs: str) -> str:
    """One column named twice."""
    return f'left out: "{theirs}" stands there already, and capitals and spaces do not count'


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
