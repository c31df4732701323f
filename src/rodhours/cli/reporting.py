"""`rodhours report`: the season on one self-contained page, or in another form."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rodhours.cli.choosing import (
    AdjustOption,
    AnglerOption,
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
    choose_catches,
    comparison,
    last_season,
    read_stints,
    season_start,
    whole_log,
)
from rodhours.cli.options import DEFAULT_LOGBOOK, LogbookOption, UnitsOption
from rodhours.cli.output import answer, talk
from rodhours.cli.rehearsing import INTERRUPTED, run_rehearsal
from rodhours.cli.report_forms import WRITTEN, Form, form_and_place, in_form, require


def report(
    out: Annotated[
        Path | None,
        typer.Option(
            help="Where to write the report.  [default: reports/season.FORMAT]",
            show_default=False,
        ),
    ] = None,
    form: Annotated[
        Form | None,
        typer.Option(
            "--format",
            help="A page, paper or results for machines.  "
            "[default: by the ending of --out, else html]",
            show_default=False,
        ),
    ] = None,
    reference: ReferenceOption = None,
    adjust: AdjustOption = None,
    since: SinceOption = None,
    until: UntilOption = None,
    venue: VenueOption = None,
    angler: AnglerOption = None,
    species: SpeciesOption = None,
    min_weight: MinWeightOption = None,
    outcome: OutcomeOption = OutcomeChoice.LANDED,
    confidence: ConfidenceOption = 0.95,
    margin: MarginOption = 1.25,
    rehearse: Annotated[
        int | None,
        typer.Option(
            "--rehearse",
            metavar="SEASONS",
            help="Rehearse so many invented seasons on this schedule, such as 100, and show what "
            "a season like this can tell. Takes a while.",
            show_default=False,
        ),
    ] = None,
    compare_season: Annotated[
        bool,
        typer.Option(
            "--compare-season",
            help="Report on the last season alone, and put the earlier ones beside it.",
        ),
    ] = False,
    season_starts: Annotated[
        str,
        typer.Option(metavar="MM-DD", help="The day a season starts on, for --compare-season."),
    ] = "01-01",
    units: UnitsOption = None,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
) -> None:
    """Write the season as one page: the answer first, then what it rests on and what limits it.

    The page is a single file that opens in any browser and asks nothing of the network. The other
    forms say the same.
    """
    form, out = form_and_place(form, out)
    require(form)
    from rodhours.logbook.frames import variants_frame
    from rodhours.logbook.weight_unit import unit_to_show

    book, stints = read_stints(logbook)
    with book:
        chosen = choose(book, stints, since, until, venue, angler, species, min_weight, outcome)
        seasons = chosen
        if compare_season:
            starts = season_start(season_starts)
            chosen = last_season(chosen, starts)
        result = comparison(
            book,
            chosen,
            reference=reference,
            adjust=adjust,
            confidence=confidence,
            margin=margin,
        )
        catches = choose_catches(book, chosen, species)
        recipes = variants_frame(book)
        everything = whole_log(book, stints)
        shown_in = unit_to_show(book, units)
    rehearsal = None
    if rehearse is not None:
        rehearsal = run_rehearsal(chosen, reference=result.reference, seasons=rehearse)
        if not rehearsal.complete:
            talk("Interrupted; no page was written.")
            raise typer.Exit(INTERRUPTED)
    by_season = None
    if compare_season:
        from rodhours.evidence.season_by_season import season_by_season

        by_season = season_by_season(
            seasons.stints,
            result.reference,
            adjust=tuple(adjust or ()),
            confidence=confidence,
            margin=margin,
            starts=starts,
        )
    from rodhours.report.gathering import gather

    season = gather(
        chosen.stints,
        result,
        everything=everything,
        catches=catches,
        recipes=recipes,
        rehearsal=rehearsal,
        by_season=by_season,
        units=shown_in,
        notes=chosen.notes,
    )
    from rodhours.whole_files import write_whole

    write_whole(out, in_form(season, form))
    talk(WRITTEN[form])
    answer(str(out))
