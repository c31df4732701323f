"""What becomes of every row of an import, given what the logbook holds.

Sessions are compared whole, as multisets of rows; a session that differs is a conflict, named
row by row, or replaced. Nothing is written but by the logbook.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from functools import cached_property
from itertools import compress
from pathlib import Path
from typing import Any

from rodhours.log.batches import batch_hints
from rodhours.log.differences import Difference, only_adds, record_differences, row_differences
from rodhours.log.history import FileRead
from rodhours.log.logbook import Logbook, by_column
from rodhours.log.logbook_file import Columns
from rodhours.log.probable_doubles import find_doubles
from rodhours.log.recipe_rows import CELLS, Recipe, as_json, joined
from rodhours.log.relabelling import Relabelled
from rodhours.log.rules.checked import CHOOSE_SESSION_COLUMNS, Checked, Key, first_rows
from rodhours.log.rules.slips import hints_on_look_alikes
from rodhours.log.tables import CATCH_DATA, SESSION_DATA, STINT_DATA
from rodhours.log.waiting import HELD_BACK, WaitingRow, news

REPLACE_REMEDY = "To take the file's version instead, import with --replace"
ANGLER_REMEDY = "If it is another person's trip, import the file with --angler NAME"
CONFLICT_SAYS = "differs from the logbook's version"
COLUMNS = {
    "sessions": (*SESSION_DATA, "extra"),
    "stints": (*STINT_DATA, "extra"),
    "catches": (*CATCH_DATA, "extra"),
    "variants": ("variant", *CELLS),
}
"""The columns in which rows are compared, and written."""
ALIKE = {"sessions": (), "stints": ("rod", "variant"), "catches": ("rod", "time")}
"""The tables of which a session has rows, and how those that differ are paired."""

Cells = tuple[Any, ...]
OfSessions = dict[str, list[tuple[int, Cells]]]
"""The rows of each table, each with the number of its session."""
Grouped = dict[int, list[tuple[int, Cells]]]
"""The rows of each session, each with its position."""

NEW, SAME, CONFLICT, REPLACED = "new", "already there", "conflict", "replaced"
DOUBLE = "probable double"
"""What becomes of a session or of a row in `variants`, with all the rows it has."""
TAKEN = (NEW, REPLACED)
"""Rows that are imported."""
REFUSED = (CONFLICT, HELD_BACK, DOUBLE)
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
        self.checked, self.relabelled, self.replace = checked, relabelled, replace
        self.log = checked.log
        self.problems = list(self.log.findings.problems)
        self.reasons = {key: list(says) for key, says in self.log.findings.reasons.items()}
        self.hints = list(self.log.findings.hints)
        self.refusals: dict[int, str] = {}
        self.held_ids: dict[int, int] = {}
        self.written_otherwise: set[int] = set()
        self.fates = [
            HELD_BACK if number in checked.held_back else NEW for number in range(len(checked.keys))
        ]
        if book:
            self._compare_sessions(book)
        self.as_new: list[int] = []
        self._hold_back_doubles(book, as_new)
        self.variant_fates: dict[str, str] = {}
        recipes = {row["variant"]: row for row in book.variants()} if book else {}
        self._compare_recipes(recipes)
        held = set(recipes).union(book.variants_fished() if book else ())
        baits = {*self.log.tables["stints"].columns["variant"], *checked.variant_rows}
        self._point_out("variants", baits - relabelled.twins.keys(), held)
        waters = {row["venue"] for row in book.sessions()} if book else set()
        self._point_out("venues", {*checked.records["venue"].values()}, waters)
        if book:
            stints = self.log.tables["stints"].columns
            logged = zip(stints["batch"], stints["variant"], strict=True)
            ledger = [(batch["batch"], batch["variant"]) for batch in book.batches()]
            self.hints += batch_hints((pair for pair in logged if None not in pair), ledger)

    # Sessions

    def _columns(self, name: str, as_written: bool = False) -> dict[str, Sequence[Any]]:
        """The rows of a table as they are compared; of sessions one each, by their numbers."""
        if name == "sessions":
            numbers = range(len(self.checked.keys))
            columns, extras = (
                {column: list(map(of.get, numbers)) for column, of in told.items()}
                for told in (self.checked.records, self.checked.record_extras)
            )
            rows = len(numbers)
        else:
            columns, extras = self.log.tables[name].columns, self.log.tables[name].extras
            if as_written:
                columns = self.relabelled.as_written(name, columns)
                extras = self.relabelled.as_written(name, extras)
            rows = len(self.log.tables[name])
        texts = _as_texts(extras, rows)
        return {one: texts if one == "extra" else columns[one] for one in COLUMNS[name]}

    def _rows(self, as_written: bool) -> OfSessions:
        numbers = {**self.checked.session_of, "sessions": range(len(self.checked.keys))}
        return {
            name: list(zip(numbers[name], _compared(self._columns(name, as_written)), strict=True))
            for name in ALIKE
        }

    def _held_rows(self, book: Logbook, as_written: bool) -> OfSessions:
        """The held rows of the sessions that the files have too."""
        number_of = {held: number for number, held in self.held_ids.items()}
        found: OfSessions = {}
        for name, key, rows in (
            ("sessions", "id", book.sessions()),
            ("stints", "session_id", book.stints(as_written)),
            ("catches", "session_id", book.catches(as_written)),
        ):
            numbers = map(number_of.get, by_column(rows, [key])[key])
            pairs = zip(numbers, _compared(by_column(rows, COLUMNS[name])), strict=True)
            found[name] = [(number, row) for number, row in pairs if number is not None]
        return found

    def _compare_sessions(self, book: Logbook) -> None:
        """What becomes of the sessions that the logbook holds too."""
        ids = {(row["angler"], row["session"]): row["id"] for row in book.sessions()}
        self.held_ids = {
            number: ids[key]
            for number, key in enumerate(self.checked.keys)
            if key in ids and self.fates[number] is NEW
        }
        if not self.held_ids:
            return
        known = set(self.held_ids)
        rows, held = self._rows(as_written=False), self._held_rows(book, as_written=False)
        differing = _differing(known, rows, held)
        for number in known:
            self.fates[number] = SAME
        ours, theirs = (
            {name: _by_session(of_table, differing) for name, of_table in side.items()}
            for side in (rows, held)
        )
        first = {name: first_rows(self.checked.session_of[name]) for name in ALIKE}
        for number in sorted(differing):
            # The files may say all that is held of a session, and more.
            adds = all(
                only_adds(*([row for _, row in of[name].get(number, ())] for of in (theirs, ours)))
                for name in ALIKE
            )
            self.fates[number] = REPLACED if self.replace or adds else CONFLICT
            if self.fates[number] is CONFLICT:
                anchor = next((name, of[number]) for name, of in first.items() if number in of)
                self._name_conflict(number, anchor, ours, theirs)
        if self.relabelled.labels.steps:
            written = self._rows(as_written=True), self._held_rows(book, as_written=True)
            self.written_otherwise = _differing(known, *written) - differing

    def _name_conflict(
        self,
        number: int,
        anchor: tuple[str, int],
        ours: Mapping[str, Grouped],
        theirs: Mapping[str, Grouped],
    ) -> None:
        """A conflict row by row, as problems and as a reason; `anchor` is the session's own row."""
        angler, label = self.checked.keys[number]
        remedy = REPLACE_REMEDY if angler else f"{ANGLER_REMEDY}. {REPLACE_REMEDY}"
        self.refusals[number] = f"session {label} {CONFLICT_SAYS}. {remedy}"
        for name, alike in ALIKE.items():
            own, held = (of[name].get(number, []) for of in (ours, theirs))
            for one in row_differences(COLUMNS[name], own, [row for _, row in held], alike):
                of_row = name != "sessions" and one.position is not None
                says = f"{one.says} (session {label}, table {name})"
                if one.column in ("date", "venue"):
                    says += f"; {CHOOSE_SESSION_COLUMNS}"
                self._problem((name, one.position or 0) if of_row else anchor, one, says)

    def _problem(self, where: tuple[str, int], one: Difference, says: str) -> None:
        self.problems.append(self.log.problem_at(*where, one.column, says, one.found))

    def _hold_back_doubles(self, book: Logbook | None, as_new: bool) -> None:
        new = [number for number, fate in enumerate(self.fates) if fate is NEW]
        held_back, remarks = find_doubles(self.checked, new, book)
        self.hints.extend(remarks)
        first = first_rows(self.checked.session_of["stints"]) if held_back else {}
        asked = {
            (row.trip, Path(row.file).name)
            for row in (book.waiting_rows().values() if book and held_back else ())
            if row.kind == DOUBLE and row.angler is None
        }
        for number, (whose, says) in held_back.items():
            name, label = self.checked.keys[number]
            where = "stints", first[number]
            file = Path(self.log.raw(*where)[0].file).name
            if as_new or (name not in (None, whose) and (label, file) in asked):
                self.as_new.append(number)
                continue
            self.fates[number] = DOUBLE
            self.refusals[number] = says
            self.problems.append(self.log.problem_at(*where, "session", says))

    # Recipes

    def _compare_recipes(self, held: Mapping[str, Recipe]) -> None:
        columns = self._columns("variants")
        for name, position in self.checked.variant_rows.items():
            if ("variants", position) not in self.reasons and name not in self.relabelled.twins:
                recipe = self._recipe(name, columns, position)
                self._compare_recipe(name, recipe, held, ("variants", position))
        for name, bait in self.relabelled.twins.items():
            self.variant_fates[name] = self.variant_fates.get(bait, HELD_BACK)
        if not self.checked.carried:
            return
        labels = self.log.tables["stints"].columns["variant"]
        fates = zip(labels, self.row_fates("stints"), strict=True)
        accepted = {name for name, fate in fates if fate not in REFUSED}
        for name, record in self.checked.carried.items():
            if name in accepted and name not in self.checked.variant_rows:
                # What a flat file does not carry of a variant it does not contradict.
                recipe = {column: held.get(name, {}).get(column) for column in CELLS} | record
                self._compare_recipe(name, recipe, held, ("stints", labels.index(name)))

    def _recipe(self, name: str, columns: Columns, position: int) -> Recipe:
        """A row of `variants`, its empty cells filled with what stints carry of them."""
        fills = self.checked.carried.get(name, {})
        recipe = {column: columns[column][position] for column in CELLS}
        return {one: fills.get(one) if cell is None else cell for one, cell in recipe.items()}

    def _compare_recipe(
        self, name: str, recipe: Recipe, held: Mapping[str, Recipe], where: tuple[str, int]
    ) -> None:
        self.variant_fates[name] = NEW
        if name not in held:
            return
        there = {column: held[name][column] for column in CELLS}
        # Where two recipes were made one, the file's may say less than both together.
        merged = name in self.relabelled.labels.targets
        if there == recipe or (merged and joined(recipe, there) == (there, [])):
            self.variant_fates[name] = SAME
        elif self.replace:
            self.variant_fates[name] = REPLACED
        else:
            self.variant_fates[name] = CONFLICT
            rows = tuple(recipe.values()), tuple(there.values())
            for one in record_differences(CELLS, where[1], *rows):
                self._problem(where, one, f"{one.says} of the variant {name}. {REPLACE_REMEDY}")

    def _recipes_said(self) -> dict[str, tuple[bool, Recipe]]:
        """What the files say of each recipe that is not refused, by the label they have for it.

        Beside it, whether that is the whole row or the cells that a flat file carries.
        """
        said: dict[str, tuple[bool, Recipe]] = {}
        columns = self._columns("variants", as_written=True)
        labels = self.log.tables["variants"].columns["variant"]
        for position, fate in enumerate(self.row_fates("variants")):
            if fate not in REFUSED:
                recipe = self._recipe(labels[position], columns, position)
                said.setdefault(columns["variant"][position], (True, recipe))
        stints = self.log.tables["stints"]
        now = stints.columns["variant"]
        written = self.relabelled.written.get("stints", {}).get("variant")
        for name, record in self.checked.carried.items():
            refused = self.variant_fates.get(name, HELD_BACK) in REFUSED
            if refused or name in self.checked.variant_rows:
                continue
            carried: dict[str, Recipe] = {} if written else {name: dict(record)}
            for column in record if written else ():
                cells_of = zip(written or (), now, stints.moved[column], strict=True)
                for label, bait, cell in set(cells_of):
                    if bait == name and cell is not None:
                        carried.setdefault(label, {})[column] = record[column]
            for label, cells in carried.items():
                said.setdefault(label, (False, cells))
        return said

    def _point_out(self, what: str, ours: set[Any], theirs: set[Any]) -> None:
        """Hints on labels that look alike, but for those that the logbook has already."""
        known = hints_on_look_alikes(what, theirs - {None})
        found = hints_on_look_alikes(what, (ours | theirs) - {None})
        self.hints += [hint for hint in found if hint not in known]

    # The outcome

    @property
    def brings(self) -> bool:
        """Whether the import changes the log at all."""
        return not {*self.fates, *self.variant_fates.values()}.isdisjoint(TAKEN)

    def row_fates(self, name: str) -> list[str]:
        """What becomes of every row of a table."""
        if name == "variants":
            return [
                HELD_BACK
                if ("variants", position) in self.reasons
                else self.variant_fates.get(label, HELD_BACK)
                for position, label in enumerate(self.log.tables[name].columns["variant"])
            ]
        fates = [*self.fates, HELD_BACK]  # session number -1: unknown, so refused
        return [fates[number] for number in self.checked.session_of[name]]

    def count(self, *wanted: str) -> int:
        """How many rows have one of these fates."""
        return sum(sum(map(self.row_fates(name).count, wanted)) for name in self.log.tables)

    @cached_property
    def waiting(self) -> list[WaitingRow]:
        """Every refused row as it waits in the logbook, in the order of the files."""
        if not self.count(*REFUSED):
            return []
        found: dict[tuple[int, int], tuple[Key | None, str, int, dict[str, None]]] = {}
        for name, rows in self.log.tables.items():
            for position, fate in enumerate(self.row_fates(name)):
                if fate in REFUSED:
                    at = rows.source[position], rows.index[position]
                    earlier, _, landed, reasons = found.get(at, (None, fate, 0, {}))
                    key, reason = self._why(name, position)
                    reasons[reason] = None
                    if name == "stints":
                        landed += rows.columns["fish"][position] or 0
                    elif name == "catches":
                        landed += rows.columns["outcome"][position] != "lost"
                    found[at] = key or earlier, fate, landed, reasons
        waiting = []
        for (source, index), (key, fate, landed, reasons) in sorted(found.items()):
            raw = self.log.raws[source]
            angler, label = key or (None, raw.place(index))
            address = raw.file, raw.sheet, raw.table, raw.rows[index]
            cells = json.dumps(list(raw.cells(index)), ensure_ascii=False)
            reason = "; ".join(filter(None, reasons))
            waiting.append(WaitingRow(label, angler, fate, *address, reason, cells, landed))
        return waiting

    def _why(self, name: str, position: int) -> tuple[Key | None, str]:
        """Angler and label of a refused row's trip (or its bait; None where unknown), and why."""
        reasons = self.reasons.get((name, position))
        if name == "variants":
            label = self.log.tables[name].columns["variant"][position]
            says = f"this variant {CONFLICT_SAYS}. {REPLACE_REMEDY}"
            return None if label is None else (None, label), "; ".join(reasons or [says])
        number = self.checked.session_of[name][position]
        key = self.checked.keys[number] if number >= 0 else None
        if reasons is not None:
            return key, "; ".join(reasons)
        if number in self.refusals:
            return key, self.refusals[number]
        belongs = "may belong" if number in self.checked.perhaps else "belongs"
        place = self.checked.held_back[number]
        return key, f"held back with {place}, which {belongs} to this session"

    def waiting_news(self, book: Logbook) -> tuple[list[WaitingRow], list[int]]:
        """The rows that wait from now on, and the numbers of those that wait no longer."""
        held = book.waiting_rows()
        if not held:
            return self.waiting, []
        fates = zip(self.checked.keys, self.fates, strict=True)
        here = {key for key, fate in fates if fate not in REFUSED}
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

    def write(
        self,
        book: Logbook,
        zone: str,
        files: Sequence[FileRead],
        waiting: tuple[Sequence[WaitingRow], Sequence[int]],
    ) -> None:
        """Write it as a change of the logbook, with the labels that the files have."""
        checked, session_of = self.checked, self.checked.session_of
        # Ids follow the rows of the file, with gaps where rows are not taken.
        first_session, first_stint = book.next_id("sessions"), book.next_id("stints")
        taken = [
            fate in TAKEN or number in self.written_otherwise
            for number, fate in enumerate(self.fates)
        ]
        anglers, labels = zip(*checked.keys, strict=True) if checked.keys else ((), ())
        tables: dict[str, Columns] = {
            "sessions": {
                "id": range(first_session, first_session + len(checked.keys)),
                "session": labels,
                "angler": anglers,
            },
            "stints": {"id": range(first_stint, first_stint + len(session_of["stints"]))},
            "catches": {
                "stint_id": [
                    None if at is None else first_stint + at for at in checked.stint_of_catch
                ]
            },
        }
        for name, own in tables.items():
            wanted, columns = taken, {**own, **self._columns(name, as_written=True)}
            if name != "sessions":
                columns["session_id"] = [first_session + number for number in session_of[name]]
                wanted = [*taken, False]  # the last is session number -1
                wanted = [wanted[number] for number in session_of[name]]
            tables[name] = columns if all(wanted) else _chosen(columns, wanted)
        said = self._recipes_said()
        tables["variants"] = {
            "variant": list(said),
            "whole": [int(whole) for whole, _ in said.values()],
            **{one: [recipe.get(one) for _, recipe in said.values()] for one in CELLS},
        }
        again = [
            self.held_ids[number]
            for number, fate in enumerate(self.fates)
            if fate is SAME and not taken[number]
        ]
        details = {
            "replace": self.replace,
            "as_new": [checked.keys[number][::-1] for number in self.as_new],
            "waiting": len(waiting[0]),
        }
        book.add(
            tables,
            again,
            waiting,
            zone=zone,
            files=files,
            rows=self.count(*TAKEN),
            sessions=sum(map(self.fates.count, TAKEN)),
            details={name: value for name, value in details.items() if value},
        )


def _compared(columns: Columns) -> Iterator[Cells]:
    """Rows as they are compared: weights to the milligram, in whichever unit they were written."""
    rounded = {
        name: [None if kg is None else round(kg, 6) for kg in column]
        for name, column in columns.items()
        if name == "weight"
    }
    return zip(*{**columns, **rounded}.values(), strict=True)


def _differing(known: set[int], ours: OfSessions, theirs: OfSessions) -> set[int]:
    """The sessions, of those known to both sides, whose rows are not the same ones."""
    differing: set[int] = set()
    for name, rows in ours.items():
        mine = Counter(row for row in rows if row[0] in known)
        there = Counter(theirs[name])
        if mine != there:
            differing |= {number for number, _ in (mine - there) + (there - mine)}
    return differing


def _by_session(rows: list[tuple[int, Cells]], wanted: set[int]) -> Grouped:
    grouped: Grouped = {}
    for position, (number, row) in enumerate(rows):
        if number in wanted:
            grouped.setdefault(number, []).append((position, row))
    return grouped


def _chosen(columns: Columns, wanted: list[bool]) -> Columns:
    return {name: list(compress(column, wanted)) for name, column in columns.items()}


def _as_texts(extras: Mapping[str, Sequence[str | None]], rows: int) -> list[str | None]:
    """The columns the format does not know, row by row, as one text."""
    if not extras:
        return [None] * rows
    values = list(zip(*extras.values(), strict=True))
    texts = {
        row: as_json({n: v for n, v in zip(extras, row, strict=True) if v is not None})
        for row in set(values)
    }
    return [texts[row] for row in values]
