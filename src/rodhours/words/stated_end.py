"""The words of a stated end: what was stated, and how to use the looks."""

from __future__ import annotations

from rodhours.evidence.stated_end import FIRST_LOOK
from rodhours.words.numbers import the_count


def stated(until_trip: int, trips: int) -> str:
    """An end that is stated, before there is a look."""
    return (
        f"Stated in the logbook: you look after every trip from trip {FIRST_LOOK} to trip "
        f"{until_trip:,}, and not after. So far there are {trips:,}. Ask the same question again "
        f"from trip {FIRST_LOOK} on; until then any look, at whatever answer, spoils it."
    )


def how_to_use(until_trip: int, trips: int) -> str:
    """What the interval to a stated end is for."""
    text = (
        f"The running interval here is narrower, because trip {until_trip:,} was stated as the "
        f"last one before the first look. Look after every trip from trip {FIRST_LOOK} to "
        f"that one and stop when you like, but not later than it."
    )
    if trips > until_trip:
        text += (
            f" That is past: of {the_count(trips, 'trip')} the first {until_trip:,} are looked at, "
            "and the answer at the top, from all of them, is no look of these."
        )
    return text
