"""`rodhours compare`: which variant catches more fish per rod-hour, and how sure one can be."""

from __future__ import annotations

from enum import StrEnum
from typing import TYPE_CHECKING, Annotated

import typer

from rodhours.cli.choosing import (
    AdjustOption,
    AnglerOption,
    Chosen,
    ConfidenceOption,
    MarginOption,
    MinWeightOption,
    OutcomeChoice,
    OutcomeOption,
    ReferenceOption,
    SinceOption,
    SpeciesOption,
    UntilOption,
    VenueOption,
    choose,
    comparison,
    read_stints,
)
from rodhours.cli.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from rodhours.cli.output import answer, answer_json, width_of_answers
from rodhours.cli.progress import progress_bar
from rodhours.errors import UsageError

if TYPE_CHECKING:
    from rodhours.evidence.results import ComparisonResult


class BasisChoice(StrEnum):
    """Which sessions an answer may rest on."""

    AUTO = "auto"
    SAME = "same"
    ALL = "all"


def compare(
    variant: Annotated[
        str | None,
        typer.Argument(help="The variant asked about; all of them without one."),
    ] = None,
    against: Annotated[
        str | None,
        typer.Argument(metavar="[REFERENCE]", help="The variant to compare with."),
    ] = None,
    reference: ReferenceOption = None,
    adjust: AdjustOption = None,
    basis: Annotated[
        BasisChoice,
        typer.Option(help="same: only trips that had both in the water; all: every stint."),
    ] = BasisChoice.AUTO,
    since: SinceOption = None,
    until: UntilOption = None,
    venue: VenueOption = None,
    angler: AnglerOption = None,
    species: SpeciesOption = None,
    min_weight: MinWeightOption = None,
    outcome: OutcomeOption = OutcomeChoice.LANDED,
    confidence: ConfidenceOption = 0.95,
    margin: MarginOption = 1.25,
    running: Annotated[
        bool,
        typer.Option(
            "--running", help="After every trip, an interval you may look at as often as you like."
        ),
    ] = False,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Did one bait really outfish another? The answer, how sure it is, and what limits it.

    Baits are compared within the same trips wherever the log allows it; the answer from all
    trips, and the one as if every fish came by itself, stand beside it.
    """
    if against is not None and reference is not None and against != reference:
        raise UsageError(f"Two references are given: '{against}' and '{reference}'. Name one.")
    book, stints = read_stints(logbook)
    with book:
        chosen = choose(book, stints, since, until, venue, angler, species, min_weight, outcome)
        result = comparison(
            book,
            chosen,
            variant=variant,
            reference=against if against is not None else reference,
            adjust=adjust,
            confidence=confidence,
            basis=basis.value,
            margin=margin,
        )
    if running:
        _answer_running(chosen, result, as_json=as_json)
        return
    if as_json:
        answer_json(result.to_dict())
        return
    from rodhours.report.terminal import comparison_text

    answer(comparison_text(result, width_of_answers()))


def _answer_running(chosen: Chosen, result: ComparisonResult, *, as_json: bool) -> None:
    """The same comparison after every trip; the machine form is that of compare and one key."""
    from rodhours.evidence.running import looks_of

    with progress_bar("Looking back", not as_json) as progress:
        looks = looks_of(chosen.stints, result, progress=progress)
    if as_json:
        answer_json({**result.to_dict(), "running": looks.to_dict()})
        return
    from rodhours.report.running_text import running_text

    answer(running_text(result, looks, width_of_answers()))
