"""Layouts proposed for files that we do not know, and all that was found on the way.

Nothing is taken in silence: every match, reading, tie and gap is in the proposal, to be shown.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from rodhours.errors import LayoutNeeded
from rodhours.log.labels import look_alikes
from rodhours.log.layout.apply import apply_layout
from rodhours.log.layout.contents import (
    Contents,
    Reading,
    both_ways,
    find_dates,
    find_units,
    read_forms,
)
from rodhours.log.layout.fish_only import is_fish_only
from rodhours.log.layout.guess import Guesses, guess_columns
from rodhours.log.layout.layout import COLUMNS, KEEP, LEAVE_OUT, Layout
from rodhours.log.layout.match import rod_groups
from rodhours.log.layout.names import END_DATES, plain_name
from rodhours.log.layout.remember import header_key
from rodhours.log.layout.use import sheet_by_sheet
from rodhours.log.sheets import read_tables
from rodhours.log.table import FileTable, missing_columns
from rodhours.log.tables import Kind

SHOWN_KINDS = (Kind.NUMBER, Kind.WHOLE, Kind.DATE, Kind.MOMENT, Kind.WEIGHT)


@dataclass(frozen=True)
class Match:
    """One column of the file: what it is proposed to be, three of its cells, its readings.

    `ours` is None where it is kept as it is; `tied_for` are those of ours that other columns may
    be as well; `both_ways` are dates that could be read month first too.
    """

    theirs: str
    ours: str | None
    samples: tuple[str, ...]
    readings: tuple[Reading, ...] = ()
    tied_for: tuple[str, ...] = ()
    both_ways: tuple[str, ...] = ()
    empty: int = 0
    rows: int = 0


@dataclass(frozen=True)
class Proposal:
    """A layout for one file, and what has to be said about it.

    `missing`: needed columns of ours without one of theirs; `ties`: ours to the columns that are
    equally likely; `look_alikes`: our column to groups of labels that are probably the same, the
    most frequent first; `sessions`: how many the session columns make; `fish_only`: the rows are
    fish, without the hours that caught none; `labels`: those of the baits; `empty_of_rods`: empty
    counts of rods that had a bait, in a wide log; `sheets_alike`: how many further tables with the
    same columns it is for; `sheets`: those of the workbook, where nothing
    tells which is the log.
    """

    file: str
    sheet: str | None
    table: str
    layout: Layout
    matches: tuple[Match, ...]
    missing: tuple[str, ...]
    ties: Mapping[str, tuple[str, ...]]
    look_alikes: Mapping[str, tuple[tuple[str, ...], ...]]
    sessions: int | None
    rods: tuple[str, ...]
    fish_only: bool
    labels: tuple[str, ...] = ()
    empty_of_rods: int = 0
    sheets_alike: int = 0
    sheets: tuple[str, ...] = ()

    @property
    def place(self) -> str:
        """The table's address in words."""
        return self.file + (f", sheet {self.sheet}" if self.sheet is not None else "")

    @property
    def matched(self) -> int:
        """How many columns of the file are proposed to be one of ours."""
        return sum(match.ours is not None for match in self.matches)

    @property
    def gaps(self) -> tuple[str, ...]:
        """Columns of theirs that are needed in every row, and are empty in some."""
        layout = self.layout
        needed = {*layout.session_from, layout.theirs("session"), layout.theirs("variant")}
        return tuple(m.theirs for m in self.matches if m.theirs in needed and 0 < m.empty < m.rows)

    @property
    def empty_counts(self) -> int:
        """How many cells of the fish are empty; of rods those alone that had a bait."""
        if self.layout.wide:
            return self.empty_of_rods
        counts = [m.empty for m in self.matches if m.ours == "fish"]
        return counts[0] if counts else 0

    @property
    def complete(self) -> bool:
        """Whether an import with this layout has all the columns it needs."""
        return not self.missing and not self.fish_only


def proposals_for(
    paths: Sequence[Path], wanted: tuple[str, str | None] | None = None
) -> list[Proposal]:
    """The layout proposed for each table in these files, or for the one `wanted` (file, sheet).

    Sheets of one header (a sheet a month) have one together. Raises UnusableFile for what cannot
    be read.
    """
    try:
        raws, _ = read_tables(paths)
    except LayoutNeeded as error:
        if not error.sheets:
            raise
        return [_likeliest_sheet(error)]
    given = {raw.table for raw in raws}
    groups: dict[str, list[FileTable]] = {}
    for raw in raws:
        groups.setdefault(header_key(raw), []).append(raw)
    return [
        replace(
            propose(_together(group), catches_given="catches" in given),
            sheets_alike=len(group) - 1,
        )
        for group in groups.values()
        if wanted is None or wanted in [(raw.file, raw.sheet) for raw in group]
    ]


def _likeliest_sheet(error: LayoutNeeded) -> Proposal:
    """The proposal for the sheet that is the log most likely; it states the sheet."""
    proposals = [propose(raw) for raw in sheet_by_sheet(error)]
    if not proposals:
        raise error
    best = max(proposals, key=lambda one: (one.complete, -len(one.missing), one.matched))
    layout = replace(best.layout, file={"sheets": [best.sheet]})
    return replace(best, layout=layout, sheets=error.sheets)


def _together(raws: Sequence[FileTable]) -> FileTable:
    """Tables with the same columns as one, under the names of the first."""
    first = raws[0]
    if any(raw.header != first.header for raw in raws):
        return max(raws, key=lambda raw: len(raw.rows))
    return replace(
        first,
        columns=tuple(
            [cell for raw in raws for cell in raw.columns[index]]
            for index in range(len(first.header))
        ),
        rows=[row for raw in raws for row in raw.rows],
        misfits={},
    )


def propose(raw: FileTable, *, catches_given: bool = False) -> Proposal:
    """The proposal for one table; `catches_given`: fish need not be counted in it."""
    contents = {name: Contents(cells) for name, cells in raw.named_columns.items()}
    guesses = guess_columns(contents, raw.table)
    groups = rod_groups(guesses.wide.values(), tuple(contents))
    layout = _layout(contents, guesses, groups, raw.table)
    columns = apply_layout(raw, layout).values
    given = {raw.table, "catches"} if catches_given else {raw.table}
    alike = {ours: _probably_the_same(columns.get(ours, ())) for ours in ("variant", "venue")}
    fish_like = [held.cells for held in contents.values() if held.named_weights]
    return Proposal(
        file=raw.file,
        sheet=raw.sheet,
        table=raw.table,
        layout=layout,
        matches=tuple(
            _match(name, held, layout, guesses, groups, raw.workbook)
            for name, held in contents.items()
        ),
        missing=_missing(guesses, layout, raw.table, given),
        ties={ours: tuple(names) for ours, names in guesses.ties.items()},
        look_alikes={ours: groups_of for ours, groups_of in alike.items() if groups_of},
        sessions=len(set(columns["session"]) - {None}) if layout.session_from else None,
        rods=tuple(groups),
        labels=tuple(dict.fromkeys(text for text in columns.get("variant", ()) if text)),
        empty_of_rods=_empty_of_rods(contents, guesses.wide, groups),
        fish_only=raw.table == "stints" and not groups and is_fish_only(columns, lambda: fish_like),
    )


def _layout(
    contents: Mapping[str, Contents],
    guesses: Guesses,
    groups: Mapping[str, Mapping[str, str]],
    table: str,
) -> Layout:
    """The layout that the guesses make, with the forms of their cells."""
    columns = _cells_of_ours(contents, guesses, groups)
    units, dates = find_units(columns), find_dates(columns)
    if dates.clock_on is None and "time" in columns and columns["time"][1].clock_times:
        guesses.found.pop(columns["time"][0])
    ends = [n for n in contents if plain_name(n) in END_DATES and contents[n].dates]
    if dates.clock_on is not None and len(ends) == 1 and ends[0] not in guesses.found:
        dates = replace(dates, clock_end_on=ends[0])
    session_from = _session_from(guesses, table)
    of_rods = {name for group in groups.values() for name in group.values()}
    # A column that bears the name of ours, where another is proposed for that, is left out; so is
    # a count of the whole row beside rods, which cannot be shared out among them.
    taken = {
        *guesses.ours,
        *(("rod", "fish", "lost") if guesses.wide else ()),
        *(("session",) if session_from else ()),
    }
    targets = {}
    for name in contents:
        if name not in of_rods:
            own = LEAVE_OUT if name in taken else name if name in COLUMNS else KEEP
            targets[name] = guesses.found.get(name, own)
    return Layout(
        columns=targets,
        units=units,
        dates=dates,
        session_from=session_from,
        wide=guesses.wide,
        name="the proposed layout",
    )


def _cells_of_ours(
    contents: Mapping[str, Contents], guesses: Guesses, groups: Mapping[str, Mapping[str, str]]
) -> dict[str, tuple[str, Contents]]:
    """For each matched column of ours the name of theirs and its cells, all rods together."""
    columns = {ours: (theirs, contents[theirs]) for theirs, ours in guesses.found.items()}
    for ours, pattern in guesses.wide.items():
        names = [group[pattern] for group in groups.values() if pattern in group]
        cells = [cell for name in names for cell in contents[name].cells]
        columns[ours] = (pattern, Contents(cells))
    return columns


def _session_from(guesses: Guesses, table: str) -> tuple[str, ...]:
    """Date and water make a session, where no column is the session."""
    if table == "variants" or "session" in guesses.ours:
        return ()
    of = {ours: theirs for theirs, ours in guesses.found.items()}
    if "date" not in of:
        return ()
    return tuple(of[ours] for ours in ("date", "venue") if ours in of)


def _match(
    name: str,
    contents: Contents,
    layout: Layout,
    guesses: Guesses,
    groups: Mapping[str, Mapping[str, str]],
    workbook: bool,
) -> Match:
    ours = layout.columns.get(name)
    for group in groups.values():
        for pattern, column in group.items():
            if column == name:
                ours = next(one for one, text in layout.wide.items() if text == pattern)
    ours = None if ours not in COLUMNS else ours
    readings: tuple[Reading, ...] = ()
    twice: tuple[str, ...] = ()
    if ours is not None and COLUMNS[ours].kind in SHOWN_KINDS:
        readings = tuple(read_forms(ours, contents, layout, workbook))
        if COLUMNS[ours].kind is Kind.DATE:
            twice = both_ways(contents.distinct)
    tied = tuple(one for one, names in guesses.ties.items() if name in names)
    return Match(
        name, ours, contents.samples, readings, tied, twice, contents.empty, len(contents.cells)
    )


def _empty_of_rods(
    contents: Mapping[str, Contents],
    wide: Mapping[str, str],
    groups: Mapping[str, Mapping[str, str]],
) -> int:
    if "fish" not in wide:
        return 0
    return sum(
        bool(bait.strip()) and not fish.strip()
        for group in groups.values()
        if wide["variant"] in group and wide["fish"] in group
        for bait, fish in zip(
            contents[group[wide["variant"]]].cells, contents[group[wide["fish"]]].cells, strict=True
        )
    )


def _missing(guesses: Guesses, layout: Layout, table: str, given: set[str]) -> tuple[str, ...]:
    have = guesses.ours | ({"session"} if layout.session_from else set())
    return tuple(missing_columns(have, table, given))


def _probably_the_same(texts: Sequence[str | None]) -> tuple[tuple[str, ...], ...]:
    counts = Counter(text for text in texts if text)
    first = {text: number for number, text in enumerate(counts)}
    return tuple(
        tuple(sorted(group, key=lambda text: (-counts[text], first[text])))
        for group in look_alikes(counts)
    )
