"""Local times against the time-zone database, by another route and by the published rules.

The rules quoted are those of each government's notices, as the database records them (from
memory): the European Union, the United States, New South Wales, Lord Howe Island, New Zealand.
"""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rodhours.log.cells import CellFault
from rodhours.log.cells.dates import iso_date, moment
from rodhours.log.cells.times import elapsed_hours, instant, possible_instants

ZONES = (
    *("Europe/London", "Europe/Berlin", "America/New_York", "America/St_Johns", "UTC"),
    *("Australia/Sydney", "Australia/Lord_Howe", "Pacific/Auckland", "Pacific/Chatham"),
    *("America/Santiago", "Africa/Casablanca", "Asia/Kathmandu", "Africa/Johannesburg"),
)


@pytest.mark.parametrize(
    ("zone", "began", "ended", "hours"),
    [
        # British summer time began on 30 March 2025 at 01:00 and ended on 26 October 2025 at
        # 02:00 (gov.uk, "When do the clocks change?").
        ("Europe/London", "2025-03-29T18:00", "2025-03-30T08:00", 13),
        ("Europe/London", "2025-10-25T18:00", "2025-10-26T08:00", 15),
        ("Europe/London", "2025-12-31T23:45", "2026-01-01T00:15", 0.5),
        # Written with offsets, the hour that comes twice is clear.
        ("Europe/London", "2025-10-26T01:30+01:00", "2025-10-26T01:30+00:00", 1),
        # Last Sundays of March and October, 01:00 UTC.
        ("Europe/Berlin", "2025-03-29T18:00", "2025-03-30T08:00", 13),
        ("Europe/Berlin", "2025-10-25T18:00", "2025-10-26T08:00", 15),
        # Second Sunday of March and first of November, 02:00 local time.
        ("America/New_York", "2025-03-08T18:00", "2025-03-09T08:00", 13),
        ("America/New_York", "2025-11-01T18:00", "2025-11-02T08:00", 15),
        # First Sundays of April (clocks go back) and October (forward).
        ("Australia/Sydney", "2025-04-05T18:00", "2025-04-06T08:00", 15),
        ("Australia/Sydney", "2025-10-04T18:00", "2025-10-05T08:00", 13),
        # The same nights, by half an hour.
        ("Australia/Lord_Howe", "2025-04-05T18:00", "2025-04-06T08:00", 14.5),
        ("Australia/Lord_Howe", "2025-10-04T18:00", "2025-10-05T08:00", 13.5),
        # First Sunday of April and last of September.
        ("Pacific/Auckland", "2025-04-05T18:00", "2025-04-06T08:00", 15),
        ("Pacific/Auckland", "2025-09-27T18:00", "2025-09-28T08:00", 13),
        # No change at all: a night is a night.
        ("Africa/Johannesburg", "2025-04-05T18:00", "2025-04-06T08:00", 14),
        ("Asia/Kathmandu", "2025-10-25T18:00", "2025-10-26T08:00", 14),
    ],
)
def test_hours_across_a_clock_change(zone: str, began: str, ended: str, hours: float) -> None:
    """A night with a clock change has an hour, or half of one, more or less."""
    first, last = (instant(moment(text), ZoneInfo(zone)) for text in (began, ended))
    assert elapsed_hours(first, last) == hours


@pytest.mark.parametrize(
    ("zone", "twice", "offsets"),
    [
        ("Europe/London", "2025-10-26T01:30", ("+01:00", "+00:00")),
        ("America/New_York", "2025-11-02T01:30", ("-04:00", "-05:00")),
        ("Australia/Lord_Howe", "2025-04-06T01:45", ("+11:00", "+10:30")),
        ("America/St_Johns", "2025-11-02T01:10", ("-02:30", "-03:30")),
    ],
)
def test_a_time_that_came_twice_is_told_with_both_offsets(
    zone: str, twice: str, offsets: tuple[str, str]
) -> None:
    """The remedy can be copied: with either offset the time is taken."""
    with pytest.raises(CellFault) as asked:
        instant(twice, ZoneInfo(zone))
    first, second = (f"{twice}{offset}" for offset in offsets)
    assert f"{first} or {second}" in str(asked.value)
    taken = [instant(moment(text), ZoneInfo(zone)) for text in (first, second)]
    assert tuple(taken) == possible_instants(twice, ZoneInfo(zone))


@pytest.mark.parametrize(
    ("zone", "never"),
    [
        ("Europe/London", "2025-03-30T01:00"),
        ("America/New_York", "2025-03-09T02:30"),
        ("Australia/Lord_Howe", "2025-10-05T02:15"),
        ("Pacific/Auckland", "2025-09-28T02:59"),
    ],
)
def test_a_time_that_never_came(zone: str, never: str) -> None:
    """It is named as such; the minute after the gap is taken."""
    with pytest.raises(CellFault, match="forward"):
        instant(never, ZoneInfo(zone))
    after = (datetime.fromisoformat(never) + timedelta(hours=1)).isoformat(timespec="minutes")
    assert len(possible_instants(after, ZoneInfo(zone))) == 1


@settings(max_examples=70)
@given(
    st.sampled_from(ZONES),
    st.datetimes(datetime(2000, 1, 1), datetime(2036, 1, 1)).map(
        lambda moment: moment.replace(second=0, microsecond=0)
    ),
    st.integers(-12, 12),
)
def test_every_instant_that_shows_a_local_time(zone: str, near: datetime, quarters: int) -> None:
    """As found the other way round: all instants that the zone shows as that local time.

    Half of the examples are moved to within three hours of the next clock change.
    """
    place = ZoneInfo(zone)
    if quarters % 2:
        near = _next_change(near, place) + timedelta(minutes=15 * quarters)
    offsets = {
        (near + timedelta(hours=hours)).replace(tzinfo=UTC).astimezone(place).utcoffset()
        for hours in range(-36, 37, 6)
    }
    shown = sorted(
        instant
        for offset in offsets
        if offset is not None
        for instant in [(near - offset).replace(tzinfo=UTC)]
        if instant.astimezone(place).replace(tzinfo=None) == near
    )
    assert list(possible_instants(near.isoformat(timespec="minutes"), place)) == shown


def _next_change(moment: datetime, place: ZoneInfo) -> datetime:
    """The local time of the next change of offset within a year, or the moment itself."""

    def offset(days: float) -> timedelta | None:
        instant = moment.replace(tzinfo=UTC) + timedelta(days=days)
        return instant.astimezone(place).utcoffset()

    low, high = 0.0, next((d for d in range(0, 370, 5) if offset(d) != offset(0)), None)
    if high is None:
        return moment
    while high - low > 1 / 1440:
        middle = (low + high) / 2
        low, high = (middle, high) if offset(middle) == offset(0) else (low, middle)
    local = (moment.replace(tzinfo=UTC) + timedelta(days=high)).astimezone(place)
    return local.replace(tzinfo=None, second=0, microsecond=0)


@pytest.mark.parametrize("text", ["0001-01-01T00:00", "9999-12-31T23:59", "2205-04-12T10:00"])
def test_a_year_that_no_log_is_of(text: str) -> None:
    """A slip in the year is named, also where no clock change could be worked out."""
    with pytest.raises(CellFault, match="1900 to 2199"):
        moment(text)
    with pytest.raises(CellFault, match="1900 to 2199"):
        iso_date(text[:10])
