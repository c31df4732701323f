"""`rodhours check`: what in the log could still fool the reader, worst first."""

from __future__ import annotations

from rodhours.cli.options import (
    AgainstArgument,
    Answers,
    ReferenceOption,
    RowsAndFish,
    VariantArgument,
    asks,
    keep_reference,
    reference_of,
)
from rodhours.cli.output import answer, answer_json, width_of_answers


@asks
def check(
    variant: VariantArgument = None,
    against: AgainstArgument = None,
    *,
    reference: ReferenceOption = None,
    rows: RowsAndFish,
    answers: Answers,
) -> None:
    """What could still fool you: what was found, how much it could move the answer, what to do.

    Gaps are looked for in the whole logbook, whichever rows are chosen.
    """
    named = reference_of(against, reference)
    asked = rows.of(answers.logbook)
    result = asked.check(named, variant)
    keep_reference(asked, reference, result.reference if against is None else None)
    if answers.as_json:
        answer_json(result.to_dict())
        return
    from rodhours.report.terminal import findings_text

    answer(findings_text(result, width_of_answers()))
