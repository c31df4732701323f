"""Which sessions are shared, which variants are linked to the reference, the same-trip columns.

Two variants are linked through sessions that had both, directly or through other variants. The
same-trip columns are each variant's share of a session's rod-hours: they take up all that is
common to the session, so that a variant's own coefficient is a comparison within sessions.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from rodhours.evidence.session_model.data import Floats, Integers
from rodhours.evidence.stints import Stints

FEWEST_SESSIONS = 4
"""A variant needs at least this many sessions of the same-trip fit, and so does the reference."""
FEWEST_SAME_TRIP_DF = 4
"""A same-trip answer needs at least this many degrees of freedom."""


@dataclass(frozen=True)
class SessionTable:
    """Who was in the water when: `fished` (sessions, variants) holds rod-hours."""

    hours: Floats

    @property
    def fished(self) -> np.ndarray:
        """Whether a variant was in the water in a session; (sessions, variants)."""
        return np.asarray(self.hours > 0)

    def shared_with(self, reference: int) -> Integers:
        """For each variant, the number of sessions that had both it and the reference."""
        fished = self.fished
        return np.asarray(fished[fished[:, reference]].sum(axis=0), dtype=np.int64)

    def linked_to(self, reference: int) -> np.ndarray:
        """Which variants are linked to the reference through shared sessions (itself too)."""
        fished = self.fished.astype(np.float64)
        together = fished.T @ fished > 0
        linked = np.zeros(together.shape[0], dtype=bool)
        linked[reference] = True
        while True:
            grown = linked | together[linked].any(axis=0)
            if (grown == linked).all():
                return linked
            linked = grown


def session_table(stints: Stints) -> SessionTable:
    """Rod-hours by session and variant."""
    variants = len(stints.variants)
    sessions = int(stints.session.max()) + 1
    flat = np.bincount(
        stints.session * variants + stints.variant, stints.hours, sessions * variants
    )
    return SessionTable(np.asarray(flat, dtype=np.float64).reshape(sessions, variants))


def same_trip_rows(stints: Stints, table: SessionTable, linked: np.ndarray) -> np.ndarray:
    """The stints of linked variants in sessions that had at least two of them; a mask."""
    enough = table.fished[:, linked].sum(axis=1) >= 2
    return np.asarray(enough[stints.session] & linked[stints.variant])


def same_trips(stints: Stints, reference: int) -> np.ndarray:
    """The stints of the same-trip fit against a reference; a mask."""
    table = session_table(stints)
    return same_trip_rows(stints, table, table.linked_to(reference))


def share_columns(stints: Stints, variants: Integers) -> Floats:
    """Each variant's share of the session's rod-hours, centred; (stints, len(variants)).

    `stints` are those of the same-trip fit, `variants` the codes of all but the reference.
    """
    table = session_table(stints)
    total = table.hours.sum(axis=1)
    share = table.hours[:, variants] / np.where(total > 0, total, 1.0)[:, None]
    by_stint = share[stints.session]
    return np.asarray(by_stint - by_stint.mean(axis=0))


def most_shared(stints: Stints, without: int | None = None) -> tuple[int, float]:
    """The variant with most shared rod-hours, and how many: the reference where none is given.

    Shared rod-hours of a variant are its own in sessions that had another variant too. Where no
    session had two, the variant with most rod-hours. Never the best-looking: catches play no
    part. `without` is a variant that cannot be it.
    """
    table = session_table(stints)
    can_be = table.hours.sum(axis=0) > 0
    if without is not None and can_be.sum() > 1:
        can_be[without] = False
    mixed = table.fished.sum(axis=1) >= 2
    shared = table.hours[mixed].sum(axis=0) * can_be
    if not shared.any():
        return int(np.argmax(table.hours.sum(axis=0) * can_be)), 0.0
    chosen = int(np.argmax(shared))
    return chosen, float(shared[chosen])


def independent_columns(base: Floats, extra: Floats, tolerance: float = 1e-8) -> np.ndarray:
    """Which extra columns vary and are no linear combination of those before; a mask.

    Columns are looked at from left to right, after those of `base`.
    """
    kept = np.zeros(extra.shape[1], dtype=bool)
    if not extra.shape[1]:
        return kept
    basis, _ = np.linalg.qr(base)
    for j in range(extra.shape[1]):
        column = extra[:, j]
        size = float(np.linalg.norm(column - column.mean()))
        rest = column - basis @ (basis.T @ column)
        rest -= basis @ (basis.T @ rest)
        length = float(np.linalg.norm(rest))
        if (
            size > 0
            and length > tolerance * max(size, 1e-300)
            and length > 1e-9 * np.sqrt(len(rest))
        ):
            kept[j] = True
            basis = np.column_stack((basis, rest / length))
    return kept
