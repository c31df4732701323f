"""Opened keys in the open format: a column of variants that says which bag codes were each bait's.

It is about the bags and not about the recipe, so an import takes it off the table again.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from typing import Any

from rodhours.log.history import Change
from rodhours.log.table import FileTable

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
