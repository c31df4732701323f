"""The checks that touch a comparison, run on its own fits: their findings become its notes."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from math import copysign, exp, log, sqrt
from typing import Any

import numpy as np
import pandas as pd

from rodhours.evidence.basis import Answer, Basis
from rodhours.evidence.checks.allocation import FAMILY_CHANCE
from rodhours.evidence.checks.as_logged import trips_are_stays, whole_days
from rodhours.evidence.checks.batches import (
    Batches,
    batch_apart,
    batches_of,
    carried_by,
    each_angler,
    each_batch,
    one_batch_each,
)
from rodhours.evidence.checks.blanks import unlogged_blanks
from rodhours.evidence.checks.confounding import confounded
from rodhours.evidence.checks.disagree import ratios_disagree
from rodhours.evidence.checks.red_letter import red_letter_trip
from rodhours.evidence.checks.rods import night_and_day, rods_not_rotated
from rodhours.evidence.cutoffs import Cutoff
from rodhours.evidence.fitted import Headline, Subject
from rodhours.evidence.result import CAUTION, INFORMATION, Note, order_notes
from rodhours.evidence.results import ALL_TRIPS, SAME_TRIPS, Comparison
from rodhours.evidence.session_model.fit import POISSON
from rodhours.evidence.trips import FEWEST_SAME_TRIP_DF
from rodhours.evidence.verdicts import AHEAD, BEHIND, verdict

MORE_THAN_CHANCE = 4.23
"""The 95 % point of the likelihood ratio for two spreads that may both be 0: a mixture of
chi-squares, 1/4 · 0 + 1/2 · 1 df + 1/4 · 2 df (Self & Liang 1987, JASA 82:605-610)."""


def findings(of: Subject) -> list[Note]:
    """All that the checks found against the answers of a comparison."""
    batches = batches_of(of.frame)
    on_fits = _on_fits(of, batches) if of.everything.fish.any() else []
    return [*on_fits, *_on_stints(of, batches)]


def _on_fits(of: Subject, batches: Batches) -> list[Note]:
    """What the fits themselves say against their answers."""
    frame, stints, headlines, everything = of.frame, of.stints, of.headlines, of.everything
    notes = [note for one in headlines for note in red_letter_trip(of, one)]
    same = {one.variant: one.comparison for one in headlines if one.comparison.basis == SAME_TRIPS}
    if same:
        notes += favourite_conditions(everything, same)
        notes += ratios_disagree(frame, stints, everything.reference, list(same), of.margin)
    notes += _one_of_several(of)
    anglers = each_angler(frame)
    for one in headlines:
        if one.comparison.verdict in (AHEAD, BEHIND):
            baits = one.comparison.variant, stints.variants[everything.reference]
            notes += carried_by("one_batch_carries", of, one, each_batch(frame, batches, baits))
            notes += carried_by("one_angler_carries", of, one, anglers)
    return [*notes, *clumping(headlines, of.alpha), *unlogged_blanks(everything, headlines)]


def _on_stints(of: Subject, batches: Batches) -> list[Note]:
    """What the stints say about how the variants were fished against the reference."""
    frame, reference = of.frame, of.stints.variants[of.everything.reference]
    comparisons = [one.comparison for one in of.headlines]
    notes: list[Note] = []
    for one in comparisons:
        notes += _where_fished(frame, reference, one)
        if one.basis == SAME_TRIPS:
            notes += night_and_day(frame, reference, one.variant)
        notes += one_batch_each(batches, reference, one.variant)
    all_trips = any(one.basis == ALL_TRIPS for one in comparisons)
    notes += batch_apart(frame, batches, [reference, *(one.variant for one in comparisons)])
    return [*notes, *trips_are_stays(frame, all_trips=all_trips), *whole_days(frame)]


def _where_fished(frame: pd.DataFrame, reference: str, one: Comparison) -> list[Note]:
    """Where the variant's hours went, and whether it took turns on rods and spots.

    What is the same for all rods of a trip cannot bias a same-trip answer: such findings are
    notes of all-trips answers only. Rods are told of once: where the two did not take turns on
    them, that they had other rods is the same finding, and weighs as much as the worse of the two.
    """
    apart = [
        note
        for note in confounded(frame, reference, one.variant)
        if one.basis == ALL_TRIPS or not note.numbers["constant_within_trips"]
    ]
    turns = rods_not_rotated(frame, reference, one.variant)
    rod = next((note for note in turns if note.numbers["by"] == "rod"), None)
    if rod is None:
        return [*apart, *turns]
    by_rod = [note for note in apart if note.numbers["by"] == "rod"]
    worst = order_notes([*by_rod, rod])[0].severity
    turns = [replace(note, severity=worst) if note is rod else note for note in turns]
    return [*(note for note in apart if note not in by_rod), *turns]


def _one_of_several(of: Subject) -> list[Note]:
    """That the baits asked about are some of several, with the limits of the whole family.

    Whoever asks about the best-looking of several baits has compared them all.
    """
    baits, asked = len(np.unique(of.stints.variant)) - 1, len(of.headlines)
    if not asked or asked >= baits or not of.headlines[0].basis.fish.any():
        return []
    notes = []
    for headline in of.headlines:
        one = headline.comparison
        answer = headline.basis.answer(headline.variant, of.alpha, of.alpha / baits)
        low, high = answer.conf_low, answer.conf_high
        together = verdict(low, high, one.fish, one.reference_fish, of.margin)
        numbers: dict[str, Any] = {
            "others": baits - asked,
            "baits": baits,
            "conf_low": low,
            "conf_high": high,
        }
        severity = INFORMATION if together == one.verdict else CAUTION
        numbers |= {"verdict": together}
        notes.append(Note("one_of_several", one.variant, severity, numbers))
    return notes


def favourite_conditions(everything: Basis, asked: Mapping[int, Comparison]) -> list[Note]:
    """Notes on variants whose trips were better or poorer than chance would make them.

    `everything` is the all-trips basis, `asked` holds the comparisons by the code of the variant.
    All stints are fitted with each variant's share of the session's rod-hours beside it (Mundlak
    1978, Econometrica 46:69-85): a share whose coefficient is not 0 says that sessions with more
    of the variant caught more, or less, on every bait. Named where the likelihood ratio of that
    coefficient is beyond 95 % by the t quantile, over all variants asked about together. A spread
    of sessions fitted by maximum likelihood is too small by what the p coefficients of sessions,
    level and shares, take up: (G − p) / G in a linear model; the ratio is too large by as much.
    Numbers: the two ratios, and `z`, the signed root of the likelihood ratio.
    """
    basis = Basis.of(everything.stints, everything.reference, same_trips=True)
    if not basis.fish.sum() or basis.df < FEWEST_SAME_TRIP_DF or not everything.fitted.converged:
        return []
    best, further = everything.fitted.best, basis.data.columns - everything.data.columns
    if further > 0:
        basis = replace(basis, near=replace(best, b=np.append(best.b, np.zeros(further))))
    if not basis.fitted.converged:
        return []
    cut = share_cutoff(basis.sessions, basis.df, basis.shares.shape[1], len(asked))
    notes = []
    for variant, one in asked.items():
        same, all_trips = one.rate_ratio, one.all_trips.rate_ratio
        statistic = basis.share_statistic(variant)
        if same and all_trips and statistic is not None and statistic > cut:
            z = copysign(sqrt(statistic), log(all_trips / same))
            numbers = {"same_trips_ratio": same, "all_trips_ratio": all_trips, "z": float(z)}
            notes.append(Note("favourite_conditions", one.variant, CAUTION, numbers))
    return notes


def share_cutoff(sessions: int, df: int, shares: int, asked: int) -> float:
    """The likelihood ratio beyond which the share of one of so many variants is named."""
    quantile = Cutoff(max(1, df - shares)).at(FAMILY_CHANCE / max(1, asked), 1)
    return quantile * sessions / max(1, sessions - shares - 1)


def clumping(headlines: Iterable[Headline], alpha: float) -> list[Note]:
    """One note for the fit: that of the comparison whose interval clumping widens most.

    None where fish come one by one, or nearly so. Numbers: `session_sd` s and `clumping` a of the
    fit; `good_trip`, what one trip in six gives, exp(s) times a usual one; `width_ratio`, the
    honest interval's width over the Poisson one's of the same rows and columns, on the log scale
    (None where one of the two has no limit on a side).
    """
    found: list[tuple[float, Note]] = []
    for one in headlines:
        basis = one.basis
        if not basis.fish.any() or not basis.rod_hours[one.variant] or not basis.fitted.converged:
            continue
        best = basis.fitted.best
        alone = next((at.value for at in basis.fitted.branches if at.branch == POISSON), None)
        if alone is None or 2.0 * (best.value - alone) <= MORE_THAN_CHANCE:
            continue
        width, plain = map(_width, (one.answer, basis.by_itself.answer(one.variant, alpha, alpha)))
        numbers = {
            "session_sd": best.s,
            "good_trip": exp(best.s),
            "clumping": best.t**2,
            "width_ratio": width / plain if width and plain else None,
        }
        note = Note("clumping", None, INFORMATION, numbers)
        found.append((numbers["width_ratio"] or 0.0, note))
    return [max(found, key=lambda pair: pair[0])[1]] if found else []


def _width(answer: Answer) -> float | None:
    low, high = answer.conf_low, answer.conf_high
    return log(high / low) if low and high else None
