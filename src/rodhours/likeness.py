"""When two trips are probably one that was written down twice: the rule of likeness.

Two trips are alike where their stints are (bait, hours to a tenth, fish) and nothing that both
say tells them apart: their day, their water, the moment they began. Trips without a day must
bear one label, and one angler must be unnamed. Two named people may fish alike: where neither
had a fish, that is a remark.

Whole logs are alike, whatever their labels and days, where `FEWEST` or more contents that stand
once in each occur in the same order, and are at least half of those that stand once in the new
one. So a log of equal hours and many blanks is like no other: its contents repeat.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TypeVar

FEWEST = 6
"""So many contents come in one order by chance once in 720."""

Content = tuple[tuple[str, int, int], ...]
"""Bait, tenths of hours and fish of each stint, sorted."""
Session = TypeVar("Session", bound=Hashable)


@dataclass(frozen=True)
class Trip:
    """What tells a trip from another; None where it is not known. `day` and `began` are ISO."""

    label: str
    angler: str | None
    day: str | None
    venue: str | None
    began: str | None
    content: Content

    @property
    def blank(self) -> bool:
        """Whether no stint had a fish."""
        return not any(fish for _, _, fish in self.content)

    def as_somebody(self) -> Trip:
        """The same trip of a log that names some anglers: a blank of nobody is the keeper's own."""
        return replace(self, angler="") if self.blank and self.angler is None else self

    def may_be(self, other: Trip) -> bool:
        """Whether nothing beside days and contents, which are alike, tells the two apart."""
        apart = (
            _apart(self.venue, other.venue)
            or _apart(self.began, other.began)
            or (self.day is None and _apart(self.angler, other.angler))
        )
        return not apart


def contents(rows: Iterable[tuple[Session, str, float, int]]) -> dict[Session, Content]:
    """The content of each session, from session, bait, hours and fish of its stints."""
    found: dict[Session, list[tuple[str, int, int]]] = defaultdict(list)
    for session, bait, hours, fish in rows:
        found[session].append((bait.casefold(), round(hours * 10), fish))
    return {session: tuple(sorted(stints)) for session, stints in found.items()}


def twins(new: Sequence[Trip], held: Iterable[Trip] = ()) -> list[tuple[Trip, bool] | None]:
    """For each new trip the first one like it, of those held and those before it.

    Beside it, whether that is a remark only. A trip that has a twin is nobody's twin.
    """
    places: dict[Hashable, list[Trip]] = defaultdict(list)
    for trip in held:
        places[_place(trip)].append(trip)
    found: list[tuple[Trip, bool] | None] = []
    for trip in new:
        near = places[_place(trip)]
        alike = [other for other in near if trip.may_be(other)]
        plain = [other for other in alike if not (trip.blank and _apart(trip.angler, other.angler))]
        twin = plain[0] if plain else None
        found.append((twin, False) if twin else (alike[0], True) if alike else None)
        if twin is None:
            near.append(trip)
    return found


def twins_of_log(new: Sequence[Trip], held: Sequence[Trip]) -> dict[int, Trip]:
    """Where a whole log is like another: the twin of each new trip that has one, by its place.

    Both are in the order of their files.
    """
    if not held:
        return {}
    of_new, of_held = (Counter(trip.content for trip in trips) for trips in (new, held))
    place = {trip.content: at for at, trip in enumerate(held)}
    single = [trip.content for trip in new if of_new[trip.content] == 1]
    both = [place[content] for content in single if of_held[content] == 1]
    in_order = all(before < after for before, after in pairwise(both))
    if len(both) < FEWEST or 2 * len(both) < len(single) or not in_order:
        return {}
    waiting: dict[Content, list[Trip]] = defaultdict(list)
    for trip in reversed(held):
        waiting[trip.content].append(trip)
    return {at: waiting[trip.content].pop() for at, trip in enumerate(new) if waiting[trip.content]}


def _place(trip: Trip) -> Hashable:
    return trip.day or ("", trip.label), trip.content


def _apart(one: str | None, other: str | None) -> bool:
    return one is not None and other is not None and one.casefold() != other.casefold()
