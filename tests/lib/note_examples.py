"""One set of figures for each turn that the text of a note can take: code, bait and numbers.

`DERIVED` states which further numbers a text may say, worked out from the note's own.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from rodhours.evidence.result import CAUTION, INFORMATION, SERIOUS, Note

BAIT = "pellet-20"
TWENTY = 20 * 0.45359237  # pounds to kilograms, by the definition of the pound


def note(code: str, variant: str | None = BAIT, severity: str = CAUTION, **numbers: Any) -> Note:
    return Note(code, variant, severity, numbers)


_RED_LETTER = {
    "session": "T17",
    "angler": None,
    "date": "2025-07-12",
    "fish": 7,
    "reference_fish": 1,
    "rate_ratio": 1.62,
    "rate_ratio_without": 1.1,
    "conf_low_without": 0.7,
    "conf_high_without": 1.74,
    "verdict": "ahead",
    "verdict_without": "unsettled",
    "verdict_changes": True,
}
_DEPARTED = {
    "planned": 240,
    "departed": 36,
    "towards": {"pellet-20": 20, "plain": 16},
    "rods": {"1": 30, "2": 6},
    "answers": [
        {
            "variant": "pellet-20",
            "rate_ratio": 1.48,
            "as_planned": 0.87,
            "conf_low": 0.54,
            "conf_high": 1.4,
        }
    ],
}
_UNFISHED = {
    "empty": {"plain": 4, "pellet-20": 2},
    "unfished": {"plain": 3},
    "share": 0.07,
    "bait": "plain",
    "p_value": 0.03,
}
_EARLY = {"plan": "KADE", "opened_on": "2026-05-02", "blind": 4, "planned": 6, "after": 2}
_WITHOUT_BATCH = {
    "rate_ratio": 2.46,
    "rate_ratio_without": 0.78,
    "conf_low_without": 0.31,
    "conf_high_without": 1.6,
}
_VERDICTS = {"verdict": "ahead", "verdict_without": "unsettled"}
_CLUMPS = {"session_sd": 1.0, "good_trip": 2.718, "clumping": 0.4, "width_ratio": 1.56}
_BLANKS = {
    "logged_share": 0.31,
    "missing": 12.4,
    "rate_ratio": 1.35,
    "rate_ratio_corrected": 1.2,
    "lr": 9.0,
}
_MONTH = {
    "by": "month",
    "difference": 0.9,
    "level": "2025-07",
    "share": 0.86,
    "reference_share": 0.12,
    "mean": None,
    "reference_mean": None,
    "constant_within_trips": True,
    "unshared": 0.0,
    "mix_ratio": 1.4,
    "mix_low": 1.1,
    "mix_high": 1.8,
}
_NARROW = {"mix_ratio": 1.02, "mix_low": 0.9, "mix_high": 1.15}
_WATER = _MONTH | {
    "by": "water_temp_c",
    "level": None,
    "share": None,
    "reference_share": None,
    "mean": 17.23,
    "reference_mean": 14.1,
}
_RODS = {
    "by": "rod",
    "level": "1",
    "share": 0.9,
    "reference_share": 0.05,
    "level_ratio": 2.1,
    "mix_ratio": 1.89,
}
_APART = {
    "by": "venue",
    "levels": [
        {"level": "Alder Mere", "ratio": 2.1, "sessions": 20},
        {"level": "Osier Pit", "ratio": 0.4, "sessions": 18},
    ],
    "p_value": 0.002,
    "opposite": True,
}
_NIGHT = {"share": 0.7, "reference_share": 0.3, "night_ratio": 2.5, "mix_ratio": 1.41}
_GAPS = {
    "missing_numbers": ["T3", "T7"],
    "missing_months": ["2025-07"],
    "sessions": 40,
    "rate_factor": 1.05,
}
_LIFT = {
    "lift_g": 0.431,
    "reference_lift_g": 0.618,
    "difference_g": -0.187,
    "tolerance_g": 0.046,
    "tolerance_mm": 0.5,
}
_RECIPES = [
    {"column": "pellet_pct", "variant": 20.0, "reference": 0.0},
    {"column": "base_mix", "variant": "fishmeal", "reference": "birdseed"},
]
_UNKNOWN = {
    "min_weight_kg": TWENTY,
    "outcome": "landed",
    "unknown": 3,
    "concerned": 80,
    "by_variant": {"plain": 2, BAIT: 1},
}

EXAMPLES: list[tuple[Note, tuple[str, ...]]] = [
    # A note, and the words that a reader must find in it: the turn that its figures ask for.
    (note("not_same_trips", shared_sessions=2, reason="few_sessions"), ("need 4 with each",)),
    (note("not_same_trips", shared_sessions=0, reason="unlinked"), ("never fished beside",)),
    (note("not_same_trips", shared_sessions=4, reason="few_df"), ("too few such trips",)),
    (note("no_same_trips", shared_sessions=0, reason="unlinked"), ("no same-trip answer",)),
    (
        note("favourite_conditions", same_trips_ratio=1.04, all_trips_ratio=2.21, z=3.0),
        ("flatters pellet-20", "2.21 times", "1.04 times on the same", "good trips"),
    ),
    (
        note("favourite_conditions", same_trips_ratio=2.0, all_trips_ratio=0.9, z=-3.0),
        ("hides pellet-20", "poor trips"),
    ),
    (
        note("goes_along", severity=SERIOUS, columns=["month"]),
        ("no ratio for pellet-20: it goes along with month", "leave out --adjust."),
    ),
    (
        note(
            "earlier_seasons",
            trips=31,
            rate_ratio=2.1,
            conf_low=0.5,
            conf_high=6.7,
            verdict="ahead",
            verdict_alone="unsettled",
        ),
        ("31 earlier trips", "alone pellet-20 caught 2.10 times as fast (between 0.50 and 6.70"),
    ),
    (
        note("one_of_several", others=1, baits=2, conf_low=0.9, conf_high=3.1, verdict="unsettled"),
        ("1 other bait stood by", "2 baits looked at together", "0.90 and 3.10", "“not settled”"),
    ),
    (note("hidden_conditions", factor=0.8), ("had been 0.80 times as good",)),
    (note("few_fish", fish=3, reference_fish=9), ("3 on pellet-20 against 9",)),
    (note("no_fish", rod_hours=412.0), ("pellet-20 in 412 rod-hours", "it is at most")),
    (note("no_fish_on_reference", rod_hours=88.0), ("88 rod-hours", "no ratio")),
    (note("fish_not_known", None, **_UNKNOWN), ("3 have no weight", "fish of 20 lb and over")),
    (
        note("fish_not_known", None, **_UNKNOWN | {"species": "tench", "unknown": 1}),
        ("1 has no species or no weight", "tench of 20 lb and over", "its species and weight"),
    ),
    (note("lost_not_logged", None, stints=2, rod_hours=31.5), ("were left out", "not none")),
    (note("lost_from_catches", None), ("as catches lists them",)),
    (
        note("fish_not_weighed", None, unweighed=1, of=90, by_variant={"plain": 1}),
        ("1 was not weighed (1 on plain)",),
    ),
    (note("several_species", None, species={"carp": 40, "tench": 1}), ("40 carp and 1 tench",)),
    (note("size_reference_chosen", None, reference="plain", weighed=33), ("plain was taken",)),
    (
        note(
            "left_out",
            None,
            sessions=[{"session": "trip 2", "angler": "Ann", "because": "hours were guessed"}],
        ),
        ("session trip 2 of Ann (because: hours were guessed)", "leave-out 'trip 2' --take-back"),
    ),
    (note("no_fit", None, basis="same trips"), ("worked out from the same trips",)),
    (note("rods_not_logged", None), ("Log the rod",)),
    (note("adjust_by_rod", None, columns=["rod"]), ("not allowed for: rod.", "--adjust rod.")),
    (
        note("adjust_by_rod", None, columns=["rod", "spot"]),
        ("not allowed for: rod and spot.", "--adjust rod and --adjust spot."),
    ),
    (
        note("stints_left_out", None, column="water_temp_c", stints=12, rod_hours=240.0, fish=3),
        ("12 stints (240 rod-hours, 3 fish) were", "water_temp_c"),
    ),
    (
        note("stints_left_out", None, column="time_of_year", stints=1, rod_hours=1.0, fish=0),
        ("1 stint (1 rod-hour, no fish) was", "time of year"),
    ),
    (note("column_constant_within_trips", None, column="month"), ("same for all baits",)),
    (
        note("column_not_used", None, column="spot", reason="it is the same on every stint"),
        ("not adjusted for spot: it is the same on every stint.",),
    ),
    (note("mostly_indirect", shared_sessions=6, sessions=40), ("pellet-20 on 6 of 40",)),
    (
        note("reference_chosen", None, reference="plain", shared_rod_hours=1500.0),
        ("1,500 rod-hours", "not for its catch"),
    ),
    (
        note("reference_chosen", None, reference="plain", shared_rod_hours=0.0),
        ("plain was taken. Choose another",),
    ),
    (note("small_difference", margin=1.25), ("1.25 times either way",)),
    (note("one_variant", None), ("Only one bait",)),
    (note("too_few_trips", sessions=3), ("3 trips for pellet-20",)),
    (note("no_catches", None, species="tench"), ("tench", "rod, species)")),
    (note("no_count_of_lost", None), ("no count of lost fish",)),
    (
        note("too_many_unknown", None, **_UNKNOWN | {"unknown": 8, "most": 0.05}),
        ("8 of the 80 fish concerned (10 %)", "no more than 5 % may"),
    ),
    (
        note("too_many_unknown", None, **_UNKNOWN | {"outcome": "hooked", "most": 0.05}),
        ("Lost fish are seldom weighed",),
    ),
    (
        note("red_letter_trip", **_RED_LETTER),
        (
            "T17 (2025-07-12), 7 fish against 1 on the reference",
            "1.10 (0.70 to 1.74) instead of 1.62",
            "“not settled” instead of “ahead”",
        ),
    ),
    (
        note(
            "red_letter_trip",
            **_RED_LETTER
            | {"date": None, "angler": "Ida", "reference_fish": 0, "verdict_changes": False}
            | {"conf_low_without": 1.02, "conf_high_without": None},
        ),
        (
            "T17 (Ida), 7 fish against none",
            "(above 1.02) instead of 1.62.",
        ),
    ),
    (note("clumping", None, **_CLUMPS), ("gives 2.7 times", "runs beyond", "1.56 times as far")),
    (
        note("clumping", None, **_CLUMPS | {"good_trip": 1.02, "width_ratio": None}),
        ("trips hardly differ", "limits allow for it. More"),
    ),
    (
        note("clumping", None, **_CLUMPS | {"clumping": 0.0, "width_ratio": 1.01}),
        ("a usual one. The limits", "1.01 times as far"),
    ),
    (
        note("unlogged_blanks", **_BLANKS),
        ("31 % of the blanks", "about 12 trips", "at 1.20 times the reference’s rate instead of"),
    ),
    (
        note(
            "unlogged_blanks",
            None,
            **_BLANKS | {"missing": 0.3, "rate_ratio": None, "rate_ratio_corrected": None},
        ),
        ("hardly any left out", "cannot be said"),
    ),
    (
        note("confounded", **_MONTH),
        ("pellet-20 86 % in July 2025 (the reference 12 %)", "look 1.40 times", "all trips"),
    ),
    (
        note("confounded", BAIT, "serious", **_MONTH | {"unshared": 0.45, "mix_ratio": None}),
        (
            "45 % of pellet-20’s rod-hours were in months that had no other bait",
            "No adjusting can mend that. Fish",
        ),
    ),
    (note("confounded", **_MONTH | {"mix_low": 0.5, "mix_high": 2.9}), ("caught too little",)),
    (note("confounded", **_MONTH | {"mix_ratio": 1.02, "mix_low": 0.7}), ("look 1.02 times",)),
    (
        note(
            "confounded",
            **_MONTH | {"by": "venue", "level": "Alder Mere", "difference": None, "mix_ratio": 0.7},
        ),
        ("on Alder Mere", "No adjusting can mend that"),
    ),
    (
        note("confounded", **_MONTH | {"by": "rod", "level": "2"} | _NARROW),
        ("on rod 2", "hardly move", "--adjust rod"),
    ),
    (note("confounded", **_WATER), ("in water of 17.2 °C on average (the reference 14.1 °C)",)),
    (
        note("confounded", **_WATER | {"mean": 9.0, "mix_ratio": None}),
        ("9.0 °C", "cannot be"),
    ),
    (
        note("rods_not_rotated", **_RODS),
        ("pellet-20 90 % on rod 1 (the reference 5 %)", "rod 1 caught 2.10 times", "1.89"),
    ),
    (
        note("rods_not_rotated", **_RODS | {"level_ratio": 0.5, "mix_ratio": 0.56}),
        ("the others caught 2.00 times as fast as rod 1",),
    ),
    (
        note("rods_not_rotated", **_RODS | {"by": "spot", "level": "gravel bar"}),
        (
            "90 % on spot gravel bar",
            "spot gravel bar caught 2.10 times",
            "--adjust spot",
        ),
    ),
    (note("rods_not_rotated", **_RODS | {"level_ratio": None}), ("cannot be told",)),
    (
        note("ratios_disagree", **_APART),
        ("2.10 times on Alder Mere and 0.40 times on Osier Pit", "opposite ways", "with --venue."),
    ),
    (
        note("ratios_disagree", **_APART | {"by": "angler", "opposite": False}),
        ("2.10 times for Alder Mere", "an average over them", "--angler."),
    ),
    (note("night_and_day", **_NIGHT), ("70 % of pellet-20’s", "2.50 times", "--adjust night")),
    (note("night_and_day", **_NIGHT | {"night_ratio": None}), ("cannot be told",)),
    (
        note("trips_are_stays", None, trips=50, stays=10, trips_a_stay=5.0),
        ("50 trips with a date and a water are 10 stays", "--trips-are stays"),
    ),
    (note("whole_days", None, step=12, share=1.0, stints=90), ("100 % of 90 stints", "of 12.")),
    (
        note("one_batch_carries", batch="P20-2", batch_of="pellet-20", **_WITHOUT_BATCH),
        ("hangs on one batch: P20-2 of pellet-20", "ratio is 0.78 (0.31 to 1.60)"),
    ),
    (
        note("one_angler_carries", angler="Ida", **_WITHOUT_BATCH),
        ("hangs on one angler: Ida", "Without them the ratio is 0.78 (0.31 to 1.60"),
    ),
    (
        note("batch_off_recipe", batches=["P20-2"], each=[], **_WITHOUT_BATCH, **_VERDICTS),
        ("counts stints with a batch off its recipe: P20-2.", "instead of 2.46"),
    ),
    (
        note(
            "batch_off_recipe",
            batches=["P20-1", "P20-2"],
            each=[{"batch": "P20-1", **_WITHOUT_BATCH}],
            **dict.fromkeys(_WITHOUT_BATCH),
            **_VERDICTS,
        ),
        (
            "batches off their recipe: P20-1 and P20-2.",
            "too little left",
            "Without P20-1 alone the ratio is 0.78",
        ),
    ),
    (
        note(
            "batch_apart",
            batch="P20-2",
            rate_ratio=4.24,
            conf_low=1.9,
            conf_high=11.3,
            fish=31,
            other_fish=6,
            p_value=0.004,
        ),
        ("Batch P20-2 of pellet-20 caught at 4.24 times (between 1.90 and 11.3 times)", "31 fish"),
    ),
    (note("one_batch_each", batches=1, reference_batches=3), ("from one batch only: pellet-20.",)),
    (
        note("one_batch_each", batches=1, reference_batches=1),
        ("only: pellet-20 and the reference.",),
    ),
    (
        note("recipes_differ", columns=_RECIPES),
        ("pellet_pct (20 against 0) and base_mix (fishmeal against birdseed).", "cannot say which"),
    ),
    (
        note("lift_differs", **_LIFT),
        ("pellet-20 lifts 0.43 g (0.19 g apart", "brings 0.05 g); the reference lifts 0.62 g."),
    ),
    (
        note("gaps_in_the_log", None, **_GAPS),
        ("Trip T3 and T7 are missing", "no trip in July 2025", "If they were blanks"),
    ),
    (
        note("gaps_in_the_log", None, **_GAPS | {"missing_numbers": ["T3"], "missing_months": []}),
        ("Trip T3 is missing", "If it was a blank"),
    ),
    (
        note(
            "gaps_in_the_log",
            None,
            **_GAPS | {"missing_numbers": [], "missing_months": ["2025-06 (Ann)", "2025-07 (Ann)"]},
        ),
        ("June 2025 (Ann) and July 2025 (Ann)", "cannot be said"),
    ),
    (
        note(
            "gaps_in_the_log",
            None,
            **_GAPS | {"missing_numbers": [f"T{i}" for i in range(1, 13)], "missing_months": []},
        ),
        ("T1, T2, T3, T4, T5 and 7 more are missing",),
    ),
    (
        note("trips_waiting", None, SERIOUS, trips=9, absent=9, counted=22, fish=14),
        ("9 trips wait outside this answer, with 14 fish, beside the 22 in the logbook",),
    ),
    (
        note("trips_waiting", None, INFORMATION, trips=1, absent=0, counted=22, fish=0),
        ("1 probable double is held back", "as their twins"),
    ),
    (
        note("plan_departed", None, **_DEPARTED),
        (
            "36 of the 240 planned stints (15 %) had another bait than planned: 20 to pellet-20 "
            "and 16 to plain, 30 on rod 1 and 6 on rod 2.",
            "0.87 times as fast as the reference (between 0.54 and 1.40 times), not 1.48 times.",
        ),
    ),
    (
        note("plan_departed", None, INFORMATION, **_DEPARTED | {"rods": {}, "answers": []}),
        ("16 to plain.", "gets their credit. Where"),
    ),
    (
        note("rods_unfished", None, SERIOUS, **_UNFISHED),
        (
            "Of the rods planned, 7 % are missing. Nothing is said of 4 with plain and 2 with "
            "pellet-20. Not fished were 3 with plain.",
            "More of them are of plain than chance",
        ),
    ),
    (
        note("rods_unfished", None, **_UNFISHED | {"empty": {}, "bait": None}),
        ("missing. Not fished were 3 with plain.", "all catch rates are too high"),
    ),
    (
        note("opened_early", None, **_EARLY),
        ("KADE was opened on 2026-05-02, with 4 of 6 planned trips in; 2 trips of it came after.",),
    ),
    (
        note("opened_early", None, INFORMATION, **_EARLY | {"after": 0}),
        ("no trip of it has come since. Trips still to come are not blind.",),
    ),
    (
        note("blind_alone", trips=4, rate_ratio=1.5, conf_low=0.7, conf_high=3.2),
        ("pellet-20 caught 1.50 times as fast as the reference (between 0.70 and 3.20", "4 trips"),
    ),
    (
        note("as_planned", None, INFORMATION, planned=240, departed=36, unplanned=3),
        ("36 of the 240 planned stints (15 %) had another one. 3 stints without a plan",),
    ),
    (
        note("doubles", None, SERIOUS, pairs=[["T1 (Ann)", "7"]], trips=8),
        ("Of 8 trips, 1 pair says the same", "T1 (Ann) with 7."),
    ),
    (
        note("doubles", None, SERIOUS, pairs=[[f"T{i}", f"U{i}"] for i in range(1, 8)], trips=14),
        ("Of 14 trips, 7 pairs say the same", "and 2 more"),
    ),
]

DERIVED: dict[str, Callable[[Mapping[str, Any]], list[float]]] = {
    # The other way round, where the other rods caught faster.
    "rods_not_rotated": lambda one: [1 / one["level_ratio"]] if one["level_ratio"] else [],
    # Pounds for kilograms, and shares for counts.
    "fish_not_known": lambda one: [one.get("min_weight_kg", 0.0) / 0.45359237],
    "too_many_unknown": lambda one: [
        one.get("min_weight_kg", 0.0) / 0.45359237,
        one["unknown"] / one["concerned"],
    ],
    # Beyond five missing numbers the others are counted.
    "gaps_in_the_log": lambda one: [len(one["missing_numbers"]) - 5],
    # Ten hours written as 24, as an example.
    "whole_days": lambda one: [10, 24],
    "trips_waiting": lambda one: [one["trips"] - one["absent"]],
    "doubles": lambda one: [len(one["pairs"]), len(one["pairs"]) - 5],
    # How a blank is written.
    "rods_unfished": lambda one: [0.0],
    # A share for two counts; the scale that swaps water a ratio down to.
    "plan_departed": lambda one: [one["departed"] / one["planned"], 1.0],
    "as_planned": lambda one: [one["departed"] / one["planned"], 1.0],
    # The rule that was not met: four trips of each.
    "not_same_trips": lambda one: [4],
    "no_same_trips": lambda one: [4],
}
