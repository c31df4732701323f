"""A layout proposed for a table that we do not know, and all that was found on the way.

Nothing is taken in silence: every match, reading, tie and gap is in the proposal, to be shown.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from rodhours.logbook.labels import look_alikes
from rodhours.logbook.layout.applying import apply_layout
from rodhours.logbook.layout.contents import Contents
from rodhours.logbook.layout.fish_only import is_fish_only
from rodhours.logbook.layout.guesses import Guesses, guess_columns
from rodhours.logbook.layout.layout import COLUMNS, KEEP, Layout
from rodhours.logbook.layout.matching import wide_groups
from rodhours.logbook.layout.readings import (
    Reading,
    both_ways,
    find_dates,
    find_units,
    read_forms,
)
from rodhours.logbook.layout.synonyms import END_DATES, plain_name
from rodhours.logbook.raw_table import RawTable
from rodhours.logbook.tables import Kind

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


def propose(raw: RawTable, *, catches_given: bool = False) -> Proposal:
    """The proposal for one table; `catches_given`: fish need not be counted in it."""
    contents = {
        name: Contents(cells) for name, cells in zip(raw.header, raw.columns, strict=True) if name
    }
    guesses = guess_columns(contents, raw.table)
    groups = wide_groups(guesses.wide.values(), tuple(contents)) if guesses.wide else {}
    columns = _cells_of_ours(contents, guesses, groups)
    units, dates = find_units(columns), find_dates(columns)
    if dates.clock_on is None and "time" in columns and columns["time"][1].clock_times:
        guesses.found.pop(columns["time"][0])
    ends = [n for n in contents if plain_name(n) in END_DATES and contents[n].dates]
    if dates.clock_on is not None and len(ends) == 1 and ends[0] not in guesses.found:
        dates = replace(dates, clock_end_on=ends[0])
    layout = Layout(
        columns={name: guesses.found.get(name, KEEP) for name in _named(contents, groups)},
        units=units,
        dates=dates,
        session_from=_session_from(guesses, raw.table),
        wide=guesses.wide,
        name="the proposed layout",
    )
    layout = _without_clashes(layout)
    matches = tuple(
        _match(name, contents[name], layout, guesses, groups, raw.workbook) for name in contents
    )
    laid = apply_layout(raw, layout)
    texts = dict(zip(laid.header, laid.columns, strict=True))
    return Proposal(
        file=raw.file,
        sheet=raw.sheet,
        table=raw.table,
        layout=layout,
        matches=matches,
        missing=_missing(guesses, layout, raw.table, catches_given),
        ties={ours: tuple(names) for ours, names in guesses.ties.items()},
        look_alikes={
            ours: groups_of
            for ours in ("variant", "venue")
            if (groups_of := _probably_the_same(texts.get(ours, ())))
        },
        sessions=len(set(texts["session"]) - {""}) if layout.session_from else None,
        rods=tuple(groups),
        labels=tuple(dict.fromkeys(text for text in texts.get("variant", ()) if text)),
        empty_of_rods=_empty_of_rods(contents, guesses.wide, groups),
        fish_only=raw.table == "stints" and fish_alone(laid, texts, contents),
    )


def fish_alone(
    raw: RawTable, texts: Mapping[str, Sequence[str]], contents: Mapping[str, Contents]
) -> bool:
    """Whether the rows are fish; `contents` are the columns that may tell so by what they hold."""
    if raw.leads is not None:
        return False
    fish_like = [c.cells for c in contents.values() if c.named_weights]
    return is_fish_only(texts, lambda: fish_like)


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


def _named(contents: Mapping[str, Contents], groups: Mapping[str, Mapping[str, str]]) -> list[str]:
    """The columns that stand under [columns]: all but those of the rods."""
    of_rods = {name for group in groups.values() for name in group.values()}
    return [name for name in contents if name not in of_rods]


def _session_from(guesses: Guesses, table: str) -> tuple[str, ...]:
    """Date and water make a session, where no column is the session."""
    if table == "variants" or "session" in guesses.ours:
        return ()
    of = {ours: theirs for theirs, ours in guesses.found.items()}
    if "date" not in of:
        return ()
    return tuple(of[ours] for ours in ("date", "venue") if ours in of)


def _without_clashes(layout: Layout) -> Layout:
    """A column that bears the name of ours, where another is proposed for that: left out.

    So is a count of the whole row beside rods, which cannot be shared out among them.
    """
    taken = (
        set(layout.columns.values())
        | set(layout.wide)
        | ({"rod", "fish", "lost"} if layout.wide else set())
    )
    taken |= {"session"} if layout.session_from else set()
    columns = {
        theirs: "leave out" if ours == KEEP and theirs in taken else ours
        for theirs, ours in layout.columns.items()
    }
    columns = {
        theirs: theirs if ours == KEEP and theirs in COLUMNS else ours
        for theirs, ours in columns.items()
    }
    return Layout(
        columns=columns,
        units=layout.units,
        dates=layout.dates,
        session_from=layout.session_from,
        wide=layout.wide,
        name=layout.name,
    )


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


def _missing(guesses: Guesses, layout: Layout, table: str, catches_given: bool) -> tuple[str, ...]:
    have = guesses.ours
    missing = []
    if table != "variants" and "session" not in have and not layout.session_from:
        missing.append("session")
    if table in ("stints", "variants") and "variant" not in have:
        missing.append("variant")
    if table == "stints":
        if "hours" not in have and not {"cast_in", "cast_out"} <= have:
            missing.append("hours")
        if "fish" not in have and not catches_given:
            missing.append("fish")
    if table == "catches" and "rod" not in have:
        missing.append("rod")
    return tuple(missing)


def _probably_the_same(texts: Sequence[str]) -> tuple[tuple[str, ...], ...]:
    counts = Counter(text for text in texts if text)
    first = {text: number for number, text in enumerate(counts)}
    return tuple(
        tuple(sorted(group, key=lambda text: (-counts[text], first[text])))
        for group in look_alikes(counts)
    )
