"""`rodhours check`: what in the log could still fool the reader, worst first."""

from __future__ import annotations

from rodhours.cli.choosing import (
    AnglerOption,
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
    whole_log,
)
from rodhours.cli.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from rodhours.cli.output import answer, answer_json, width_of_answers


def check(
    reference: ReferenceOption = None,
    since: SinceOption = None,
    until: UntilOption = None,
    venue: VenueOption = None,
    angler: AnglerOption = None,
    species: SpeciesOption = None,
    min_weight: MinWeightOption = None,
    outcome: OutcomeOption = OutcomeChoice.LANDED,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """What could still fool you: what was found, how much it could move the answer, what to do.

    Gaps are looked for in the whole logbook, whichever rows are chosen.
    """
    book, stints = read_stints(logbook)
    with book:
        chosen = choose(book, stints, since, until, venue, angler, species, min_weight, outcome)
        from rodhours.evidence.check import check as run_checks

        reference = book.variant_meant(reference)
        against = remembered_reference(book, chosen) if reference is None else reference
        result = run_checks(chosen.stints, reference=against, whole_log=whole_log(book, stints))
        remember(book, reference)
    result = result.knowing(chosen.filters, chosen.notes)
    if as_json:
        answer_json(result.to_dict())
        return
    from rodhours.report.findings import findings_text

    answer(findings_text(result, width_of_answers()))
