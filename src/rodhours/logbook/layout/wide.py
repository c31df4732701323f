"""Wide logs: one row a session with a group of columns for each rod, as one row a stint."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from rodhours.logbook.layout.laid_out import LaidOutTable
from rodhours.logbook.layout.laying import Laying
from rodhours.logbook.raw_table import Fault
from rodhours.wording import layouts as words

CellFaults = dict[int, tuple[str, str | None]]
ReadCells = Callable[[Laying, str, Sequence[str]], tuple[list[str], CellFaults]]


def rods_as_rows(
    laying: Laying,
    groups: Mapping[str, Mapping[str, str]],
    misfits: Mapping[int, tuple[str, str | None]],
    read_cells: ReadCells,
) -> LaidOutTable:
    """One row for each rod that was fished; `groups` has each rod's columns by pattern.

    A rod without a bait was not fished; one without a bait but with fish or hours is at fault,
    and so is a row without any rod. What is wrong with a cell that the rods of a row share is
    said once, at the first of them.
    """
    raw, layout = laying.raw, laying.layout
    count = len(raw.rows)
    texts: list[dict[str, list[str]]] = []
    faults: list[dict[str, CellFaults]] = []
    names: list[dict[str, str]] = []
    for columns in groups.values():
        of_rod: dict[str, list[str]] = {}
        wrong: dict[str, CellFaults] = {}
        theirs = dict(laying.names)
        for ours, pattern in layout.wide.items():
            name = columns.get(pattern)
            cells = laying.raw_texts[name] if name is not None else [""] * count
            if name is not None:
                theirs[ours] = name
            of_rod[ours], wrong[ours] = read_cells(laying, ours, cells)
            if ours == "variant":
                # Whether an empty cell is a fault is seen below, with the rest of the rod.
                wrong[ours] = {p: one for p, one in wrong[ours].items() if one[1] is not None}
        theirs["rod"] = theirs["variant"]
        texts.append(of_rod)
        faults.append(wrong)
        names.append(theirs)

    rows: list[tuple[int, int, bool]] = []  # position in the file, rod, first of its row
    found: list[Fault] = []
    for position in range(count):
        rods = [rod for rod in range(len(texts)) if _was_fished(texts[rod], faults[rod], position)]
        if not rods:
            found.append((len(rows), "variant", words.NO_ROD_FISHED, None))
            found += [(len(rows), ours, "", None) for ours in ("fish", "hours")]
        for first, rod in zip([True, *[False] * len(rods)], rods or [0], strict=False):
            here = len(rows)
            rows.append((position, rod, first))
            if rods:
                found += _at_rod(here, texts[rod], faults[rod], position)
            if first and position in misfits:
                found.append((here, None, *misfits[position]))
            for column, wrong_cells in laying.faults.items():
                if position in wrong_cells:
                    says, what = wrong_cells[position]
                    found.append((here, column, says if first else "", what))
    shared = {
        column: [cells[position] for position, _, _ in rows]
        for column, cells in laying.texts.items()
        if column not in layout.wide and column != "rod"
    }
    of_rods = {
        ours: [texts[rod][ours][position] for position, rod, _ in rows] for ours in layout.wide
    }
    rod_names = list(groups)
    all_columns = {**shared, **of_rods, "rod": [rod_names[rod] for _, rod, _ in rows]}
    return LaidOutTable(
        file=raw.file,
        sheet=raw.sheet,
        table=raw.table,
        named=raw.named,
        header=tuple(all_columns),
        header_row=raw.header_row,
        columns=tuple(all_columns.values()),
        rows=[raw.rows[position] for position, _, _ in rows],
        misfits={},
        origin=raw,
        positions=[position for position, _, _ in rows],
        names=names,
        rod_of=[rod for _, rod, _ in rows],
        found_at_fault=found,
        first_of_row=[first for _, _, first in rows],
        layout_name=layout.name,
    )


def _was_fished(
    of_rod: Mapping[str, list[str]], wrong: Mapping[str, CellFaults], position: int
) -> bool:
    """Whether a rod has a bait, fish or hours; a sheet's own sums give 0 where there are none."""
    if of_rod["variant"][position]:
        return True
    return any(
        position in wrong[ours] or of_rod[ours][position] not in ("", "0", "0.0")
        for ours in ("variant", "fish", "lost", "hours", "cast_in", "cast_out")
        if ours in of_rod
    )


def _at_rod(
    here: int, of_rod: Mapping[str, list[str]], wrong: Mapping[str, CellFaults], position: int
) -> list[Fault]:
    """What is wrong with one rod's own cells."""
    found: list[Fault] = [
        (here, ours, *cells[position]) for ours, cells in wrong.items() if position in cells
    ]
    if not of_rod["variant"][position] and position not in wrong["variant"]:
        found.append((here, "variant", words.FISHED_WITHOUT_BAIT, None))
    return found
