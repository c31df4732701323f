"""The logbook as tidy frames, and the contract they keep with the evidence.

The stint frame is the one value that the logbook hands on: one row a stint, with everything
known of its session joined to it.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

import pandas as pd

from rodhours.logbook.logbook import (
    BATCH_DATA,
    CATCH_DATA,
    SESSION_DATA,
    STINT_DATA,
    VARIANT_DATA,
    Logbook,
    Row,
)
from rodhours.logbook.opened_keys import variants_of_codes
from rodhours.logbook.tables import BATCHES, CATCHES, SESSIONS, STINTS, VARIANTS, Table
from rodhours.logbook.unfished import PLANNED

CORE = ("session", "angler", "date", "venue", "rod", "variant", "batch", "hours", "fish", "lost")
"""The columns every stint frame has, filled or not."""
KEY = "stint"
"""The key of a stint: the name of the stint frame's index and of a column of the catches."""


def stint_frame(logbook: Logbook, with_left_out: bool = False) -> pd.DataFrame:
    """One row a stint, by date, session, angler and rod; an empty logbook gives no rows.

    Sessions that are left out are not in it, unless `with_left_out`: their blanks and fish are
    no evidence, but a log that has them has no gap there.

    Columns: session and variant (text), angler, venue, rod and batch (text or missing), date
    (datetime64, NaT where unknown), hours (float > 0), fish (int >= 0), lost (Int64 or
    missing), then every further column of stints and sessions with at least one filled cell,
    numeric where every filled cell is a number. Where stints has no count, fish are those that
    catches lists as landed. Without a date, the session's start or its first cast gives it.

    Where a sealed key was opened, its codes are read as the variants they stand for.

    The index, named `stint`, is each stint's key in this logbook, the same that `catches_frame`
    gives: no column, so that it can be taken for nothing that was logged.
    """
    counted = logbook.sessions() if with_left_out else counted_sessions(logbook)
    numbers = {row[0] for row in counted}
    sessions = _frame(counted, ("id", "session", "angler", *SESSION_DATA, "extra"), SESSIONS)
    stints = _frame(
        (row for row in logbook.stints() if row[1] in numbers),
        ("id", "session_id", *STINT_DATA, "extra"),
        STINTS,
    )
    codes = variants_of_codes(logbook)
    stints["variant"] = _unblinded(stints["variant"], codes)
    if codes and PLANNED in stints:
        stints[PLANNED] = _unblinded(stints[PLANNED], codes)
    listed = Counter(
        row[1] for row in logbook.catches() if row[1] is not None and row[-2] != "lost"
    )
    from_catches = stints["id"].map(listed).fillna(0)
    stints["fish"] = stints["fish"].fillna(from_catches).astype("int64")
    stints["hours"] = stints["hours"].astype("float64")
    stints["lost"] = stints["lost"].astype("Int64")
    at = stints["session_id"].map(pd.Series(range(len(sessions)), index=sessions["id"]))
    of_stint = sessions.take(at.to_numpy(dtype="int64")).reset_index(drop=True)
    first_cast = stints["cast_in"].groupby(stints["session_id"]).transform("min")
    date = of_stint["date"].fillna(of_stint["start"].str[:10]).fillna(first_cast.str[:10])
    of_stint["date"] = pd.to_datetime(date, format="%Y-%m-%d")
    joined = stints.drop(columns=["id", "session_id"])
    for name in of_stint.columns.drop("id"):
        if name not in joined.columns:
            joined[name] = of_stint[name]
        elif name not in CORE:
            joined[name] = joined[name].fillna(of_stint[name])
    further = [name for name in joined if name not in CORE and joined[name].notna().any()]
    joined.index = pd.Index(stints["id"].to_numpy(dtype="int64"), name=KEY)
    return joined[[*CORE, *further]]


def counted_sessions(logbook: Logbook) -> list[Row]:
    """The rows of `Logbook.sessions` without those that are left out."""
    aside = {(one.session, one.angler) for one in logbook.left_out()}
    sessions = logbook.sessions()
    return [row for row in sessions if row[1:3] not in aside] if aside else sessions


def variants_frame(logbook: Logbook) -> pd.DataFrame:
    """One row a variant of the `variants` table, by label; numbers where they can be."""
    return _frame(logbook.variants(), ("variant", *VARIANT_DATA, "extra"), VARIANTS)


def batches_frame(logbook: Logbook) -> pd.DataFrame:
    """One row a batch of the ledger, the oldest first.

    Columns: batch (the code on its bag) and those of the batches table under their own names,
    date as datetime64, numbers as floats, missing where not recorded; then diameters_mm, a tuple
    of the diameters of single baits, empty where none was measured.
    """
    rows = logbook.batches()
    frame = _frame(((*row[:-1], None) for row in rows), ("batch", *BATCH_DATA, "extra"), BATCHES)
    frame["date"] = pd.to_datetime(frame["date"], format="%Y-%m-%d")
    frame["variant"] = _unblinded(frame["variant"], variants_of_codes(logbook))
    frame["diameters_mm"] = pd.Series([row[-1] for row in rows], dtype="object")
    return frame


def catches_frame(logbook: Logbook) -> pd.DataFrame:
    """One row a fish of the sessions that count.

    Columns: session, angler, stint, rod, variant, time, species, weight (kg), outcome.

    The variant is that of the stint which had the fish, where catches does not say. `stint` is
    that stint's key in the index of `stint_frame`, missing where only its rod and variant are
    known (a rod that fished a variant more than once, without a time).
    """
    keys = {row[0]: row[1:3] for row in counted_sessions(logbook)}
    catches = _frame(
        (row for row in logbook.catches() if row[0] in keys),
        ("session_id", KEY, *CATCH_DATA, "extra"),
        CATCHES,
    )
    variants = {row[0]: row[2 + STINT_DATA.index("variant")] for row in logbook.stints()}
    codes = variants_of_codes(logbook)
    of_fish = [keys[number] for number in catches["session_id"]]
    catches.insert(0, "session", pd.Series([key[0] for key in of_fish], dtype="object"))
    catches.insert(1, "angler", pd.Series([key[1] for key in of_fish], dtype="object"))
    catches["variant"] = catches["variant"].fillna(catches[KEY].map(variants))
    catches["variant"] = _unblinded(catches["variant"], codes)
    catches["outcome"] = catches["outcome"].fillna("landed")
    catches[KEY] = catches[KEY].astype("Int64")
    catches.insert(2, KEY, catches.pop(KEY))
    return catches.drop(columns=["session_id"])


def _unblinded(labels: pd.Series[Any], codes: Mapping[str, str]) -> pd.Series[Any]:
    """Labels with the codes of opened keys read as the variants they stand for."""
    if not codes:
        return labels
    known = {label: codes.get(label.upper(), label) for label in set(labels.dropna())}
    return labels.map(known).astype("object")


def _frame(rows: Iterable[Sequence[Any]], names: Sequence[str], table: Table) -> pd.DataFrame:
    """Rows of the logbook with their unknown columns unpacked; numeric columns as float."""
    frame = pd.DataFrame(list(rows), columns=list(names))
    declared = {column.name: column.kind.numeric for column in table.columns}
    for name in frame.columns:
        if declared.get(name):
            frame[name] = pd.to_numeric(frame[name]).astype("float64")
        elif name in declared:
            frame[name] = frame[name].astype("object")
    extras = frame.pop("extra")
    if extras.notna().any():
        known = {text: json.loads(text) for text in set(extras.dropna())}
        names = sorted({name for cells in known.values() for name in cells} - {*frame.columns})
        for name in names:
            cells = extras.map({text: cells.get(name) for text, cells in known.items()})
            frame[name] = _numeric_if_all(cells.astype("object"))
    return frame


def _numeric_if_all(column: pd.Series[Any]) -> pd.Series[Any]:
    """The column as numbers where every filled cell is one, as it was otherwise."""
    filled = column.dropna()
    numbers = pd.to_numeric(filled, errors="coerce")
    if filled.empty or numbers.isna().any() or not filled.map(_is_plain).all():
        return column
    return pd.to_numeric(column).astype("float64")


def _is_plain(text: str) -> bool:
    # Words that number parsers know (nan, inf) are texts in a log.
    return not any(char.isalpha() for char in text.lower().replace("e", "", 1))
