"""The words in a blank trip log: notes on its columns, what a cell takes, its example row."""

from __future__ import annotations

from collections.abc import Sequence

EXAMPLE_MARK = "EXAMPLE, not imported"

NEEDED = "Needed."
NEEDED_OR_CASTS = "Needed, or cast_in and cast_out instead."
NOT_NEEDED = "May stay empty: an empty cell means not recorded."
NEEDED_HERE = "Needed only for rows that you fill in on this sheet."
BLANK_IS_ZERO = "A stint without a fish is written 0: an empty cell would mean not recorded."
OWN_COLUMN = "a column of your own"
WRONG = "This cannot be taken"
LIST_FROM_VARIANTS = "Choose a label from the sheet variants, or write a new one and add it there."
ROD_LIST = "The rod position, counted from the left: 1, 2, 3. Another text may stand here too."
WEIGHT_FORM = (
    "With its unit, such as 22lb 4oz, 22.25 lb or 10.1 kg. The column is text, so that the "
    "spreadsheet makes no date of it."
)
WEIGHT_NEEDS_UNIT = "Write the unit too: 22lb 4oz, 22.25 lb or 10.1 kg."
DATE_FORM = "Year-month-day, such as 2025-04-12."
MOMENT_FORM = "Date and time on the local clock, such as 2025-04-12 18:30."
FROM_LIST = "One of the list: {listed}."
PRINTED_HEAD = "Trip log: {table}, one row for {row_is}"
PRINTED_FOOT = (
    "Look up for overhead power lines; keep back from the edge in the dark; "
    "rod licence and fishery rules first."
)


def number_form(kind: str, low: float | None, high: float | None, above: float | None) -> str:
    """What a cell with a number takes: `kind` is `number` or `whole number`."""
    if above is not None:
        return f"A {kind} above {above:g}."
    if low is not None and high is not None:
        return f"A {kind} from {low:g} to {high:g}."
    if low is not None:
        return f"A {kind}, {low:g} or more."
    return f"A {kind}."


def note(holds: str, form: str, need: str) -> str:
    """The note on a column's head: what it holds, how it is written, whether it is needed."""
    return "\n".join(part for part in (holds[:1].upper() + holds[1:] + ".", form, need) if part)


def examples_left_aside(file: str, places: Sequence[str]) -> str:
    """The example rows that an import met: where each stands, such as `row 2 of stints`."""
    rows = "The example row was" if len(places) == 1 else "Example rows were"
    return f"{file}: {rows} left aside ({', '.join(places)})."


def written(target: str, recipes: int) -> str:
    """What was written, and what to do next."""
    prefilled = {0: "", 1: ", with the recipe of your logbook in it"}.get(
        recipes, f", with the {recipes} recipes of your logbook in it"
    )
    return (
        f"Wrote a blank trip log to {target}{prefilled}. Fill in a row for each rod and bait, 0 "
        f"where there was no fish, then: rodhours import {target}"
    )
