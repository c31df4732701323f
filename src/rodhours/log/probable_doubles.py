"""Trips of an import that say what another trip says: held back, as probable doubles.

The rule is in `likeness`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import compress
from operator import mul, xor
from typing import Any

from rodhours.counts import listed
from rodhours.likeness import Content, Trip, contents, twins, twins_of_log
from rodhours.log.change_texts import of_angler
from rodhours.log.logbook import Logbook, by_column
from rodhours.log.rules import Checked, first_rows


def find_doubles(
    checked: Checked, new: Sequence[int], book: Logbook | None
) -> tuple[dict[int, tuple[str | None, str]], list[str]]:
    """The probable doubles among the sessions that are new, against the logbook and each other.

    By its number, whose trip each doubles, in words too; and what is a remark only.
    """
    held_back: dict[int, tuple[str | None, str]] = {}
    remarks: list[str] = []
    files_of_stints = {raw.file for raw in checked.log.raws if raw.table == "stints"}
    if book is None and len(files_of_stints) == 1:
        perhaps = _perhaps_alike(checked)
        new = [number for number in new if number in perhaps]
    if not new:
        return held_back, remarks
    first = first_rows(checked.session_of["stints"])
    source = checked.log.tables["stints"].source
    file = {n: checked.log.raws[source[first[n]]].file for n in new if n in first}
    named = {source[row] for n, row in first.items() if checked.keys[n][0] is not None}
    with_names = {checked.log.raws[number].file for number in named}
    trips = _trips_of_files(checked, file.keys())
    held = {} if book is None else _held_trips(book)
    for number, of in file.items():
        if of in with_names:
            trips[number] = trips[number].as_somebody()
    files = held | {trips[number]: of for number, of in file.items()}
    twin_of: dict[int, Trip] = {}
    asked = list(file)
    for number, twin in zip(asked, twins([trips[n] for n in asked], held), strict=True):
        if twin is not None and twin[1]:
            both = " and ".join(
                of_angler(one.label, one.angler) for one in (trips[number], twin[0])
            )
            remarks.append(f"{both} were blanks alike on {twin[0].day}; both count.")
        elif twin is not None:
            twin_of[number] = twin[0]
    known = set(checked.keys)
    earlier = [trip for trip in held if (trip.angler, trip.label) not in known]
    for one in dict.fromkeys(file.values()):
        of_file = [number for number in asked if file[number] == one]
        for at, trip in twins_of_log([trips[n] for n in of_file], earlier).items():
            twin_of.setdefault(of_file[at], trip)
        earlier += [trips[number] for number in of_file]
    for number, trip in twin_of.items():
        own = trips[number]
        same = ["day"] * (own.day is not None and own.day == trip.day)
        same += ["water"] * (own.venue is not None and own.venue == trip.venue)
        says = (
            f"{of_angler(own.label, own.angler)} is a probable double of "
            f"{of_angler(trip.label, trip.angler)} in {files[trip]}: "
            f"{listed([*same, 'hours', 'baits', 'fish'])} are alike"
        )
        held_back[number] = trip.angler, says
    return held_back, remarks


def _perhaps_alike(checked: Checked) -> set[int]:
    """The sessions that share day, baits and hours with another one, or have no day."""
    stints, days = checked.log.tables["stints"].columns, checked.records["date"]
    if len(set(days.values())) == len(days) == len(checked.keys):
        return set()
    tenths = {hours: round((hours or 0) * 10) for hours in set(stints["hours"])}
    # Prime steps, so that sums of other baits and hours are seldom the same.
    folded = {bait: (bait or "").casefold() for bait in set(stints["variant"])}
    steps = {bait: 1 + 7919 * at for at, bait in enumerate(set(folded.values()))}
    baits = {bait: steps[plain] for bait, plain in folded.items()}
    said = map(mul, map(baits.get, stints["variant"]), map(tenths.get, stints["hours"]))
    sums = [0] * (len(checked.keys) + 1)  # the last is session number -1
    for number, content in zip(checked.session_of["stints"], said, strict=True):
        sums[number] += content
    keys = list(map(xor, map(hash, days.values()), map(sums.__getitem__, days)))
    many = Counter(keys)
    alone = compress(days, [many[key] == 1 for key in keys])
    return set(range(len(checked.keys))).difference(alone)


STATED = ("date", "start", "venue")


def _trips_of_files(checked: Checked, wanted: Collection[int]) -> dict[int, Trip]:
    stints = checked.log.tables["stints"].columns
    outcomes = checked.log.tables["catches"].columns["outcome"]
    fish = _counted(
        range(len(stints["fish"])),
        stints["fish"],
        zip(checked.stint_of_catch, outcomes, strict=False),
    )
    columns = (stints["variant"], stints["hours"], fish, stints["cast_in"])
    rows = zip(checked.session_of["stints"], *columns, strict=True)
    stated = {
        number: (*checked.keys[number][::-1], *(checked.records[n].get(number) for n in STATED))
        for number in wanted
    }
    return _trips((row for row in rows if row[0] in wanted), stated)


def _held_trips(book: Logbook) -> dict[Trip, str]:
    """Each trip of the logbook with the files of its import, in the order of those files."""
    stints = by_column(book.stints(), ("id", "session_id", "variant", "hours", "fish", "cast_in"))
    caught = ((row["stint_id"], row["outcome"]) for row in book.catches())
    stints["fish"] = _counted(stints.pop("id"), stints["fish"], caught)
    stated = {
        row["id"]: tuple(row[name] for name in ("session", "angler", *STATED))
        for row in sorted(book.sessions(), key=lambda row: row["id"])
    }
    files = book.files_of_sessions()
    trips = _trips(zip(*stints.values(), strict=True), stated)
    return {trip: files[number] for number, trip in trips.items()}


def _counted(
    stints: Iterable[int], fish: Iterable[int | None], caught: Iterable[tuple[int | None, Any]]
) -> list[int]:
    """The fish of each stint: its own count, or those that catches lists as landed."""
    listed_fish = Counter(stint for stint, outcome in caught if outcome != "lost")
    return [
        listed_fish[stint] if own is None else own for stint, own in zip(stints, fish, strict=True)
    ]


def _trips(
    rows: Iterable[tuple[Any, ...]], stated: Mapping[int, tuple[Any, ...]]
) -> dict[int, Trip]:
    """Trips by number, from number, bait, hours, fish and first cast of their stints.

    `stated` has label, angler, date, start and water of each.
    """
    rows = list(rows)
    content: dict[int, Content] = contents(row[:4] for row in rows if None not in row[:4])
    first: dict[int, str] = {}
    for number, *_, cast in rows:
        if cast is not None:
            first[number] = min(cast, first.get(number, cast))
    trips = {}
    for number, (label, angler, date, start, venue) in stated.items():
        began = start or first.get(number)
        day = date or (began[:10] if began else None)
        known = day, venue, began[:16] if began else None
        trips[number] = Trip(label, angler, *known, content.get(number, ()))
    return trips
