"""The ledger of batches: the code on each bag, what is recorded of it, and what does not fit.

A code is the variant's initials and a running number, such as `P20-1`: short enough to write on
a bag, and without letters that handwriting turns into a figure or into one another.
"""

from __future__ import annotations

import re
import sqlite3
import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from rodhours.errors import UsageError
from rodhours.log.history import BATCH_ADDED, BATCH_REMOVED, record, standing
from rodhours.log.tables import BATCH_DATA, quoted

LETTERS = frozenset("ACDEFHJKMNPRTWXY")
"""Letters used in a code. Left out: B (8), G (6), I and L (1), O and Q (0), S (5), Z (2), U and
V (each other)."""
LONGEST_INITIALS = 6
MOST_NAMED = 5
"""More unknown batches than this are counted, not named."""


def initials(variant: str) -> str:
    """The first usable letter of each word of a label, its numbers whole: `pellet-20` is P20.

    `X` where nothing of the label can be used; at most six characters.
    """
    decomposed = unicodedata.normalize("NFKD", variant).upper()
    plain = "".join(char for char in decomposed if not unicodedata.combining(char))
    parts = []
    for word in re.findall(r"[^\W\d_]+|[0-9]+", plain):
        if word.isdigit():
            parts.append(word)
        else:
            parts.append(next((letter for letter in word if letter in LETTERS), ""))
    found = "".join(parts)[:LONGEST_INITIALS]
    return found if found[:1].isalpha() else f"X{found}"[:LONGEST_INITIALS]


def next_code(variant: str, used: Iterable[str]) -> str:
    """The next code for a batch of this variant, given all codes that were ever given out.

    It differs from each of them in more than capitals, spaces and dashes, so that a dash lost on
    the way from the bag to the log does not make it another batch's.
    """
    taken = {batch_key(code) for code in used}
    start = initials(variant)
    number = 1
    while batch_key(f"{start}-{number}") in taken:
        number += 1
    return f"{start}-{number}"


def batch_key(code: str) -> str:
    """What counts of a code as somebody wrote it: `p20 1` and `P20-1` are the same batch."""
    return "".join(char for char in code.upper() if char.isalnum())


def check_code(code: str) -> None:
    """UsageError for a code of an angler's own that has neither letter nor figure in it."""
    if not batch_key(code):
        raise UsageError(f"'{code}' is no code for a bag: give it letters or figures.")


def held_batches(run: sqlite3.Connection) -> list[dict[str, Any]]:
    """Each batch with BATCH_DATA and `diameters_mm`, a tuple, the oldest first."""
    removed = {change.details["batch"] for change in standing(run, BATCH_REMOVED)}
    rows = run.execute(
        "SELECT * FROM batches WHERE change_id IN "
        "(SELECT id FROM changes WHERE undone_at IS NULL) ORDER BY date, id"
    ).fetchall()
    measured: dict[int, list[float]] = {}
    for number, size in run.execute(
        "SELECT batch_id, diameter_mm FROM diameters ORDER BY batch_id, bait"
    ):
        measured.setdefault(number, []).append(size)
    return [
        {
            **{name: row[name] if name in row.keys() else None for name in ("batch", *BATCH_DATA)},  # noqa: SIM118
            "diameters_mm": tuple(measured.get(row["id"], ())),
        }
        for row in rows
        if row["batch"] not in removed
    ]


def add_batch(
    run: sqlite3.Connection,
    values: Mapping[str, Any],
    diameters: Sequence[float],
    code: str | None,
    label: str,
) -> str:
    """Record a batch; the code that its bag gets, made from the bait's `label` now if need be.

    UsageError where the code given was used before, by a batch taken off again too.
    """
    used = [batch for (batch,) in run.execute("SELECT batch FROM batches")]
    if code is None:
        code = next_code(label, used)
    elif batch_key(code) in map(batch_key, used):
        raise UsageError(
            f"The code {code} was given to a batch before; see rodhours batch list. "
            "Leave out --code to have a free one."
        )
    change = record(run, BATCH_ADDED, details={"batch": code, "variant": values["variant"]})
    row = {**values, "batch": code, "change_id": change}
    names = ("change_id", "batch", *BATCH_DATA)
    number = run.execute(
        f"INSERT INTO batches ({quoted(names)}) VALUES ({', '.join('?' * len(names))})",
        [row.get(name) for name in names],
    ).lastrowid
    run.executemany(
        "INSERT INTO diameters VALUES (?, ?, ?)",
        ((number, bait, size) for bait, size in enumerate(diameters, start=1)),
    )
    return code


def remove_batch(run: sqlite3.Connection, code: str) -> str:
    """Take a batch off, however its code is written; the code as it stood there.

    Its code stays taken: a bag may bear it. UsageError where there is no such batch.
    """
    for batch in held_batches(run):
        if batch_key(batch["batch"]) == batch_key(code):
            details = {name: batch[name] for name in ("batch", "variant")}
            record(run, BATCH_REMOVED, details=details)
            return str(batch["batch"])
    raise UsageError(f"There is no batch {code}; see rodhours batch list.")


def batch_hints(logged: Iterable[tuple[str, str]], ledger: Iterable[tuple[str, str]]) -> list[str]:
    """What does not fit between the batches logged in stints and those of the ledger.

    Both are pairs of batch and variant. Nothing is said while the ledger is empty: then batches
    go by whatever the angler calls them.
    """
    known = {batch_key(batch): (batch, variant) for batch, variant in ledger}
    if not known:
        return []
    pairs = sorted(set(logged))
    unknown = sorted({batch for batch, _ in pairs if batch_key(batch) not in known})
    hints = []
    if unknown:
        named = ", ".join(unknown[:MOST_NAMED])
        more = f" and {len(unknown) - MOST_NAMED} more" if len(unknown) > MOST_NAMED else ""
        one = len(unknown) == 1
        hints.append(
            f"{'Batch' if one else 'Batches'} {named}{more} in stints {'is' if one else 'are'} not "
            "in the ledger of batches: record what is known of "
            f"{'it' if one else 'them'} with rodhours batch add VARIANT --code CODE, or correct "
            "the code in your file."
        )
    for batch, variant in pairs:
        code, made_as = known.get(batch_key(batch), (batch, variant))
        if made_as != variant:
            hints.append(
                f"Batch {code} is a batch of {made_as} in the ledger, but stints have it as "
                f"{variant}: one of the two is wrong."
            )
    return hints
