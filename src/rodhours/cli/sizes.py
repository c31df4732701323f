"""`rodhours sizes`: how big the fish were on each variant."""

from __future__ import annotations

from rodhours.cli.options import (
    AgainstArgument,
    Answers,
    ConfidenceOption,
    ReferenceOption,
    Rows,
    SpeciesOption,
    UnitsOption,
    VariantArgument,
    asks,
    keep_reference,
    reference_of,
)
from rodhours.cli.output import answer, answer_json, width_of_answers


@asks
def sizes(
    variant: VariantArgument = None,
    against: AgainstArgument = None,
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
    named = reference_of(against, reference)
    asked = rows.of(answers.logbook)
    result = asked.sizes(named, species, confidence, variant)
    keep_reference(asked, reference, result.reference if against is None else None)
    if answers.as_json:
        answer_json(result.to_dict())
        return
    from rodhours.report.terminal import sizes_text

    answer(sizes_text(result, units or asked.log.weight_unit, width_of_answers()))
