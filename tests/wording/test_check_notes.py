"""What the checks found, in words: three parts each, with their numbers, at 0, 1 and many."""

import re

import pytest

from rodhours.wording.check_notes import CHECK_TEXTS
from rodhours.wording.notes import codes, parts, says

RED_LETTER = {
    "session": "T17",
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
CLUMPS = {"session_sd": 1.0, "good_trip": 2.718, "clumping": 0.4, "width_ratio": 1.56}
BLANKS = {
    "logged_share": 0.31,
    "missing": 12.4,
    "rate_ratio": 1.35,
    "rate_ratio_corrected": 1.2,
    "lr": 9.0,
}
MONTH = {
    "by": "month",
    "difference": 0.9,
    "level": "2025-07",
    "share": 0.86,
    "reference_share": 0.12,
    "mean": None,
    "reference_mean": None,
    "constant_within_trips": True,
    "mix_ratio": 1.4,
}
WATER = MONTH | {
    "by": "water_temp_c",
    "level": None,
    "share": None,
    "reference_share": None,
    "mean": 17.23,
    "reference_mean": 14.1,
}
RODS = {
    "rod": "1",
    "share": 0.9,
    "reference_share": 0.05,
    "rod_ratio": 2.1,
    "mix_ratio": 1.89,
}
GAPS = {
    "missing_numbers": ["T3", "T7"],
    "missing_months": ["2025-07"],
    "sessions": 40,
    "rate_factor": 1.05,
}
LIFT = {
    "lift_g": 0.431,
    "reference_lift_g": 0.618,
    "difference_g": -0.187,
    "tolerance_g": 0.046,
    "tolerance_mm": 0.5,
}

EXAMPLES = [
    (
        "red_letter_trip",
        RED_LETTER,
        ["T17 (2025-07-12)", "7 fish on pellet-20 and 1 on the reference"],
        ["1.10 (between 0.70 and 1.74 times) instead of 1.62", "from “ahead” to “not settled”"],
        ["logged right", "Do not leave it out"],
    ),
    (
        "red_letter_trip",
        RED_LETTER
        | {
            "date": None,
            "reference_fish": 0,
            "verdict_changes": False,
            "verdict_without": "ahead",
            "conf_low_without": 1.02,
            "conf_high_without": None,
        },
        ["pellet-20: T17, with 7 fish", "none on the reference"],
        ["at least 1.02 times, with no upper limit", "stays “ahead”"],
        [],
    ),
    (
        "clumping",
        CLUMPS,
        ["a good trip gives 2.7 times a usual one", "runs beyond"],
        ["1.6 times as far apart"],
        ["More trips"],
    ),
    (
        "clumping",
        CLUMPS | {"session_sd": 0.02, "good_trip": 1.02, "width_ratio": None},
        ["trips hardly differ", "several fish or none"],
        ["cannot be said", "missing"],
        ["More trips"],
    ),
    ("clumping", CLUMPS | {"clumping": 0.0, "width_ratio": 1.01}, ["usual one."], ["hardly"], []),
    (
        "unlogged_blanks",
        BLANKS,
        ["31 % of the blanks", "about 12 trips left out"],
        ["1.20 times the reference’s rate instead of 1.35 times"],
        ["Write down every trip", "blanks"],
    ),
    (
        "unlogged_blanks",
        BLANKS | {"missing": 0.3, "rate_ratio": None, "rate_ratio_corrected": None},
        ["hardly one trip left out"],
        ["All catch rates are too high", "cannot be said"],
        [],
    ),
    ("unlogged_blanks", BLANKS | {"missing": 1.2}, ["about 1 trip left out"], [], []),
    (
        "confounded",
        MONTH,
        ["86 % of its rod-hours in July 2025", "the reference 12 %"],
        ["make pellet-20 look 1.40 times as fast"],
        ["--adjust month", "same trips"],
    ),
    (
        "confounded",
        MONTH | {"by": "venue", "level": "Alder Mere", "difference": None, "mix_ratio": 0.7},
        ["on Alder Mere", "have no water in common"],
        ["0.70 times as fast"],
        ["No adjusting can mend that"],
    ),
    (
        "confounded",
        MONTH | {"by": "rod", "level": "2", "mix_ratio": 1.02},
        ["on rod 2"],
        ["hardly move"],
        ["--adjust rod"],
    ),
    (
        "confounded",
        WATER,
        ["warmer water", "17.2 °C against 14.1 °C"],
        ["1.40 times"],
        ["--adjust water_temp_c"],
    ),
    ("confounded", WATER | {"mean": 9.0, "mix_ratio": None}, ["colder water"], ["cannot be"], []),
    (
        "rods_not_rotated",
        RODS,
        ["90 % of its rod-hours on rod 1", "the reference 5 %"],
        ["rod 1 caught 2.10 times as fast as the others", "look 1.89 times as fast"],
        ["Swap the baits", "--adjust rod"],
    ),
    (
        "rods_not_rotated",
        RODS | {"rod_ratio": 0.5, "mix_ratio": 0.56},
        [],
        ["the other rods caught 2.00 times as fast as rod 1", "look 0.56 times as fast"],
        [],
    ),
    ("rods_not_rotated", RODS | {"rod_ratio": 1.01, "mix_ratio": 1.01}, [], ["may not matter"], []),
    ("rods_not_rotated", RODS | {"rod_ratio": None, "mix_ratio": None}, [], ["cannot be told"], []),
    (
        "one_batch_each",
        {"batches": 1, "reference_batches": 3},
        ["pellet-20 was fished from one batch only."],
        ["cannot show how much"],
        ["another batch"],
    ),
    (
        "one_batch_each",
        {"batches": None, "reference_batches": 1},
        ["The reference was fished from one batch only."],
        [],
        [],
    ),
    (
        "one_batch_each",
        {"batches": 1, "reference_batches": 1},
        ["pellet-20 and the reference were fished from one batch each."],
        [],
        [],
    ),
    (
        "recipes_differ",
        {
            "columns": [
                {"column": "pellet_pct", "variant": 20.0, "reference": 0.0},
                {"column": "base_mix", "variant": "fishmeal", "reference": "birdseed"},
            ]
        },
        ["pellet-20 in pellet_pct (20 against 0) and base_mix (fishmeal against birdseed)."],
        ["cannot say which"],
        ["the one thing"],
    ),
    (
        "lift_differs",
        LIFT,
        ["pellet-20 lifts 0.43 g in water, the reference lifts 0.62 g."],
        ["0.19 g apart", "0.5 mm of making tolerance brings (0.05 g)"],
        ["same size over the same cork"],
    ),
    (
        "lift_differs",
        LIFT | {"lift_g": -0.1, "difference_g": -0.72},
        ["sinks with 0.10 g"],
        ["0.72 g apart"],
        [],
    ),
    (
        "gaps_in_the_log",
        GAPS,
        ["Trip T3 and T7 are missing", "40 trips", "no trip in July 2025"],
        ["If they were blanks, all catch rates are 1.05 times what they should be"],
        ["blanks above all"],
    ),
    (
        "gaps_in_the_log",
        GAPS | {"missing_numbers": ["3"], "missing_months": []},
        ["Trip 3 is missing"],
        ["If it was a blank"],
        [],
    ),
    (
        "gaps_in_the_log",
        GAPS | {"missing_numbers": [], "missing_months": ["2025-06 (Ann)", "2025-07 (Ann)"]},
        ["June 2025 (Ann) and July 2025 (Ann)"],
        ["cannot be said"],
        [],
    ),
    (
        "gaps_in_the_log",
        GAPS | {"missing_numbers": [f"T{i}" for i in range(1, 13)], "missing_months": []},
        ["T1, T2, T3, T4, T5 and 7 more are missing"],
        [],
        [],
    ),
]


@pytest.mark.parametrize(("code", "numbers", "found", "how_much", "what_to_do"), EXAMPLES)
def test_a_finding_is_told_in_three_parts(code, numbers, found, how_much, what_to_do):
    """What was found, how much it could move the answer, what to do: whole sentences each."""
    told = parts(code, "pellet-20", numbers)
    for text, pieces in zip(told, (found, how_much, what_to_do), strict=True):
        for piece in pieces:
            assert piece in text
        assert text.endswith(".")
        assert text[0].isupper() or text.startswith("pellet-20")
        assert not re.search(r"signific|prove|None|nan|\{|as slow|\(\)|  ", text)
    assert says(code, "pellet-20", numbers) == " ".join(told)


@pytest.mark.parametrize(("code", "numbers"), [(one[0], one[1]) for one in EXAMPLES])
def test_a_finding_about_no_bait_in_particular_can_be_read(code, numbers):
    """Without a variant the sentence still has a subject, and begins with a capital."""
    told = says(code, None, numbers)
    assert "None" not in told
    assert all(sentence[0].isupper() for sentence in told.split(". "))


def test_every_code_of_a_check_is_tried_here():
    """A new code without an example of its text fails."""
    assert {code for code, *_ in EXAMPLES} == set(CHECK_TEXTS)
    assert set(CHECK_TEXTS) <= set(codes())
