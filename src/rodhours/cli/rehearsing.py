"""`rodhours rehearse`: seasons with a known truth on the log's own schedule.

Ctrl-C prints the answer so far and ends with exit code 130.
"""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated

import typer

from rodhours.cli.choosing import (
    LEFT_OUT,
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
    comparison,
    read_stints,
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

if TYPE_CHECKING:
    from rodhours.simulate.rehearse import RehearsalResult

INTERRUPTED = 130


def rehearse(
    variant: Annotated[
        str | None,
        typer.Option(
            "--variant",
            help="The variant asked about; without it, the one most fished beside others.",
            show_default=False,
        ),
    ] = None,
    reference: ReferenceOption = None,
    ratio: Annotated[
        float, typer.Option(help="How many times as fast it catches in truth in these seasons.")
    ] = 1.5,
    seasons: Annotated[
        int,
        typer.Option(help="How many seasons; further ratios and broken assumptions get half."),
    ] = 200,
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
    """Would a season like yours tell? Invented seasons on your own schedule, with a known truth.

    Shows how often the interval held that truth, how often counting every fish by itself would
    have, what such a season can settle, and what happens where the model is wrong. Ctrl-C leaves
    the result so far.
    """
    book, stints = read_stints(logbook)
    with book:
        chosen = choose(book, stints, since, until, venue, angler, species, min_weight, outcome)
        from rodhours.logbook.opened_keys import variant_meant

        variant = variant_meant(book, variant)
        # The comparison itself says which reference is meant, and remembers one that was given.
        reference = comparison(book, chosen, variant=variant, reference=reference).reference
    for note in chosen.notes:
        if note.code != LEFT_OUT:  # which the answer itself says
            talk(note.says)
    result = run_rehearsal(
        chosen,
        reference=reference,
        variant=variant,
        ratio=ratio,
        seasons=seasons,
        seed=seed,
        jobs=jobs,
        bar=not (quiet or as_json),
    )
    if as_json:
        answer_json(result.to_dict())
    else:
        from rodhours.report.text_tables import paragraphs
        from rodhours.wording.rehearsal import rehearsal_lines

        answer(paragraphs(rehearsal_lines(result), width_of_answers()))
    if not result.complete:
        raise typer.Exit(INTERRUPTED)


def run_rehearsal(
    chosen: Chosen,
    *,
    reference: str,
    variant: str | None = None,
    ratio: float = 1.5,
    seasons: int = 200,
    seed: int = 1,
    jobs: int | None = None,
    bar: bool = True,
) -> RehearsalResult:
    """Rehearse on all cores with a bar on stderr; Ctrl-C gives the result so far.

    Exit with 130 where Ctrl-C came before the first season.
    """
    from rodhours.simulate.processes import cores
    from rodhours.simulate.rehearse import rehearse

    try:
        with ctrl_c_as_exception(), progress_bar("Rehearsing", bar) as progress:
            return rehearse(
                chosen.stints,
                reference=reference,
                variant=variant,
                ratio=ratio,
                seasons=seasons,
                seed=seed,
                jobs=cores() if jobs is None else jobs,
                progress=progress,
            ).knowing(chosen.filters)
    except KeyboardInterrupt:
        talk("Interrupted before the first season was done.")
        raise typer.Exit(INTERRUPTED) from None


@contextmanager
def ctrl_c_as_exception() -> Iterator[None]:
    """Inside, Ctrl-C is Python's KeyboardInterrupt, which work on several cores answers to."""
    before = signal.signal(signal.SIGINT, signal.default_int_handler)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
