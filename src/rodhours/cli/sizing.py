"""`rodhours sizes`: how big the fish were on each variant."""

from __future__ import annotations

from typing import Annotated

import typer

from rodhours.cli.choosing import (
    REFERENCE,
    AnglerOption,
    ConfidenceOption,
    SinceOption,
    SpeciesOption,
    UntilOption,
    VenueOption,
    choose_catches,
    choose_rows,
    read_stints,
    without_left_out,
)
from rodhours.cli.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption, UnitsOption
from rodhours.cli.output import answer, answer_json, width_of_answers


def sizes(
    reference: Annotated[
        str | None,
        typer.Option(
            help="The variant to compare with.  [default: the one the logbook remembers]",
            show_default=False,
        ),
    ] = None,
    species: SpeciesOption = None,
    units: UnitsOption = None,
    since: SinceOption = None,
    until: UntilOption = None,
    venue: VenueOption = None,
    angler: AnglerOption = None,
    confidence: ConfidenceOption = 0.95,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Did one bait bring bigger fish? Weights by variant, of the fish that were weighed.

    Typical weights are compared with fish of one trip allowed to be alike.
    """
    book, stints = read_stints(logbook)
    with book:
        from rodhours.logbook.weight_unit import unit_to_show

        shown_in = unit_to_show(book, units)
        rows = choose_rows(stints, since, until, venue, angler)
        chosen = without_left_out(book, rows)
        catches = choose_catches(book, chosen, species)
        remembered = book.variant_meant(book.setting(REFERENCE))
        reference = book.variant_meant(reference)
    from rodhours.evidence.sizes import sizes as compare_sizes

    landed = catches[catches["outcome"] != "lost"]
    if reference is None and remembered in set(landed["variant"]):
        reference = remembered
    filters = chosen.filters if species is None else {**chosen.filters, "species": species}
    result = compare_sizes(catches, reference, confidence).knowing(filters, chosen.notes)
    if as_json:
        answer_json(result.to_dict())
        return
    from rodhours.report.sizes_text import sizes_text

    answer(sizes_text(result, shown_in, width_of_answers()))
