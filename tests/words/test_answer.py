"""The opening sentence: every verdict, every missing number, both bases.

The worked example is that of the project's own brief; of the others the words that carry their
meaning. That no number in them is made up is held by `test_numbers_in_sentences`.
"""

import pytest

from report.seasons import NOTHING, a_comparison, a_result
from rodhours.evidence.result import Note
from rodhours.evidence.results import AllTripsEstimate
from rodhours.words.answer import headline, ranked, rests_on, tally


def sentence(margin=1.25, **changes):
    return headline(a_comparison(**{"rod_hours": 1050.0} | changes), a_result(margin=margin))


def test_the_worked_example_is_said_word_for_word():
    """The sentence that the project promises its readers."""
    assert sentence() == (
        "Not settled: on the 31 trips that had both in the water, pellet-20 caught 1.31 times as "
        "fast as plain; with 95 % confidence between 0.86 and 2.02 times."
    )


NO_LIMITS = {"verdict": "too little to say", "low": None, "high": None, **NOTHING}
TOO_WIDE = AllTripsEstimate(1.8, 0.05, 40.0, 0.5, fish=52, rod_hours=1290.0, sessions=45)
CASES = {
    "ahead": ({"verdict": "ahead", "ratio": 1.5, "low": 1.1}, ["Ahead: "]),
    "behind": ({"verdict": "behind", "ratio": 0.5, "low": 0.3, "high": 0.8}, ["Behind: "]),
    "level names its margin": (
        {"verdict": "level", "ratio": 1.0, "low": 0.9, "high": 1.12},
        ["Level: ", "within 1.25 times of each other"],
    ),
    "a small lead says so": (
        {"verdict": "ahead", "ratio": 1.1, "low": 1.02, "high": 1.19},
        ["Ahead, but by little: "],
    ),
    "a small lag too": (
        {"verdict": "behind", "ratio": 0.9, "low": 0.82, "high": 0.98},
        ["Behind, but by little: "],
    ),
    "no limit, no small lead": ({"verdict": "ahead", "low": 1.1, "high": None}, ["Ahead: "]),
    "one trip": (
        {"sessions": 1, "shared_sessions": 1},
        ["on the one trip that had both in the water"],
    ),
    "an open end is named": (
        {"verdict": "ahead", "low": 1.2, "high": None},
        ["at least 1.20 times, with no upper limit"],
    ),
    "no limits": (NO_LIMITS, ["Too little to say: ", "no limit can be set on either side"]),
    # A zero is said as no fish, with its hours and the highest ratio that fits.
    "no fish": (
        {"verdict": "behind", "ratio": 0.0, "low": 0.0, "high": 0.34, "fish": 0},
        [
            "pellet-20 caught no fish in 1,050 rod-hours",
            "30 fish in 1,100 rod-hours",
            "at most 0.34 times as fast",
        ],
    ),
    "no fish on the reference": (
        {"verdict": "ahead", "ratio": None, "low": 2.9, "high": None, "reference_fish": 0},
        ["plain no fish in 1,100 rod-hours; with", "catches at least 2.90 times as fast"],
    ),
    "no fish on either": (
        NO_LIMITS | {"ratio": None, "fish": 0, "reference_fish": 0},
        ["caught no fish in 1,050 rod-hours and plain no fish in 1,100 rod-hours; no ratio"],
    ),
    "no fit gives the counts": (
        NO_LIMITS | {"ratio": None, "fish": 2, "reference_fish": 1},
        ["2 fish in 1,050", "1 fish in 1,100", "no ratio and no limit"],
    ),
    # The first sentence read alone must not pass for a same-trip answer.
    "all trips": (
        {"basis": "all trips", "sessions": 45, "shared_sessions": 2, "verdict": "ahead"},
        ["over all 45 trips, which cannot tell bait from day"],
    ),
    "indirect evidence": (
        {"sessions": 40, "shared_sessions": 6},
        ["on the 40 trips with two or more baits, 6 with both"],
    ),
    "only by way of a third": (
        {"sessions": 40, "shared_sessions": 0},
        ["on the 40 trips with two or more baits, pellet-20"],
    ),
    # Where all trips say more, a second sentence says it and what it is worth.
    "all trips beside": (
        {"verdict": "too little to say", "fish": 2, "reference_fish": 1},
        [
            "Too little to say: on the 31 trips",
            ". Over all 45 trips it is 1.88 times (1.20 to 2.95), which cannot tell bait from day.",
        ],
    ),
    "all trips say no more": (
        {"verdict": "too little to say", "all_trips": TOO_WIDE},
        ["Too little to say: "],
    ),
}
NEVER = {
    "no fish": "0.00",
    "all trips": "both in the water",
    "indirect evidence": "had both",
    "all trips say no more": "Over all",
}


@pytest.mark.parametrize("case", CASES)
def test_a_sentence_says_what_there_is_and_what_there_is_not(case):
    """The verdict first; a missing number is named, and none is made up for it."""
    changes, pieces = CASES[case]
    said = sentence(**changes)
    for piece in pieces:
        assert piece in said
    assert case not in NEVER or NEVER[case] not in said
    assert not any(word in said for word in ("signific", "prove", "None", "nan", "slow"))


def test_an_unknown_verdict_is_an_error():
    """A verdict without words must not reach a reader."""
    with pytest.raises(KeyError):
        sentence(verdict="won")


def test_what_an_answer_rests_on_counts_fish_hours_and_trips():
    """Both baits' fish and hours, and how many trips were shared."""
    assert rests_on(a_comparison(sessions=38, rod_hours=1050.0), "plain") == (
        "This rests on 41 fish in 1,050 rod-hours with pellet-20 and 30 fish in 1,100 rod-hours "
        "with plain, on 38 trips, 31 of which had both in the water."
    )


def test_few_comparisons_are_named_with_their_numbers_best_first():
    """By verdict, then by ratio; an answer over all trips says so."""
    few = [
        a_comparison("b", 0.8, 0.4, 1.6),
        a_comparison("a", 1.31, 0.86, 2.02),
        a_comparison("c", 2.2, 1.3, 4.1, "ahead", basis="all trips"),
    ]
    assert [one.variant for one in ranked(a_result(few))] == ["c", "a", "b"]
    assert tally(a_result(few, ())) == (
        "Against plain: ahead, c at 2.20 times (1.30 to 4.10, over all trips); not settled, "
        "a at 1.31 times (0.86 to 2.02) and b at 0.80 times (0.40 to 1.60)."
    )


def test_of_many_comparisons_those_ahead_or_behind_are_named():
    """More than four baits: the others are counted; none ahead or behind is said."""
    rest = [a_comparison(f"n{i}") for i in range(4)]
    lead = a_comparison("best", 2.2, 1.3, 4.1, "ahead")
    assert tally(a_result([*rest, lead], ())) == (
        "Against plain: ahead, best at 2.20 times (1.30 to 4.10); four not settled."
    )
    assert tally(a_result([*rest, a_comparison("n4")], ())) == (
        "Against plain: none of five ahead or behind; five not settled."
    )


AHEAD = {"verdict": "ahead", "ratio": 1.5, "low": 1.2, "high": 2.0}
ROD = {"by": "rod", "level": "2", "share": 1.0, "reference_share": 0.0, "level_ratio": None}
MONTH = {"by": "month", "level": "2025-07", "share": 0.8, "mix_low": 1.0, "mix_high": 1.3}


@pytest.mark.parametrize(
    ("code", "numbers", "said"),
    [
        (
            "rods_not_rotated",
            ROD | {"mix_ratio": None},
            "Ahead, but it was always on rod 2: swap rods before you believe it. On the 31 trips",
        ),
        # A rod that alone makes it look 1.25 times as fast would take the lower limit past 1.
        ("rods_not_rotated", ROD | {"mix_ratio": 1.25}, "Ahead, but it was always on rod 2"),
        ("rods_not_rotated", ROD | {"mix_ratio": 1.1}, "Ahead: on the 31 trips"),
        ("confounded", MONTH | {"mix_ratio": 1.1}, "Ahead, but it was mostly in July 2025: fish"),
        ("red_letter_trip", {"verdict_changes": True, "session": "T17"}, "one trip, T17: fish on"),
        ("red_letter_trip", {"verdict_changes": False, "session": "T17"}, "Ahead: on the 31"),
        ("one_batch_carries", {"batch": "P20-2"}, "Ahead, but it hangs on one batch, P20-2"),
        (
            "night_and_day",
            {"share": 0.7, "reference_share": 0.3, "mix_ratio": 1.4},
            "Ahead, but it had more of the night than plain: share the nights before",
        ),
        ("few_fish", {"fish": 3}, "Ahead: on the 31"),
    ],
)
def test_what_could_explain_a_verdict_stands_in_the_lead(code, numbers, said):
    """Where the finding alone could make it, or the log cannot tell; never of another bait."""
    one = a_comparison(**AHEAD)
    note = Note(code, one.variant, "serious", numbers)
    assert said in headline(one, a_result([one], [note]))
    of_another = Note(code, "pellet-10", "serious", numbers)
    assert headline(one, a_result([one], [of_another])).startswith("Ahead: on the 31 trips")
    open_one = a_comparison()
    assert headline(open_one, a_result([open_one], [note])).startswith("Not settled: on")


def test_what_is_adjusted_for_explains_no_more():
    """A rod whose share is known and adjusted for is in the answer already."""
    one = a_comparison(**AHEAD)
    notes = [Note("rods_not_rotated", one.variant, "serious", ROD | {"mix_ratio": 1.3})]
    adjusted = a_result([one], notes, adjusted_for=("rod",))
    assert headline(one, adjusted).startswith("Ahead: on")
