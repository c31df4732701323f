"""Files that still have a bait's old label are read with the one that the logbook gave it.

Renames are followed in the order in which they were made, so that a label goes the way that the
same label in the logbook went.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from rodhours.logbook.table import Log, Rows
from rodhours.wording.history import not_the_renamed_recipe, read_as

Rename = tuple[int, str, str]
"""The change, the old label and the new one."""


@dataclass
class Followed:
    """What renames did to the labels of one import.

    `changes` gives for an old label the changes it went through, `written` for each table the
    labels as the file has them. `twins` maps the label of a row in `variants` that stands beside
    a row of its new label to that one. `targets` are all labels that renames led to.
    """

    changes: dict[str, set[int]] = field(default_factory=dict)
    written: dict[str, list[str | None]] = field(default_factory=dict)
    twins: dict[str, str] = field(default_factory=dict)
    targets: set[str] = field(default_factory=set)

    def used_by(self, table: str, taken: Sequence[bool]) -> set[int]:
        """The changes whose new labels stand in the rows taken."""
        labels = self.written.get(table)
        if labels is None or not self.changes:
            return set()
        used = {label for label, is_taken in zip(labels, taken, strict=True) if is_taken}
        return set().union(*(self.changes[label] for label in used if label in self.changes))


def follow_renames(log: Log, renames: Sequence[Rename]) -> Followed:
    """Put the new labels in place of the old ones, with a hint for each; what was done.

    Where `variants` has a row of both, the two are one recipe: cells that only the old one fills
    go to the new one, and a problem is noted where both fill a cell otherwise.
    """
    followed = Followed(targets={new for _, _, new in renames})
    if not renames:
        return followed
    new_of: dict[str, str] = {}
    for name in ("stints", "catches", "variants"):
        rows = log.tables[name]
        labels = rows.columns["variant"]
        followed.written[name] = list(labels)
        for label in set(labels) - {None} - new_of.keys():
            goes_to, through = _follow(label, renames)
            new_of[label] = goes_to
            if through:
                followed.changes[label] = through
        if name == "variants":
            _rename_recipes(log, rows, new_of, followed)
        else:
            rows.columns["variant"] = [None if one is None else new_of[one] for one in labels]
    for label in sorted(followed.changes):
        log.findings.hints.append(read_as(label, new_of[label], sorted(followed.changes[label])))
    return followed


def _follow(label: str, renames: Sequence[Rename]) -> tuple[str, set[int]]:
    through = set()
    for change, old, new in renames:
        if label == old:
            label = new
            through.add(change)
    return label, through


def _rename_recipes(log: Log, rows: Rows, new_of: dict[str, str], followed: Followed) -> None:
    labels = rows.columns["variant"]
    own = {label: at for at, label in reversed(list(enumerate(labels))) if label is not None}
    cells = {**{name: rows.columns[name] for name in rows.columns}, **rows.extras}
    del cells["variant"]
    first: dict[str, int] = {}
    for at, label in enumerate(labels):
        if label is None or label not in followed.changes:
            continue
        new = new_of[label]
        beside = own.get(new) if new not in followed.changes else None
        beside = first.get(new) if beside is None else beside
        if beside is None:
            first[new] = at
            rows.columns["variant"][at] = new
            continue
        followed.twins[label] = new
        for name, column in cells.items():
            if column[beside] is None:
                column[beside] = column[at]
            elif column[at] is not None and column[at] != column[beside]:
                log.problem("variants", at, name, not_the_renamed_recipe(column[beside], new))
