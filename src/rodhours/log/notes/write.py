"""The log as notes: what the reader takes back to the same trips, stints and fish."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from datetime import timedelta

from rodhours.log.cells import CellFault
from rodhours.log.export_tables import OpenTable, text_of
from rodhours.log.notes.grammar import BLANK, FISH, LOST, OF_ROD, OF_TRIP, Word, quoted
from rodhours.log.notes.read import STINT_COLUMNS, read_fish
from rodhours.log.trip_days import TripDays, between, when
from rodhours.log.unfished import PLANNED

Cells = dict[str, str]
_Key = tuple[str, str]
OF_TRIPS_LINE = ("session", "date", "start", "fish_listed")
OF_FISH = ("session", "angler", "rod", "variant", "time", "species", "weight", "outcome")


def notes_text(tables: Sequence[OpenTable]) -> str:
    """The tables of the open format as notes, but for `variants`, which these have no words for."""
    rows = {table.name: _filled(table) for table in tables}
    stints, catches = _by_trip(rows["stints"]), _by_trip(rows["catches"])
    trips = []
    for cells in rows["sessions"]:
        line, days = _trip(cells)
        trips.append([line, *_rods(days, stints[_key(cells)], catches[_key(cells)])])
    return "\n\n".join("\n".join(trip) for trip in trips) + "\n"


def has_no_place(tables: Sequence[OpenTable]) -> list[str]:
    """What of these tables notes cannot hold, in words."""
    (catches,) = (table for table in tables if table.name == "catches")
    own = [name for name in catches.columns if name not in OF_FISH]
    recipes = any(table.rows for table in tables if table.name == "variants")
    return [*(["the recipes"] if recipes else []), *(f"the column {one} of catches" for one in own)]


def _filled(table: OpenTable) -> list[Cells]:
    names = table.columns
    return [
        {name: text_of(cell) for name, cell in zip(names, row, strict=True) if cell is not None}
        for row in table.rows
    ]


def _by_trip(rows: Iterable[Cells]) -> dict[_Key, list[Cells]]:
    found: dict[_Key, list[Cells]] = defaultdict(list)
    for cells in rows:
        found[_key(cells)].append(cells)
    return found


def _key(cells: Mapping[str, str]) -> _Key:
    return cells["session"], cells.get("angler", "")


def _trip(cells: Cells) -> tuple[str, TripDays]:
    """A trip's line, and where the times of its rods begin."""
    label, day, start = cells["session"], cells.get("date"), cells.get("start", "")
    days = TripDays(day)
    parts = [] if label == day else [quoted(label, always=when(label) is not None)]
    parts += [day] if day else []
    if day and start[:10] == day:
        parts.append(_time(days, start, lambda of, text: of.begun(text)))
    elif start:
        parts.append(f"start: {start}")
    own = {name: cell for name, cell in cells.items() if name not in OF_TRIPS_LINE}
    return f"trip {', '.join([*parts, *_parts(own, OF_TRIP)])}", days


def _parts(cells: Cells, words: Iterable[Word]) -> list[str]:
    """Cells as parts: each behind its word, or behind the name of its column."""
    by_column = {word.column: word.says for word in words}
    return [
        f"{by_column[name]} {quoted(cell)}" if name in by_column else f"{name}: {quoted(cell)}"
        for name, cell in cells.items()
    ]


def _time(days: TripDays, moment: str, place: Callable[[TripDays, str], str]) -> str:
    """A moment by its time alone, where that is read back as it; else with its day."""
    for text in (moment[11:], moment.replace("T", " ")):
        trial = replace(days, last=dict(days.last))
        with suppress(CellFault):
            if place(trial, text) == moment:
                days.start, days.last = trial.start, trial.last
                return text
    return moment


def _rods(days: TripDays, stints: list[Cells], catches: list[Cells]) -> list[str]:
    """The lines of a trip's rods, each with its fish."""

    def place(cells: Cells) -> tuple[int, str, str]:
        rod = cells.get("rod", "")
        return len(rod), rod, cells.get("cast_in", "")

    lines = []
    left = list(catches)
    for cells in sorted(stints, key=place):
        mine = [fish for fish in left if _may_have(cells, fish)]
        landed = [fish for fish in mine if fish.get("outcome") != "lost"]
        landed = landed[: int(cells.get("fish", len(landed)))]
        lost = [fish for fish in mine if fish.get("outcome") == "lost"]
        lost = lost[: int(cells.get("lost", len(lost)))]
        left = [fish for fish in left if not any(fish is one for one in (*landed, *lost))]
        lines.append(_rod(days, cells, landed, lost))
    return lines


def _may_have(stint: Cells, fish: Cells) -> bool:
    """Whether a stint may have had a fish: by rod, bait and time, as an import matches them."""
    began, ended = stint.get("cast_in"), stint.get("cast_out")
    time = fish.get("time")
    timed = None in (time, began, ended) or began[:16] <= time[:16] <= ended[:16]  # type: ignore[index]
    same = stint.get("rod") == fish.get("rod")
    return timed and same and fish.get("variant") in (None, stint["variant"])


def _rod(days: TripDays, cells: Cells, landed: list[Cells], lost: list[Cells]) -> str:
    rod, bait = cells.get("rod"), quoted(cells["variant"])
    if rod is None:
        parts = [f"bait {bait}"]
    else:
        named = quoted(rod, always=re.fullmatch(r"[\w-]+", rod) is None)
        parts = [f"{rod} {bait}" if re.fullmatch("[0-9]+", rod) else f"rod {named} {bait}"]
    if PLANNED in cells:
        as_it_was = cells[PLANNED] == cells["variant"]
        parts.append("planned" if as_it_was else f"planned {quoted(cells[PLANNED])}")
    began, ended = cells.get("cast_in"), cells.get("cast_out")
    if began:
        parts.append(f"in {_time(days, began, lambda of, text: of.cast_in(rod or '', text))}")
    if ended:
        out = _time(days, ended, lambda of, text: of.cast_out(rod or "", text, began))
        parts.append(f"out {out}")
    if not (began and ended) or float(cells["hours"]) != between(began, ended) / timedelta(hours=1):
        parts.append(f"hours {cells['hours']}")
    if landed:
        parts += [f"{FISH.says} {_fish(days, one, began, ended)}" for one in landed]
    elif int(cells.get("fish", 0)):
        parts.append(f"{FISH.says} {cells['fish']}")
    else:
        parts.append(BLANK.says)
    if "lost" in cells:
        parts.append(f"{LOST.says} {cells['lost']}")
    parts += [f"{LOST.says} {_fish(days, one, began, ended)}" for one in lost]
    told = (*STINT_COLUMNS, "angler", PLANNED)
    return ", ".join(parts + _parts({k: v for k, v in cells.items() if k not in told}, OF_ROD))


def _fish(days: TripDays, fish: Cells, began: str | None, ended: str | None) -> str:
    told = []
    if kind := fish.get("species"):
        told.append(quoted(kind, always=read_fish(kind) != {"species": kind}))
    told += [fish["weight"]] if "weight" in fish else []
    if "time" in fish:
        time = _time(days, fish["time"], lambda of, text: of.caught(text, began, ended))
        told.append(f"at {time}")
    return " ".join(told) or "?"
