"""What would be right in a cell that could not be taken: phrases that follow "should be"."""

from __future__ import annotations

from collections.abc import Sequence

A_NUMBER = "a number, such as 5.5"
A_NUMBER_WITH_A_COMMA = "a number with a decimal comma, such as 5,5"
A_NUMBER_IN_ITS_UNIT = "a number in the unit that the name of the column says, such as 5.5"
A_WHOLE_NUMBER = "a whole number, such as 0 or 2"
NONE_IS_NOUGHT = "a whole number: 0 for none"
BLANK_IS_WRITTEN = "a whole number: a blank is written 0, an empty cell would mean not recorded"
A_COMPASS_POINT = "a compass point such as N, NE, SSW or W"
AN_OUTCOME = "landed or lost"
A_DATE_THAT_EXISTS = "a date that exists, as year-month-day: 2025-04-12"
A_TIME_WITHOUT_ITS_DATE = (
    "a date and time as 2025-04-12T18:30 (ISO 8601); a layout joins times of day with the column "
    'of their dates: [dates] clock_on = "date"'
)
A_LIKELY_YEAR = "a date of the years 1900 to 2199"
A_MOMENT = "a date and time as 2025-04-12T18:30 (ISO 8601)"
A_MOMENT_THAT_EXISTS = "a date and time that exist, as 2025-04-12T18:30"
A_TIME = (
    "a time of day such as 18:30, 1830 or 6.30pm (with both digits of the minutes: a spreadsheet "
    "keeps 18.30 as 18.3)"
)
A_FRACTION_OF_A_DAY = "a time as a fraction of a day, such as 0.75 for 18:00"
SAME_TIME = "two different times: the same time may be no hours at all or a whole day"
TIME_NEVER_CAME = "a time that existed: the clocks went forward past this one"
A_WEIGHT = "a weight such as 22lb 4oz, 22.25 lb or 10.1 kg"
TOO_MANY_OUNCES = "a weight with fewer than 16 oz beside the lb, such as 22lb 4oz"
OUNCES_BEHIND_THE_POINT = "pounds and ounces with 0 to 15 ounces behind the point, such as 22.04"
WEIGHT_BECAME_A_DATE = (
    "a weight: the spreadsheet turned this one into a date. Make the column's cells text, then "
    "write the weight again, such as 22lb 4oz"
)
HOURS_IN_FORM = {
    "clock": "hours and minutes, such as 36:30",
    "spelt": "hours in words, such as 36h, 36 h 30 min, 1d 12h or 90 min",
    "days": "a number of days, such as 1.5 for 36 hours",
}
_DATES = {
    "year-month-day": ("year-month-day", "2025-04-12"),
    "day-month-year": ("day-month-year", "12/04/2025"),
    "month-day-year": ("month-day-year", "04/12/2025"),
    "serial-1900": ("a spreadsheet's number of days", "45759"),
    "serial-1904": ("a spreadsheet's number of days from 1904", "44297"),
}


def plain_whole(meant: str) -> str:
    """A count in words or with separators, and the count."""
    return f"a whole number in plain digits: {meant}, if that is meant"


def with_blank(says: str) -> str:
    """What would be right in a count of fish, with what a blank is where no value is proposed."""
    return says if "meant" in says or "write" in says else f"{says}; a blank is written 0"


def number_alone(what: str, meant: str) -> str:
    """A number with its unit, or another text, in its cell."""
    return f"a {what} alone, without its unit: {meant}, if that is meant"


def one_of_a_range(first: str, last: str) -> str:
    """Two numbers in a cell that takes one."""
    return f"one whole number: {first} or {last}"


def compass_point(meant: str) -> str:
    """A direction in words or degrees, and its point."""
    return f"a compass point: {meant}, if that is meant"


def number_in_another_form(meant: Sequence[str], decimal: str) -> str:
    """A number whose separators are not those stated, with what it may stand for."""
    sign = "point" if decimal == "." else "comma"
    shown = [one.replace(".", decimal) for one in meant]
    if len(shown) == 1:
        return f"a number with a decimal {sign}: {shown[0]}"
    return f"a number with a decimal {sign}: {' or '.join(shown)}, whichever is meant"


def two_counts(landed: str, second: str, lost_said: bool) -> str:
    """Two counts in the cell of one."""
    counts = f"fish {int(landed)} and lost {int(second)}"
    if lost_said:
        return f"one whole number; write the fish lost in their own column: {counts}"
    return f"one whole number; if the second are fish lost, write {counts} in two columns"


def decimal_hours(says: str) -> str:
    """Hours that are no number."""
    return f"decimal hours above 0: {says}"


def hours_with_a_point(meant: float) -> str:
    """Hours in words whose number has a decimal comma."""
    return f"decimal hours with a point: {meant:.4g}, if that is meant"


def clock_as_hours(meant: float) -> str:
    """A clock form in a column of hours, and the decimal hours it may stand for."""
    return (
        f"decimal hours (if hours and minutes are meant: {meant:.4g}), or say so in a layout: "
        '[units] hours = "clock"'
    )


def hours_taken(place: str, texts_and_hours: Sequence[tuple[str, float]], more: int) -> str:
    """A hint: how hours that are written in words or as a duration were read."""
    shown = ", ".join(f"{text} as {value:.4g} hours" for text, value in texts_and_hours)
    rest = f", and {more:,} more in the same manner" if more else ""
    return f"{place}, column hours: read {shown}{rest}."


def errors_left_out(place: str, column: str, errors: Sequence[str], count: int) -> str:
    """A hint: cells with a formula's error, in a column that the format does not need."""
    cells = "cell has" if count == 1 else "cells have"
    return (
        f"{place}, column {column}: {count:,} {cells} the error of a formula "
        f"({', '.join(errors)}), taken as not recorded."
    )


def iso_date_from_serial(meant: str) -> str:
    """A date as the number of days that a spreadsheet keeps."""
    return (
        f"a date as year-month-day (ISO 8601): {meant}, if this is a spreadsheet's number of days"
    )


def iso_date(meant: Sequence[str]) -> str:
    """A date that is not in the trip log's own form, with what it may stand for."""
    if not meant:
        return "a date as year-month-day (ISO 8601): 2025-04-12"
    shown = " or ".join(meant)
    ask = ", whichever is meant" if len(meant) > 1 else ", if that is meant"
    return (
        f"a date as year-month-day (ISO 8601): {shown}{ask}, or said once for all in a layout: "
        '[dates] form = "day-month-year"'
    )


def a_moment_in_another_form(meant: Sequence[str]) -> str:
    """A date and time that is not in the trip log's own form, with what it may stand for."""
    ask = ", whichever is meant" if len(meant) > 1 else ", if that is meant"
    return f"a date and time as ISO 8601 has it: {' or '.join(meant)}{ask}"


def a_date(form: str) -> str:
    """A date in a stated form."""
    name, example = _DATES[form]
    return f"a date as {name}, such as {example}"


def a_date_and_time(form: str) -> str:
    """A date and time in a stated form."""
    name, example = _DATES[form]
    return f"a date as {name} and a time, such as {example} 18:30"


def weekday_of(day: str, weekday: str) -> str:
    """A date whose named day of the week is another one."""
    return f"a date and its own day of the week: {day} was a {weekday}"


def time_came_twice(first: str, second: str) -> str:
    """A local time within the hour that came twice."""
    return (
        f"a time with its offset, such as {first} or {second}: "
        "the clocks went back and this time came twice"
    )


NO_WEIGHT = "a weight above 0, such as 22lb 4oz, or empty where the fish was not weighed"


def weight_with_its_unit(pounds: str, number: str) -> str:
    """A bare number in a column of weights; `pounds` is what it may be in pounds."""
    return f"a weight with its unit: {pounds} or {number} kg"


def weight_with_a_point(plain: str) -> str:
    """A weight whose number has a decimal comma."""
    return f"a weight with a decimal point: {plain}, if that is meant"


def pounds_and_ounces_named(text: str, pounds: int, ounces: int) -> str:
    """Two numbers without the unit of either."""
    return (
        f"a weight with its units, such as {pounds}lb {ounces}oz; or say that weights without a "
        "unit are pounds (--weight-unit lb)"
    )


def pounds_or_ounces(text: str, pounds: int, ounces: int, zero_lost: bool) -> str:
    """Pounds with a point behind which decimals or ounces may stand."""
    both = f"{pounds}lb {ounces}oz" + (f", {pounds}lb 10oz" if zero_lost else "")
    return (
        f"pounds and ounces, such as {both}, or decimal pounds with three decimals, such as "
        f"{float(text):.3f} lb: the digits behind the point may be ounces or decimals. A layout "
        'can say which: [units] weight = "lb.oz" or "decimal lb"'
    )


def ounces_with_a_lost_zero(pounds: int) -> str:
    """Pounds and ounces written with a point, of which a spreadsheet may have dropped a zero."""
    return (
        f"{pounds}lb 1oz or {pounds}lb 10oz, whichever is meant: a spreadsheet keeps {pounds}.10 "
        f"as {pounds}.1"
    )


def an_error_cell(text: str) -> str:
    """A spreadsheet's error in place of a value."""
    if set(text) == {"#"}:
        return "a value: #### is what a column that is too narrow shows"
    return f"a value: {text} is the error of a formula; correct it in the spreadsheet"


def below_kg(bound: float) -> str:
    """A weight that no fish has."""
    return f"a weight below {bound:,g} kg"


def too_long(kind: str, characters: int) -> str:
    """A cell that holds far more than a value."""
    return f"a {kind} alone; this cell holds {characters:,} characters"


def above(kind: str, bound: float) -> str:
    """A number that is too small."""
    return f"a {kind} above {bound:g}"


def within(kind: str, low: float, high: float | None) -> str:
    """A number out of its bounds."""
    if high is None:
        return f"a {kind} of {low:g} or more"
    return f"a {kind} from {low:g} to {high:g}"
