"""A rotation as plain text, its CSV for the log, and the packing list of blind bags.

Scope: order and layout alone; sentences come from the words.
"""

from __future__ import annotations

from collections import Counter

from rodhours.planning.balance import STAYS
from rodhours.planning.blind import KEY_COLUMN, BagKey
from rodhours.planning.rotation import Rotation
from rodhours.report.text_tables import aligned, columns, wrapped
from rodhours.spreadsheet_cells import csv_text
from rodhours.words import blind as blind_words
from rodhours.words import rotation as words
from rodhours.words.numbers import count

CSV_COLUMNS = (
    "session", "date", "venue", "swim", "rod", "variant", "planned", "cast_in", "cast_out",
    "hours", "fish", "lost", "notes",
)  # fmt: skip
"""Columns of the trip log, and `planned`."""
PART_COLUMN = "part_of_trip"


def rotation_text(plan: Rotation, width: int | None = None) -> str:
    """The plan for a terminal: what is fished when, how even it is, what to do, with what care."""
    lists = ((words.TO_DO, words.to_do(plan)), (words.WITH_CARE, words.CAUTIONS))
    return "\n\n".join(
        [
            words.title(plan),
            "\n".join(_table(plan)),
            "\n".join(aligned(balance_rows(plan))),
            *(wrapped(text, width) for text in words.on_plan(plan)),
            *(
                "\n".join([heading, *(wrapped(text, width, "- ", "  ") for text in items)])
                for heading, items in lists
            ),
        ]
    )


def _table(plan: Rotation) -> list[str]:
    parts = plan.parts > 1
    heading = ["trip", *(["part"] if parts else []), *(f"rod {r + 1}" for r in range(plan.rods))]
    rows = [heading]
    for number, trip in enumerate(plan.turns, 1):
        for part, row in enumerate(trip, 1):
            label = words.trip_label(plan.name, number) if part == 1 else ""
            rows.append([label, *([str(part)] if parts else []), *row])
    widths = [max(columns(row[i]) for row in rows) for i in range(len(heading))]
    return [
        "  ".join(
            cell + " " * (wide - columns(cell)) for cell, wide in zip(row, widths, strict=True)
        ).rstrip()
        for row in rows
    ]


def balance_rows(plan: Rotation) -> list[list[str]]:
    """The balance as a table: fewest, most, their difference and the least by counting."""
    rows = [["balance", "fewest", "most", "difference", "least by counting"]]
    for one in plan.balance:
        numbers = [one.fewest, one.most, one.difference, one.least_difference]
        # Stays are a total, not a spread: how often it happens at all.
        cells = ["", str(one.most), "", ""] if one.what == STAYS else [str(n) for n in numbers]
        rows.append([words.measure_label(one), *cells])
    return rows


def rotation_csv(plan: Rotation) -> str:
    """One row a turn, in the columns of the trip log, with nothing filled in."""
    names = list(CSV_COLUMNS)
    if plan.parts > 1:
        names.insert(names.index("cast_in"), PART_COLUMN)
    if plan.key:
        names.append(KEY_COLUMN)
    rows: list[list[object]] = [[*names]]
    for number, trip in enumerate(plan.turns, 1):
        for part, row in enumerate(trip, 1):
            for rod, variant in enumerate(row, 1):
                cells: dict[str, object] = {
                    "session": words.trip_label(plan.name, number),
                    "rod": rod,
                    "variant": variant,
                    "planned": variant,
                    PART_COLUMN: part,
                    KEY_COLUMN: plan.key,
                }
                rows.append([cells.get(name) for name in names])
    return csv_text(rows)


def packing_list(plan: Rotation, variant_of: dict[str, str]) -> str:
    """Which recipe goes into which bag, for whoever packs; a warning stands on top."""
    turns = Counter(one for trip in plan.turns for part in trip for one in part)
    warning = wrapped(blind_words.PACKING_WARNING, 72)
    lines = [
        warning,
        *[""] * 12,
        blind_words.PACKING_TITLE.format(plan.name),
        "",
        *(
            blind_words.PACKING_LINE.format(code, variant_of[code], count(turns[code], "turn"))
            for code in sorted(variant_of)
        ),
        "",
        *(wrapped(text, 72, "- ", "  ") for text in blind_words.PACKING_STEPS),
        "",
    ]
    return "\n".join(lines)


def opened_key_text(
    key: BagKey,
    opened_at: str,
    trips_in: int,
    trips_planned: int,
    *,
    first: bool,
    width: int | None = None,
) -> str:
    """An opened key: what was in each bag, when it was opened, and what that means."""
    planned = count(trips_planned, "planned trip")
    when = f"{opened_at[:10]} at {opened_at[11:16]} UTC"
    missing = trips_planned - trips_in
    notes = [
        blind_words.OPENED_NOW.format(trips_in, planned)
        if first
        else blind_words.OPENED_BEFORE.format(when, trips_in, planned)
    ]
    if missing > 0:
        told = blind_words.OPENED_EARLY if first else blind_words.OPENED_EARLY_THEN
        notes.append(told.format(count(missing, "planned trip")))
    notes.append(blind_words.NAMES_FROM_NOW.format(", ".join(code for code, _ in key.codes)))
    table = aligned([["bag", "variant"], *([code, variant] for code, variant in key.codes)])
    return "\n\n".join(
        [
            blind_words.KEY_TITLE.format(key.plan, key.fingerprint),
            "\n".join(table),
            *(wrapped(text, width) for text in notes),
        ]
    )
