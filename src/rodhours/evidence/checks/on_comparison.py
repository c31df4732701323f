"""The checks that touch a comparison, run on its own fits: their findings become its notes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd

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
from rodhours.evidence.checks.clumping import clumping
from rodhours.evidence.checks.confounding import confounded
from rodhours.evidence.checks.disagree import ratios_disagree
from rodhours.evidence.checks.favourites import favourite_conditions
from rodhours.evidence.checks.night import night_and_day
from rodhours.evidence.checks.red_letter import red_letter_trip
from rodhours.evidence.checks.rods import rods_not_rotated
from rodhours.evidence.checks.stays import trips_are_stays, whole_days
from rodhours.evidence.fitted import Headline, Subject
from rodhours.evidence.result import CAUTION, INFORMATION, Note, order_notes
from rodhours.evidence.results import ALL_TRIPS, SAME_TRIPS, Comparison
from rodhours.evidence.verdicts import AHEAD, BEHIND, verdict


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
    return [_picked(of, one, baits) for one in of.headlines]


def _picked(of: Subject, one: Headline, baits: int) -> Note:
    """The note of one bait, of `baits` in the rows."""
    comparison = one.comparison
    answer = one.basis.answer(one.variant, of.alpha, of.alpha / baits)
    low, high = answer.conf_low, answer.conf_high
    fish = comparison.fish, comparison.reference_fish
    together = verdict(low, high, *fish, of.margin)
    numbers = {
        "others": baits - len(of.headlines),
        "baits": baits,
        "conf_low": low,
        "conf_high": high,
        "verdict": together,
    }
    severity = INFORMATION if together == comparison.verdict else CAUTION
    return Note("one_of_several", comparison.variant, severity, numbers)
