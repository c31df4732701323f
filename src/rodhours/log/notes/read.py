"""Notes to tables: each line to a trip or a stint, and what is wrong in it in the notation's words.

Nothing is guessed: a rod without an end, or with nothing said of fish, is asked about.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from rodhours.errors import UnusableFile
from rodhours.log.catches import FISH_LISTED
from rodhours.log.cells import CellFault
from rodhours.log.notes import grammar
from rodhours.log.notes.grammar import (
    BLANK,
    COUNTED,
    FISH,
    LOST,
    NOT_FISHED,
    NUMBERS,
    OF_ROD,
    OF_TRIP,
    Word,
    find,
)
from rodhours.log.table import FileTable
from rodhours.log.tables import SESSIONS, STINTS
from rodhours.log.trip_days import TripDays, read_day, when
from rodhours.log.unfished import BETWEEN, FILLED_IN, PLANNED, UNFISHED

STINT_COLUMNS = ("session", "rod", "variant", "cast_in", "cast_out", "hours", "fish", "lost")
A_LINE = "a trip's line (trip 12 Apr 2026, 18:30), a rod's (1 plain, in 18:30, out 6:15, blank)"
A_PART = "parts between commas that begin with a word of the notes, such as"
NOTHING_YET = (
    "nothing is filled in yet. Write of each rod when it went in and came out, and its fish: "
    "1 plain, in 18:30, out 6:15, blank"
)
_HEAD = re.compile(r"(?:notes|year)\s+(\d{4})\b", re.IGNORECASE)
_TRIP = re.compile(r"trip\b:?(?!,)\s*", re.IGNORECASE)
_ROD = re.compile(r"rod\s+(?P<named>\S.*)|(?P<rod>\d+)\b[.):]?\s*(?P<rest>.*)", re.IGNORECASE)
_BAIT = re.compile(r"bait\s+(.+)", re.IGNORECASE)
_OWN = re.compile(r"([^\W\d][\w ]*?)\s*[:=]\s*(.*)")
_AT = re.compile(r"(?:^|(?<=\s))at\s+(\d.*)$", re.IGNORECASE)
_EMPTY = ("day", "date", "time", "from")
"""Words of an empty form: nothing stands behind them yet."""


@dataclass
class _Line:
    """One line as rows: the cells of its stint or trip, its fish, and its faults."""

    number: int
    text: str
    cells: dict[str, str] = field(default_factory=dict)
    fish: list[dict[str, str]] = field(default_factory=list)
    faults: list[tuple[str, str]] = field(default_factory=list)
    unfished: bool = False

    def fault(self, says: str, found: str | None = None) -> None:
        self.faults.append((says, self.text if found is None else found))

    def say(self, column: str, cell: str, part: str) -> None:
        if column in self.cells and self.cells[column] != cell:
            self.fault("said once in a line", part)
        elif cell:
            self.cells[column] = cell

    @property
    def filled(self) -> bool:
        return any(self.cells.get(name) for name in FILLED_IN)


@dataclass
class _Trip:
    line: _Line
    days: TripDays = field(default_factory=TripDays)
    rods: list[_Line] = field(default_factory=list)


def is_notes(text: str) -> bool:
    """Whether a text is in the notation: `notes 2026` or a trip's line first, then lines of rods.

    A table whose first column is called trip is none: there is no day in its head, and its cells
    do not begin with words of a rod.
    """
    lines = (line for _, line in _lines(text))
    first = next(lines, "")
    if _HEAD.match(first):
        return True
    dated = _TRIP.match(first) is not None and any(map(str.isdigit, first))
    return dated and any(
        find(part, OF_ROD)
        for line in lines
        if not _TRIP.match(line)
        for part in grammar.split_rod(line)[1:]
    )


def read_notes(file: str, text: str) -> tuple[list[FileTable], list[str]]:
    """The tables of a text: stints, their sessions, and catches where any fish is by itself.

    With hints on rods that were not fished. UnusableFile where nothing is filled in.
    """
    trips: list[_Trip] = []
    stray: list[_Line] = []
    year: int | None = None
    for number, told in _lines(text):
        line = _Line(number, told)
        if head := _HEAD.match(told):
            year = int(head[1])
        elif trip := _TRIP.match(told):
            trips.append(_Trip(line))
            _read_trip(trips[-1], grammar.split(told[trip.end() :]), year, first=True)
        elif not trips:
            line.fault("below a trip's line, such as trip 12 Apr 2026, 18:30, water NAME")
            stray.append(line)
        elif find(told, OF_TRIP):
            _read_trip(trips[-1], grammar.split(told), year, first=False)
        else:
            _read_rod(trips[-1], line)
            # The empty line of a form says nothing.
            if line.faults or line.unfished or line.cells.keys() - {"rod"}:
                trips[-1].rods.append(line)
    trips = [trip for trip in trips if trip.rods or trip.line.cells or trip.line.faults]
    for begun in trips:
        _settle(begun)
    if not stray and not any(_counts(one) for trip in trips for one in (trip.line, *trip.rods)):
        raise UnusableFile(f"{file}: {NOTHING_YET}")
    unfished = [
        f"rod {rod.cells.get('rod', '?')} of {rod.cells['session']}"
        for trip in trips
        for rod in trip.rods
        if rod.unfished and not rod.faults
    ]
    hints = [f"{file}: not fished, as it says: {', '.join(unfished)}."] if unfished else []
    return _tables(file, trips, stray), hints


def _lines(text: str) -> Iterator[tuple[int, str]]:
    """The lines that say something, numbered."""
    for number, line in enumerate(io.StringIO(text, newline=None), start=1):
        told = " ".join(line.replace("\ufeff", "").split())
        if told and not told.startswith(grammar.REMARK):
            yield number, told


def _read_trip(trip: _Trip, parts: Sequence[str], year: int | None, first: bool) -> None:
    """What a trip's line says, or a line that goes on with it."""
    line = trip.line
    for at, part in enumerate(parts):
        known, own = find(part, OF_TRIP), _OWN.fullmatch(part)
        if known:
            line.say(known[0].column, grammar.value(known[1]), part)
        elif first and at == 0 and grammar.is_quoted(part):
            line.say("session", grammar.value(part), part)
        elif _read_when(trip, grammar.plain(part), year) or part.casefold() in _EMPTY:
            continue
        elif own:
            line.say(_column(own[1]), grammar.value(own[2]), part)
        elif first and at == 0:
            line.say("session", grammar.value(part), part)
        else:
            line.fault(f"{A_PART} water, swim or note; a day is written 12 Apr 2026", part)


def _read_when(trip: _Trip, text: str, year: int | None) -> bool:
    """Whether a part is the trip's day, its time or both; one that cannot be is a fault."""
    told = when(text)
    if told is None:
        return False
    try:
        if told[0]:
            trip.days.day = read_day(told[0], year)
            trip.line.say("date", trip.days.day, text)
        if told[1]:
            trip.line.say("start", trip.days.begun(told[1]), text)
    except CellFault as fault:
        trip.line.fault(str(fault), text)
    return True


def _column(name: str) -> str:
    """The column that is meant by a name of one's own: capitals do not matter in ours."""
    column = name.strip().casefold().replace(" ", "_")
    return column if column in {*STINTS.names, *SESSIONS.names} else name.strip()


def _read_rod(trip: _Trip, line: _Line) -> None:
    """What a rod's line says; its times get their days in the order of the lines."""
    parts = grammar.split_rod(line.text)
    rod, bait, rest = _rod_and_bait(parts)
    if rod is None and bait is None:
        line.fault(A_LINE)
        return
    line.cells |= {name: text for name, text in (("rod", rod), ("variant", bait)) if text}
    for part in rest:
        counted = COUNTED.fullmatch(part)
        known = find(f"{counted[2]} {counted[1]}" if counted else part, OF_ROD)
        own = _OWN.fullmatch(part)
        if known:
            _say(line, *known, part)
        elif own:
            line.say(_column(own[1]), grammar.value(own[2]), part)
        else:
            line.fault(f"{A_PART} in, out, fish or blank", part)
    _place(trip, line)


def _rod_and_bait(parts: Sequence[str]) -> tuple[str | None, str | None, Sequence[str]]:
    """Rod and bait with which a line begins, and its other parts: `1 plain`, `rod left plain`."""
    head, rest = "".join(parts[:1]), parts[1:]
    if bait := _BAIT.fullmatch(head):
        return None, grammar.value(bait[1]), rest
    rod = _ROD.fullmatch(head)
    if rod is None:
        return None, None, rest
    told, bait_text = rod["rod"], rod["rest"]
    if told is None:
        told, bait_text = grammar.first_text(rod["named"])
    bait_text = grammar.SIGN.sub("", bait_text)
    if not bait_text and rest and not find(rest[0], OF_ROD):
        bait_text, rest = rest[0], rest[1:]
    return grammar.value(told.rstrip(":.")), grammar.value(bait_text), rest


def _say(line: _Line, word: Word, text: str, part: str) -> None:
    """One part of a rod's line, by its word."""
    if word is NOT_FISHED:
        line.unfished = True
    elif word is BLANK:
        line.say("fish", "0", part)
    elif word in (FISH, LOST) and text.casefold() in NUMBERS:
        line.say(word.column, str(NUMBERS[text.casefold()]), part)
    elif word in (FISH, LOST) and text and not re.fullmatch("[0-9]{1,4}", text):
        line.fish.append(read_fish(text) | ({"outcome": "lost"} if word is LOST else {}))
    elif word.column == PLANNED and not text:
        line.say(PLANNED, line.cells.get("variant", ""), part)
    else:
        line.say(word.column, grammar.value(text), part)


def read_fish(text: str) -> dict[str, str]:
    """One fish: species, weight and time as they stand there; `?` where nothing is known."""
    fish = {}
    if at := _AT.search(text):
        fish["time"], text = at[1], text[: at.start()]
    species, rest = "", text.strip()
    if rest[:1] in grammar.OPENS and rest:
        species, rest = grammar.first_text(rest)
        species = grammar.value(species)
    words = [] if rest == "?" else grammar.plain(rest).split()
    weighs = [word[0].isdigit() or grammar.UNITS.fullmatch(word) is not None for word in words]
    weight = " ".join(word for word, of_it in zip(words, weighs, strict=True) if of_it)
    named = " ".join(word for word, of_it in zip(words, weighs, strict=True) if not of_it)
    told = {"species": species or named, "weight": weight}
    return fish | {name: cell for name, cell in told.items() if cell}


def _place(trip: _Trip, line: _Line) -> None:
    """Give the times of a rod's line their days."""
    days, cells, rod = trip.days, line.cells, line.cells.get("rod", "")
    text = ""
    try:
        if text := cells.get("cast_in", ""):
            cells["cast_in"] = days.cast_in(rod, text)
        if text := cells.get("cast_out", ""):
            cells["cast_out"] = days.cast_out(rod, text, cells.get("cast_in"))
        for fish in line.fish:
            if text := fish.get("time", ""):
                fish["time"] = days.caught(text, cells.get("cast_in"), cells.get("cast_out"))
    except CellFault as fault:
        # Without its day, which the trip's line is asked for, no time can be placed.
        line.fault("" if days.day is None and trip.line.faults else str(fault), text)


def _settle(trip: _Trip) -> None:
    """The label of a trip, its end, and what its rods must say."""
    line = trip.line
    label = line.cells.get("session") or trip.days.day
    if label is None and not line.faults:
        line.fault("a trip with its day or a name: trip 12 Apr 2026")
    line.cells["session"] = label or f"line {line.number}"
    if not trip.rods:
        line.fault("a trip with a line for each rod below it: 1 plain, in 18:30, out 6:15, blank")
    try:
        if end := line.cells.get("end"):
            line.cells["end"] = trip.days.cast_out("", end, line.cells.get("start"))
    except CellFault as fault:
        line.fault(str(fault), line.cells["end"])
    for rod in trip.rods:
        for name in ("session", "angler"):
            if name in line.cells:
                rod.cells[name] = line.cells[name]
        _settle_rod(rod)
    if any(rod.fish for rod in trip.rods):
        for rod in trip.rods:
            count = int(rod.cells.get("fish", "0") or 0)
            listed = [fish for fish in rod.fish if "outcome" not in fish]
            rod.fish += [{} for _ in range(count - len(listed))]
    elif any(rod.cells.get("fish", "0") != "0" for rod in trip.rods):
        line.cells[FISH_LISTED] = "no"


def _settle_rod(line: _Line) -> None:
    """Count the fish of a line, and ask where it says not enough."""
    cells = line.cells
    for column, lost in (("fish", False), ("lost", True)):
        listed = sum(("outcome" in fish) is lost for fish in line.fish)
        told = cells.get(column)
        if listed and told is None:
            cells[column] = str(listed)
        elif listed and told is not None and (not lost or int(told or 0) < listed):
            says = f"either their number or each by itself ({column} ? where nothing is known)"
            line.fault(f"{says}: not both")
    if line.faults:
        return
    if line.unfished:
        if line.filled:
            line.fault("not fished, or what was fished: not both")
        return
    if line.fish and "rod" not in cells:
        line.fault("a rod before its bait, by which its fish are known: 1 plain, ...")
    if not line.filled:
        if PLANNED not in cells:
            line.fault("what was fished: in 18:30, out 6:15, blank (or not fished)")
        return
    if "hours" not in cells and not {"cast_in", "cast_out"} <= cells.keys():
        line.fault("a rod with its times: in 18:30, out 6:15 (or hours 11.75)")
    if "fish" not in cells:
        line.fault("a rod with its fish: blank, or fish 2")
    if "variant" not in cells:
        line.fault("a rod and its bait first: 1 plain, ...")


def _tables(file: str, trips: Sequence[_Trip], stray: Sequence[_Line]) -> list[FileTable]:
    """Stints, sessions that were fished, and catches where any fish is listed."""
    for trip in trips:
        out = [
            rod.cells.get(PLANNED) or rod.cells.get("variant") for rod in trip.rods if rod.unfished
        ]
        for fished in [rod for rod in trip.rods if rod.filled][:1]:
            fished.cells |= {UNFISHED: BETWEEN.join(filter(None, out))} if any(out) else {}
    rods = [rod for trip in trips for rod in trip.rods if not rod.unfished or rod.faults]
    for line in stray:
        line.cells["session"] = f"line {line.number}"
    begun = [trip.line for trip in trips if trip.line.faults or any(map(_counts, trip.rods))]
    tables = [_table(file, "stints", STINT_COLUMNS, [*rods, *stray])]
    if begun:
        tables.append(_table(file, "sessions", ("session",), begun))
    caught = []
    for rod in rods:
        of_stint = ("session", "angler", "rod", "variant")
        key = {name: rod.cells[name] for name in of_stint if name in rod.cells}
        silent = [("", "")] if rod.faults else []
        caught += [_Line(rod.number, rod.text, key | fish, faults=silent) for fish in rod.fish]
    if caught:
        columns = ("session", "rod", "variant", "time", "species", "weight", "outcome")
        tables.append(_table(file, "catches", columns, caught))
    return tables


def _counts(line: _Line) -> bool:
    return line.filled or bool(line.faults)


def _table(file: str, name: str, columns: Sequence[str], lines: Sequence[_Line]) -> FileTable:
    header = tuple(dict.fromkeys((*columns, *(one for line in lines for one in line.cells))))
    return FileTable(
        file=file,
        sheet=None,
        table=name,
        named=True,
        header=header,
        header_row=1,
        columns=tuple([line.cells.get(one, "") for line in lines] for one in header),
        rows=[line.number for line in lines],
        misfits={},
        faults=tuple(
            (at, None, says, found) for at, line in enumerate(lines) for says, found in line.faults
        ),
    )
