"""The labels of baits in files: read as those of now; the bag codes that an export tells of.

The rows are checked and compared under the labels of now, and kept under those they were written
with: so a rename taken back later holds for them too.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from rodhours.counts import listed
from rodhours.log.aliases import Labels
from rodhours.log.history import Change
from rodhours.log.table import FileTable, Log, Rows
from rodhours.log.unfished import PLANNED, UNFISHED

LABELLED = ("stints", "catches", "variants")


@dataclass
class Relabelled:
    """What the labels of now did to the rows of one import.

    `written` holds for each table the columns as the files have them, by name, where a label was
    changed. `twins` maps the label of a row in `variants` that stands beside a row of its bait's
    label to that one.
    """

    labels: Labels = field(default_factory=Labels)
    written: dict[str, dict[str, list[Any]]] = field(default_factory=dict)
    twins: dict[str, str] = field(default_factory=dict)

    def as_written(self, table: str, columns: Mapping[str, list[Any]]) -> dict[str, list[Any]]:
        """These columns of a table, with those as the files have them where labels were changed."""
        written = self.written.get(table, {})
        return {name: written.get(name, column) for name, column in columns.items()}


def relabel(log: Log, labels: Labels) -> Relabelled:
    """Put the labels of now in place of those written, with a hint for each that was renamed.

    Where `variants` has rows of two labels of a bait, the two are one recipe: cells that only one
    fills go to the other, and a problem is noted where both fill a cell otherwise.
    """
    done = Relabelled(labels)
    if not labels.steps:
        return done
    seen: set[str] = set()
    for name in LABELLED:
        rows = log.tables[name]
        for columns in (rows.columns, rows.extras):
            for column in {"variant", PLANNED, UNFISHED} & columns.keys():
                written = columns[column]
                if column == "variant":
                    seen.update(label for label in written if label is not None)
                now = (labels.each if column == UNFISHED else labels.all)(written)
                if now == written:
                    continue
                if name == "variants":
                    done.written[name] = {**rows.columns, **rows.extras}
                    _one_recipe(log, rows, now, done)
                else:
                    done.written.setdefault(name, {})[column] = written
                    columns[column] = now
    for label in sorted(seen):
        through = labels.renames(label)
        if through and labels.of(label) != label:
            undos = listed([f"rodhours undo {one}" for one in reversed(through)])
            log.findings.hints.append(
                f"The variant {label} is read as {labels.of(label)}, for it was renamed in the "
                f"logbook ({undos} takes that back)."
            )
    return done


def _one_recipe(log: Log, rows: Rows, now: list[str | None], done: Relabelled) -> None:
    """One row for each bait; rows of its other labels keep them, and give it their cells."""
    written = rows.columns["variant"]
    columns = {name: list(column) for name, column in (rows.columns | rows.extras).items()}
    first = {label: at for at, label in reversed(list(enumerate(now))) if label == written[at]}
    for at, (label, was) in enumerate(zip(now, written, strict=True)):
        if label is None or was is None or label == was:
            continue
        beside = first.setdefault(label, at)
        if beside == at:
            columns["variant"][at] = label
            continue
        done.twins[was] = label
        for name, column in columns.items():
            if name == "variant":
                continue
            if column[beside] is None:
                column[beside] = column[at]
            elif column[at] is not None and column[at] != column[beside]:
                one = "the logbook knows both labels as one bait"
                says = f"{column[beside]}, as the row of {label} says: {one}"
                log.problem("variants", at, name, says)
    rows.columns = {name: columns[name] for name in rows.columns}
    rows.extras = {name: columns[name] for name in rows.extras}


BAG_CODES = "bag_codes"
_FORM = "{code} of {plan}, opened {opened_at} with {trips_in} of {trips_planned} trips in"
_READ = re.compile(
    r"(?P<code>\S+) of (?P<plan>.+?), opened (?P<opened_at>\d{4}-\d\d-\d\dT[\d:+]+) with "
    r"(?P<trips_in>\d{1,6}) of (?P<trips_planned>\d{1,6}) trips in"
)
BETWEEN = "; "


def told(keys: Iterable[Change]) -> dict[str, str]:
    """The cell of each bait that has codes, under the label that its key gave it."""
    cells: dict[str, list[str]] = defaultdict(list)
    for key in keys:
        for code, bait in sorted(key.details["codes"].items()):
            cells[bait].append(_FORM.format(code=code, **key.details))
    return {bait: BETWEEN.join(said) for bait, said in cells.items()}


def without_bag_codes(raws: Sequence[FileTable]) -> tuple[list[FileTable], list[dict[str, Any]]]:
    """The tables without that column, nor rows that say nothing else; and the keys it tells of.

    Each key has the details that its opening has in the history, its last code beside them.
    """
    keys: dict[str, dict[str, Any]] = {}
    kept = []
    for raw in raws:
        if raw.table == "variants" and {BAG_CODES, "variant"} <= set(raw.header):
            cells = raw.named_columns
            for bait, text in zip(cells["variant"], cells[BAG_CODES], strict=True):
                for found in _READ.finditer(text):
                    said = found.groupdict()
                    counts = {name: int(said[name]) for name in ("trips_in", "trips_planned")}
                    key = keys.setdefault(said["plan"], {**said, **counts, "codes": {}})
                    key["codes"][said["code"]] = bait.strip()
            raw = raw.with_columns({}, without=[BAG_CODES])
            rows = [
                position
                for position, row in enumerate(zip(*raw.columns, strict=True))
                if sum(map(bool, row)) != 1 or not cells[BAG_CODES][position]
            ]
            raw = raw.only(rows)
        kept.append(raw)
    return kept, list(keys.values())
