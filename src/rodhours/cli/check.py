"""`rodhours check`: what in the log could still fool the reader, worst first."""

from __future__ import annotations

from rodhours.cli.options import (
    AgainstArgument,
    Answers,
    ReferenceOption,
    RowsAndFish,
    VariantArgument,
    asks,
    reference_kept,
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
    reference = reference_of(against, reference)
    asked = rows.of(answers.logbook)
    with reference_kept(asked, reference):
        result = asked.check(reference, variant)
    if answers.as_json:
        answer_json(result.to_dict())
        return
    from rodhours.report.findings import findings_text

    answer(findings_text(result, width_of_answers()))
