"""All checks of a log: what could still fool the reader, worst first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pandas as pd

from rodhours.evidence.checks.as_logged import gaps_in_the_log
from rodhours.evidence.checks.confounding import confounded
from rodhours.evidence.compare import compare
from rodhours.evidence.earlier import apart
from rodhours.evidence.result import INFORMATION, Note, order_notes
from rodhours.evidence.results import SAME_TRIPS, CheckResult, ComparisonResult


def check(
    stints: pd.DataFrame,
    reference: str | None = None,
    adjust: Sequence[str] = (),
    confidence: float = 0.95,
    margin: float = 1.25,
    whole_log: pd.DataFrame | None = None,
    variant: str | None = None,
) -> CheckResult:
    """Run all checks on a stint frame: `variant`, or every other one, against the reference.

    Parameters are those of `compare`; `whole_log` is what `stints` were chosen from, where they
    are not all of it. The findings are those of `all_findings`.
    """
    result = compare(stints, reference, variant, adjust, confidence, "auto", margin)
    return CheckResult(result.reference, notes=all_findings(result, apart(stints)[0], whole_log))


def all_findings(
    result: ComparisonResult, stints: pd.DataFrame, whole_log: pd.DataFrame | None = None
) -> tuple[Note, ...]:
    """All that limits a comparison and could fool its reader, worst first.

    The notes of `result`, which was made from `stints`; what cannot bias its same-trip answers but
    stands in the all-trips answers beside them, as information; and what is amiss with the log
    itself, looked for in `whole_log` where that is given: rows chosen by water have holes of their
    own, which are no gaps in the log.
    """
    aside = [
        replace(note, severity=INFORMATION)
        for one in result.comparisons
        if one.basis == SAME_TRIPS
        for note in confounded(stints, result.reference, one.variant)
        if note.numbers["constant_within_trips"]
    ]
    gaps = gaps_in_the_log(stints if whole_log is None else whole_log)
    return order_notes([*result.notes, *aside, *gaps])
