"""`rodhours template`: a blank trip log to fill in, as a workbook or as CSV files."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from rodhours.cli.options import DEFAULT_LOGBOOK, LogbookOption
from rodhours.cli.output import answer
from rodhours.errors import UsageError

DEFAULT_NAME = "trip-log.xlsx"


def template(
    xlsx: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help=f"Write a workbook of this name.  [default: {DEFAULT_NAME}]"
        ),
    ] = None,
    csv: Annotated[
        Path | None, typer.Option(metavar="DIR", help="Write four CSV files into this folder.")
    ] = None,
    notes: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write notes for a phone, as text.")
    ] = None,
    page: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Write a page for the phone at the bank (HTML)."),
    ] = None,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
) -> None:
    """Write a blank trip log that imports as it is: four tables, each with an example row.

    Or notes to be typed on a phone, or a page that writes them for you. The workbook has drop-down
    lists, checks each cell as it is filled in and prints on A4. Where there is a logbook, its
    recipes stand in the sheet variants already. No file is overwritten.
    """
    if sum(one is not None for one in (xlsx, csv, notes, page)) > 1:
        raise UsageError("Choose one of --xlsx, --csv, --notes and --page.")
    from rodhours.log.template import write_template_csv, write_template_workbook

    recipes = _known_recipes(logbook)
    if notes is not None or page is not None:
        _write_for_the_phone(notes, page, [str(one["variant"]) for one in recipes])
        return
    target = csv or xlsx or Path(DEFAULT_NAME)
    if csv is not None:
        write_template_csv(target, recipes)
    else:
        write_template_workbook(target, recipes)
    known = "recipe" if len(recipes) == 1 else f"{len(recipes)} recipes"
    prefilled = f", with the {known} of your logbook in it" if recipes else ""
    answer(
        f"Wrote a blank trip log to {target}{prefilled}. Fill in a row for each rod and bait, 0 "
        f"where there was no fish, then: rodhours import {target}"
    )


def _write_for_the_phone(notes: Path | None, page: Path | None, baits: list[str]) -> None:
    from datetime import date

    from rodhours.log.template import write_new
    from rodhours.report.bank_page import bank_page
    from rodhours.report.notes_form import free_notes
    from rodhours.words.rotation import written_for_the_phone

    target = notes or page
    assert target is not None
    text = free_notes(baits, date.today().year) if notes else bank_page(baits=baits)
    write_new({target.name: text.encode()}, target.parent, called=target)
    answer(written_for_the_phone(str(target), page is not None))


def _known_recipes(logbook: Path) -> list[dict[str, Any]]:
    """The rows of the logbook's variants table, filled cells only; none without a logbook."""
    import json

    from rodhours.log.logbook import open_logbook
    from rodhours.log.logbook_file import is_missing

    if is_missing(logbook):
        return []
    with open_logbook(logbook) as book:
        rows = book.variants()
    recipes = [row | json.loads(row["extra"] or "{}") | {"extra": None} for row in rows]
    return [{name: value for name, value in row.items() if value is not None} for row in recipes]
