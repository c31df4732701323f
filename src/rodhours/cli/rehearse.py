"""`rodhours rehearse`: seasons with a known truth on the log's own schedule.

Ctrl-C prints the answer so far and ends with exit code 130.
"""

from __future__ import annotations

import signal
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated, Any

import typer

from rodhours.choice import LEFT_OUT
from rodhours.cli.options import (
    DEFAULT_LOGBOOK,
    AgainstArgument,
    JobsOption,
    JsonOption,
    LogbookOption,
    QuietOption,
    ReferenceOption,
    RowsAndFish,
    SeedOption,
    asks,
    keep_reference,
    reference_of,
    talk_notes,
)
from rodhours.cli.output import answer, answer_json, progress_bar, talk, width_of_answers

if TYPE_CHECKING:
    from rodhours.question import Question
    from rodhours.simulate.rehearse import RehearsalResult

INTERRUPTED = 130


@asks
def rehearse(
    variant: Annotated[
        str | None,
        typer.Argument(
            metavar="[BAIT]",
            help="The bait asked about; without it, the one most fished beside others.",
        ),
    ] = None,
    against: AgainstArgument = None,
    reference: ReferenceOption = None,
    ratio: Annotated[
        float, typer.Option(help="How many times as fast it catches in truth in these seasons.")
    ] = 1.5,
    seasons: Annotated[
        int, typer.Option(help="How many seasons; further ratios and broken assumptions get half.")
    ] = 200,
    seed: SeedOption = 1,
    jobs: JobsOption = None,
    *,
    rows: RowsAndFish,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    quiet: QuietOption = False,
    as_json: JsonOption = False,
) -> None:
    """Would a season like yours tell? Invented seasons on your own schedule, with a known truth.

    Shows how often the interval held that truth, how often counting every fish by itself would
    have, what such a season can settle, and what happens where the model is wrong. Ctrl-C leaves
    the result so far.
    """
    named = reference_of(against, reference)
    asked = rows.of(logbook)
    # Sessions left out are named by the answer itself.
    talk_notes([note for note in asked.notes if note.code != LEFT_OUT])
    result = run_rehearsal(
        asked,
        variant,
        named,
        not (quiet or as_json),
        ratio=ratio,
        seasons=seasons,
        seed=seed,
        jobs=jobs,
    )
    keep_reference(asked, reference, result.reference if against is None else None)
    if as_json:
        answer_json(result.to_dict())
    else:
        from rodhours.report.text_tables import paragraphs
        from rodhours.words.rehearsal import rehearsal_lines

        answer(paragraphs(rehearsal_lines(result), width_of_answers()))
    if not result.complete:
        raise typer.Exit(INTERRUPTED)


def run_rehearsal(
    asked: Question,
    variant: str | None = None,
    reference: str | None = None,
    bar: bool = True,
    jobs: int | None = None,
    **options: Any,
) -> RehearsalResult:
    """Rehearse on all cores with a bar on stderr; Ctrl-C gives the result so far.

    Options are those of `rodhours.rehearse`. Exit with 130 where Ctrl-C came before the first
    season.
    """
    from rodhours.simulate.run import cores

    jobs = cores() if jobs is None else jobs
    try:
        with ctrl_c_as_exception(), progress_bar("Rehearsing", bar) as progress:
            return asked.rehearse(variant, reference, jobs=jobs, progress=progress, **options)
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
