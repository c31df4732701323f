"""Opened keys in the open format: a column of variants that says which bag codes were each bait's.

It is about the bags and not about the recipe, so an import takes it off the table again.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

from rodhours.log.history import Change
from rodhours.log.table import FileTable

BAG_CODES = "bag_codes"
_FORM = "{code} of {plan}, opened {opened_at} with {trips_in} of {trips_planned} trips in"
_READ = re.compile(
    r"(\S+) of (.+?), opened (\d{4}-\d\d-\d\dT[\d:+]+) with (\d{1,6}) of (\d{1,6}) trips in"
)
BETWEEN = "; "


@dataclass
class OpenedKey:
    """A key as an export tells it: when it was opened, how many trips were in and planned."""

    plan: str
    opened_at: str
    trips_in: int
    trips_planned: int
    codes: dict[str, str] = field(default_factory=dict)


def told(keys: Iterable[Change]) -> dict[str, str]:
    """The cell of each bait that has codes, under the label that its key gave it."""
    cells: dict[str, list[str]] = defaultdict(list)
    for key in keys:
        for code, bait in sorted(key.details["codes"].items()):
            cells[bait].append(_FORM.format(code=code, **key.details))
    return {bait: BETWEEN.join(said) for bait, said in cells.items()}


def without_bag_codes(raws: Sequence[FileTable]) -> tuple[list[FileTable], list[OpenedKey]]:
    """The tables without that column, nor rows that say nothing else; and the keys it tells of."""
    keys: dict[str, OpenedKey] = {}
    kept = []
    for raw in raws:
        if raw.table == "variants" and {BAG_CODES, "variant"} <= set(raw.header):
            cells = raw.named_columns
            for bait, text in zip(cells["variant"], cells[BAG_CODES], strict=True):
                for code, plan, opened_at, trips_in, planned in _READ.findall(text):
                    key = OpenedKey(plan, opened_at, int(trips_in), int(planned))
                    keys.setdefault(plan, key).codes[code] = bait.strip()
            at = raw.header.index(BAG_CODES)
            header = raw.header[:at] + raw.header[at + 1 :]
            columns = raw.columns[:at] + raw.columns[at + 1 :]
            rows = [
                position
                for position, row in enumerate(zip(*columns, strict=True))
                if sum(map(bool, row)) != 1 or not cells[BAG_CODES][position]
            ]
            raw = replace(raw, header=header, columns=columns).only(rows)
        kept.append(raw)
    return kept, list(keys.values())
