"""`rodhours check`: what in the log could still fool the reader, worst first."""

from __future__ import annotations

from rodhours.cli.options import Answers, ReferenceOption, RowsAndFish, asks, keep_reference
from rodhours.cli.output import answer, answer_json, width_of_answers


@asks
def check(reference: ReferenceOption = None, *, rows: RowsAndFish, answers: Answers) -> None:
    """What could still fool you: what was found, how much it could move the answer, what to do.

    Gaps are looked for in the whole logbook, whichever rows are chosen.
    """
    asked = rows.of(answers.logbook)
    result = asked.check(reference)
    keep_reference(asked, reference, result.reference)
    if answers.as_json:
        answer_json(result.to_dict())
        return
    from rodhours.report.findings import findings_text

    answer(findings_text(result, width_of_answers()))
