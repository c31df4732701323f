"""`rodhours plan hours`: trips and rod-hours that a rate ratio needs, and what a season shows."""

from __future__ import annotations

from typing import Annotated

import typer

from rodhours.cli.options import (
    DEFAULT_LOGBOOK,
    JobsOption,
    JsonOption,
    LogbookOption,
    QuietOption,
    ReferenceOption,
    RowsAndFish,
    SeedOption,
    asks,
    hours_given,
    keep_reference,
    talk_notes,
)
from rodhours.cli.output import answer, answer_json, progress_bar, talk, width_of_answers
from rodhours.cli.rehearse import INTERRUPTED, ctrl_c_as_exception


@asks
def hours(
    ratio: Annotated[
        float | None,
        typer.Option(
            help="The rate ratio to settle, such as 1.5 (or 0.7 for a bait that is worse)."
        ),
    ] = None,
    trips: Annotated[
        int | None, typer.Option(help="How many trips there will be: what they can settle.")
    ] = None,
    reference: ReferenceOption = None,
    rods: Annotated[
        int | None,
        typer.Option(
            help="Rods on a trip.  [default: with --trip-hours, the log’s usual trip; else 3]"
        ),
    ] = None,
    trip_hours: Annotated[
        str | None,
        typer.Option(
            help="How long a trip is, such as 24h.  [default: with --rods, the log’s usual trip; "
            "else 24h]"
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
    *,
    rows: RowsAndFish,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    quiet: QuietOption = False,
    as_json: JsonOption = False,
) -> None:
    """How many trips and rod-hours to settle a difference? What can a season settle at all?

    Answers for all variants on every trip beside one variant a trip. The catch rate, how uneven
    trips are and how fish clump come from the logbook, or are stated stand-ins without one.
    """
    from rodhours.question import holds_stints
    from rodhours.simulate.hours import plan_hours
    from rodhours.simulate.run import cores

    asked = None
    # The usual place may hold no logbook yet; one that was named has to be there.
    if (logbook.exists() or logbook != DEFAULT_LOGBOOK) and holds_stints(logbook):
        asked = rows.of(logbook)
        talk_notes(asked.notes)
    elif reference is not None:
        talk(f"There is no log to take the catch rate of '{reference}' from.")
    plan_of = plan_hours if asked is None else asked.hours
    # Only as Python's own exception does Ctrl-C end the processes at work with this one.
    bar = progress_bar("Simulating seasons", not (quiet or as_json or quick))
    try:
        with ctrl_c_as_exception(), bar as progress:
            plan = plan_of(
                reference=reference,
                ratio=ratio,
                trips=trips,
                rods=rods,
                trip_hours=None if trip_hours is None else hours_given("--trip-hours", trip_hours),
                power=power,
                family=family,
                quick=quick,
                seasons=seasons,
                seed=seed,
                jobs=cores() if jobs is None else jobs,
                progress=progress,
            )
    except KeyboardInterrupt:
        talk("Interrupted before enough seasons were done; --quick answers at once, by formula.")
        raise typer.Exit(INTERRUPTED) from None
    if asked is not None:
        keep_reference(asked, reference, plan.grounds.reference)
    if as_json:
        answer_json(plan.to_dict())
    else:
        from rodhours.report.planning_text import hours_plan_text

        answer(hours_plan_text(plan, width_of_answers()))
    if not plan.complete:
        raise typer.Exit(INTERRUPTED)
