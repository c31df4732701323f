"""`rodhours sizes`: how big the fish were on each variant."""

from __future__ import annotations

from rodhours.cli.options import (
    Answers,
    ConfidenceOption,
    ReferenceOption,
    Rows,
    SpeciesOption,
    UnitsOption,
    asks,
    keep_reference,
)
from rodhours.cli.output import answer, answer_json, width_of_answers


@asks
def sizes(
    reference: ReferenceOption = None,
    species: SpeciesOption = None,
    units: UnitsOption = None,
    *,
    rows: Rows,
    confidence: ConfidenceOption = 0.95,
    answers: Answers,
) -> None:
    """Did one bait bring bigger fish? Weights by variant, of the fish that were weighed.

    Typical weights are compared with fish of one trip allowed to be alike.
    """
    asked = rows.of(answers.logbook)
    result = asked.sizes(reference, species, confidence)
    keep_reference(asked, reference, result.reference)
    if answers.as_json:
        answer_json(result.to_dict())
        return
    from rodhours.report.sizes_text import sizes_text

    answer(sizes_text(result, units or asked.log.weight_unit, width_of_answers()))
