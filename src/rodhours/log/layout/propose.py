"""Layouts proposed for files that we do not know, and all that was found on the way.

Nothing is taken in silence: every match, reading, tie and gap is in the proposal, to be shown.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from dataclasses import dataclass, field, replace
from pathlib import Path

from rodhours.counts import listed
from rodhours.errors import LayoutNeeded, UnusableFile
from rodhours.log.layout.apart import find_groups, find_lists, groups_apart, lists_apart
from rodhours.log.layout.apply import apply_layout, cells_to_read
from rodhours.log.layout.contents import (
    Contents,
    Reading,
    find_dates,
    find_units,
    is_a_day,
    read_forms,
)
from rodhours.log.layout.fish_rows import is_fish_only
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
from rodhours.log.layout.reshape import OF_A_STINT, counts_apart, in_years, with_sheets
from rodhours.log.layout.titles import (
    TITLE,
    TITLE_DATE,
    TITLE_WATER,
    titles_are,
    with_titles,
    without_remarks,
)
from rodhours.log.layout.toml import Entries, with_entries
from rodhours.log.layout.use import header_key, sheet_by_sheet
from rodhours.log.sheets import read_tables
from rodhours.log.table import FileTable
from rodhours.log.tables import Kind

_ROWS = ("baits", "rows", "values.variant")
"""Sections of a layout that say which rods and baits were out."""
SHOWN_KINDS = (Kind.NUMBER, Kind.WHOLE, Kind.DATE, Kind.MOMENT, Kind.WEIGHT)


@dataclass(frozen=True)
class Match:
    """One column of the file: what it is proposed to be, three of its cells, its readings.

    `ours` is None where it is kept as it is.
    """

    theirs: str
    ours: str | None
    samples: tuple[str, ...]
    readings: tuple[Reading, ...] = ()


@dataclass(frozen=True)
class Proposal:
    """A layout for one file, and what has to be said about it.

    `missing`: needed columns of ours without one of theirs; `questions`: what is undecided;
    `sessions`: how many trips the session columns make; `fish_only`: the rows are fish, without
    the hours that caught none; `aside`: hints on rows that are no
    stints; `sheets_alike`: how many further tables with the same columns it is for; `sheets`:
    those of the workbook, where nothing tells which is the log.
    """

    file: str
    sheet: str | None
    table: str
    layout: Layout
    matches: tuple[Match, ...]
    missing: tuple[str, ...]
    questions: tuple[Question, ...]
    sessions: int | None
    rods: tuple[str, ...]
    fish_only: bool
    aside: tuple[str, ...] = ()
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
    def complete(self) -> bool:
        """Whether an import with this layout has all the columns it needs."""
        return not self.missing and not self.fish_only

    @property
    def unanswerable(self) -> tuple[str, ...]:
        """Needed columns of ours that no column of the file can be."""
        asked = {one.about for one in self.questions}
        asked |= {"column variant"} if "baits" in asked else set()
        return tuple(ours for ours in self.missing if f"column {ours}" not in asked)


@dataclass(frozen=True)
class Answered:
    """What was answered so far: the entries of the layout file, and what each was about."""

    entries: Entries = field(default_factory=dict)
    about: frozenset[str] = frozenset()

    def with_answer(self, question: Question, entries: Entries) -> Answered:
        """These answers and one more."""
        return Answered(_merged(self.entries, entries), self.about | {question.about})


def _merged(one: Entries, other: Entries) -> Entries:
    """Entries of layouts together, the later ones in force."""
    return {
        name: {**one.get(name, {}), **other.get(name, {})} for name in dict.fromkeys([*one, *other])
    }


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
    try:
        raws, _ = read_tables(paths)
    except LayoutNeeded as error:
        if not error.sheets:
            raise
        return [_likeliest_sheet(error, answered)]
    given = {raw.table for raw in raws}
    groups: dict[str, list[FileTable]] = {}
    for raw in raws:
        groups.setdefault(header_key(raw), []).append(raw)
    return [
        replace(
            propose(_together(group), given, answered),
            sheets_alike=len(group) - 1,
        )
        for group in groups.values()
        if wanted is None or wanted in [(raw.file, raw.sheet) for raw in group]
    ]


def _likeliest_sheet(error: LayoutNeeded, answered: Answered | None) -> Proposal:
    """The proposal for the sheet that is the log most likely; it states the sheet."""
    proposals = [propose(raw, {raw.table}, answered) for raw in sheet_by_sheet(error)]
    if not proposals:
        raise error
    best = max(proposals, key=lambda one: (one.complete, -len(one.missing), one.matched))
    layout = replace(best.layout, sheets=(str(best.sheet),))
    return replace(best, layout=layout, sheets=error.sheets)


def _together(raws: Sequence[FileTable]) -> FileTable:
    """Tables with the same columns as one, under the names of the first."""
    if len(raws) > 1 and raws[0].workbook:
        raws = [with_sheets(raw) for raw in raws]
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


def propose(raw: FileTable, given: Set[str], answered: Answered | None = None) -> Proposal:
    """The proposal for one table; `given` names the tables of the import."""
    answered = answered or Answered()
    said = answered.entries
    stated = {name: str(ours) for name, ours in said.get("columns", {}).items()}
    titles = titles_are(raw) if "date" not in stated.values() else None
    first, raw = raw, with_titles(raw, titles)[0]
    groups = Layout(columns=stated).groups or find_groups(raw)
    stated = {
        name: ours
        for name, ours in ((TITLE, "session"), (TITLE_DATE, "date"), (TITLE_WATER, "venue"))
        if name in raw.names
    } | stated
    apart = with_entries(Layout(columns=groups), {k: v for k, v in said.items() if k in _ROWS})
    of_groups = side_by_side(groups, raw.names, apart.baits)
    grouped = {column for group in of_groups.values() for column in group.values()}
    contents = {n: Contents(c) for n, c in raw.named_columns.items() if n not in grouped}
    guesses = guess_columns(contents, raw.table, stated, grouped or None)
    stint_columns = {one for one, ours in guesses.found.items() if ours in OF_A_STINT} | grouped
    day = next((theirs for theirs, ours in guesses.found.items() if ours == "date"), None)
    raw, aside = without_remarks(raw, stint_columns & {*raw.names}, day)
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
    layout = with_entries(layout, _merged(said, {"columns": summed}))
    found = _found(raw, whole, contents, layout, guesses, given | {raw.table}, aside)
    differing = dict.fromkeys(of_whole_trips(found), KEEP)
    if differing:
        layout = with_entries(layout, {"columns": differing})
        found = _found(raw, whole, contents, layout, guesses, given | {raw.table}, aside)
    days = [name for name in raw.names if is_a_day(name)]
    if found.missing and len(days) > 2:
        raise UnusableFile(
            f"{raw.place_of_header}: the columns {listed(days)} are days. Give each day on which "
            "a rod was out a row of its own, with its date, bait, hours and fish."
        )
    questions = find_questions(found, answered.about)
    if questions:
        # What is asked once these are answered, most likely so, is listed with them.
        likely = answered
        for one in questions:
            likely = likely.with_answer(one, one.likely)
        questions += propose(first, given, likely).questions
    fish_like = [held.cells for held in contents.values() if held.named_weights]
    own = {name: ours for name, ours in layout.columns.items() if name not in added}
    own |= dict.fromkeys(summed, "fish")
    if own.get(SHEET) == KEEP:
        del own[SHEET]
    return Proposal(
        file=raw.file,
        sheet=raw.sheet,
        table=raw.table,
        layout=replace(layout, columns=own, name="the proposed layout"),
        matches=tuple(
            _match(name, Contents(found.cells[name]), replace(layout, columns=own), raw.workbook)
            for name in raw.names
            if name in own
        ),
        missing=found.missing,
        questions=questions,
        sessions=len({*found.values["session"]} - {None}) if layout.session_from else None,
        rods=tuple(of_groups),
        aside=tuple(aside),
        fish_only=raw.table == "stints"
        and not groups
        and is_fish_only(found.values, lambda: fish_like),
    )


def _found(
    raw: FileTable,
    whole: FileTable,
    contents: Mapping[str, Contents],
    layout: Layout,
    guesses: Guesses,
    given: Set[str],
    titles: Sequence[str],
) -> Found:
    (raw,) = in_years([(raw, layout)])
    cells = cells_to_read(raw, layout)
    values = apply_layout(raw, layout).values
    given = frozenset(given)
    return Found(raw, whole, contents, layout, guesses, cells, values, given, tuple(titles))


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
    return Layout(
        columns=targets,
        values=plain_values(columns),
        units=units,
        dates=dates,
        session_from=session_from,
        name="the proposed layout",
    )


def _session_from(held: Mapping[str, Contents], guesses: Guesses, table: str) -> tuple[str, ...]:
    """Date and water make a session, where no column is the session."""
    if table == "variants" or "session" in guesses.ours:
        return ()
    of = {ours: theirs for theirs, ours in guesses.found.items()}
    day, arrived = of.get("date"), of.get("cast_in", "")
    if day is None and arrived in held and rank(arrived, "start") >= STRONG:
        # When one arrived, with its date, is that of all rods.
        day = arrived if held[arrived].dates else None
    return (day, *([of["venue"]] if "venue" in of else [])) if day else ()


def _match(name: str, contents: Contents, layout: Layout, workbook: bool) -> Match:
    ours = layout.columns.get(name)
    ours = None if ours not in COLUMNS else ours
    readings: tuple[Reading, ...] = ()
    if ours is not None and COLUMNS[ours].kind in SHOWN_KINDS:
        readings = tuple(read_forms(ours, contents, layout, workbook))
    return Match(name, ours, contents.samples, readings)
