"""`rodhours batch`: the ledger of batches: record one, list them, take one off."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from datetime import date as Date
from typing import TYPE_CHECKING, Annotated, Any

import typer

from rodhours.cli.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption, asks, hours_given
from rodhours.cli.output import answer, answer_json, talk, width_of_answers
from rodhours.errors import UsageError

if TYPE_CHECKING:
    import pandas as pd

batch = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
    help="The ledger of batches: what was made, when, and how even it came out.",
)

UNLIKELY_PASTE = 3.0
"""Paste so many times what the baits hold, or so small a part of it, is asked about."""
UNLIKELY = 2.0
"""Baits of one batch are never so many times as thick as one another: a slip in the writing."""


@dataclass(frozen=True)
class Made:
    """What was weighed, measured and noted of a batch, by the names of the ledger's columns."""

    baits: Annotated[int | None, typer.Option(help="How many baits it gave.")] = None
    dry_g: Annotated[
        float | None, typer.Option(help="Dry mix as weighed, g, pellet and egg white in it.")
    ] = None
    pellet_g: Annotated[float | None, typer.Option(help="Ground pellet in it, g.")] = None
    eggs: Annotated[float | None, typer.Option(help="How many eggs.")] = None
    egg_g: Annotated[float | None, typer.Option(help="Those eggs without their shells, g.")] = None
    attractor_ml: Annotated[float | None, typer.Option(help="Liquid attractor, ml.")] = None
    albumen_g: Annotated[float | None, typer.Option(help="Egg-white powder, g.")] = None
    paste_g: Annotated[float | None, typer.Option(help="The paste it gave, g.")] = None
    boil_s: Annotated[float | None, typer.Option(help="Boiling time, seconds.")] = None
    drying_days: Annotated[float | None, typer.Option(help="Days of drying.")] = None
    weight_of_20: Annotated[float | None, typer.Option(help="What 20 finished baits weigh, g.")] = (
        None
    )
    lift_g: Annotated[
        float | None, typer.Option(help="What a bait lifts in a glass of water, g.")
    ] = None
    paste_lot: Annotated[
        str | None, typer.Option(help="The lot of paste, where several batches come from one.")
    ] = None
    notes: Annotated[str | None, typer.Option(help="Anything else.")] = None


@batch.command("add")
@asks
def add(
    variant: Annotated[
        str, typer.Argument(help="The variant that was made.", show_default=False)
    ] = "",
    date: Annotated[
        str | None, typer.Option(help="The day it was made, such as 2025-03-20.  [default: today]")
    ] = None,
    *,
    made: Made,
    diameters: Annotated[
        str | None,
        typer.Option(
            metavar="MM,MM,...", help="Diameters of about ten finished baits, such as 15.2,15.6."
        ),
    ] = None,
    lift_after: Annotated[
        str | None, typer.Option(help="How long it lay in the water before, such as 12h.")
    ] = None,
    paste_date: Annotated[str | None, typer.Option(help="The day that lot was made.")] = None,
    code: Annotated[str | None, typer.Option(help="The code that the bag bears already.")] = None,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Record a batch and get the code for its bag; the label is printed.

    What was not weighed or measured is left out: it is not recorded, never zero.
    """
    variant = variant.strip()
    if not variant:
        raise UsageError("Name the variant that was made: rodhours batch add VARIANT")
    from rodhours.log.batches import check_code
    from rodhours.log.frames import variants_frame
    from rodhours.log.logbook import open_logbook

    values: dict[str, Any] = {
        "variant": variant,
        "date": _day(date),
        **vars(made),
        "lift_after_h": lift_after and hours_given("--lift-after", lift_after),
        "paste_date": None if paste_date is None else _day(paste_date),
    }
    _check(values)
    measured = [] if diameters is None else _diameters(diameters)
    if code is not None:
        check_code(code)

    with open_logbook(logbook, create=True) as book:
        known: set[str] = set()
        recipes = None
        if book.is_begun():
            known = book.variants_fished() | {row["variant"] for row in book.variants()}
            recipes = variants_frame(book)
        given = book.add_batch(values, measured, code=code and code.strip())
        variant = values["variant"] = book.variant_meant(variant) or variant
    if known and variant not in known:
        talk(
            f"'{variant}' is no variant of the logbook yet (there are {', '.join(sorted(known))}). "
            f"If it was a slip, take it off again: rodhours batch remove {given}"
        )
    if recipes is not None:
        import pandas as pd

        row = pd.DataFrame([{**values, "batch": given, "diameters_mm": tuple(measured)}])
        for hint in (*_off_recipe(row, recipes), *_unlikely(row, recipes, given)):
            talk(hint)
    if as_json:
        answer_json({"schema": 1, "batch": {"batch": given, **values, "diameters_mm": measured}})
        return
    from rodhours.words.ledger import bag_label, how_to_log

    answer(bag_label(given, variant, values["date"], made.baits))
    talk(how_to_log(given))


@batch.command("list")
def list_batches(
    variant: Annotated[str | None, typer.Option(help="Only the batches of this variant.")] = None,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Show the batches: how even they came out, how old they were when fished.

    Age counts from the day a batch was made to the day of the session that logs its code.
    """
    from rodhours.kitchen.ledger import ledger
    from rodhours.log.frames import batches_frame, stint_frame, variants_frame
    from rodhours.log.logbook import open_logbook
    from rodhours.near import unknown_name

    with open_logbook(logbook) as book:
        batches, stints = batches_frame(book), stint_frame(book, with_left_out=True)
        recipes = variants_frame(book)
        variant = variant and (book.variant_meant(variant) or variant)
    hints = _hints(batches, stints, recipes)
    if variant is not None:
        made = set(batches["variant"])
        if variant not in made:
            raise UsageError(unknown_name("variant", variant, made))
        batches = batches[batches["variant"] == variant]
    for hint in hints:
        talk(hint)
    result = ledger(batches, stints, variant, hints, recipes)
    if as_json:
        answer_json(result.to_dict())
        return
    from rodhours.report.ledger_text import ledger_text

    answer(ledger_text(result, width_of_answers()))


@batch.command("remove")
def remove(
    code: Annotated[str, typer.Argument(help="The code on the bag.", show_default=False)] = "",
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Take a batch off the ledger that was recorded by mistake; its code is not used again."""
    if not code.strip():
        raise UsageError("Name the batch to take off: rodhours batch remove CODE")
    from rodhours.log.logbook import open_logbook

    with open_logbook(logbook) as book:
        removed = book.remove_batch(code)
    if as_json:
        answer_json({"schema": 1, "batch": removed})
        return
    answer(f"Took batch {removed} off the ledger.")


def _hints(batches: pd.DataFrame, stints: pd.DataFrame, recipes: pd.DataFrame) -> list[str]:
    """What does not fit between the batches, the stints and the recipes."""
    from rodhours.kitchen.ledger import batch_uses
    from rodhours.log.batches import batch_hints
    from rodhours.words.ledger import fished_before_made

    logged = stints["batch"].dropna()
    variants = stints.loc[logged.index, "variant"]
    hints = batch_hints(
        zip(logged, variants, strict=True), zip(batches["batch"], batches["variant"], strict=True)
    )
    hints += [
        fished_before_made(code, -use.youngest_days)
        for code, use in batch_uses(stints, batches).items()
        if use.youngest_days is not None and use.youngest_days < 0
    ]
    return hints + _off_recipe(batches, recipes)


def _off_recipe(batches: pd.DataFrame, recipes: pd.DataFrame) -> list[str]:
    """A hint for each batch that did not come out as the recipe of its variant says."""
    from rodhours.kitchen.compare import off_recipe_batches
    from rodhours.words.ledger import off_recipe_says

    return [off_recipe_says(*of, off) for of, off in off_recipe_batches(batches, recipes).items()]


def _unlikely(made: pd.DataFrame, recipes: pd.DataFrame, code: str) -> list[str]:
    """A hint on a day that is still to come, and on amounts that do not fit the baits."""
    from rodhours.kitchen.ledger import paste_by_baits
    from rodhours.words.ledger import in_the_future, not_those_baits

    row = made.iloc[0].to_dict()
    hints = [in_the_future(code, row["date"])] if row["date"] > Date.today().isoformat() else []
    paste, worth = paste_by_baits(row, recipes)
    if worth and paste and not 1 / UNLIKELY_PASTE < paste / worth < UNLIKELY_PASTE:
        hints.append(not_those_baits(code, paste, int(row["baits"]), worth))
    return hints


def _day(text: str | None) -> str:
    if text is None:
        return Date.today().isoformat()
    try:
        return Date.fromisoformat(text.strip()).isoformat()
    except ValueError:
        raise UsageError(f"--date takes a date such as 2025-03-20, not '{text}'.") from None


def _check(values: dict[str, Any]) -> None:
    """UsageError for a number out of its bounds, and for parts that outweigh their dry mix."""
    from rodhours.kitchen.batch import MOST
    from rodhours.log.tables import BATCHES

    for name, value in values.items():
        column = BATCHES.column(name)
        if value is None or not column.kind.numeric:
            continue
        option = f"--{name.replace('_', '-')}"
        if (
            not (math.isfinite(value) and value <= MOST)
            or (column.above is not None and value <= column.above)
            or (column.low is not None and value < column.low)
        ):
            least = f"above {column.above:g}" if column.above is not None else "of 0 or more"
            if column.low:
                least = f"of {column.low:g} or more"
            raise UsageError(f"{option} takes a number {least}, up to {MOST:,}, not {value:g}.")
    dry, pellet, albumen = (values[name] for name in ("dry_g", "pellet_g", "albumen_g"))
    within = (pellet or 0.0) + (albumen or 0.0)
    if dry is not None and within > dry:
        raise UsageError(
            f"Pellet and egg-white powder are part of the dry mix, so {within:g} g of them cannot "
            f"be in {dry:g} g: give --dry-g with both in it."
        )


def _diameters(text: str) -> list[float]:
    """Diameters in mm, between commas; between semicolons where decimals have commas."""
    cells = re.split(";" if ";" in text else ",", text)
    found = []
    for cell in cells:
        if not cell.strip():
            continue
        try:
            size = float(cell.strip().replace(",", "."))
        except ValueError:
            size = math.nan
        if not (math.isfinite(size) and size > 0):
            raise UsageError(
                f"--diameters takes millimetres such as 15.2,15.6,15.4, not '{cell.strip()}'."
            )
        found.append(size)
    if found and max(found) > UNLIKELY * min(found):
        raise UsageError(
            f"The diameters go from {min(found):g} to {max(found):g} mm in one batch. Write "
            "decimals with a point (15.2,15.6), or put semicolons between (15,2;15,6)."
        )
    return found
