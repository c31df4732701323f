"""The checks that touch a comparison, run on its own fits: their findings become its notes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import exp

import numpy as np
import pandas as pd

from rodhours.evidence.basis import Answer, Basis
from rodhours.evidence.checks.batches import batch_apart, one_batch_carries, one_batch_each
from rodhours.evidence.checks.blanks import unlogged_blanks
from rodhours.evidence.checks.carries import one_angler_carries
from rodhours.evidence.checks.clumping import clumping
from rodhours.evidence.checks.confounding import confounded
from rodhours.evidence.checks.disagree import ratios_disagree
from rodhours.evidence.checks.favourites import favourite_conditions
from rodhours.evidence.checks.night import night_and_day
from rodhours.evidence.checks.red_letter import red_letter_trip
from rodhours.evidence.checks.rods import rods_not_rotated
from rodhours.evidence.checks.stays import trips_are_stays
from rodhours.evidence.checks.whole_days import whole_days
from rodhours.evidence.result import CAUTION, INFORMATION, SERIOUS, Note, order_notes
from rodhours.evidence.results import ALL_TRIPS, SAME_TRIPS, Comparison
from rodhours.evidence.stints import Stints
from rodhours.evidence.verdicts import verdict


@dataclass(frozen=True)
class Headline:
    """One comparison with the basis and the answer it was made from."""

    comparison: Comparison
    variant: int
    basis: Basis
    answer: Answer


def notes_on_fits(
    frame: pd.DataFrame,
    stints: Stints,
    headlines: Sequence[Headline],
    everything: Basis,
    alpha: float,
    margin: float,
) -> list[Note]:
    """What the fits themselves say against their answers.

    `frame` is what `stints` was prepared from, `everything` the all-trips basis, 1 − `alpha`
    the confidence of each interval of the family.
    """
    if everything.fish.sum() == 0:
        return []
    notes = [
        note
        for one in headlines
        if (note := _red_letter(frame, stints, one, alpha, margin)) is not None
    ]
    same = {one.variant: one.comparison for one in headlines if one.comparison.basis == SAME_TRIPS}
    if same:
        notes += favourite_conditions(stints, everything.reference, same)
        notes += ratios_disagree(frame, stints, everything.reference, list(same), margin)
    notes += _one_of_several(stints, headlines, alpha, margin)
    for one in headlines:
        for carries in (one_batch_carries, one_angler_carries):
            notes += carries(frame, stints, one.comparison, one.basis, alpha)
    return [*notes, *_clumping(headlines, alpha), *_blanks(headlines, everything)]


def notes_on_stints(
    frame: pd.DataFrame, reference: str, comparisons: Sequence[Comparison]
) -> list[Note]:
    """What the stints say about how the variants were fished against the reference.

    What is the same for all rods of a trip cannot bias a same-trip answer: such findings are
    notes of all-trips answers only. Rods are told of once: where the two did not take turns on
    them, that they had other rods is the same finding.
    """
    notes: list[Note] = []
    for one in comparisons:
        apart = [
            note
            for note in confounded(frame, reference, one.variant)
            if one.basis == ALL_TRIPS or not note.numbers["constant_within_trips"]
        ]
        rods = rods_not_rotated(frame, reference, one.variant)
        if any(note.numbers["by"] == "rod" for note in rods):
            by_rod = [note for note in apart if note.numbers["by"] == "rod"]
            apart = [note for note in apart if note.numbers["by"] != "rod"]
            # The one finding that is left weighs as much as the worse of the two.
            rods = [
                replace(note, severity=order_notes([*by_rod, note])[0].severity)
                if note.numbers["by"] == "rod"
                else note
                for note in rods
            ]
        notes += [*apart, *rods]
        if one.basis == SAME_TRIPS:
            notes += night_and_day(frame, reference, one.variant)
        notes += one_batch_each(frame, reference, one.variant)
    all_trips = any(one.basis == ALL_TRIPS for one in comparisons)
    notes += batch_apart(frame, [reference, *(one.variant for one in comparisons)])
    return [*notes, *trips_are_stays(frame, all_trips=all_trips), *whole_days(frame)]


def _red_letter(
    frame: pd.DataFrame, stints: Stints, one: Headline, alpha: float, margin: float
) -> Note | None:
    found = red_letter_trip(one.basis, one.variant, one.answer, alpha, margin)
    if found is None:
        return None
    row = frame.iloc[int(stints.first_row[found.session])]
    date, angler = row.get("date"), row.get("angler")
    return Note(
        "red_letter_trip",
        one.comparison.variant,
        SERIOUS if found.is_serious else CAUTION,
        {
            "session": str(row["session"]),
            "angler": angler if isinstance(angler, str) else None,
            "date": None if pd.isna(date) else pd.Timestamp(date).date().isoformat(),
            "fish": found.fish,
            "reference_fish": found.reference_fish,
            "rate_ratio": one.answer.rate_ratio,
            "rate_ratio_without": found.without.rate_ratio,
            "conf_low_without": found.without.conf_low,
            "conf_high_without": found.without.conf_high,
            "verdict": one.comparison.verdict,
            "verdict_without": found.verdict,
            "verdict_changes": found.verdict_changes,
        },
    )


def _one_of_several(
    stints: Stints, headlines: Sequence[Headline], alpha: float, margin: float
) -> list[Note]:
    """That the baits asked about are some of several, with the limits of the whole family.

    Whoever asks about the best-looking of several baits has compared them all.
    """
    baits = len(np.unique(stints.variant)) - 1
    if not headlines or len(headlines) >= baits or not headlines[0].basis.fish.any():
        return []
    return [_picked(one, baits, len(headlines), alpha, margin) for one in headlines]


def _picked(one: Headline, baits: int, asked: int, alpha: float, margin: float) -> Note:
    """The note of one bait, of `baits` in the rows of which `asked` were asked about."""
    comparison = one.comparison
    answer = one.basis.answer(one.variant, alpha, alpha / baits)
    low, high = answer.conf_low, answer.conf_high
    fish = comparison.fish, comparison.reference_fish
    together = verdict(low, high, *fish, margin)
    numbers = {
        "others": baits - asked,
        "baits": baits,
        "conf_low": low,
        "conf_high": high,
        "verdict": together,
    }
    severity = INFORMATION if together == comparison.verdict else CAUTION
    return Note("one_of_several", comparison.variant, severity, numbers)


def _clumping(headlines: Sequence[Headline], alpha: float) -> list[Note]:
    """One note for the fit: that of the comparison whose interval clumping widens most.

    Both intervals are of the headline's own rows and columns.
    """
    found = []
    for one in headlines:
        if one.basis.fish.sum() == 0 or one.basis.rod_hours[one.variant] == 0:
            continue
        alone = one.basis.poisson_answer(one.variant, alpha, alpha)
        clumps = clumping(
            one.basis.fitted,
            (one.answer.conf_low, one.answer.conf_high),
            (alone.conf_low, alone.conf_high),
        )
        if clumps is not None:
            found.append((clumps.width_ratio or 0.0, clumps))
    if not found:
        return []
    _, worst = max(found, key=lambda pair: pair[0])
    numbers = {
        "session_sd": worst.session_sd,
        "good_trip": worst.good_trip,
        "clumping": worst.clumping,
        "width_ratio": worst.width_ratio,
    }
    return [Note("clumping", None, INFORMATION, numbers)]


def _blanks(headlines: Sequence[Headline], everything: Basis) -> list[Note]:
    found = unlogged_blanks(everything.fitted)
    if found is None:
        return []
    shifts: list[tuple[float, int, Headline]] = []
    for one in headlines:
        if everything.fish[one.variant] > 0 and everything.fish[everything.reference] > 0:
            column = everything.column_of(one.variant)
            shifts.append((abs(found.b[column] - found.plain[column]), column, one))
    numbers: dict[str, float | None] = {
        "logged_share": found.logged_share,
        "missing": found.missing,
        "lr": found.likelihood_ratio,
        "rate_ratio": None,
        "rate_ratio_corrected": None,
    }
    if not shifts:
        return [Note("unlogged_blanks", None, SERIOUS, numbers)]
    _, column, most = max(shifts, key=lambda shift: shift[0])
    numbers["rate_ratio"] = exp(float(found.plain[column]))
    numbers["rate_ratio_corrected"] = exp(float(found.b[column]))
    return [Note("unlogged_blanks", most.comparison.variant, SERIOUS, numbers)]
