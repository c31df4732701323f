"""Renaming a bait's label in the logbook, and leaving sessions out of the answers.

Both are changes like an import: a rename brings new versions of the sessions it touches, a mark
leaves a session's rows as they are. All functions take a connection, inside a transaction.
"""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from rodhours.errors import RefusedRows, UsageError
from rodhours.logbook.schema import CATCH_DATA, SESSION_DATA, STINT_DATA, VARIANT_DATA, quoted
from rodhours.logbook.store_changes import LEAVE_OUT, RENAME, TAKE_BACK, record
from rodhours.wording import history as words

Row = tuple[Any, ...]


@dataclass(frozen=True)
class Renamed:
    """What a rename did: its number in the history, and what it touched."""

    change: int
    old: str
    new: str
    merged: bool
    sessions: int
    stints: int
    batches: int

    def to_dict(self) -> dict[str, Any]:
        """The machine form, equal to what `rodhours rename --json` prints beside its head."""
        return dict(vars(self))


@dataclass(frozen=True)
class LeftOut:
    """A session that is left out of every answer, and why."""

    session: str
    angler: str | None
    because: str
    change: int

    def to_dict(self) -> dict[str, Any]:
        """The machine form."""
        return dict(vars(self))


def renames(run: sqlite3.Connection) -> list[tuple[int, str, str]]:
    """(change, old label, new label) of every rename still standing, the oldest first."""
    return run.execute(
        "SELECT added_by, old, new FROM renames WHERE replaced_by IS NULL ORDER BY id"
    ).fetchall()


def left_out(run: sqlite3.Connection) -> list[LeftOut]:
    """Every session that is left out, by label."""
    return [
        LeftOut(*row)
        for row in run.execute(
            "SELECT session, angler, because, added_by FROM left_out WHERE replaced_by IS NULL "
            "ORDER BY session, angler"
        )
    ]


def near(text: str, known: Iterable[str]) -> list[str]:
    """Up to three known labels that this one may be meant for."""
    plain = {name.casefold(): name for name in sorted(known, reverse=True)}
    return [plain[one] for one in get_close_matches(text.casefold(), plain, n=3, cutoff=0.6)]


def rename_variant(run: sqlite3.Connection, old: str, new: str) -> Renamed:
    """Give a bait another label, or make it one with a bait that has that label already.

    UsageError for a label that the logbook does not know, or that stays as it is; RefusedRows
    where the two have recipes that differ, or a session would hold two rows that say the same of
    the same rod.
    """
    known = _variants_known(run)
    if old not in known:
        raise UsageError(words.no_such_variant(old, near(old, known), sorted(known)))
    if new == old:
        raise UsageError(words.same_label(old))
    fished = "(SELECT session_id FROM {} WHERE variant = ?)"
    touched = run.execute(
        "SELECT id FROM sessions WHERE replaced_by IS NULL AND (id IN "
        f"{fished.format('stints')} OR id IN {fished.format('catches')})",
        (old, old),
    ).fetchall()
    _refuse_twins(run, old, new)
    recipe = _joined_recipe(run, old, new)
    stints = run.execute(
        "SELECT count(*) FROM stints t JOIN sessions s ON s.id = t.session_id "
        "WHERE s.replaced_by IS NULL AND t.variant = ?",
        (old,),
    ).fetchone()[0]
    batches = [
        row[0]
        for row in run.execute("SELECT id FROM batches WHERE variant = ? ORDER BY id", (old,))
    ]
    reference = run.execute(
        "SELECT 1 FROM settings WHERE name = 'reference' AND value = ?", (old,)
    ).fetchone()
    number = record(
        run,
        RENAME,
        rows=stints,
        sessions=len(touched),
        details={
            "old": old,
            "new": new,
            "merged": new in known,
            "batches": batches,
            "was_reference": reference is not None,
        },
    )
    _copy_sessions(run, number, [row[0] for row in touched], old, new)
    if recipe is not None:
        run.execute(
            "UPDATE variants SET replaced_by = ? WHERE variant IN (?, ?) AND replaced_by IS NULL",
            (number, old, new),
        )
        names = ("added_by", "variant", *VARIANT_DATA, "extra")
        run.execute(
            f"INSERT INTO variants ({quoted(names)}) VALUES ({', '.join('?' * len(names))})",
            (number, new, *recipe),
        )
    run.execute("INSERT INTO renames (added_by, old, new) VALUES (?, ?, ?)", (number, old, new))
    run.execute("UPDATE batches SET variant = ? WHERE variant = ?", (new, old))
    run.execute("UPDATE settings SET value = ? WHERE name = 'reference' AND value = ?", (new, old))
    return Renamed(number, old, new, new in known, len(touched), stints, len(batches))


def _variants_known(run: sqlite3.Connection) -> set[str]:
    rows = run.execute(
        "SELECT t.variant FROM stints t JOIN sessions s ON s.id = t.session_id "
        "WHERE s.replaced_by IS NULL UNION SELECT variant FROM variants WHERE replaced_by IS NULL"
    )
    return {row[0] for row in rows}


def _refuse_twins(run: sqlite3.Connection, old: str, new: str) -> None:
    """A rod of one session cannot have two rows that say the same: which fish were whose?"""
    others = [name for name in (*STINT_DATA, "extra") if name not in ("variant", "rod")]
    same = " AND ".join(f'a."{name}" IS b."{name}"' for name in others)
    rows = run.execute(
        "SELECT DISTINCT s.session FROM stints a JOIN stints b ON a.session_id = b.session_id "
        "JOIN sessions s ON s.id = a.session_id WHERE s.replaced_by IS NULL AND a.variant = ? "
        f"AND b.variant = ? AND a.rod = b.rod AND {same} ORDER BY s.session",
        (old, new),
    ).fetchall()
    if rows:
        raise RefusedRows(words.would_be_twins(old, new, [row[0] for row in rows]))


def _joined_recipe(run: sqlite3.Connection, old: str, new: str) -> Row | None:
    """The row of the variants table that both will have; None where the old label has none."""
    rows: dict[str, Row] = {
        row[0]: row[1:]
        for row in run.execute(
            f"SELECT variant, {quoted(VARIANT_DATA)}, extra FROM variants "
            "WHERE replaced_by IS NULL AND variant IN (?, ?)",
            (old, new),
        )
    }
    if old not in rows:
        return None
    if new not in rows:
        return rows[old]
    joined, differing = join_recipes(rows[old], rows[new])
    if differing:
        raise RefusedRows(words.recipes_disagree(old, new, differing))
    return joined


def join_recipes(old: Row, new: Row) -> tuple[Row, list[str]]:
    """Two rows (VARIANT_DATA, extra) as one, and the columns that both fill and fill otherwise.

    An empty cell is not recorded, so it differs from nothing.
    """
    differing = []
    values = []
    for name, was, will in zip(VARIANT_DATA, old[:-1], new[:-1], strict=True):
        if was is not None and will is not None and was != will:
            differing.append(name)
        values.append(was if will is None else will)
    extras = [json.loads(row[-1]) if row[-1] is not None else {} for row in (old, new)]
    differing += sorted(n for n in extras[0].keys() & extras[1] if extras[0][n] != extras[1][n])
    extra = {**extras[0], **extras[1]}
    text = json.dumps(extra, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
    return (*values, text if extra else None), differing


def _copy_sessions(
    run: sqlite3.Connection, number: int, sessions: list[int], old: str, new: str
) -> None:
    """New versions of these sessions with the new label in place of the old."""
    shift, stint_shift = (
        run.execute(f"SELECT ifnull(max(id), 0) FROM {table}").fetchone()[0]
        for table in ("sessions", "stints")
    )
    run.executemany(
        "UPDATE sessions SET replaced_by = ? WHERE id = ?", ((number, one) for one in sessions)
    )
    names = quoted(("session", "angler", *SESSION_DATA, "extra"))
    chosen = "(SELECT id FROM sessions WHERE replaced_by = :number)"
    values = {
        "number": number,
        "old": old,
        "new": new,
        "shift": shift,
        "stint_shift": stint_shift,
    }
    run.execute(
        f"INSERT INTO sessions (id, added_by, {names}) SELECT id + :shift, :number, {names} "
        "FROM sessions WHERE replaced_by = :number",
        values,
    )
    for table, columns, keys, key_values in (
        ("stints", STINT_DATA, "id, session_id", "id + :stint_shift, session_id + :shift"),
        (
            "catches",
            CATCH_DATA,
            "session_id, stint_id",
            "session_id + :shift, stint_id + :stint_shift",
        ),
    ):
        names = quoted((*columns, "extra"))
        renamed = names.replace('"variant"', "CASE variant WHEN :old THEN :new ELSE variant END")
        run.execute(
            f"INSERT INTO {table} ({keys}, {names}) SELECT {key_values}, {renamed} FROM {table} "
            f"WHERE session_id IN {chosen} ORDER BY id",
            values,
        )


def leave_out(run: sqlite3.Connection, session: str, angler: str | None, because: str) -> LeftOut:
    """Leave a session out of every answer; its rows stay.

    UsageError for a session that is not there, is more than one, or is left out already.
    """
    label, owner = _session(run, session, angler)
    held = _mark(run, label, owner)
    if held is not None:
        raise UsageError(words.left_out_before(label, held[1]))
    details = {"session": label, "angler": owner, "because": because}
    number = record(run, LEAVE_OUT, sessions=1, details=details)
    run.execute(
        "INSERT INTO left_out (added_by, session, angler, because) VALUES (?, ?, ?, ?)",
        (number, label, owner, because),
    )
    return LeftOut(label, owner, because, number)


def take_back(run: sqlite3.Connection, session: str, angler: str | None) -> LeftOut:
    """Count a session again that was left out; UsageError where it was not."""
    label, owner = _session(run, session, angler)
    held = _mark(run, label, owner)
    if held is None:
        raise UsageError(words.not_left_out(label))
    details = {"session": label, "angler": owner, "because": held[1]}
    number = record(run, TAKE_BACK, sessions=1, details=details)
    run.execute("UPDATE left_out SET replaced_by = ? WHERE id = ?", (number, held[0]))
    return LeftOut(label, owner, held[1], number)


def _mark(run: sqlite3.Connection, session: str, angler: str | None) -> tuple[int, str] | None:
    row: tuple[int, str] | None = run.execute(
        "SELECT id, because FROM left_out WHERE replaced_by IS NULL AND session = ? "
        "AND angler IS ?",
        (session, angler),
    ).fetchone()
    return row


def _session(run: sqlite3.Connection, session: str, angler: str | None) -> tuple[str, str | None]:
    """The one session meant, by its label and, where that is not enough, its angler."""
    held = run.execute("SELECT session, angler FROM sessions WHERE replaced_by IS NULL").fetchall()
    mine = [row for row in held if row[0] == session]
    if not mine:
        raise UsageError(words.no_such_session(session, near(session, {row[0] for row in held})))
    if angler is not None:
        anglers = sorted({row[1] or "" for row in mine})
        mine = [row for row in mine if (row[1] or "") == angler]
        if not mine:
            raise UsageError(words.not_that_anglers(session, angler, anglers))
    if len(mine) > 1:
        raise UsageError(words.several_anglers(session, sorted(row[1] or "" for row in mine)))
    found: tuple[str, str | None] = mine[0]
    return found
