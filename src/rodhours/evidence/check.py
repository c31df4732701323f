"""All checks of a log: what could still fool the reader, worst first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import pandas as pd

from rodhours.evidence.checks.confounding import confounded
from rodhours.evidence.checks.gaps import gaps_in_the_log
from rodhours.evidence.compare import compare
from rodhours.evidence.result import INFORMATION, Note, order_notes
from rodhours.evidence.results import SAME_TRIPS, ComparisonResult


@dataclass(frozen=True)
class CheckResult:
    """The findings of all checks, worst first, and the reference they were looked at against.

    `filters` are the rows and the fish that were chosen, where any were.
    """

    reference: str
    findings: tuple[Note, ...]
    filters: Mapping[str, Any] = field(default_factory=dict)

    def with_choice(self, filters: Mapping[str, Any], notes: Sequence[Note]) -> CheckResult:
        """The same result, knowing what was chosen and what that left out."""
        return replace(self, filters=dict(filters), findings=order_notes([*notes, *self.findings]))

    def to_dict(self) -> dict[str, Any]:
        """The machine form, equal to what `rodhours check --json` prints.

        A finding about one variant names it among its numbers; `filters` is there where rows or
        fish were chosen.
        """
        findings = []
        for note in self.findings:
            said = note.to_dict()
            variant = said.pop("variant")
            if variant is not None:
                said["numbers"] = {"variant": variant, **said["numbers"]}
            findings.append(said)
        chosen = {"filters": dict(self.filters)} if self.filters else {}
        return {"schema": 1, "findings": findings, **chosen}


def check(
    stints: pd.DataFrame,
    reference: str | None = None,
    adjust: Sequence[str] = (),
    confidence: float = 0.95,
    margin: float = 1.25,
    whole_log: pd.DataFrame | None = None,
) -> CheckResult:
    """Run all checks on a stint frame, every other variant against the reference.

    Parameters are those of `compare`; `whole_log` is what `stints` were chosen from, where they
    are not all of it. The findings are those of `all_findings`.
    """
    result = compare(stints, reference, None, adjust, confidence, "auto", margin)
    return CheckResult(result.reference, all_findings(result, stints, whole_log))


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
