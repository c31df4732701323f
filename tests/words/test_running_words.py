"""The words around looks after every trip: what was found, since when, and what each is for."""

from __future__ import annotations

import pytest

from rodhours.evidence.running_result import Look, RunningComparison, RunningResult
from rodhours.words import running as words

FIGURES = {"rate_ratio": 1.31, "fixed_low": 0.86, "fixed_high": 2.02, "cutoff": 11.2}


def look(trip, low=0.5, high=2.0, **changes):
    """One look with an interval; figures are made up."""
    figures = FIGURES | {"conf_low": low, "conf_high": high} | changes
    return Look(trip, f"T{trip}", None, f"2025-04-{trip:02d}", trip, 9, 90.0, 7, 90.0, **figures)


def none_yet(trip, missing="few_fish"):
    """One look without an interval."""
    return look(trip, None, None, missing=missing, **dict.fromkeys(FIGURES))


def running(*looks, **changes):
    """The result of one comparison with these looks."""
    return RunningResult(
        **{
            "reference": "plain",
            "confidence": 0.95,
            "family": 1,
            "margin": 1.25,
            "adjusted_for": (),
            "trips": len(looks),
            "undated": 0,
            "every_trip": True,
            "comparisons": (RunningComparison("pellet-20", "same trips", looks),),
        }
        | changes
    )


def found(*looks, **changes):
    """What is said of these looks."""
    result = running(*looks, **changes)
    return words.found(result.comparisons[0], result)


LED = look(1), look(2, 1.1, 3.0), look(3, 1.2, 2.9)


@pytest.mark.parametrize(
    ("looks", "changes", "pieces"),
    [
        # The estimate, both intervals after the last trip, and since when there has been one.
        (
            (none_yet(1), none_yet(2), look(3), look(4)),
            {},
            (
                "Nothing is settled yet: the running interval has left out 1 at none of",
                "After trip 4 pellet-20 caught 1.31 times as fast as plain, on the same",
                "running interval is between 0.50 and 2.00 times",
                "fixed one is between 0.86 and 2.02 times",
                "an interval since trip 3",
            ),
        ),
        ((look(1, None, None),), {}, ("interval has no limit on either side yet",)),
        # The first look that left out 1, which way it fell, a hedge where looks were skipped.
        (LED, {}, ("has excluded 1 since trip 2: pellet-20 is the faster of the two.",)),
        (LED, {"every_trip": False}, ("has excluded 1 by the look after trip 2",)),
        ((look(1), look(2, 0.2, 0.9)), {}, ("the slower of the two",)),
        # What went back to 1, or contradicts itself, is owned up to.
        ((look(1, 1.1, 3.0), look(2, 0.98, 2.5)), {}, ("has come to hold 1 again",)),
        ((look(1, 1.5, 3.0), look(2, 0.5, 1.2)), {}, ("contradict each other",)),
        # Without an interval the reason is said.
        ((none_yet(1),), {}, ("No running interval yet for pellet-20: fewer than 5 fish",)),
        ((none_yet(2, "few_trips"),), {}, ("too few trips",)),
        ((none_yet(2, "no_fit"),), {}, ("no fit with both limits",)),
        ((none_yet(2, "no_same_trips"),), {}, ("no same-trip answer",)),
    ],
)
def test_what_the_looks_found_is_said(looks, changes, pieces):
    """Each turn that it can take."""
    for piece in pieces:
        assert piece in found(*looks, **changes)


def test_what_each_interval_is_for():
    """Look with one as you like, the other only as settled beforehand; measured, no theorem."""
    uses = " ".join(words.how_to_use(running(look(1))))
    for part in (
        "Look at the running interval after every trip",
        "only at an end that was decided beforehand",
        "not a theorem",
        "simulated seasons",
    ):
        assert part in uses
    assert "date" not in uses
    together = words.how_to_use(running(look(1), family=3))
    assert "for all three together" in " ".join(together)


def test_undated_trips_and_looks_left_out_are_owned_up_to():
    """All undated, some undated, and a thinned season each have their sentence."""
    looks = look(1), look(2), look(3)
    undated = " ".join(words.how_to_use(running(*looks, undated=1)))
    assert "Of the 3 trips 1 without a date come last" in undated
    thinned = words.how_to_use(running(*looks, trips=90, every_trip=False))
    assert "Only 3 of the 90 trips" in thinned[-1]


def test_a_row_of_the_table():
    """As many cells as headings, with the reason in place of the limits where there are none."""
    for one in (look(3), none_yet(3)):
        assert len(words.table_row(one, 1.25)) == len(words.TABLE_HEADING)
    assert words.table_row(look(3), 1.25)[-2:] == ["0.50 to 2.00", "0.86 to 2.02"]
    assert "fewer than 5 fish" in words.table_row(none_yet(3), 1.25)[-2]
    far = [words.table_row(look(3, rate_ratio=one), 1.25)[4] for one in (2.2e8, 3e-9, 12.3)]
    assert far == ["over 1,000", "under 0.001", "12.3"]


def test_a_limit_that_limits_nothing_is_none():
    """Beyond 100,000 times either way there is no limit to read; nearer ones are given, in a
    picture up to 1,000."""
    for low, high, said in (
        (0.0028, 1_742_030, "above 0.0028"),
        (1e-7, 8.0, "below 8.00"),
        (0.02, 99_000, "0.020 to 99,000"),
    ):
        assert words.table_row(look(3, low, high), 1.25)[-2] == said
    drawn = [text for _, _, text in words.end_labels(look(1, 0.000039, 7551.0), 1.25)]
    assert (drawn[0], drawn[-1]) == ("over 1,000 running", "under 0.001 running")


def test_the_heading_states_the_finding():
    """Nothing yet, nothing settled, or which bait is where since when; and where the fixed
    interval settles what the running one does not, so that the first answer is not denied."""
    for looks, said in (
        ((none_yet(1),), "Too little so far to look at trip by trip"),
        ((look(1), look(2)), "After 2 trips of looking, nothing is settled yet"),
        (
            (look(1), look(2, 1.2, 3.0)),
            "pellet-20 has been ahead since trip 2, however often one looked",
        ),
        (
            (look(1), look(2, fixed_low=1.1, fixed_high=3.0)),
            "pellet-20: settled if you look once, at an end fixed beforehand, but not yet if you "
            "look after every trip",
        ),
    ):
        assert words.growth_heading(running(*looks)) == said


def test_looks_without_an_answer_are_explained():
    """That a frame has no band somewhere is said under it."""
    assert "no band" in words.growth_caption(running(look(1), none_yet(2)), 0)
    assert "no band" not in words.growth_caption(running(look(1), look(2)), 0)
