"""All checks of a log: what could still fool the reader, worst first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import pandas as pd

from rodhours.evidence.checks.confounding import confounded
from rodhours.evidence.checks.gaps import gaps_in_the_log
from rodhours.evidence.compare import compare
from rodhours.evidence.results import SAME_TRIPS, Note
from rodhours.evidence.severities import INFORMATION, order_notes


@dataclass(frozen=True)
class CheckResult:
    """The findings of all checks, worst first, and the reference they were looked at against."""

    reference: str
    findings: tuple[Note, ...]

    def to_dict(self) -> dict[str, Any]:
        """The machine form, equal to what `rodhours check --json` prints.

        A finding about one variant names it among its numbers.
        """
        findings = []
        for note in self.findings:
            said = note.to_dict()
            variant = said.pop("variant")
            if variant is not None:
                said["numbers"] = {"variant": variant, **said["numbers"]}
            findings.append(said)
        return {"schema": 1, "findings": findings}


def check(
    stints: pd.DataFrame,
    reference: str | None = None,
    adjust: Sequence[str] = (),
    confidence: float = 0.95,
    margin: float = 1.25,
) -> CheckResult:
    """Run all checks on a stint frame, every other variant against the reference.

    Parameters are those of `compare`. The findings are what `compare` notes of all variants;
    what cannot bias their same-trip answers but stands in their all-trips answers, as
    information; and what is amiss with the log itself.
    """
    result = compare(stints, reference, None, adjust, confidence, "auto", margin)
    aside = [
        replace(note, severity=INFORMATION)
        for one in result.comparisons
        if one.basis == SAME_TRIPS
        for note in confounded(stints, result.reference, one.variant)
        if note.numbers["constant_within_trips"]
    ]
    findings = order_notes([*result.notes, *aside, *gaps_in_the_log(stints)])
    return CheckResult(result.reference, findings)
