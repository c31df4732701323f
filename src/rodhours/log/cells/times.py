"""Times of day, past midnight too, on their dates; local times to instants by their zone.

A time is seconds after midnight of its own day; 24:30 is half past midnight of the next. A local
time that came twice when the clocks went back, or never when they went forward, is refused.
"""

from __future__ import annotations

import os
import re
import time
from contextlib import suppress
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from rodhours.log.cells import CellFault

DAY_SECONDS = 24 * 3600

_A_TIME = (
    "a time of day such as 18:30, 1830 or 6.30pm (with both digits of the minutes: a spreadsheet "
    "keeps 18.30 as 18.3)"
)
_CLOCK = re.compile(
    r"(?P<hour>\d{1,2})(?:[:.h](?P<minute>[0-5]\d)(?::(?P<second>[0-5]\d)(?:\.0+)?)?)?"
    r"\s*(?P<half>[ap])?(?:\.?m\.?)?",
    re.ASCII | re.IGNORECASE,
)
_DIGITS = re.compile(r"(\d{1,2})([0-5]\d)\s*(?:h|hrs?|hours)?", re.ASCII | re.IGNORECASE)


def read_time(text: str) -> int:
    """Seconds after midnight: `18:30`, `18.30`, `1830`, `630`, `6.30pm`, `6 pm`, up to `47:59`.

    Raises CellFault with what would be right.
    """
    if text.lower() in ("noon", "midday"):
        return DAY_SECONDS // 2
    if digits := _DIGITS.fullmatch(text):
        hour, minute, second, half = digits[1], digits[2], None, None
    elif clock := _CLOCK.fullmatch(text):
        hour, minute, second, half = clock["hour"], clock["minute"], clock["second"], clock["half"]
    else:
        raise CellFault(_A_TIME)
    bare = half is None and (minute is None or text[-1:].lower() == "m")
    hours = int(hour)
    if half is not None:
        bare = not 1 <= hours <= 12
        hours = hours % 12 + (12 if half.lower() == "p" else 0)
    value = (hours * 60 + int(minute or 0)) * 60 + int(second or 0)
    if bare or value >= 2 * DAY_SECONDS:
        raise CellFault(_A_TIME)
    return value


def is_time(text: str) -> bool:
    """Whether a text is a time of day."""
    with suppress(CellFault):
        return read_time(text) >= 0
    return False


def clock_text(seconds: int) -> str:
    """Seconds after midnight as `18:30`, with the seconds where there are any."""
    minutes, second = divmod(seconds, 60)
    text = f"{minutes // 60:02d}:{minutes % 60:02d}"
    return f"{text}:{second:02d}" if second else text


TIME_NEVER_CAME = "a time that existed: the clocks went forward past this one"


def machine_zone() -> str | None:
    """The name of this machine's time zone, or None where the system does not tell its name."""
    named = os.environ.get("TZ", "").lstrip(":")
    if named and is_zone(named):
        return named
    link = Path("/etc/localtime")
    if not named and link.is_symlink():
        name = str(link.resolve()).partition("zoneinfo/")[2]
        if name and is_zone(name):
            return name
    return None


def zone_label(name: str | None) -> str:
    """How a zone is written into the logbook."""
    return name if name is not None else f"this machine's ({'/'.join(time.tzname)})"


def is_zone(name: str) -> bool:
    """Whether the time-zone database has this name."""
    try:
        return bool(ZoneInfo(name))
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False


def instant(text: str, zone: ZoneInfo | None) -> datetime:
    """The instant (UTC) of a canonical local date and time; an offset in the text wins.

    `zone` None means the machine's own rules. Raises CellFault where the clocks went back and
    the time came twice, or went forward and it never came.
    """
    found = possible_instants(text, zone)
    if not found:
        raise CellFault(TIME_NEVER_CAME)
    if len(found) == 2:
        local = datetime.fromisoformat(text)
        apart = [timezone(local.replace(tzinfo=UTC) - utc) for utc in found]
        first, second = (local.replace(tzinfo=one).isoformat(timespec="minutes") for one in apart)
        raise CellFault(
            f"a time with its offset, such as {first} or {second}: "
            "the clocks went back and this time came twice"
        )
    return found[0]


def possible_instants(text: str, zone: ZoneInfo | None) -> tuple[datetime, ...]:
    """Every instant (UTC) that a local time can be, in order: none, one or two."""
    local = datetime.fromisoformat(text)
    if local.tzinfo is not None:
        return (local.astimezone(UTC),)
    # Without a zone, astimezone() follows the operating system's rules.
    told = (local.replace(fold=fold, tzinfo=zone) for fold in (0, 1))
    early, late = (one.astimezone(UTC) for one in told)
    if early == late:
        return (early,)
    return (early, late) if early < late else ()


def elapsed_hours(began: datetime, ended: datetime) -> float:
    """Real hours between two instants, whatever the clocks did meanwhile."""
    return (ended - began) / timedelta(hours=1)
