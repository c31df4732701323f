"""What becomes of every row of an import, given what the logbook holds.

Sessions are compared whole, as multisets of rows; a session that differs is a conflict, named
row by row, or replaced. Nothing is written here.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence
from enum import Enum
from functools import cached_property
from itertools import compress
from typing import Any

from rodhours.logbook.batch_codes import batch_hints
from rodhours.logbook.checks import CHOOSE_SESSION_COLUMNS, Checked, hints_on_look_alikes
from rodhours.logbook.checks.held import overlaps_with_held
from rodhours.logbook.differences import EXTRA, Difference, record_differences, row_differences
from rodhours.logbook.logbook import (
    CATCH_DATA,
    SESSION_DATA,
    STINT_DATA,
    VARIANT_DATA,
    Columns,
    Logbook,
    NewRows,
    Row,
)
from rodhours.logbook.opened_keys import variants_of_codes
from rodhours.logbook.problems import Problem
from rodhours.logbook.raw_table import RawTable
from rodhours.logbook.reading import Rows
from rodhours.logbook.rejects import Reject
from rodhours.logbook.renaming import Followed
from rodhours.logbook.store_labels import join_recipes
from rodhours.wording.log_rules import held_with

REPLACE_REMEDY = "To take the file's version instead, import with --replace"


class Fate(Enum):
    """What becomes of a session or of a row in `variants`, with all the rows it has."""

    NEW = "new"
    SAME = "already there"
    CONFLICT = "conflict"
    REPLACED = "replaced"
    HELD_BACK = "held back"

    @property
    def taken(self) -> bool:
        """Whether its rows are imported."""
        return self in (Fate.NEW, Fate.REPLACED)

    @property
    def refused(self) -> bool:
        """Whether its rows are rejected."""
        return self in (Fate.CONFLICT, Fate.HELD_BACK)


class Plan:
    """What becomes of every row, given what the logbook holds (None: no logbook yet)."""

    def __init__(
        self,
        checked: Checked,
        book: Logbook | None,
        replace: bool,
        followed: Followed | None = None,
    ) -> None:
        self.checked = checked
        self.followed = followed or Followed()
        self.log = checked.log
        self.replace = replace
        self.problems = list(self.log.findings.problems)
        self.reasons = {key: list(says) for key, says in self.log.findings.reasons.items()}
        self.hints = list(self.log.findings.hints)
        self.conflict_says: dict[int, str] = {}
        held = book.sessions() if book else []
        self.held_ids: dict[int, int] = {}
        self._extra = {
            name: _extra_json(rows) for name, rows in self.log.tables.items() if name != "sessions"
        }
        self.fates = self._session_fates(book, held)
        self.variant_fates: dict[str, Fate] = {}
        self.new_variants: list[tuple[str, Row]] = []
        self.replaced_variants: list[str] = []
        self.same_variants: list[tuple[str, Row | None]] = []
        held_variants = {row[0]: row[1:] for row in book.variants()} if book else {}
        self._plan_variants(held_variants)
        fished = book.variants_fished() if book else set()
        self._compare_labels(held, fished | set(held_variants))
        if book:
            self._point_out_batches(book)
            taken = {number for number, fate in enumerate(self.fates) if fate.taken}
            self.hints.extend(overlaps_with_held(checked, book, taken))

    # Sessions

    @cached_property
    def records(self) -> list[Row]:
        """Every session's own columns, in the order of the logbook."""
        numbers = range(len(self.checked.keys))
        columns = [map(self.checked.records[name].get, numbers) for name in SESSION_DATA]
        extras = self.checked.record_extras
        if not extras:
            return list(zip(*columns, [None] * len(numbers), strict=True))
        texts = [
            _as_json({name: known[n] for name, known in extras.items() if n in known})
            for n in numbers
        ]
        return list(zip(*columns, texts, strict=True))

    @cached_property
    def stint_rows(self) -> list[Row]:
        """Every stint in the order of the logbook's columns."""
        return self._rows("stints", STINT_DATA)

    @cached_property
    def catch_rows(self) -> list[Row]:
        """Every fish in the order of the logbook's columns, as it is compared."""
        return [_to_the_milligram(row) for row in self._rows("catches", CATCH_DATA)]

    def _columns(self, name: str, names: Sequence[str]) -> dict[str, list[Any]]:
        columns = self.log.tables[name].columns
        return {**{column: columns[column] for column in names}, "extra": self._extra[name]}

    def _rows(self, name: str, names: Sequence[str]) -> list[Row]:
        return list(zip(*self._columns(name, names).values(), strict=True))

    def _session_fates(self, book: Logbook | None, held: list[Row]) -> list[Fate]:
        checked = self.checked
        fates = [Fate.NEW] * len(checked.keys)
        for number in checked.held_back:
            fates[number] = Fate.HELD_BACK
        by_key = {(row[2], row[1]): row for row in held}
        known = {
            number: by_key[key]
            for number, key in enumerate(checked.keys)
            if key in by_key and fates[number] is Fate.NEW
        }
        self._point_out_keys(by_key, fates)
        if not known or book is None:
            return fates
        number_of = {row[0]: number for number, row in known.items()}
        self.held_ids = {number: row[0] for number, row in known.items()}
        held_stints = [(number_of[r[1]], r[2:]) for r in book.stints() if r[1] in number_of]
        held_catches = [
            (number_of[r[0]], _to_the_milligram(r[2:])) for r in book.catches() if r[0] in number_of
        ]
        differing = {number for number, row in known.items() if self.records[number] != row[3:]}
        for name, rows, theirs in (
            ("stints", self.stint_rows, held_stints),
            ("catches", self.catch_rows, held_catches),
        ):
            ours = Counter(
                pair
                for pair in zip(checked.session_of[name], rows, strict=True)
                if pair[0] in known
            )
            there = Counter(theirs)
            if ours != there:
                differing |= {number for number, _ in (ours - there) + (there - ours)}
        for number in known:
            fates[number] = Fate.SAME
        if self.replace:
            for number in differing:
                fates[number] = Fate.REPLACED
        elif differing:
            self._name_conflicts(differing, known, held_stints, held_catches)
            for number in differing:
                fates[number] = Fate.CONFLICT
        return fates

    def _name_conflicts(
        self,
        differing: set[int],
        known: dict[int, Row],
        held_stints: list[tuple[int, Row]],
        held_catches: list[tuple[int, Row]],
    ) -> None:
        """Each conflict row by row, as problems and as reasons."""
        ours = {
            name: self._by_session(name, rows, differing)
            for name, rows in (("stints", self.stint_rows), ("catches", self.catch_rows))
        }
        theirs: dict[str, dict[int, list[Row]]] = {"stints": {}, "catches": {}}
        for name, held in (("stints", held_stints), ("catches", held_catches)):
            for number, row in held:
                theirs[name].setdefault(number, []).append(row)
        session_row = {
            number: position for position, number in enumerate(self.checked.session_of["sessions"])
        }
        self._point_out_missing_tables(differing, known, held_catches)
        for number in sorted(differing):
            label = self.checked.keys[number][1]
            says = f"session {label} differs from the logbook's version. {REPLACE_REMEDY}"
            self.conflict_says[number] = says
            first_stint = next(iter(ours["stints"].get(number, [])), None)
            anchor: tuple[str, int]
            if number in session_row:
                anchor = ("sessions", session_row[number])
            elif first_stint is not None:
                anchor = ("stints", first_stint[0])
            else:
                anchor = ("catches", ours["catches"][number][0][0])
            held_record = known[number][3:]
            for one in record_differences(
                SESSION_DATA, anchor[1], self.records[number], held_record
            ):
                self._conflict("sessions", one, anchor, label)
            for name, names, alike in (
                ("stints", STINT_DATA, ("rod", "variant")),
                ("catches", CATCH_DATA, ("rod", "time")),
            ):
                for one in row_differences(
                    (*names, EXTRA),
                    ours[name].get(number, []),
                    theirs[name].get(number, []),
                    alike,
                ):
                    self._conflict(name, one, anchor, label)

    def _point_out_missing_tables(
        self, differing: set[int], known: dict[int, Row], held_catches: list[tuple[int, Row]]
    ) -> None:
        """A log that came with all its tables before may come with stints alone now."""
        given, moved = self.log.given, self.log.tables["stints"].moved
        missing = []
        if "sessions" not in given and not set(moved) & set(SESSION_DATA):
            missing += ["sessions"] * any(any(known[number][3:]) for number in differing)
        if "catches" not in given:
            missing += ["catches"] * any(number in differing for number, _ in held_catches)
        if missing:
            self.hints.append(
                f"The logbook knows these sessions with their {' and '.join(missing)}, which were "
                "not given this time: import all tables of the log together."
            )

    def _by_session(
        self, name: str, rows: list[Row], wanted: set[int]
    ) -> dict[int, list[tuple[int, Row]]]:
        grouped: dict[int, list[tuple[int, Row]]] = {}
        for position, number in enumerate(self.checked.session_of[name]):
            if number in wanted:
                grouped.setdefault(number, []).append((position, rows[position]))
        return grouped

    def _conflict(self, table: str, one: Difference, anchor: tuple[str, int], label: str) -> None:
        where = anchor if one.position is None or table == "sessions" else (table, one.position)
        raw, index = self.log.raw(*where)
        says = f"{one.says} (session {label}, table {table})"
        if one.column in ("date", "venue"):
            says += f"; {CHOOSE_SESSION_COLUMNS}"
        column, _ = raw.cell_in_file(one.column, index)
        self.problems.append(Problem(raw.file, raw.sheet, raw.rows[index], column, one.found, says))

    # Variants

    def _plan_variants(self, held: dict[str, Row]) -> None:
        rows = self._rows("variants", VARIANT_DATA)
        for name, position in self.checked.variant_rows.items():
            if ("variants", position) in self.reasons or name in self.followed.twins:
                continue
            fills = self.checked.variant_fills.get(name, {})
            row = _filled_in(rows[position], fills)
            self._plan_variant(name, row, held, ("variants", position))
        for name, new in self.followed.twins.items():
            self.variant_fates[name] = self.variant_fates.get(new, Fate.HELD_BACK)
        refused = {number for number, fate in enumerate(self.fates) if fate.refused} | {-1}
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
                kept = held.get(name, (None,) * (len(VARIANT_DATA) + 1))
                carried = tuple(
                    record.get(column, old)
                    for column, old in zip((*VARIANT_DATA, "extra"), kept, strict=True)
                )
                self._plan_variant(name, carried, held, ("stints", self.checked.carried_at[name]))
                own = tuple(map(record.get, (*VARIANT_DATA, "extra")))
                if self.same_variants[-1:] == [(name, None)] and own != carried:
                    self.same_variants[-1] = (name, own)

    def _plan_variant(
        self, name: str, row: Row, held: dict[str, Row], where: tuple[str, int]
    ) -> None:
        own: Row | None = None
        if name in held and held[name] == row:
            fate = Fate.SAME
        elif (
            name in held
            and name in self.followed.targets
            and join_recipes(row, held[name]) == (held[name], [])
        ):
            # Two recipes were made one: the file's may say less than both together.
            fate, own = Fate.SAME, row
        elif name not in held:
            fate = Fate.NEW
        else:
            fate = Fate.REPLACED if self.replace else Fate.CONFLICT
        self.variant_fates[name] = fate
        if fate is Fate.REPLACED:
            self.replaced_variants.append(name)
        if fate is Fate.SAME:
            self.same_variants.append((name, own))
        if fate.taken:
            self.new_variants.append((name, row))
        if fate is Fate.CONFLICT:
            raw, index = self.log.raw(*where)
            for one in record_differences(VARIANT_DATA, where[1], row, held[name]):
                says = f"{one.says} of the variant {name}. {REPLACE_REMEDY}"
                column, _ = raw.cell_in_file(one.column, index)
                self.problems.append(
                    Problem(raw.file, raw.sheet, raw.rows[index], column, one.found, says)
                )

    # Hints

    def _point_out_keys(self, by_key: dict[Any, Row], fates: list[Fate]) -> None:
        held_without = {label for angler, label in by_key if angler is None}
        held_with = {label for angler, label in by_key if angler is not None}
        doubled = sorted(
            label
            for (angler, label), fate in zip(self.checked.keys, fates, strict=True)
            if fate is Fate.NEW
            and (angler, label) not in by_key
            and label in (held_with if angler is None else held_without)
        )
        if doubled:
            self.hints.append(
                f"{len(doubled)} sessions ({', '.join(doubled[:3])} ...) are in the logbook under "
                "the same label, with the angler named in only one of the two: if they are the "
                "same trips, take this import back with rodhours undo."
            )

    def _point_out_batches(self, book: Logbook) -> None:
        stints = self.log.tables["stints"].columns
        codes = variants_of_codes(book)
        self.hints.extend(
            batch_hints(
                (
                    (batch, codes.get(variant.upper(), variant))
                    for batch, variant in zip(stints["batch"], stints["variant"], strict=True)
                    if batch is not None and variant is not None
                ),
                ((row[0], str(codes.get(row[1].upper(), row[1]))) for row in book.batches()),
            )
        )

    def _compare_labels(self, held: list[Row], held_variants: set[str]) -> None:
        venue = 3 + SESSION_DATA.index("venue")
        for what, ours, theirs in (
            (
                "variants",
                {
                    *self.log.tables["stints"].columns["variant"],
                    *(self.checked.variant_rows.keys() - self.followed.twins.keys()),
                },
                held_variants,
            ),
            (
                "venues",
                {*self.checked.records["venue"].values()},
                {row[venue] for row in held},
            ),
        ):
            ours, theirs = ours - {None}, theirs - {None}
            told = set(self.hints)
            if ours - theirs:
                self.hints.extend(
                    hint
                    for hint in hints_on_look_alikes(what, ours | theirs)
                    if hint not in told and hint not in hints_on_look_alikes(what, theirs)
                )

    # The outcome

    @property
    def changes(self) -> bool:
        """Whether the import changes the logbook at all."""
        return bool(self.new_variants) or any(fate.taken for fate in self.fates)

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
        for name, numbers in self.checked.session_of.items():
            for number, rows in Counter(self._of_the_file(name, numbers)).items():
                counts[fates[number]] += rows
        return counts

    def _of_the_file(self, name: str, numbers: list[int]) -> list[int]:
        """One number for each row of the file: a row may hold several stints."""
        if all(raw.leads is None for raw in self.log.raws):
            return numbers
        return [n for position, n in enumerate(numbers) if self._leads(name, position)]

    def _leads(self, name: str, position: int) -> bool:
        raw, index = self.log.raw(name, position)
        return raw.leads is None or raw.leads[index]

    @cached_property
    def rejects(self) -> list[Reject]:
        """Every refused row with its reason, in the order of the files."""
        found: dict[tuple[int, int], tuple[RawTable, int, list[str]]] = {}
        if not any(fate.refused for fate in self.row_counts):
            return []
        for name, rows in self.log.tables.items():
            for position, fate in enumerate(self.row_fates(name)):
                if fate.refused:
                    raw, index = self.log.raw(name, position)
                    raw, index = raw.as_in_file(index)
                    key = (rows.source[position], index)
                    found.setdefault(key, (raw, index, []))[2].append(self._reason(name, position))
        return [
            (raw, index, "; ".join(filter(None, dict.fromkeys(reasons))))
            for _, (raw, index, reasons) in sorted(found.items(), key=lambda one: one[0])
        ]

    def _reason(self, name: str, position: int) -> str:
        if (name, position) in self.reasons:
            return "; ".join(self.reasons[name, position])
        if name == "variants":
            return f"this variant differs from the logbook's version. {REPLACE_REMEDY}"
        number = self.checked.session_of[name][position]
        if number in self.conflict_says:
            return self.conflict_says[number]
        return held_with(self.checked.held_back[number], number not in self.checked.perhaps)

    def new_rows(self, book: Logbook) -> NewRows:
        """What goes into the logbook."""
        checked = self.checked
        session_of = checked.session_of
        # Ids follow the rows of the file, with gaps where rows are not taken.
        first_session, first_stint = book.last_id("sessions") + 1, book.last_id("stints") + 1
        taken = [*(fate.taken for fate in self.fates), False]  # the last is session number -1
        sessions: dict[str, Sequence[Any]] = {
            "id": range(first_session, first_session + len(checked.keys)),
            "session": [label for _, label in checked.keys],
            "angler": [angler for angler, _ in checked.keys],
            **_named(SESSION_DATA, self.records),
        }
        stints: dict[str, Sequence[Any]] = {
            "id": range(first_stint, first_stint + len(session_of["stints"])),
            "session_id": [first_session + number for number in session_of["stints"]],
            **self._columns("stints", STINT_DATA),
        }
        catches: dict[str, Sequence[Any]] = {
            "session_id": [first_session + number for number in session_of["catches"]],
            "stint_id": [None if at is None else first_stint + at for at in checked.stint_of_catch],
            **self._columns("catches", CATCH_DATA),
        }
        return NewRows(
            sessions=_chosen(sessions, taken[:-1]),
            stints=_chosen(stints, [taken[number] for number in session_of["stints"]]),
            catches=_chosen(catches, [taken[number] for number in session_of["catches"]]),
            variants={
                "variant": [name for name, _ in self.new_variants],
                **_named(VARIANT_DATA, [row for _, row in self.new_variants]),
            },
            replaced_sessions=[
                self.held_ids[number]
                for number, fate in enumerate(self.fates)
                if fate is Fate.REPLACED
            ],
            replaced_variants=self.replaced_variants,
            rows=self.count(Fate.NEW, Fate.REPLACED),
            same_sessions=[
                self.held_ids[number] for number, fate in enumerate(self.fates) if fate is Fate.SAME
            ],
            same_variants=self.same_variants,
            replace=self.replace,
            renames=sorted(
                set().union(
                    *(
                        self.followed.used_by(name, [fate.taken for fate in self.row_fates(name)])
                        for name in ("stints", "catches", "variants")
                    )
                )
            ),
        )

    def count(self, *wanted: Fate) -> int:
        """How many rows have one of these fates."""
        return sum(self.row_counts.get(fate, 0) for fate in wanted)


def _to_the_milligram(row: Row) -> Row:
    """A fish to be compared: older logbooks keep weights to the milligram only."""
    at = CATCH_DATA.index("weight")
    return row if row[at] is None else (*row[:at], round(row[at], 6), *row[at + 1 :])


def _chosen(columns: Columns, wanted: list[bool]) -> Columns:
    """The rows that are wanted."""
    if all(wanted):
        return columns
    return {name: list(compress(column, wanted)) for name, column in columns.items()}


def _named(names: Sequence[str], rows: Sequence[Row]) -> Columns:
    """Rows with an extra text at their end as columns."""
    names = (*names, "extra")
    return dict(zip(names, zip(*rows, strict=True) if rows else [()] * len(names), strict=True))


def _extra_json(rows: Rows) -> list[str | None]:
    """The columns the format does not know, row by row, as one JSON text."""
    if not rows.extras:
        return [None] * len(rows)
    names = list(rows.extras)
    values = list(zip(*rows.extras.values(), strict=True))
    texts = {
        row: _as_json({n: v for n, v in zip(names, row, strict=True) if v is not None})
        for row in set(values)
    }
    return [texts[row] for row in values]


def _as_json(extras: dict[str, str]) -> str | None:
    if not extras:
        return None
    return json.dumps(extras, sort_keys=True, ensure_ascii=False, separators=(",", ":"))


def _filled_in(row: Row, fills: dict[str, Any]) -> Row:
    if not fills:
        return row
    return tuple(
        value if value is not None else fills.get(name)
        for name, value in zip((*VARIANT_DATA, "extra"), row, strict=True)
    )
