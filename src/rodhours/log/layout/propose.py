"""Layouts proposed for files that we do not know, and all that was found on the way.

Nothing is taken in silence: every match, reading, tie and gap is in the proposal, to be shown.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence, Set
from dataclasses import dataclass, field, replace
from pathlib import Path

from rodhours.errors import LayoutNeeded
from rodhours.log.layout.apply import apply_layout, cells_to_read
from rodhours.log.layout.contents import (
    Contents,
    Reading,
    find_dates,
    find_units,
    read_forms,
)
from rodhours.log.layout.fish_only import is_fish_only
from rodhours.log.layout.guess import Guesses, guess_columns
from rodhours.log.layout.layout import COLUMNS, KEEP, LEAVE_OUT, Layout
from rodhours.log.layout.match import rod_groups
from rodhours.log.layout.names import END_DATES, plain_name
from rodhours.log.layout.questions import (
    Found,
    Question,
    find_questions,
    of_whole_trips,
    plain_values,
)
from rodhours.log.layout.remember import header_key
from rodhours.log.layout.reshape import OF_A_STINT, find_lists, taken_apart, without_titles
from rodhours.log.layout.titles import TITLE, TITLE_DATE, TITLE_WATER, titles_are, with_titles
from rodhours.log.layout.toml import Entries, with_entries
from rodhours.log.layout.use import sheet_by_sheet
from rodhours.log.sheets import read_tables
from rodhours.log.table import FileTable
from rodhours.log.tables import Kind

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
    the hours that caught none; `labels`: those of the baits; `aside`: hints on rows that are no
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
    labels: tuple[str, ...] = ()
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
        return tuple(ours for ours in self.missing if f"column {ours}" not in asked)


@dataclass(frozen=True)
class Answered:
    """What was answered so far: the entries of the layout file, and what each was about."""

    entries: Entries = field(default_factory=dict)
    about: frozenset[str] = frozenset()

    def with_answer(self, question: Question, entries: Entries) -> Answered:
        """These answers and one more."""
        merged = {
            name: {**self.entries.get(name, {}), **entries.get(name, {})}
            for name in dict.fromkeys([*self.entries, *entries])
        }
        return Answered(merged, self.about | {question.about})


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


def propose(raw: FileTable, given: Set[str], answered: Answered | None = None) -> Proposal:
    """The proposal for one table; `given` names the tables of the import."""
    answered = answered or Answered()
    titles = titles_are(raw) if "date" not in answered.entries.get("columns", {}).values() else None
    untitled, raw = raw, with_titles(raw, titles)[0]
    whole = raw
    raw, lists = _as_stints(raw, answered)
    contents = {name: Contents(cells) for name, cells in raw.named_columns.items()}
    guesses, groups = _guess(contents, raw.table, answered, lists)
    raw, aside = without_titles(raw, *_of_stints(guesses, groups))
    if aside:
        contents = {name: Contents(cells) for name, cells in raw.named_columns.items()}
        guesses, groups = _guess(contents, raw.table, answered, lists)
    layout = _layout(contents, guesses, groups, raw.table)
    layout = replace(layout, rows={"titles": titles} if titles else {})
    layout = with_entries(layout, answered.entries)
    found = _found(raw, contents, layout, guesses, groups, given | {raw.table}, aside)
    differing = dict.fromkeys(of_whole_trips(found), KEEP)
    if differing:
        layout = with_entries(layout, {"columns": differing})
        found = _found(raw, contents, layout, guesses, groups, given | {raw.table}, aside)
    layout = replace(layout, columns={k: v for k, v in layout.columns.items() if k in whole.names})
    questions = find_questions(found, answered.about)
    if questions:
        # What is asked once these are answered, most likely so, is listed with them.
        likely = answered
        for one in questions:
            likely = likely.with_answer(one, one.answers[0].entries)
        questions += propose(untitled, given, likely).questions
    fish_like = [held.cells for held in contents.values() if held.named_weights]
    return Proposal(
        file=raw.file,
        sheet=raw.sheet,
        table=raw.table,
        layout=replace(layout, lists=lists, name="the proposed layout"),
        matches=tuple(
            _match(name, Contents(found.cells[name]), layout, guesses, groups, raw.workbook)
            for name in whole.names
        ),
        missing=found.missing,
        questions=questions,
        sessions=len({*found.values["session"]} - {None}) if layout.session_from else None,
        rods=tuple(groups),
        labels=tuple(dict.fromkeys(str(text) for text in found.values.get("variant", ()) if text)),
        aside=tuple(aside),
        fish_only=raw.table == "stints"
        and not groups
        and is_fish_only(found.values, lambda: fish_like),
    )


def _as_stints(raw: FileTable, answered: Answered) -> tuple[FileTable, dict[str, str]]:
    """The table with its lists taken apart, and which columns are lists."""
    lists = find_lists(raw) if raw.table == "stints" else {}
    return taken_apart(raw, lists), lists


def _guess(
    contents: Mapping[str, Contents], table: str, answered: Answered, lists: Collection[str]
) -> tuple[Guesses, dict[str, dict[str, str]]]:
    stated = {
        name: ours
        for name, ours in ((TITLE, "session"), (TITLE_DATE, "date"), (TITLE_WATER, "venue"))
        if name in contents
    }
    stated |= {name: str(ours) for name, ours in answered.entries.get("columns", {}).items()}
    guesses = guess_columns(contents, table, stated)
    for theirs, ours in list(guesses.found.items() if lists else ()):
        # What is said once of a row cannot be shared out among its rods.
        if ours in ("lost", "weight", "rod") and theirs not in lists:
            del guesses.found[theirs]
    return guesses, rod_groups(guesses.wide.values(), tuple(contents))


def _of_stints(
    guesses: Guesses, groups: Mapping[str, Mapping[str, str]]
) -> tuple[set[str], str | None]:
    """Their columns that only a stint fills, and the one of its day."""
    named = {theirs for theirs, ours in guesses.found.items() if ours in OF_A_STINT}
    of_rods = {name for group in groups.values() for name in group.values()}
    day = next((theirs for theirs, ours in guesses.found.items() if ours == "date"), None)
    return named | of_rods, day


def _found(
    raw: FileTable,
    contents: Mapping[str, Contents],
    layout: Layout,
    guesses: Guesses,
    groups: Mapping[str, Mapping[str, str]],
    given: Set[str],
    titles: Sequence[str],
) -> Found:
    cells = cells_to_read(raw, layout)
    values = apply_layout(raw, layout).values
    return Found(
        raw, contents, layout, guesses, cells, values, groups, frozenset(given), tuple(titles)
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
        values=plain_values(columns, bool(guesses.wide)),
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
    columns = {
        ours: (theirs, contents[theirs])
        for theirs, ours in guesses.found.items()
        if ours in COLUMNS
    }
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
    if ours is not None and COLUMNS[ours].kind in SHOWN_KINDS:
        readings = tuple(read_forms(ours, contents, layout, workbook))
    return Match(name, ours, contents.samples, readings)
