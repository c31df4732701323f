"""Layouts proposed for files that we do not know, and all that was found on the way.

Nothing is taken in silence: every match, reading, tie and gap is in the proposal, to be shown.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, replace
from pathlib import Path

from rodhours.counts import listed
from rodhours.errors import LayoutNeeded, UnusableFile
from rodhours.log.layout.apart import find_groups, find_lists, groups_apart, lists_apart
from rodhours.log.layout.apply import apply_layout, cells_to_read
from rodhours.log.layout.contents import Contents, find_dates, find_units, is_a_day
from rodhours.log.layout.guess import STRONG, Guesses, guess_columns, rank
from rodhours.log.layout.layout import COLUMNS, KEEP, LEAVE_OUT, SHEET, Layout, side_by_side
from rodhours.log.layout.names import END_DATES, plain_name
from rodhours.log.layout.questions import (
    Found,
    Question,
    find_questions,
    of_whole_trips,
    plain_values,
)
from rodhours.log.layout.reshape import (
    OF_A_STINT,
    counts_apart,
    in_years,
    is_fish_only,
    with_sheets,
)
from rodhours.log.layout.titles import OF_TITLES, titles_are, with_titles, without_remarks
from rodhours.log.layout.toml import Entries, merged, with_entries
from rodhours.log.layout.use import header_key, sheet_by_sheet
from rodhours.log.sheets import read_tables
from rodhours.log.table import FileTable

_ROWS = ("baits", "rows", "values.variant")
"""Sections of a layout that say which rods and baits were out."""

Answered = Mapping[str, Entries]
"""What was answered so far: what each question was about, and the entries of its answer."""


@dataclass(frozen=True)
class Proposal:
    """A layout for one table of a file, and what has to be said about it.

    `cells`: those that are read of each column; `missing`: needed columns of ours without one of
    theirs; `questions`: what is undecided; `sessions`: how many trips the session columns make;
    `rods`: those, or the baits, that stand side by side; `fish_only`: the rows are fish, without
    the hours that caught none; `aside`: hints on rows that are no stints; `sheets_alike`: how many
    further tables with the same columns it is for; `sheets`: those of the workbook, where nothing
    tells which is the log.
    """

    raw: FileTable
    layout: Layout
    cells: Mapping[str, Sequence[str]]
    missing: tuple[str, ...]
    questions: tuple[Question, ...]
    sessions: int | None
    rods: tuple[str, ...]
    fish_only: bool
    aside: tuple[str, ...]
    sheets_alike: int = 0
    sheets: tuple[str, ...] = ()

    @property
    def matched(self) -> int:
        """How many columns of the file are proposed to be one of ours."""
        return sum(self.layout.columns[name] in COLUMNS for name in self.cells)

    @property
    def complete(self) -> bool:
        """Whether an import with this layout has all the columns it needs."""
        return not self.missing and not self.fish_only

    @property
    def unanswerable(self) -> tuple[str, ...]:
        """Needed columns of ours that no column of the file can be."""
        asked = {one.about for one in self.questions}
        asked |= {"column variant"} if "baits" in asked else set()
        return tuple(ours for ours in self.missing if f"column {ours}" not in asked)


def proposals_for(
    paths: Sequence[Path],
    wanted: tuple[str, str | None] | None = None,
    answered: Answered | None = None,
) -> list[Proposal]:
    """The layout proposed for each table in these files, or for the one `wanted` (file, sheet).

    `answered` are answers to the questions of an earlier proposal for it.

    Sheets of one header (a sheet a month) have one together. Raises UnusableFile for what cannot
    be read.
    """
    answered = answered or {}
    try:
        raws, _ = read_tables(paths)
    except LayoutNeeded as error:
        # Of the sheets that may be the log, the likeliest; the layout states it.
        found = [propose(raw, {raw.table}, answered) for raw in sheet_by_sheet(error)]
        if not found:
            raise
        best = max(found, key=lambda one: (one.complete, -len(one.missing), one.matched))
        layout = replace(best.layout, sheets=(str(best.raw.sheet),))
        return [replace(best, layout=layout, sheets=error.sheets)]
    given = {raw.table for raw in raws}
    groups: dict[str, list[FileTable]] = {}
    for raw in raws:
        groups.setdefault(header_key(raw), []).append(raw)
    return [
        replace(propose(_together(group), given, answered), sheets_alike=len(group) - 1)
        for group in groups.values()
        if wanted is None or wanted in [(raw.file, raw.sheet) for raw in group]
    ]


def _together(raws: Sequence[FileTable]) -> FileTable:
    """Tables with the same columns as one, under the names of the first."""
    if len(raws) > 1 and raws[0].workbook:
        raws = [with_sheets(raw) for raw in raws]
    first = raws[0]
    if any(raw.header != first.header for raw in raws):
        return max(raws, key=lambda raw: len(raw.rows))
    columns = zip(*(raw.columns for raw in raws), strict=True)
    return replace(
        first,
        columns=tuple([cell for cells in column for cell in cells] for column in columns),
        rows=[row for raw in raws for row in raw.rows],
        misfits={},
    )


def propose(first: FileTable, given: Set[str], answered: Answered) -> Proposal:
    """The proposal for one table; `given` names the tables of the import."""
    said = merged(*answered.values())
    stated = {name: str(ours) for name, ours in said.get("columns", {}).items()}
    titles = titles_are(first) if "date" not in stated.values() else None
    raw, _ = with_titles(first, titles)
    groups = Layout(columns=stated).groups or find_groups(raw)
    stated = {name: ours for name, ours in OF_TITLES.items() if name in raw.names} | stated
    apart = with_entries(Layout(columns=groups), {k: v for k, v in said.items() if k in _ROWS})
    of_groups = side_by_side(groups, raw.names, apart.baits)
    grouped = {column for group in of_groups.values() for column in group.values()}
    shared = {n: Contents(c) for n, c in raw.named_columns.items() if n not in grouped}
    guesses = guess_columns(shared, raw.table, stated, grouped or None)
    stint_columns = {one for one, ours in guesses.found.items() if ours in OF_A_STINT} | grouped
    days = [theirs for theirs, ours in guesses.found.items() if ours == "date"]
    raw, aside = without_remarks(raw, stint_columns & {*raw.names}, "".join(days[:1]))
    lists = find_lists(raw)
    whole, raw = raw, lists_apart(groups_apart(raw, apart) if groups else raw, lists)
    contents = {name: Contents(cells) for name, cells in raw.named_columns.items()}
    added = {*raw.names} - {*whole.names} - {*groups}
    stated |= groups | {name: name for name in added}
    guesses = guess_columns(contents, raw.table, stated, {*groups, *lists} or None)
    fish = [name for name, ours in guesses.found.items() if ours == "fish"]
    raw, counted = counts_apart(raw, Layout(columns=guesses.found))
    added |= {*raw.names} - {*contents}
    contents |= {name: Contents(raw.named_columns[name]) for name in {*added, *fish}}
    guesses.found = {name: one for name, one in counted.columns.items() if one != KEEP}
    layout = _layout(contents, guesses, raw.table, bool(groups))
    layout = replace(layout, lists=lists, rows={"titles": titles} if titles else {})
    summed = dict.fromkeys(fish, KEEP) if len(fish) > 1 else {}
    layout = with_entries(layout, merged(said, {"columns": summed}))
    tables = frozenset({*given, raw.table})
    found = Found(raw, whole, contents, layout, guesses, {}, {}, tables, tuple(aside))
    found = _read(found, layout)
    differing = dict.fromkeys(of_whole_trips(found), KEEP)
    if differing:
        found = _read(found, with_entries(layout, {"columns": differing}))
    _refuse_days(found)
    questions = find_questions(found, answered.keys())
    if questions:
        # What is asked once these are answered, most likely so, is listed with them.
        likely = {one.about: one.likely for one in questions}
        questions += propose(first, given, {**answered, **likely}).questions
    weighed = [held.cells for held in contents.values() if held.named_weights]
    layout = found.layout
    own = {name: ours for name, ours in layout.columns.items() if name not in added}
    own |= dict.fromkeys(summed, "fish")
    if own.get(SHEET) == KEEP:
        del own[SHEET]
    return Proposal(
        raw,
        replace(layout, columns=own, name="the proposed layout"),
        cells={name: found.cells[name] for name in raw.names if name in own},
        missing=found.missing,
        questions=questions,
        sessions=len({*found.values["session"]} - {None}) if layout.session_from else None,
        rods=tuple(of_groups),
        fish_only=raw.table == "stints"
        and not groups
        and is_fish_only(found.values, lambda: weighed),
        aside=tuple(aside),
    )


def _read(found: Found, layout: Layout) -> Found:
    """What is found by a layout: the cells that it reads, and their values."""
    (raw,) = in_years([(found.raw, layout)])
    cells, values = cells_to_read(raw, layout), apply_layout(raw, layout).values
    return replace(found, raw=raw, layout=layout, cells=cells, values=values)


def _refuse_days(found: Found) -> None:
    days = [name for name in found.raw.names if is_a_day(name)]
    if found.missing and len(days) > 2:
        raise UnusableFile(
            f"{found.raw.place_of_header}: the columns {listed(days)} are days. Give each day on "
            "which a rod was out a row of its own, with its date, bait, hours and fish."
        )


def _layout(contents: Mapping[str, Contents], guesses: Guesses, table: str, shared: bool) -> Layout:
    """The layout that the guesses make, with the forms of their cells."""
    columns = {
        ours: (theirs, contents[theirs])
        for theirs, ours in guesses.found.items()
        if ours in COLUMNS and theirs in contents
    }
    units, dates = find_units(columns), find_dates(columns)
    if dates.clock_on is None and "time" in columns and columns["time"][1].clock_times:
        guesses.found.pop(columns["time"][0])
    ends = [n for n in contents if plain_name(n) in END_DATES and contents[n].dates]
    if dates.clock_on is not None and len(ends) == 1 and ends[0] not in guesses.found:
        dates = replace(dates, clock_end_on=ends[0])
    session_from = _session_from(contents, guesses, table)
    # A column that bears the name of ours, where another is proposed for that, is left out; so is
    # a count of the whole row beside rods, which cannot be shared out among them.
    taken = {*guesses.ours, *(("session",) if session_from else ())}
    taken |= {"fish", "lost"} if shared else set()
    targets = {}
    for name in contents:
        own = LEAVE_OUT if name in taken else name if name in COLUMNS else KEEP
        targets[name] = guesses.found.get(name, own)
    return Layout(targets, plain_values(columns), units, dates, session_from)


def _session_from(held: Mapping[str, Contents], guesses: Guesses, table: str) -> tuple[str, ...]:
    """Date and water make a session, where no column is the session."""
    of = {ours: theirs for theirs, ours in guesses.found.items()}
    if table == "variants" or "session" in of:
        return ()
    day, arrived = of.get("date", ""), of.get("cast_in", "")
    if not day and arrived in held and held[arrived].dates and rank(arrived, "start") >= STRONG:
        day = arrived  # When one arrived, with its date, is that of all rods.
    return tuple(name for name in (day, of.get("venue", "")) if name) if day else ()
