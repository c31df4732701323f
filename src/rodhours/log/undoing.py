"""Taking a change back: it is marked, whichever it is, and what holds is what the others say."""

from __future__ import annotations

import shlex
import sqlite3
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from rodhours.counts import listed
from rodhours.errors import UsageError
from rodhours.log.aliases import Labels, labels_of
from rodhours.log.change_texts import meant_perhaps, moment
from rodhours.log.history import IMPORT, Change, changes, now, standing
from rodhours.log.recipe_rows import held_recipes
from rodhours.log.waiting import waiting_rows


@dataclass(frozen=True)
class Undone:
    """What taking back a change did. `sessions_kept` are those that a later import had too,
    `rows_waiting` how many more rows wait than before."""

    change: Change
    sessions_removed: int
    sessions_restored: int
    variants_removed: int
    variants_restored: int
    sessions_kept: int = 0
    variants_kept: int = 0
    rows_waiting: int = 0

    @property
    def numbers(self) -> dict[str, int]:
        """The counts by name."""
        return {name: value for name, value in vars(self).items() if name != "change"}

    def to_dict(self) -> dict[str, Any]:
        """The machine form, equal to what `rodhours undo --json` prints beside its head."""
        return {"change": self.change.to_dict(), **self.numbers}


def undo(run: sqlite3.Connection, number: int | None = None) -> Undone | None:
    """Take back a change, the latest still standing without a number; None where there is none.

    A reference that nobody asked for is taken back by its number alone.

    UsageError for a number that no change has, or one that is taken back already.
    """
    history = {change.id: change for change in changes(run)}
    standing = [change.id for change in history.values() if change.undone_at is None]
    if number is None:
        asked_for = [one for one in standing if not history[one].details.get("automatic")]
        if not asked_for:
            return None
        number = asked_for[-1]
    if number not in history:
        where = "is empty"
        if history:
            where = f"goes from {min(history)} to {max(history)}: rodhours history lists it"
        raise UsageError(f"There is no change {number}; the logbook's history {where}.")
    change = history[number]
    if change.undone_at is not None:
        when = moment(change.undone_at)
        raise UsageError(f"Change {number} was taken back already, {when}.")
    before, waited = _Held.of(run), len(waiting_rows(run))
    run.execute("UPDATE changes SET undone_at = ? WHERE id = ?", (now(), number))
    after = _Held.of(run)
    relabelled = _relabelled(run, before.labels, after.labels)
    stands = "(change_id = ? OR change_id IN (SELECT id FROM changes WHERE undone_at IS NULL))"
    sessions_said, recipes_said = (
        run.execute(f"SELECT {thing}, change_id FROM {table} WHERE {stands}", (number,)).fetchall()
        for thing, table in (("session_id", "session_says"), ("variant", "variants"))
    )
    recipes_said = [(before.labels.of(label), change_id) for label, change_id in recipes_said]
    return Undone(
        change,
        sessions_removed=_not_in(after.sessions, before.sessions) + relabelled,
        sessions_restored=_not_in(before.sessions, after.sessions) + relabelled,
        variants_removed=_not_in(after.recipes, before.recipes),
        variants_restored=_not_in(before.recipes, after.recipes),
        sessions_kept=len(_first_of(number, sessions_said) & {*after.sessions.values()}),
        rows_waiting=len(waiting_rows(run)) - waited,
        variants_kept=len(_first_of(number, recipes_said) & after.recipes.keys()),
    )


def undo_imports(run: sqlite3.Connection, file: str | None, angler: str | None) -> list[Undone]:
    """Take back the imports still standing of a file (or of all files of a folder), of an angler,
    or of both, the newest first.

    UsageError where there is none, and where one of them brought trips of other anglers too.
    """
    imports = standing(run, IMPORT)
    anglers = anglers_of_imports(run)
    meant = imports if file is None else [one for one in imports if _is_of(one, Path(file))]
    if angler is not None:
        meant = [one for one in meant if (angler or None) in anglers[one.id]]
        for one in meant:
            others = sorted(name or "nobody" for name in anglers[one.id] - {angler or None})
            if others:
                raise UsageError(
                    f"Change {one.id} brought trips of {listed(others)} beside those of "
                    f"{angler or 'nobody'}: rodhours undo {one.id} takes back all of them. "
                    "Nothing was taken back."
                )
    if not meant:
        files = {Path(one.file).name for change in imports for one in change.files}
        if angler is None and any(file in anglers[one.id] for one in imports):
            whose = shlex.quote(file or "")
            raise UsageError(f"{file} is an angler: rodhours undo --angler {whose}")
        of = " and ".join(filter(None, [file, angler and f"the angler {angler}"]))
        raise UsageError(
            f"No import that stands is of {of or 'a trip without an angler'}."
            f"{meant_perhaps(file or '', files)} rodhours history lists them."
        )
    return [done for one in reversed(meant) if (done := undo(run, one.id)) is not None]


def anglers_of_imports(run: sqlite3.Connection) -> Mapping[int, set[str | None]]:
    """Whose trips each import says or refused, None among them for those without a name."""
    anglers: dict[int, set[str | None]] = defaultdict(set)
    for change, angler in run.execute(
        "SELECT y.change_id, s.angler FROM session_says y JOIN sessions s ON s.id = y.session_id "
        "UNION SELECT change_id, angler FROM waiting"
    ):
        anglers[change].add(angler)
    return anglers


def _is_of(change: Change, file: Path) -> bool:
    """Whether a change read that file, named with its folder or without, or a file inside it."""
    read = [Path(one.file) for one in change.files]
    whole = {path for one in read for path in (one.resolve(), *one.resolve().parents)}
    return file.resolve() in whole or str(file) in {one.name for one in read}


@dataclass(frozen=True)
class _Held:
    """What holds at one moment: each session's version, each recipe, the labels."""

    sessions: dict[tuple[str, str | None], int]
    recipes: dict[str, dict[str, Any]]
    labels: Labels

    @classmethod
    def of(cls, run: sqlite3.Connection) -> _Held:
        rows = run.execute(
            "SELECT session, angler, id FROM sessions WHERE id IN (SELECT id FROM current)"
        )
        labels = labels_of(run)
        sessions = {(session, angler): version for session, angler, version in rows}
        return cls(sessions, held_recipes(run, labels.of), labels)


def _not_in(other: Mapping[Any, Any], held: Mapping[Any, Any]) -> int:
    """How many keys are held with a value that they do not have in the other."""
    return sum(other.get(key) != value for key, value in held.items())


def _relabelled(run: sqlite3.Connection, before: Labels, after: Labels) -> int:
    """How many sessions have a stint or fish whose label is another now."""
    if before == after:
        return 0
    sql = "SELECT DISTINCT session_id, variant FROM {} WHERE session_id IN (SELECT id FROM current)"
    return len(
        {
            session
            for table in ("stints", "catches")
            for session, label in run.execute(sql.format(table))
            if label is not None and before.of(label) != after.of(label)
        }
    )


def _first_of(number: int, said: Iterable[Sequence[Any]]) -> set[Any]:
    """The things, of pairs with a change that speaks of them, of which this one spoke first.

    Those of which no other speaks are not among them.
    """
    changes_of: dict[Any, set[int]] = {}
    for thing, change in said:
        changes_of.setdefault(thing, set()).add(change)
    return {thing for thing, by in changes_of.items() if min(by) == number and len(by) > 1}
