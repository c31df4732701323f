"""The notes that travel with a comparison: when each one appears, and when it does not.

Logs are made so that a rule is met or missed by hand; figures are counted from the rows.
"""

from __future__ import annotations

from functools import partial

import numpy as np
import pandas as pd
import pytest

import simulated_seasons as seasons
from rodhours.evidence.compare import compare as with_checks
from rodhours.evidence.result import SEVERITIES, Note, order_notes
from rodhours.words.notes import says
from simulated_seasons import FAVOURITE, REFERENCE, Season

compare = partial(with_checks, checks=False)


def seeded(kind, seed, ratio=1.0, **season):
    return kind(np.random.default_rng(seed), ratio, Season(**season))


def trips(*rows):
    """Rows from trips of {variant: (hours, fish)}, no rods."""
    return pd.DataFrame(
        [
            {"session": f"t{i:03}", "variant": variant, "hours": hours, "fish": fish}
            for i, row in enumerate(rows)
            for variant, (hours, fish) in row.items()
        ]
    )


def found(result, code):
    return [note for note in result.notes if note.code == code]


def found_codes(result):
    return {note.code for note in result.notes}


def test_hidden_conditions_is_the_nearer_limit_of_an_all_trips_answer():
    """Section 2: the factor that brings the nearer limit to 1 is that limit itself."""
    log = seeded(seasons.one_a_trip, 3, 6.0, trips=60)
    for reference, variant in ((REFERENCE, FAVOURITE), (FAVOURITE, REFERENCE)):
        result = compare(log, reference, variant)
        (one,) = result.comparisons
        (note,) = found(result, "hidden_conditions")
        nearer = one.conf_low if one.verdict == "ahead" else one.conf_high
        assert {REFERENCE: "behind", FAVOURITE: "ahead"}[variant] == one.verdict
        assert note.numbers["factor"] == nearer
    same = compare(seeded(seasons.both_on_every_trip, 3, 6.0, trips=30), REFERENCE)
    assert same.comparisons[0].verdict == "ahead"
    assert not found(same, "hidden_conditions")


@pytest.mark.parametrize(
    ("fish", "other", "severity"),
    [
        (4, 0, "serious"),
        (2, 2, "serious"),
        (1, 9, "caution"),
        (0, 9, "caution"),
        (4, 30, "caution"),
    ],
)
def test_few_fish(fish, other, severity):
    """Under 5 fish on either is a caution, under 5 on the two together serious; 5 each is none."""

    def log(fish, other):
        counts = [{"a": (9.0, int(i < other)), "b": (9.0, int(i < fish))} for i in range(40)]
        return trips(*counts)

    (note,) = found(compare(log(fish, other), "a"), "few_fish")
    assert note.severity == severity
    assert note.numbers == {"fish": fish, "reference_fish": other}
    assert not found(compare(log(5, 5), "a"), "few_fish")


def test_no_fish_names_the_one_that_has_none():
    """A variant without fish and a reference without fish are different things to know."""
    log = trips(*[{"a": (9.0, 1), "b": (7.0, 0)}] * 8)
    (note,) = found(compare(log, "a"), "no_fish")
    assert (note.variant, note.numbers["rod_hours"]) == ("b", 56.0)
    assert not found(compare(log, "a"), "no_fish_on_reference")
    (turned,) = found(compare(log, "b"), "no_fish_on_reference")
    assert (turned.variant, turned.numbers["rod_hours"]) == ("a", 56.0)
    assert not found(compare(log, "b"), "no_fish")


def test_mostly_indirect_below_half_of_the_sessions():
    """Section 2: say where most of the evidence is indirect: under half had both."""

    def shared(direct):
        return trips(
            *[{"a": (9.0, 1), "c": (9.0, 1)}] * direct,
            *[{"a": (9.0, 1), "b": (9.0, 2)}, {"b": (9.0, 1), "c": (9.0, 1)}] * 5,
        )

    (note,) = found(compare(shared(9), "a", "c"), "mostly_indirect")
    assert note.numbers == {"shared_sessions": 9, "sessions": 19}
    assert not found(compare(shared(10), "a", "c"), "mostly_indirect")


def test_rods_are_asked_for_and_then_adjusted_for():
    """Section 2: ask for rod and spot where they are not logged, adjust by them where they are."""
    log = seeded(seasons.both_on_every_trip, 3, 1.5, trips=20)
    assert "rods_not_logged" in found_codes(compare(log.drop(columns="rod"), REFERENCE))
    logged = found_codes(compare(log, REFERENCE))
    assert "adjust_by_rod" in logged
    assert "rods_not_logged" not in logged
    adjusted = found_codes(compare(log, REFERENCE, adjust=["rod"]))
    assert not {"adjust_by_rod", "rods_not_logged"} & adjusted


def test_columns_that_were_not_used_are_named():
    """A column that is the same everywhere, or the same thing as the variants, changes nothing."""
    log = seeded(seasons.one_a_trip, 3, 1.5, trips=20)
    log["hook_size"] = 6
    log["rig"] = log["variant"] + " rig"
    result = compare(log, REFERENCE, adjust=["hook_size", "rig"])
    notes = {
        note.numbers["column"]: note.numbers["reason"]
        for note in result.notes
        if note.code == "column_not_used"
    }
    assert set(notes) == {"hook_size", "rig"}
    assert notes["hook_size"] != notes["rig"]
    plain = compare(log, REFERENCE)
    assert result.comparisons[0].rate_ratio == pytest.approx(plain.comparisons[0].rate_ratio)
    assert (result.models[0].adjusted_for, result.models[0].df) == ((), plain.models[0].df)


def test_columns_constant_within_trips_are_not_needed_there():
    """Section 2: dropped on the same trips; said, because it was asked for."""
    log = seeded(seasons.both_on_every_trip, 3, 1.5, trips=20)
    log["water_temp_c"] = log["session"].astype(int) % 7
    result = compare(log, REFERENCE, adjust=["water_temp_c"])
    (note,) = found(result, "column_constant_within_trips")
    assert note.numbers == {"column": "water_temp_c"}
    assert [model.adjusted_for for model in result.models] == [(), ("water_temp_c",)]
    alone = compare(log, REFERENCE, adjust=["water_temp_c"], basis="all")
    assert not found(alone, "column_constant_within_trips")


def test_a_small_difference_that_is_sure_is_called_small():
    """An ahead or behind whose limits both lie within the margin says so."""
    log = seeded(seasons.both_on_every_trip, 3, 1.12, trips=400, rods=2, rate=0.5)
    (note,) = found(compare(log, REFERENCE), "small_difference")
    assert note.numbers == {"margin": 1.25}
    assert compare(log, REFERENCE).comparisons[0].verdict == "ahead"
    assert compare(log, FAVOURITE).comparisons[0].verdict == "behind"
    assert found(compare(log, FAVOURITE), "small_difference")
    assert not found(compare(log, REFERENCE, margin=1.05), "small_difference")


def test_notes_are_worst_first_and_say_something():
    """Serious before caution before information, ties as found; every code has its words."""
    notes = [Note(str(i), None, SEVERITIES[i % 3]) for i in (2, 1, 0, 5, 4, 3)]
    assert [note.code for note in order_notes(notes)] == ["0", "3", "1", "4", "2", "5"]
    log = seasons.several_variants(
        np.random.default_rng(14), (1.0, 2.0), Season(trips=13, rate=0.02)
    )
    result = compare(log)
    order = [SEVERITIES.index(note.severity) for note in result.notes]
    assert order == sorted(order)
    for note in result.notes:
        assert says(note).endswith(".")
