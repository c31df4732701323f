"""The opening sentence: every verdict, every missing number, both bases.

The worked example is that of the project's own brief; the other sentences are checked by the
parts that carry their meaning.
"""

import pytest

from report.seasons import NOTHING, a_comparison, a_result
from rodhours.evidence.results import AllTripsEstimate
from rodhours.wording.answer import headline, rests_on, tally


def sentence(margin=1.25, **changes):
    return headline(a_comparison(**{"rod_hours": 1050.0} | changes), a_result(margin=margin))


def test_the_worked_example_is_said_word_for_word():
    """The sentence that the project promises its readers."""
    assert sentence() == (
        "Not settled: on the 31 trips that had both in the water, pellet-20 caught 1.31 times as "
        "fast as plain; with 95 % confidence between 0.86 and 2.02 times."
    )


@pytest.mark.parametrize(
    ("verdict", "opening"),
    [
        ("ahead", "Ahead: "),
        ("behind", "Behind: "),
        ("level", "Level: "),
        ("unsettled", "Not settled: "),
        ("too little to say", "Too little to say: "),
    ],
)
def test_every_verdict_opens_with_its_own_words(verdict, opening):
    """A reader who stops after the first words has the verdict."""
    assert sentence(verdict=verdict).startswith(opening)


def test_an_unknown_verdict_is_an_error():
    """A verdict without words must not reach a reader."""
    with pytest.raises(KeyError):
        sentence(verdict="won")


def test_a_small_lead_says_so_and_a_large_one_does_not():
    """`ahead` with both limits within the margin is a small difference, by either side."""
    assert sentence(verdict="ahead", ratio=1.1, low=1.02, high=1.19).startswith(
        "Ahead, but by little: "
    )
    assert sentence(verdict="behind", ratio=0.9, low=0.82, high=0.98).startswith(
        "Behind, but by little: "
    )
    assert sentence(verdict="ahead", ratio=1.2, low=1.02, high=1.4).startswith("Ahead: ")
    assert sentence(verdict="ahead", low=1.1, high=None).startswith("Ahead: ")


def test_level_names_the_margin():
    """Level is a statement about a margin, so the margin is said."""
    said = sentence(verdict="level", ratio=1.0, low=0.9, high=1.12)
    assert "within 1.25 times of each other" in said


def test_one_trip_is_singular():
    """No `1 trips`."""
    said = sentence(sessions=1, shared_sessions=1)
    assert "on the one trip that had both in the water" in said


def test_a_missing_limit_is_said():
    """An open end is named, and no number is made up for it."""
    assert "at least 1.20 times, with no upper limit" in sentence(
        verdict="ahead", low=1.2, high=None
    )
    assert "no limit can be set on either side" in sentence(
        verdict="too little to say", low=None, high=None, **NOTHING
    )


@pytest.mark.parametrize("low", [None, 0.0])
def test_no_fish_on_the_variant_gives_an_upper_limit_alone(low):
    """A zero is said as no fish, with its hours and the highest ratio that fits."""
    said = sentence(verdict="behind", ratio=0.0, low=low, high=0.34, fish=0)
    assert "pellet-20 caught no fish in 1,050 rod-hours" in said
    assert "30 fish in 1,100 rod-hours" in said
    assert "at most 0.34 times as fast" in said
    assert "0.00" not in said


def test_no_fish_on_the_reference_gives_a_lower_limit_alone():
    """There is no ratio to a rate of nothing."""
    said = sentence(verdict="ahead", ratio=None, low=2.9, high=None, reference_fish=0)
    assert "plain caught no fish in 1,100 rod-hours" in said
    assert "no ratio" in said
    assert "at least 2.90 times as fast" in said


def test_no_fish_on_either_says_so():
    """Nothing to compare is said plainly."""
    said = sentence(
        verdict="too little to say",
        ratio=None,
        low=None,
        high=None,
        fish=0,
        reference_fish=0,
        **NOTHING,
    )
    assert "neither pellet-20 in 1,050 rod-hours nor plain in 1,100 rod-hours caught a fish" in said
    assert said.count(".") == 1


def test_no_fit_gives_the_counts_instead_of_a_ratio():
    """Where the model gave nothing, the log's own counts are said."""
    said = sentence(
        verdict="too little to say",
        ratio=None,
        low=None,
        high=None,
        fish=2,
        reference_fish=1,
        **NOTHING,
    )
    assert "2 fish in 1,050 rod-hours" in said
    assert "1 fish in 1,100 rod-hours" in said
    assert "no ratio can be worked out" in said


def test_an_all_trips_answer_says_what_it_cannot_tell():
    """The first sentence read alone must not pass for a same-trip answer."""
    said = sentence(basis="all trips", sessions=45, shared_sessions=2, verdict="ahead")
    assert "over all 45 trips" in said
    assert "cannot tell bait from day" in said
    assert "both in the water" not in said


def test_indirect_evidence_is_not_said_to_be_side_by_side():
    """Few shared trips of many: the trips are those with two or more of the baits."""
    said = sentence(sessions=40, shared_sessions=6)
    assert "on the 40 trips that had two or more of the compared baits in the water" in said
    assert "had both" not in said
    assert "on the 31 trips that had both in the water" in sentence(sessions=38)


def test_too_little_on_same_trips_adds_the_all_trips_figure_with_its_warning():
    """Where all trips say more, a second sentence says it and what it is worth."""
    said = sentence(
        verdict="too little to say", sessions=5, shared_sessions=5, fish=2, reference_fish=1
    )
    first, second = said.split(". ", 1)
    assert first.startswith("Too little to say: on the 5 trips")
    assert "from 3 fish on the two together" in first
    assert second.startswith("Over all 45 trips")
    assert "1.88 times as fast" in second
    assert "between 1.20 and 2.95 times" in second
    assert second.endswith("cannot tell bait from day.")


def test_an_all_trips_figure_that_says_no_more_is_not_brought_in():
    """A limit of 40-fold either way is no answer either."""
    wide = AllTripsEstimate(1.8, 0.05, 40.0, 0.5, fish=52, rod_hours=1290.0, sessions=45)
    said = sentence(verdict="too little to say", all_trips=wide)
    assert "Over all" not in said


def test_what_an_answer_rests_on_counts_fish_hours_and_trips():
    """Both baits' fish and hours, and how many trips were shared."""
    said = rests_on(a_comparison(sessions=38, rod_hours=1050.0), "plain")
    for part in (
        "41 fish in 1,050 rod-hours with pellet-20",
        "30 fish in 1,100 rod-hours",
        "31 of",
    ):
        assert part in said


def test_several_comparisons_are_tallied_by_verdict():
    """The tally counts each verdict once and names no winner."""
    many = [a_comparison(verdict=one) for one in ("ahead", "unsettled", "unsettled")]
    assert tally(a_result(many)) == "Against plain: one ahead and two not settled"
