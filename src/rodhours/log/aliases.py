"""One bait under several labels: renames and opened keys, and what a label stands for now.

Both are changes that say of labels which other one they have from now on: a rename of one label, an
opened key of all codes on its bags, however they are capitalised. The rows stay as the files had
them; labels are read through `Labels`. All functions take a connection, inside a transaction
where they write.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from functools import cache
from typing import Any

from rodhours.counts import listed
from rodhours.errors import RefusedRows, UsageError
from rodhours.log.batches import held_batches
from rodhours.log.change_texts import meant_perhaps, some
from rodhours.log.history import OPENED_KEY, RENAME, changes, now, record, standing
from rodhours.log.recipe_rows import held_recipes, joined
from rodhours.log.unfished import BETWEEN


@dataclass(frozen=True)
class Step:
    """What one change says of labels; `codes` are bag codes, in capitals whoever writes them."""

    change: int
    new: Mapping[str, str]
    codes: bool = False

    def of(self, label: str) -> str:
        """The label that this one has after the change."""
        return self.new.get(label.upper() if self.codes else label, label)


@dataclass(frozen=True)
class Labels:
    """What every label stands for now: the steps of all changes still standing, in their order."""

    steps: tuple[Step, ...] = ()

    def of(self, label: str) -> str:
        """The label of a bait now, given one that it has in a file."""
        for step in self.steps:
            label = step.of(label)
        return label

    def meant(self, name: str, known: Collection[str]) -> str:
        """The bait that a name typed by a user stands for: one `known` now, else what it became."""
        return name if name in known else self.of(name)

    def renames(self, label: str) -> list[int]:
        """The renames that this label went through, the oldest first."""
        through = []
        for step in self.steps:
            if step.of(label) != label and not step.codes:
                through.append(step.change)
            label = step.of(label)
        return through

    def all(self, labels: Iterable[str | None]) -> list[str | None]:
        """The labels now of a whole column."""
        of = cache(self.of)
        return [None if label is None else of(label) for label in labels]

    def each(self, texts: Iterable[str | None]) -> list[str | None]:
        """The same of a column whose cells have several labels, as `BETWEEN` parts them."""
        return [
            None if text is None else BETWEEN.join(map(self.of, text.split(BETWEEN)))
            for text in texts
        ]

    @property
    def targets(self) -> set[str]:
        """The labels that other ones were made."""
        return {self.of(new) for step in self.steps for new in step.new.values()}

    @property
    def codes(self) -> dict[str, str]:
        """Every code of an opened key, in capitals, with its bait's label now."""
        return {code: self.of(code) for step in self.steps if step.codes for code in step.new}


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
        return asdict(self)


@dataclass(frozen=True)
class Opening:
    """When a key was first opened (ISO 8601, UTC), how many trips were in, whether just now."""

    opened_at: str
    trips_in: int
    trips_planned: int
    first: bool


@dataclass(frozen=True)
class OpenedEarly:
    """A key opened before all trips planned were in; `after` are label and angler of its trips
    that came into the logbook afterwards, `blind` counts those before."""

    plan: str
    opened_at: str
    trips_planned: int
    blind: int
    after: frozenset[tuple[str, str | None]]


def opened_early(run: sqlite3.Connection) -> list[OpenedEarly]:
    """Every standing key that was opened early; when it was first opened is what counts."""
    found = []
    for key in standing(run, OPENED_KEY):
        details = key.details
        if details["trips_in"] >= details["trips_planned"]:
            continue
        opened_first = min(
            one.id for one in changes(run, OPENED_KEY) if one.details["plan"] == details["plan"]
        )
        codes = [code.upper() for code in details["codes"]]
        rows = run.execute(
            "SELECT s.session, s.angler, min(y.change_id) FROM sessions s "
            "JOIN session_says y ON y.session_id = s.id JOIN changes c ON c.id = y.change_id "
            "WHERE c.undone_at IS NULL AND (s.session, ifnull(s.angler, '')) IN "
            "(SELECT session, ifnull(angler, '') FROM sessions WHERE id IN "
            "(SELECT session_id FROM stints "
            f"WHERE upper(variant) IN ({', '.join('?' * len(codes))}))) "
            "GROUP BY s.session, ifnull(s.angler, '')",
            codes,
        ).fetchall()
        after = frozenset((row[0], row[1]) for row in rows if row[2] > opened_first)
        # From an export the trips have their baits' labels, so that none of them has a code.
        blind = max(len(rows) - len(after), details["trips_in"] if not rows else 0)
        early = details["opened_at"], details["trips_planned"], blind, after
        found.append(OpenedEarly(details["plan"], *early))
    return found


def labels_of(run: sqlite3.Connection) -> Labels:
    """What the changes still standing say of labels."""
    return Labels(
        tuple(
            Step(change.id, {code.upper(): bait for code, bait in details["codes"].items()}, True)
            if change.kind == OPENED_KEY
            else Step(change.id, {details["old"]: details["new"]})
            for change in standing(run, RENAME, OPENED_KEY)
            for details in (change.details,)
        )
    )


def meant(run: sqlite3.Connection, name: str) -> str:
    """The bait that a name typed by a user stands for, in the logbook as it is."""
    labels = labels_of(run)
    return labels.meant(name, set(map(labels.of, _written(run))) if labels.steps else ())


def rename_variant(run: sqlite3.Connection, old: str, new: str) -> Renamed:
    """Give a bait another label, or make it one with a bait that has that label already.

    UsageError for a label that the logbook does not know, or that stays as it is; RefusedRows
    where the two have recipes that differ.
    """
    labels = labels_of(run)
    known = set(map(labels.of, _written(run)))
    old, new = meant(run, old), labels.codes.get(new.upper(), new)
    if old not in known:
        near, all_known = meant_perhaps(old, known), some(sorted(known), 12)
        hint = near or (f" It knows {all_known}." if known else "")
        raise UsageError(f"The logbook knows no variant '{old}'.{hint}")
    if new == old:
        raise UsageError(f"'{old}' is the label already: name the new one second.")
    written = [label for label in _written(run) if labels.of(label) == old]
    recipes = held_recipes(run, labels.of)
    if old in recipes and new in recipes:
        differing = joined(recipes[old], recipes[new])[1]
        if differing:
            raise RefusedRows(
                f"'{old}' was not renamed: the variants table says otherwise of '{new}' in "
                f"{listed(differing)}. If they are one bait, make the two rows agree in your "
                "file, import it with --replace, and rename then."
            )
    stints, sessions = _touched(run, written)
    details = {"old": old, "new": new, "merged": new in known}
    number = record(run, RENAME, rows=stints, sessions=sessions, details=details)
    batches = sum(labels.of(batch["variant"]) == old for batch in held_batches(run))
    return Renamed(number, old, new, new in known, sessions, stints, batches)


def open_key(
    run: sqlite3.Connection,
    plan: str,
    codes: Mapping[str, str],
    trips_planned: int,
    first: Mapping[str, Any] | None = None,
) -> Opening:
    """Read the codes of a plan as their baits from now on; when that was first done.

    `first` are `opened_at` and `trips_in` of an opening in another logbook, from an export.
    UsageError where a code is known as another bait's.
    """
    labels = labels_of(run)
    for code, variant in codes.items():
        held = labels.codes.get(code.upper())
        if held is not None and held != labels.of(variant):
            raise UsageError(
                f"The code {code} stands for {held} in this logbook already, and for {variant} in "
                "this key. Keep the two seasons in two logbooks (--logbook)."
            )
    keys = [change for change in changes(run, OPENED_KEY) if change.details["plan"] == plan]
    alike = [key for key in keys if key.details["codes"] == dict(codes)]
    stands = [key for key in keys if key.undone_at is None]
    if any(key not in alike for key in stands):
        raise UsageError(f"Another key of a plan called {plan} was opened in this logbook before.")
    capitals = {code.upper() for code in codes}
    written = [label for label in _written(run) if label.upper() in capitals]
    stints, sessions = _touched(run, written)
    noted: dict[str, Any] = {"opened_at": now(), "trips_in": sessions, **(first or {})}
    noted["trips_planned"] = trips_planned
    if alike:
        # When it was first opened stays noted, though the opening was taken back.
        noted = {name: alike[0].details[name] for name in noted}
    if not stands:
        details = {"plan": plan, "codes": dict(codes), **noted}
        record(run, OPENED_KEY, rows=stints, sessions=sessions, details=details)
    return Opening(**noted, first=not alike)


def _written(run: sqlite3.Connection) -> set[str]:
    """The labels that the files gave to the baits fished and to those with a recipe."""
    fished = "SELECT variant FROM {} WHERE session_id IN (SELECT id FROM current)"
    rows = run.execute(
        f"{fished.format('stints')} UNION {fished.format('catches')} UNION "
        "SELECT variant FROM variants WHERE change_id IN "
        "(SELECT id FROM changes WHERE undone_at IS NULL)"
    )
    return {label for (label,) in rows if label is not None}


def _touched(run: sqlite3.Connection, written: Sequence[str]) -> tuple[int, int]:
    """How many stints have these labels, and how many sessions."""
    marks = ", ".join("?" * len(written))
    rows = (
        f"SELECT session_id FROM {{}} WHERE variant IN ({marks}) "
        "AND session_id IN (SELECT id FROM current)"
    )
    stints, catches = rows.format("stints"), rows.format("catches")
    (count,) = run.execute(f"SELECT count(*) FROM ({stints})", written).fetchone()
    (sessions,) = run.execute(
        f"SELECT count(*) FROM ({stints} UNION {catches})", [*written, *written]
    ).fetchone()
    return count, sessions
