"""`rodhours plan hours`: trips and rod-hours that a rate ratio needs, and what a season shows."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from rodhours.cli.choosing import (
    AnglerOption,
    Chosen,
    MinWeightOption,
    OutcomeChoice,
    OutcomeOption,
    ReferenceOption,
    SinceOption,
    SpeciesOption,
    UntilOption,
    VenueOption,
    choose,
    read_stints,
    remember,
    remembered_reference,
)
from rodhours.cli.options import (
    DEFAULT_LOGBOOK,
    JobsOption,
    JsonOption,
    LogbookOption,
    QuietOption,
    SeedOption,
)
from rodhours.cli.output import answer, answer_json, talk, width_of_answers
from rodhours.cli.progress import progress_bar
from rodhours.cli.rehearsing import ctrl_c_as_exception

if TYPE_CHECKING:
    import pandas as pd


def hours(
    ratio: Annotated[
        float | None,
        typer.Option(
            help="The rate ratio to settle, such as 1.5 (or 0.7 for a bait that is worse).",
            show_default=False,
        ),
    ] = None,
    trips: Annotated[
        int | None,
        typer.Option(
            help="How many trips there will be: what they can settle.", show_default=False
        ),
    ] = None,
    reference: ReferenceOption = None,
    rods: Annotated[
        int | None,
        typer.Option(
            help="Rods on a trip.  [default: with --trip-hours, the log’s usual trip; else 3]",
            show_default=False,
        ),
    ] = None,
    trip_hours: Annotated[
        float | None,
        typer.Option(
            help="Hours of a trip.  [default: with --rods, the log’s usual trip; else 24]",
            show_default=False,
        ),
    ] = None,
    power: Annotated[
        float, typer.Option(help="The chance of settling it that you want to have.")
    ] = 0.8,
    family: Annotated[
        int, typer.Option(help="How many variants are compared with the reference.")
    ] = 1,
    quick: Annotated[
        bool, typer.Option("--quick", help="By formula alone: at once, and too hopeful.")
    ] = False,
    seasons: Annotated[int, typer.Option(help="Simulated seasons for each place looked at.")] = 300,
    seed: SeedOption = 1,
    jobs: JobsOption = None,
    since: SinceOption = None,
    until: UntilOption = None,
    venue: VenueOption = None,
    angler: AnglerOption = None,
    species: SpeciesOption = None,
    min_weight: MinWeightOption = None,
    outcome: OutcomeOption = OutcomeChoice.LANDED,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    quiet: QuietOption = False,
    as_json: JsonOption = False,
) -> None:
    """How many trips and rod-hours to settle a difference? What can a season settle at all?

    Answers for all variants on every trip beside one variant a trip. The catch rate, how uneven
    trips are and how fish clump come from the logbook, or are stated stand-ins without one.
    """
    from rodhours.simulate.hours import plan_hours
    from rodhours.simulate.processes import cores

    chosen: Chosen | None = None
    stints: pd.DataFrame | None = None
    # The usual place may hold no logbook yet; one that was named has to be there.
    if logbook.exists() or logbook != DEFAULT_LOGBOOK:
        book, every_stint = read_stints(logbook)
        with book:
            if len(every_stint):
                chosen = choose(
                    book, every_stint, since, until, venue, angler, species, min_weight, outcome
                )
                stints = chosen.stints
                if reference is None:
                    reference = remembered_reference(book, chosen)
                else:
                    _check_reference(reference, stints)
                    remember(book, reference)
    if chosen is not None:
        for note in chosen.notes:
            talk(note.says)
    elif reference is not None:
        talk(f"There is no log to take the catch rate of '{reference}' from.")
    # Only as Python's own exception does Ctrl-C end the processes at work with this one.
    bar = progress_bar("Simulating seasons", not (quiet or as_json or quick))
    with ctrl_c_as_exception(), bar as progress:
        plan = plan_hours(
            stints,
            reference=reference,
            ratio=ratio,
            trips=trips,
            rods=rods,
            trip_hours=trip_hours,
            power=power,
            family=family,
            quick=quick,
            seasons=seasons,
            seed=seed,
            jobs=cores() if jobs is None else jobs,
            progress=progress,
        )
    if chosen is not None:
        plan = plan.knowing(chosen.filters)
    if as_json:
        answer_json(plan.to_dict())
        return
    from rodhours.report.planning_text import hours_plan_text

    answer(hours_plan_text(plan, width_of_answers()))


def _check_reference(reference: str, stints: pd.DataFrame) -> None:
    from rodhours.errors import UsageError
    from rodhours.evidence.stints import unknown_name

    known = {str(one) for one in stints["variant"].dropna()}
    if reference not in known:
        raise UsageError(unknown_name("variant", reference, known))
