"""Local times to instants by the time-zone database, and the real hours between them.

A time that came twice when the clocks went back, or never when they went forward, is refused.
"""

from __future__ import annotations

import os
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from rodhours.log.cells import CellFault

TIME_NEVER_CAME = "a time that existed: the clocks went forward past this one"


def machine_zone() -> str | None:
    """The name of this machine's time zone, or None where the system does not tell its name."""
    named = os.environ.get("TZ", "").lstrip(":")
    if named and _known(named):
        return named
    link = Path("/etc/localtime")
    if not named and link.is_symlink():
        name = str(link.resolve()).partition("zoneinfo/")[2]
        if name and _known(name):
            return name
    return None


def zone_label(name: str | None) -> str:
    """How a zone is written into the logbook."""
    return name if name is not None else f"this machine's ({'/'.join(time.tzname)})"


def _known(name: str) -> bool:
    try:
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return False
    return True


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
        first, second = (_with_offset(local, utc) for utc in found)
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
    early, late = (_to_utc(local.replace(fold=fold), zone) for fold in (0, 1))
    if early == late:
        return (early,)
    return (early, late) if early < late else ()


def _to_utc(local: datetime, zone: ZoneInfo | None) -> datetime:
    # Without a zone, astimezone() follows the operating system's rules.
    return (local.replace(tzinfo=zone) if zone else local).astimezone(UTC)


def _with_offset(local: datetime, utc: datetime) -> str:
    minutes = round((local.replace(tzinfo=UTC) - utc) / timedelta(minutes=1))
    sign, minutes = ("-" if minutes < 0 else "+"), abs(minutes)
    return f"{local.isoformat(timespec='minutes')}{sign}{minutes // 60:02d}:{minutes % 60:02d}"


def elapsed_hours(began: datetime, ended: datetime) -> float:
    """Real hours between two instants, whatever the clocks did meanwhile."""
    return (ended - began) / timedelta(hours=1)
