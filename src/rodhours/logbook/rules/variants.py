"""One record for each variant, from `variants` and from what stints carried: they must agree."""

from __future__ import annotations

from collections import Counter
from typing import Any

from rodhours.logbook.reading import MOVED_VARIANTS
from rodhours.logbook.rules.checked import Checked
from rodhours.logbook.table import Log
from rodhours.wording import log_rules as words


def gather_variants(checked: Checked) -> None:
    """One record for each variant, from `variants` and from what stints carried."""
    log = checked.log
    variants, stints = log.tables["variants"], log.tables["stints"]
    positions: dict[str, list[int]] = {}
    for position, name in enumerate(variants.columns["variant"]):
        if name is not None:
            positions.setdefault(name, []).append(position)
    values = [*variants.columns.values(), *variants.extras.values()]
    for name, repeated in positions.items():
        checked.variant_rows[name] = repeated[0]
        if len(repeated) == 1:
            continue
        same = len({tuple(column[p] for column in values) for p in repeated}) == 1
        for position in repeated[1:] if same else repeated:
            other = repeated[0] if position != repeated[0] else repeated[1]
            log.problem(
                "variants",
                position,
                "variant",
                words.one_row_a_variant(log.place("variants", other), name),
            )
    labels = stints.columns["variant"]
    carried: dict[str, dict[str, Any]] = {}
    for column in MOVED_VARIANTS:
        cells = stints.moved.get(column.name)
        if cells is None:
            continue
        known = {
            name: variants.columns[column.name][position]
            for name, position in checked.variant_rows.items()
            if variants.columns[column.name][position] is not None
        }
        pairs = {
            pair
            for pair in zip(labels, cells, strict=True)
            if pair[0] is not None and pair[1] is not None
        }
        if len(pairs | set(known.items())) == len({*known, *(name for name, _ in pairs)}):
            found = dict(pairs)
        else:
            found = _settle_variants(log, column.name, known, labels, cells)
        for name, value in found.items():
            carried.setdefault(name, {})[column.name] = value
    for name, record in carried.items():
        if name in checked.variant_rows:
            checked.variant_fills[name] = record
        else:
            checked.carried_variants[name] = record
    if checked.carried_variants:
        for position in range(len(labels) - 1, -1, -1):
            if labels[position] in checked.carried_variants:
                checked.carried_at[labels[position]] = position


def _settle_variants(
    log: Log, column: str, known: dict[str, Any], labels: list[Any], cells: list[Any]
) -> dict[str, Any]:
    """What most rows say of each variant (or its row in `variants`); name those that differ."""
    counts: dict[str, Counter[Any]] = {}
    for name, value in zip(labels, cells, strict=True):
        if name is not None and value is not None:
            counts.setdefault(name, Counter())[value] += 1
    settled = {name: known.get(name, count.most_common(1)[0][0]) for name, count in counts.items()}
    for position, (name, value) in enumerate(zip(labels, cells, strict=True)):
        if name is not None and value is not None and value != settled[name]:
            says = words.variant_says(settled[name], name, in_table=name in known)
            log.problem("stints", position, column, says)
    return settled
