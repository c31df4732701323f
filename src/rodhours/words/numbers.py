"""Numbers as an angler reads them: ratios, rates, hours, counts, p-values, limits.

A value that does not exist is said in words; no rounding turns a small number into none, or
carries a limit across 1 or across the margin that the verdict hangs on.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable

from rodhours.counts import listed as listed
from rodhours.counts import tallied as tallied

MISSING = "–"
UNCHANGING_PLURALS = frozenset({"fish", "landed fish", "weighed fish"})
MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July", "August"),
    *("September", "October", "November", "December"),
)
MOST_DECIMALS = 16
"""Two different numbers beside 1 differ within these."""
SMALL_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


def exists(value: float | None) -> bool:
    """Whether a number is there at all (None, NaN and infinities are not)."""
    return value is not None and math.isfinite(value)


def some(parts: Iterable[str], most: int = 4, last: str = "and") -> str:
    """Words in a row, of more than `most` only the first: `a, b, c, d and 7 more`."""
    words = list(parts)
    more = len(words) - most
    return listed(words, last) if more <= 0 else listed([*words[:most], f"{more:,} more"], last)


def number(value: float, decimals: int = 0) -> str:
    """A number with a comma for the thousands: 1,234.5."""
    return f"{value:,.{decimals}f}"


def significant(value: float, figures: int = 3) -> str:
    """A positive number to so many figures, never in powers of ten: 1.31, 0.043, 12.3, 1,234."""
    if value == 0:
        return "0"
    decimals = max(0, figures - 1 - math.floor(math.log10(abs(value))))
    return number(value, min(decimals, 12))


def ratio(value: float | None, margin: float | None = None) -> str:
    """A rate ratio as a bare number: `1.31`, `0.043`, `12.3`; `none` for one that does not exist.

    It gets as many digits as keep it on its own side of 1, and of `margin` and 1 / `margin`
    where one is given: a lower limit of 1.003 must not read as 1, nor an upper one of 1.2504 as
    within 1.25.
    """
    if value is None or not math.isfinite(value):
        return "none"
    if value == 0:
        return "0"
    size = math.floor(math.log10(abs(value)))
    decimals = max(0, 2 - max(size, 0)) if value >= 0.1 else min(1 - size, 12)
    marks = (1.0,) if margin is None else (1.0, margin, 1.0 / margin)
    while decimals < MOST_DECIMALS and any(_crosses(value, decimals, mark) for mark in marks):
        decimals += 1
    return number(value, decimals)


def _crosses(value: float, decimals: int, mark: float) -> bool:
    """Whether rounding carries a value onto a mark that it is not at, or to its other side."""
    if math.isclose(value, mark, rel_tol=1e-15):
        return False
    shown = round(value, decimals)
    return shown <= mark if value > mark else shown >= mark


def margin_text(margin: float) -> str:
    """A margin as exact as it was asked for, so that limits can be held against it: `1.25`."""
    return number(margin, 2) if round(margin, 2) == margin else f"{margin:.12g}"


def times(value: float | None) -> str:
    """A rate ratio in words: `1.31 times`, `no fish` for 0, `no ratio` where there is none."""
    if not exists(value):
        return "no ratio"
    return "no fish" if value == 0 else f"{ratio(value)} times"


def has_lower(value: float | None) -> bool:
    """Whether a lower limit says anything: 0 is no limit on a ratio or a rate."""
    return exists(value) and value != 0


def limits(low: float | None, high: float | None, margin: float | None = None) -> str:
    """The limits of a ratio in words: `between 0.86 and 2.02 times`, or which one is missing."""
    if has_lower(low) and exists(high):
        return f"between {ratio(low, margin)} and {ratio(high, margin)} times"
    if has_lower(low):
        return f"at least {ratio(low, margin)} times, with no upper limit"
    if exists(high):
        return f"at most {ratio(high, margin)} times, with no lower limit"
    return "without a limit on either side"


def limits_short(low: float | None, high: float | None, margin: float | None = None) -> str:
    """The limits for a table: `0.86 to 2.02`, `above 1.2`, `below 0.34`, `none`."""
    return _short(low if has_lower(low) else None, high, lambda value: ratio(value, margin))


def _short(low: float | None, high: float | None, say: Callable[[float | None], str]) -> str:
    if exists(low) and exists(high):
        return f"{say(low)} to {say(high)}"
    if has_lower(low):
        return f"above {say(low)}"
    return f"below {say(high)}" if exists(high) else "none"


def ratio_label(
    estimate: float | None, low: float | None, high: float | None, margin: float | None = None
) -> str:
    """A ratio with its limits beside a line of a picture: `1.31 (0.86 to 2.02)`, `no answer`."""
    said = limits_short(low, high, margin)
    if estimate is None:
        return "no answer" if said == "none" else said
    return f"{ratio(estimate)} ({said})" if estimate else f"no fish; {said}"


def rate(per_100: float | None) -> str:
    """A catch rate for a table, in fish per 100 rod-hours: `3.0`, `0.24`, `none`."""
    if per_100 is None or not math.isfinite(per_100):
        return "none"
    if per_100 == 0:
        return "0"
    if per_100 < 1:
        return significant(per_100, 2)
    return number(per_100, 1 if per_100 < 100 else 0)


def rate_limits(low: float | None, high: float | None) -> str:
    """The limits of a catch rate for a table: `2.1 to 4.6`, `0 to 1.2`, `above 1.4`, `none`."""
    return _short(low, high, rate)


def hours_a_fish(per_100: float | None) -> str:
    """Rod-hours to a fish, for a table: `33`, `4.2`; a dash where there is no fish or no rate."""
    if per_100 is None or not math.isfinite(per_100) or per_100 == 0:
        return MISSING
    each = 100 / per_100
    return number(each, 0 if each >= 9.95 else 1)


def fish_every(per_100: float | None) -> str:
    """A catch rate as anglers say it: `a fish every 33 rod-hours`, `no fish`, `no rate`."""
    if per_100 is None or not math.isfinite(per_100):
        return "no rate"
    if per_100 == 0:
        return "no fish"
    each = hours_a_fish(per_100)
    return "a fish every rod-hour" if each == "1.0" else f"a fish every {each} rod-hours"


def hours(value: float) -> str:
    """Rod-hours: `1,234 rod-hours`, `7.5 rod-hours`, `1 rod-hour`."""
    if value == 1:
        return "1 rod-hour"
    if 0 < value < 1:
        return f"{significant(value, 2)} rod-hours"
    whole = value >= 100 or float(value).is_integer()
    return f"{number(value, 0 if whole else 1)} rod-hours"


def count(how_many: int, noun: str) -> str:
    """A number of things: `31 trips`, `1 trip`, `no trips`, `12 fish`."""
    plural = noun if noun in UNCHANGING_PLURALS else f"{noun}s"
    if how_many == 0:
        return f"no {plural}"
    return f"{how_many:,} {noun if how_many == 1 else plural}"


def the_count(how_many: int, noun: str) -> str:
    """A number of known things: `the 31 trips`, `the one trip`."""
    return f"the one {noun}" if how_many == 1 else f"the {count(how_many, noun)}"


def word(how_many: int) -> str:
    """A small number as a word: `no`, `three`; figures from ten on."""
    return SMALL_WORDS[how_many] if 0 <= how_many < len(SMALL_WORDS) else f"{how_many:,}"


def for_all(comparisons: int) -> str:
    """What limits of several comparisons hold for; nothing of one alone."""
    if comparisons < 2:
        return ""
    return f" for {'both' if comparisons == 2 else f'all {word(comparisons)}'} together"


def p_value(value: float | None, line: float = 0.05) -> str:
    """A p-value, never 0 and never rounded across `line`: `0.21`, `0.034`, `< 0.001`, a dash.

    `line` is 1 less the confidence of the limits beside it.
    """
    if value is None or not math.isfinite(value):
        return MISSING
    line = round(line, 9)
    if value < 0.001 <= line:
        return "< 0.001"
    if value >= 0.995:
        return "1" if value == 1 else "> 0.99"
    decimals = 3 if value < 0.1 else 2
    while decimals < MOST_DECIMALS and _crosses(value, decimals, line):
        decimals += 1
    return f"{value:.{decimals}f}"


def month_name(month: str) -> str:
    """A month as it is said: `July 2025` for `2025-07`."""
    year, number_of = month.split("-")
    return f"{MONTHS[int(number_of) - 1]} {year}"


def percent(share: float) -> str:
    """A share as a percentage: `95 %`, `99.9 %`; a share that is not 0 or 1 never reads so."""
    value = 100 * share
    if 0 < value < 1:
        return "under 1 %"
    if 99 < value < 100:
        return f"{math.floor(value * 100) / 100:g} %"
    return f"{value:.0f} %"


def confidence_level(confidence: float) -> str:
    """A confidence level as a percentage, as exact as it was asked for: `95 %`, `97.5 %`."""
    return f"{round(100 * confidence, 6):g} %"
