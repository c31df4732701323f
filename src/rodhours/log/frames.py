"""The logbook as tidy frames, and the contract they keep with the evidence.

The stint frame is the one value that the logbook hands on: one row a stint, with everything
known of its session joined to it.
"""

from __future__ import annotations

import json
from collections import Counter
from typing import Any

import pandas as pd

from rodhours.log.batches import batch_key
from rodhours.log.logbook import Logbook, Row, by_column
from rodhours.log.logbook_file import Columns
from rodhours.log.tables import (
    BATCH_DATA,
    BATCHES,
    CATCH_DATA,
    CATCHES,
    SESSION_DATA,
    SESSIONS,
    STINT_DATA,
    STINTS,
    UNREAD,
    VARIANT_DATA,
    VARIANTS,
    Table,
)

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

    A batch of the ledger is written as there, and `age_days` says how old it was on the day of
    the session, missing where that is not known.

    The index, named `stint`, is each stint's key in this logbook, the same that `catches_frame`
    gives: no column, so that it can be taken for nothing that was logged.
    """
    counted = logbook.sessions() if with_left_out else counted_sessions(logbook)
    numbers = {row["id"] for row in counted}
    sessions = _frame(
        by_column(counted, ("id", "session", "angler", *SESSION_DATA, "extra")), SESSIONS
    )
    rows = [row for row in logbook.stints() if row["session_id"] in numbers]
    stints = _frame(by_column(rows, ("id", "session_id", *STINT_DATA, "extra")), STINTS)
    listed = Counter(row["stint_id"] for row in logbook.catches() if row["outcome"] != "lost")
    from_catches = stints["id"].map(listed).fillna(0)
    stints["fish"] = stints["fish"].fillna(from_catches).astype("int64")
    stints["hours"] = stints["hours"].astype("float64")
    stints["lost"] = stints["lost"].astype("Int64")
    at = stints["session_id"].map(pd.Series(range(len(sessions)), index=sessions["id"]))
    of_stint = sessions.take(at.to_numpy(dtype="int64")).reset_index(drop=True)
    cast = stints[["session_id", "cast_in"]].dropna().sort_values("cast_in")
    first_cast = cast.drop_duplicates("session_id").set_index("session_id")["cast_in"].str[:10]
    date = of_stint["date"].fillna(of_stint["start"].str[:10])
    date = date.fillna(stints["session_id"].map(first_cast))
    of_stint["date"] = pd.to_datetime(date, format="%Y-%m-%d")
    joined = stints.drop(columns=["id", "session_id"])
    both = of_stint.columns.intersection(joined.columns)
    for name in both.difference(CORE):
        joined[name] = joined[name].fillna(of_stint[name])
    joined = pd.concat([joined, of_stint.drop(columns=["id", *both])], axis=1)
    made = {batch_key(batch["batch"]): batch for batch in logbook.batches()}
    code = joined["batch"].map(batch_key, na_action="ignore")
    called = code.map({key: batch["batch"] for key, batch in made.items()})
    joined["batch"] = called.astype("object").fillna(joined["batch"]).astype("object")
    made_on = pd.to_datetime(code.map({key: batch["date"] for key, batch in made.items()}))
    days = (joined["date"].dt.normalize() - made_on).dt.days
    joined["age_days"] = days.astype("float64")
    filled = joined.columns[joined.notna().any()]
    further = [name for name in filled if name not in CORE]
    joined.index = pd.Index(stints["id"].to_numpy(dtype="int64"), name=KEY)
    return joined[[*CORE, *further]]


def counted_sessions(logbook: Logbook) -> list[Row]:
    """The rows of `Logbook.sessions` without those that are left out."""
    aside = {(mark.session, mark.angler) for mark in logbook.left_out()}
    return [row for row in logbook.sessions() if (row["session"], row["angler"]) not in aside]


def variants_frame(logbook: Logbook) -> pd.DataFrame:
    """One row a variant of the `variants` table, by label; numbers where they can be."""
    rows = logbook.variants()
    names = ("variant", *VARIANT_DATA, "extra")
    return _frame({name: [row[name] for row in rows] for name in names}, VARIANTS)


def batches_frame(logbook: Logbook) -> pd.DataFrame:
    """One row a batch of the ledger, the oldest first.

    Columns: batch (the code on its bag) and those of the batches table under their own names,
    date as datetime64, numbers as floats, missing where not recorded; then diameters_mm, a tuple
    of the diameters of single baits, empty where none was measured.
    """
    rows = logbook.batches()
    names = ("batch", *BATCH_DATA)
    frame = _frame({name: [row[name] for row in rows] for name in names}, BATCHES)
    frame["date"] = pd.to_datetime(frame["date"], format="%Y-%m-%d")
    frame["diameters_mm"] = pd.Series([row["diameters_mm"] for row in rows], dtype="object")
    return frame


def catches_frame(logbook: Logbook) -> pd.DataFrame:
    """One row a fish of the sessions that count.

    Columns: session, angler, stint, rod, variant, time, species, weight (kg), outcome.

    The variant is that of the stint which had the fish, where catches does not say. `stint` is
    that stint's key in the index of `stint_frame`, missing where only its rod and variant are
    known (a rod that fished a variant more than once, without a time).
    """
    keys = {row["id"]: (row["session"], row["angler"]) for row in counted_sessions(logbook)}
    rows = [row for row in logbook.catches() if row["session_id"] in keys]
    columns = by_column(rows, ("session_id", "stint_id", *CATCH_DATA, "extra"))
    columns[KEY] = columns.pop("stint_id")
    catches = _frame(columns, CATCHES)
    variants = {row["id"]: row["variant"] for row in logbook.stints()}
    of_fish = [keys[number] for number in catches["session_id"]]
    catches.insert(0, "session", pd.Series([key[0] for key in of_fish], dtype="object"))
    catches.insert(1, "angler", pd.Series([key[1] for key in of_fish], dtype="object"))
    catches["variant"] = catches["variant"].fillna(catches[KEY].map(variants))
    catches["outcome"] = catches["outcome"].fillna("landed")
    catches[KEY] = catches[KEY].astype("Int64")
    catches.insert(2, KEY, catches.pop(KEY))
    return catches.drop(columns=["session_id"])


def _frame(columns: Columns, table: Table) -> pd.DataFrame:
    """Columns of the logbook, unknown ones unpacked from `extra`; numeric columns as float."""
    kinds = {one.name: "float64" if one.kind.numeric else "object" for one in table.columns}
    # One index for all: columns with indexes of their own would be aligned one by one.
    index = pd.RangeIndex(len(next(iter(columns.values()))))
    frame = pd.DataFrame(
        {name: pd.Series(cells, index, kinds.get(name)) for name, cells in columns.items()}, index
    )
    extras = frame.pop("extra") if "extra" in frame else pd.Series(dtype="object")
    if extras.notna().any():
        known = {text: json.loads(text) for text in set(extras.dropna())}
        names = sorted({name for cells in known.values() for name in cells} - {*frame.columns})
        names = [name for name in names if not name.startswith(UNREAD)]
        for name in names:
            cells = extras.map({text: cells.get(name) for text, cells in known.items()})
            frame[name] = _numeric_if_all(cells.astype("object"))
    return frame


def _numeric_if_all(column: pd.Series[Any]) -> pd.Series[Any]:
    """The column as numbers where every filled cell is one, as it was otherwise."""
    filled = column.dropna()
    numbers = pd.to_numeric(filled, errors="coerce")
    # Words that number parsers know (nan, inf) are texts in a log.
    words = filled.astype(str).str.contains(r"[^\W\deE_]").any()
    if filled.empty or numbers.isna().any() or words:
        return column
    return pd.to_numeric(column).astype("float64")
