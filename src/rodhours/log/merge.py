"""What becomes of every row of an import, given what the logbook holds.

Sessions are compared whole, as multisets of rows; a session that differs is a conflict, named
row by row, or replaced. Nothing is written here.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from enum import StrEnum
from functools import cached_property
from itertools import compress
from pathlib import Path
from typing import Any

from rodhours.log.batches import batch_hints
from rodhours.log.differences import Difference, only_adds, record_differences, row_differences
from rodhours.log.logbook import Columns, Logbook, NewRows, Row, by_column
from rodhours.log.probable_doubles import find_doubles
from rodhours.log.recipe_rows import CELLS, Recipe, as_json, joined
from rodhours.log.relabelling import Relabelled
from rodhours.log.rules import (
    CHOOSE_SESSION_COLUMNS,
    Checked,
    Key,
    first_rows,
    hints_on_look_alikes,
)
from rodhours.log.schema import CATCH_DATA, SESSION_DATA, STINT_DATA
from rodhours.log.waiting import WaitingRow, news

REPLACE_REMEDY = "To take the file's version instead, import with --replace"
ANGLER_REMEDY = "If it is another person's trip, import the file with --angler NAME"
CONFLICT_SAYS = "differs from the logbook's version"
OF_SESSIONS = {"stints": (*STINT_DATA, "extra"), "catches": (*CATCH_DATA, "extra")}
"""The tables whose rows belong to a session, with the columns in which they are compared."""

Cells = tuple[Any, ...]
OfSession = list[tuple[int, Cells]]
"""Rows of a table, each with the number of its session."""
Grouped = dict[int, list[tuple[int, Cells]]]
"""The rows of each session, each with its position."""


class Fate(StrEnum):
    """What becomes of a session or of a row in `variants`, with all the rows it has."""

    NEW = "new"
    SAME = "already there"
    CONFLICT = "conflict"
    REPLACED = "replaced"
    HELD_BACK = "held back"
    DOUBLE = "probable double"


TAKEN = (Fate.NEW, Fate.REPLACED)
"""Rows that are imported."""
REFUSED = (Fate.CONFLICT, Fate.HELD_BACK, Fate.DOUBLE)
"""Rows that wait."""


class Merge:
    """What becomes of every row, given what the logbook holds (None: no logbook yet).

    `relabelled` says how the files wrote the labels of baits that have other ones now. Sessions
    that differ are replaced with `replace`, probable doubles taken with `as_new`, and those that
    wait for a name once they have another one than their twin.
    """

    def __init__(
        self,
        checked: Checked,
        relabelled: Relabelled,
        book: Logbook | None,
        replace: bool,
        as_new: bool = False,
    ) -> None:
        self.checked = checked
        self.relabelled = relabelled
        self.log = checked.log
        self.replace = replace
        self.problems = list(self.log.findings.problems)
        self.reasons = {key: list(says) for key, says in self.log.findings.reasons.items()}
        self.hints = list(self.log.findings.hints)
        self.refusals: dict[int, str] = {}
        held = book.sessions() if book else []
        self.held_ids: dict[int, int] = {}
        self.written_otherwise: set[int] = set()
        self.fates = self._session_fates(book, held)
        self.as_new: list[int] = []
        self._hold_back_doubles(book, as_new)
        self.variant_fates: dict[str, Fate] = {}
        recipes = {row["variant"]: row for row in book.variants()} if book else {}
        self._compare_recipes(recipes)
        fished = book.variants_fished() if book else set()
        self._compare_labels(held, fished | recipes.keys())
        if book:
            stints = self.log.tables["stints"].columns
            logged = zip(stints["batch"], stints["variant"], strict=True)
            ledger = [(batch["batch"], batch["variant"]) for batch in book.batches()]
            self.hints += batch_hints((pair for pair in logged if None not in pair), ledger)

    # Sessions

    @cached_property
    def records(self) -> list[Cells]:
        """Every session's own columns, in the order of the logbook."""
        numbers = range(len(self.checked.keys))
        columns = [map(self.checked.records[name].get, numbers) for name in SESSION_DATA]
        extras = self.checked.record_extras
        texts = [
            as_json({name: known[n] for name, known in extras.items() if n in known})
            for n in (numbers if extras else ())
        ]
        return list(zip(*columns, texts or [None] * len(numbers), strict=True))

    @cached_property
    def session_rows(self) -> dict[int, int]:
        """The last row of each session in `sessions`."""
        return {number: at for at, number in enumerate(self.checked.session_of["sessions"])}

    @cached_property
    def rows(self) -> dict[str, OfSession]:
        """The rows of every session as they are compared."""
        return self._rows(as_written=False)

    def _rows(self, as_written: bool) -> dict[str, OfSession]:
        return {
            name: list(
                zip(
                    self.checked.session_of[name],
                    _compared(self._columns(name, names, as_written)),
                    strict=True,
                )
            )
            for name, names in OF_SESSIONS.items()
        }

    def _columns(self, name: str, names: Sequence[str], as_written: bool) -> dict[str, list[Any]]:
        columns, extras = self.log.tables[name].columns, self.log.tables[name].extras
        if as_written:
            columns = self.relabelled.as_written(name, columns)
            extras = self.relabelled.as_written(name, extras)
        rows = len(self.log.tables[name])
        texts = _as_texts(extras, rows)
        return {name: texts if name == "extra" else columns[name] for name in names}

    def _session_fates(self, book: Logbook | None, held: list[Row]) -> list[Fate]:
        checked = self.checked
        fates = [Fate.NEW] * len(checked.keys)
        for number in checked.held_back:
            fates[number] = Fate.HELD_BACK
        by_key = {(row["angler"], row["session"]): row for row in held}
        known = {
            number: by_key[key]
            for number, key in enumerate(checked.keys)
            if key in by_key and fates[number] is Fate.NEW
        }
        if not known or book is None:
            return fates
        self.held_ids = {number: row["id"] for number, row in known.items()}
        own = by_column(list(known.values()), (*SESSION_DATA, "extra"))
        records = dict(zip(known, zip(*own.values(), strict=True), strict=True))
        theirs = self._held_rows(book, as_written=False)
        differing = {number for number, row in records.items() if self.records[number] != row}
        differing |= _differing(known.keys(), self.rows, theirs)
        for number in known:
            fates[number] = Fate.SAME
        ours = {name: _by_session(rows, differing) for name, rows in self.rows.items()}
        there = {name: _by_session(rows, differing) for name, rows in theirs.items()}
        for number in sorted(differing):
            of_both = [
                ([records[number]], [self.records[number]]),
                *(
                    tuple([row for _, row in of[name].get(number, [])] for of in (there, ours))
                    for name in OF_SESSIONS
                ),
            ]
            # The files may say all that is held of a session, and more.
            if self.replace or all(only_adds(*pair) for pair in of_both):
                fates[number] = Fate.REPLACED
            else:
                fates[number] = Fate.CONFLICT
                self._name_conflict(number, records[number], ours, there)
        if self.relabelled.labels.steps:
            written = self._held_rows(book, as_written=True)
            self.written_otherwise = (
                _differing(known.keys(), self._rows(as_written=True), written) - differing
            )
        return fates

    def _hold_back_doubles(self, book: Logbook | None, as_new: bool) -> None:
        new = [number for number, fate in enumerate(self.fates) if fate is Fate.NEW]
        found = find_doubles(self.checked, new, book)
        self.hints.extend(found.remarks)
        if not found.held_back:
            return
        first = first_rows(self.checked.session_of["stints"])
        asked = {
            (row.trip, Path(row.file).name)
            for row in (book.waiting_rows().values() if book else ())
            if row.kind == Fate.DOUBLE and row.angler is None
        }
        for number, (whose, says) in found.held_back.items():
            name, label = self.checked.keys[number]
            file = Path(self.log.raw("stints", first[number])[0].file).name
            if as_new or (name not in (None, whose) and (label, file) in asked):
                self.as_new.append(number)
                continue
            self.fates[number] = Fate.DOUBLE
            self.refusals[number] = says
            self.problems.append(self.log.problem_at("stints", first[number], "session", says))

    def _held_rows(self, book: Logbook, as_written: bool) -> dict[str, OfSession]:
        """The held rows of the sessions that the files have too."""
        number_of = {held: number for number, held in self.held_ids.items()}
        found: dict[str, OfSession] = {}
        held = {"stints": book.stints(as_written), "catches": book.catches(as_written)}
        for name, rows in held.items():
            numbers = map(number_of.get, by_column(rows, ["session_id"])["session_id"])
            cells = _compared(by_column(rows, OF_SESSIONS[name]))
            found[name] = [
                (number, row)
                for number, row in zip(numbers, cells, strict=True)
                if number is not None
            ]
        return found

    def _name_conflict(
        self, number: int, record: Cells, ours: Mapping[str, Grouped], held: Mapping[str, Grouped]
    ) -> None:
        """A conflict row by row, as problems and as reasons."""
        angler, label = self.checked.keys[number]
        remedy = REPLACE_REMEDY if angler else f"{ANGLER_REMEDY}. {REPLACE_REMEDY}"
        self.refusals[number] = f"session {label} {CONFLICT_SAYS}. {remedy}"
        session_row = self.session_rows.get(number)
        if session_row is not None:
            anchor = "sessions", session_row
        else:
            name, of = next(pair for pair in ours.items() if number in pair[1])
            anchor = name, of[number][0][0]
        columns = (*SESSION_DATA, "extra")
        for one in record_differences(columns, anchor[1], self.records[number], record):
            self._conflict("sessions", one, anchor, label)
        for name, alike in (("stints", ("rod", "variant")), ("catches", ("rod", "time"))):
            theirs = [row for _, row in held[name].get(number, [])]
            rows = ours[name].get(number, [])
            for one in row_differences(OF_SESSIONS[name], rows, theirs, alike):
                self._conflict(name, one, anchor, label)

    def _conflict(self, table: str, one: Difference, anchor: tuple[str, int], label: str) -> None:
        where = anchor if one.position is None or table == "sessions" else (table, one.position)
        says = f"{one.says} (session {label}, table {table})"
        if one.column in ("date", "venue"):
            says += f"; {CHOOSE_SESSION_COLUMNS}"
        self.problems.append(self.log.problem_at(*where, one.column, says, one.found))

    # Recipes

    def _compare_recipes(self, held: Mapping[str, Recipe]) -> None:
        columns = self._columns("variants", CELLS, as_written=False)
        for name, position in self.checked.variant_rows.items():
            if ("variants", position) in self.reasons or name in self.relabelled.twins:
                continue
            recipe = {column: cells[position] for column, cells in columns.items()}
            filled = _filled_in(recipe, self.checked.variant_fills.get(name, {}))
            self._compare_recipe(name, filled, held, ("variants", position))
        for name, bait in self.relabelled.twins.items():
            self.variant_fates[name] = self.variant_fates.get(bait, Fate.HELD_BACK)
        refused = {number for number, fate in enumerate(self.fates) if fate in REFUSED} | {-1}
        accepted = {
            name
            for name, number in zip(
                self.log.tables["stints"].columns["variant"],
                self.checked.session_of["stints"],
                strict=True,
            )
            if number not in refused
        }
        for name, record in self.checked.carried_variants.items():
            if name in accepted:
                # What a flat file does not carry of a variant it does not contradict.
                recipe = {column: held.get(name, {}).get(column) for column in CELLS} | record
                self._compare_recipe(name, recipe, held, ("stints", self.checked.carried_at[name]))

    def _compare_recipe(
        self, name: str, recipe: Recipe, held: Mapping[str, Recipe], where: tuple[str, int]
    ) -> None:
        there = {column: held[name][column] for column in CELLS} if name in held else None
        if there is None:
            fate = Fate.NEW
        elif there == recipe or (
            # Two recipes were made one: the file's may say less than both together.
            name in self.relabelled.labels.targets and joined(recipe, there) == (there, [])
        ):
            fate = Fate.SAME
        else:
            fate = Fate.REPLACED if self.replace else Fate.CONFLICT
        self.variant_fates[name] = fate
        if there is not None and fate is Fate.CONFLICT:
            rows = tuple(recipe.values()), tuple(there.values())
            for one in record_differences(CELLS, where[1], *rows):
                says = f"{one.says} of the variant {name}. {REPLACE_REMEDY}"
                self.problems.append(self.log.problem_at(*where, one.column, says, one.found))

    @cached_property
    def recipes_said(self) -> dict[str, tuple[bool, Recipe]]:
        """What the files say of each recipe that is not refused, by the label they have for it.

        Beside it, whether that is the whole row or the cells that a flat file carries.
        """
        said: dict[str, tuple[bool, Recipe]] = {}
        columns = self._columns("variants", ("variant", *CELLS), as_written=True)
        labels = self.log.tables["variants"].columns["variant"]
        for position, name in enumerate(labels):
            label = columns["variant"][position]
            refused = name is None or self.variant_fates.get(name, Fate.HELD_BACK) in REFUSED
            if refused or ("variants", position) in self.reasons:
                continue
            recipe = {column: columns[column][position] for column in CELLS}
            fills = self.checked.variant_fills.get(name, {})
            said.setdefault(label, (True, _filled_in(recipe, fills)))
        for name, record in self.checked.carried_variants.items():
            if self.variant_fates.get(name, Fate.HELD_BACK) not in REFUSED:
                for label, cells in self._carried(name, record).items():
                    said.setdefault(label, (False, cells))
        return said

    def _carried(self, name: str, record: Mapping[str, Any]) -> dict[str, Recipe]:
        """The cells that stints carry of a recipe, under each label they have for it."""
        stints = self.log.tables["stints"]
        written = self.relabelled.written.get("stints", {}).get("variant")
        if written is None:
            return {name: dict(record)}
        carried: dict[str, Recipe] = {}
        for column in record:
            cells = set(zip(written, stints.columns["variant"], stints.moved[column], strict=True))
            for label, now, cell in cells:
                if now == name and cell is not None:
                    carried.setdefault(label, {})[column] = record[column]
        return carried

    # Hints

    def _compare_labels(self, held: list[Row], held_variants: set[str]) -> None:
        variants = {*self.log.tables["stints"].columns["variant"], *self.checked.variant_rows}
        for what, ours, theirs in (
            ("variants", variants - self.relabelled.twins.keys(), held_variants),
            (
                "venues",
                {*self.checked.records["venue"].values()},
                {row["venue"] for row in held},
            ),
        ):
            known = hints_on_look_alikes(what, theirs - {None})
            found = hints_on_look_alikes(what, (ours | theirs) - {None})
            self.hints += [hint for hint in found if hint not in known]

    # The outcome

    @property
    def brings(self) -> bool:
        """Whether the import changes the log at all."""
        fates = (*self.fates, *self.variant_fates.values())
        return any(fate in TAKEN for fate in fates)

    @property
    def says_again(self) -> bool:
        """Whether the files say something that the logbook holds already."""
        return Fate.SAME in self.fates or Fate.SAME in self.variant_fates.values()

    def row_fates(self, name: str) -> list[Fate]:
        """What becomes of every row of a table."""
        if name == "variants":
            return [
                Fate.HELD_BACK
                if ("variants", position) in self.reasons
                else self.variant_fates.get(label, Fate.HELD_BACK)
                for position, label in enumerate(self.log.tables[name].columns["variant"])
            ]
        fates = [*self.fates, Fate.HELD_BACK]  # session number -1: unknown, so refused
        return [fates[number] for number in self.checked.session_of[name]]

    @cached_property
    def row_counts(self) -> dict[Fate, int]:
        """How many rows of all tables have each fate."""
        fates = [*self.fates, Fate.HELD_BACK]
        counts = Counter(self.row_fates("variants"))
        for numbers in self.checked.session_of.values():
            for number, rows in Counter(numbers).items():
                counts[fates[number]] += rows
        return counts

    @cached_property
    def waiting(self) -> list[WaitingRow]:
        """Every refused row as it waits in the logbook, in the order of the files."""
        if not any(fate in REFUSED for fate in self.row_counts):
            return []
        found: dict[tuple[int, int], tuple[Key | None, Fate, int, dict[str, None]]] = {}
        for name, rows in self.log.tables.items():
            for position, fate in enumerate(self.row_fates(name)):
                if fate in REFUSED:
                    at = rows.source[position], rows.index[position]
                    earlier, _, landed, reasons = found.get(at, (None, fate, 0, {}))
                    key = self._trip_of(name, position) or earlier
                    reasons[self._reason(name, position)] = None
                    if name == "stints":
                        landed += rows.columns["fish"][position] or 0
                    elif name == "catches":
                        landed += rows.columns["outcome"][position] != "lost"
                    found[at] = key, fate, landed, reasons
        waiting = []
        for (source, index), (key, fate, landed, reasons) in sorted(found.items()):
            raw = self.log.raws[source]
            angler, label = key or (None, raw.place(index))
            address = raw.file, raw.sheet, raw.table, raw.rows[index]
            cells = json.dumps(list(raw.cells(index)), ensure_ascii=False)
            reason = "; ".join(filter(None, reasons))
            waiting.append(WaitingRow(label, angler, fate.value, *address, reason, cells, landed))
        return waiting

    def _trip_of(self, name: str, position: int) -> Key | None:
        """Angler and label of a row's session, or the bait of a recipe; None where unknown."""
        if name == "variants":
            label = self.log.tables[name].columns["variant"][position]
            return None if label is None else (None, label)
        number = self.checked.session_of[name][position]
        return self.checked.keys[number] if number >= 0 else None

    def waiting_news(self, book: Logbook) -> tuple[list[WaitingRow], list[int]]:
        """The rows that wait from now on, and the numbers of those that wait no longer."""
        held = book.waiting_rows()
        if not held:
            return self.waiting, []
        here = {
            key: True
            for key, fate in zip(self.checked.keys, self.fates, strict=True)
            if fate not in REFUSED
        }
        files = {row.place[0] for row in held.values()}
        taken: dict[tuple[str, str | None, str, int], list[Sequence[str]]] = {}
        for name in self.log.tables:
            for position, fate in enumerate(self.row_fates(name)):
                raw, index = self.log.raw(name, position)
                file = Path(raw.file).name
                if file in files and fate not in REFUSED:
                    at = file, raw.sheet, raw.table, raw.rows[index]
                    taken.setdefault(at, []).append(raw.cells(index))
        return news(held, self.waiting, here, taken)

    def _reason(self, name: str, position: int) -> str:
        if (name, position) in self.reasons:
            return "; ".join(self.reasons[name, position])
        if name == "variants":
            return f"this variant {CONFLICT_SAYS}. {REPLACE_REMEDY}"
        number = self.checked.session_of[name][position]
        if number in self.refusals:
            return self.refusals[number]
        belongs = "may belong" if number in self.checked.perhaps else "belongs"
        return f"held back with {self.checked.held_back[number]}, which {belongs} to this session"

    def new_rows(
        self, book: Logbook, waiting: Sequence[WaitingRow], done: Sequence[int]
    ) -> NewRows:
        """What goes into the logbook, with the labels that the files have."""
        checked = self.checked
        session_of = checked.session_of
        # Ids follow the rows of the file, with gaps where rows are not taken.
        first_session, first_stint = book.last_id("sessions") + 1, book.last_id("stints") + 1
        taken = [
            fate in TAKEN or number in self.written_otherwise
            for number, fate in enumerate(self.fates)
        ]
        of_row = [*taken, False]  # the last is session number -1
        sessions: Columns = {
            "id": range(first_session, first_session + len(checked.keys)),
            "session": [label for _, label in checked.keys],
            "angler": [angler for angler, _ in checked.keys],
            **_named((*SESSION_DATA, "extra"), self.records),
        }
        stints: Columns = {
            "id": range(first_stint, first_stint + len(session_of["stints"])),
            "session_id": [first_session + number for number in session_of["stints"]],
            **self._columns("stints", OF_SESSIONS["stints"], as_written=True),
        }
        catches: Columns = {
            "session_id": [first_session + number for number in session_of["catches"]],
            "stint_id": [None if at is None else first_stint + at for at in checked.stint_of_catch],
            **self._columns("catches", OF_SESSIONS["catches"], as_written=True),
        }
        said = self.recipes_said
        recipes = [[recipe.get(column) for column in CELLS] for _, recipe in said.values()]
        return NewRows(
            sessions=_chosen(sessions, taken),
            stints=_chosen(stints, [of_row[number] for number in session_of["stints"]]),
            catches=_chosen(catches, [of_row[number] for number in session_of["catches"]]),
            variants={
                "variant": list(said),
                "whole": [int(whole) for whole, _ in said.values()],
                **_named(CELLS, recipes),
            },
            same_sessions=[
                self.held_ids[number]
                for number, fate in enumerate(self.fates)
                if fate is Fate.SAME and not taken[number]
            ],
            rows=self.count(Fate.NEW, Fate.REPLACED),
            brought=sum(map(self.fates.count, TAKEN)),
            replace=self.replace,
            waiting=waiting,
            waiting_done=done,
            as_new=[checked.keys[number][::-1] for number in self.as_new],
        )

    def count(self, *wanted: Fate) -> int:
        """How many rows have one of these fates."""
        return sum(self.row_counts.get(fate, 0) for fate in wanted)


def _compared(columns: Columns) -> Iterator[Cells]:
    """Rows as they are compared: weights to the milligram, in whichever unit they were written."""
    rounded = {
        name: [None if kg is None else round(kg, 6) for kg in column]
        for name, column in columns.items()
        if name == "weight"
    }
    return zip(*{**columns, **rounded}.values(), strict=True)


def _differing(
    known: Iterable[int], ours: Mapping[str, OfSession], theirs: Mapping[str, OfSession]
) -> set[int]:
    """The sessions, of those known to both sides, whose rows are not the same ones."""
    numbers = set(known)
    differing: set[int] = set()
    for name, rows in ours.items():
        mine = Counter(row for row in rows if row[0] in numbers)
        there = Counter(theirs[name])
        if mine != there:
            differing |= {number for number, _ in (mine - there) + (there - mine)}
    return differing


def _by_session(rows: OfSession, wanted: set[int]) -> Grouped:
    grouped: Grouped = {}
    for position, (number, row) in enumerate(rows):
        if number in wanted:
            grouped.setdefault(number, []).append((position, row))
    return grouped


def _chosen(columns: Columns, wanted: list[bool]) -> Columns:
    """The rows that are wanted."""
    if all(wanted):
        return columns
    return {name: list(compress(column, wanted)) for name, column in columns.items()}


def _named(names: Sequence[str], rows: Sequence[Sequence[Any]]) -> dict[str, Sequence[Any]]:
    """Rows as columns of these names."""
    return dict(zip(names, zip(*rows, strict=True) if rows else [()] * len(names), strict=True))


def _as_texts(extras: Mapping[str, list[str | None]], rows: int) -> list[str | None]:
    """The columns the format does not know, row by row, as one text."""
    if not extras:
        return [None] * rows
    values = list(zip(*extras.values(), strict=True))
    texts = {
        row: as_json({n: v for n, v in zip(extras, row, strict=True) if v is not None})
        for row in set(values)
    }
    return [texts[row] for row in values]


def _filled_in(recipe: Recipe, fills: Mapping[str, Any]) -> Recipe:
    return {name: fills.get(name) if cell is None else cell for name, cell in recipe.items()}
