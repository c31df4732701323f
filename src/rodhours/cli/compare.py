"""`rodhours compare`: which variant catches more fish per rod-hour, and how sure one can be."""

from __future__ import annotations

from enum import StrEnum
from typing import Annotated

import typer

from rodhours.cli.options import (
    Against,
    AllNotesOption,
    Answers,
    Intervals,
    RowsAndFish,
    asks,
    keep_reference,
    reference_of,
)
from rodhours.cli.output import answer, answer_json, progress_bar, width_of_answers
from rodhours.errors import UsageError


class BasisChoice(StrEnum):
    """Which sessions an answer may rest on."""

    AUTO = "auto"
    SAME = "same"
    ALL = "all"


@asks
def compare(
    baits: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[BAIT]... [REFERENCE]",
            help="The baits asked about, all without one; of several the last is compared with.",
        ),
    ] = None,
    *,
    options: Against,
    basis: Annotated[
        BasisChoice,
        typer.Option(help="same: only trips that had both in the water; all: every stint."),
    ] = BasisChoice.AUTO,
    rows: RowsAndFish,
    intervals: Intervals,
    as_planned: Annotated[
        bool, typer.Option("--as-planned", help="By the bait that the plan asked for on each rod.")
    ] = False,
    running: Annotated[
        bool,
        typer.Option(
            "--running", help="After every trip, an interval you may look at as often as you like."
        ),
    ] = False,
    until_trip: Annotated[
        int | None,
        typer.Option(
            help="With --running: the last trip you will look after, stated before trip 8."
        ),
    ] = None,
    all_notes: AllNotesOption = False,
    answers: Answers,
) -> None:
    """Did one bait really outfish another? The answer, how sure it is, and what limits it.

    Baits are compared within the same trips wherever the log allows it; the answer from all trips
    stands beside it, and with --all-notes the one as if every fish came by itself.
    """
    named = baits or []
    asked_about, last = (named[:-1], named[-1]) if len(named) > 1 else (named, None)
    reference = reference_of(last, options.reference)
    asked = rows.of(answers.logbook)
    asked = asked.as_planned() if as_planned else asked
    adjust, confidence = options.adjust or (), intervals.confidence
    if until_trip is not None:
        if not running:
            raise UsageError("--until-trip goes with --running.")
        # Of few trips nobody knows yet on which basis they will have an answer.
        basis = BasisChoice.ALL if basis is BasisChoice.ALL else BasisChoice.SAME
        variant = asked_about[0] if len(asked_about) == 1 else None
        trips = asked.state_end(until_trip, variant, reference, adjust, confidence, basis.value)
        if _is_too_early(until_trip, trips, answers.as_json):
            return
    result = asked.compare(
        asked_about or None, reference, adjust, confidence, basis.value, intervals.margin
    )
    keep_reference(asked, options.reference, result.reference if last is None else None)
    looks = None
    if running:
        with progress_bar("Looking back", not answers.as_json) as progress:
            looks = asked.running(result, until_trip=until_trip, progress=progress)
    if answers.as_json:
        answer_json(result.to_dict() | ({"running": looks.to_dict()} if looks else {}))
        return
    from rodhours.report.terminal import comparison_text, running_text

    # What would settle it, where anything is compared.
    plan = asked.next_season(result=result) if result.comparisons else None
    if looks is None:
        answer(comparison_text(result, width_of_answers(), plan, all_notes))
    else:
        answer(running_text(result, looks, width_of_answers(), plan, all_notes))


def _is_too_early(until_trip: int, trips: int, as_json: bool) -> bool:
    """Whether it is too early for a look at an end that is stated; then that is said."""
    from rodhours.evidence.stated_end import FIRST_LOOK
    from rodhours.report.text_tables import wrapped
    from rodhours.words.running import stated

    if trips < FIRST_LOOK and as_json:
        answer_json({"schema": 1, "until_trip": until_trip, "trips": trips})
    elif trips < FIRST_LOOK:
        answer(wrapped(stated(until_trip, trips), width_of_answers()))
    return trips < FIRST_LOOK
