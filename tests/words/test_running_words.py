"""The words around looks after every trip: what was found, since when, and what each is for."""

from __future__ import annotations

from rodhours.evidence.running_result import Look, RunningComparison, RunningResult
from rodhours.words import running as words


def look(trip, low=0.5, high=2.0, **changes):
    """One look with an interval; figures are made up."""
    figures = {
        "rate_ratio": 1.31,
        "conf_low": low,
        "conf_high": high,
        "fixed_low": 0.86,
        "fixed_high": 2.02,
        "cutoff": 11.2,
    } | changes
    return Look(trip, f"T{trip}", None, f"2025-04-{trip:02d}", trip, 9, 90.0, 7, 90.0, **figures)


def none_yet(trip, missing="few_fish"):
    """One look without an interval."""
    empty = dict.fromkeys(("rate_ratio", "fixed_low", "fixed_high", "cutoff"))
    return look(trip, None, None, missing=missing, **empty)


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


def test_both_intervals_are_told_with_the_trip_and_the_basis():
    """The estimate, the running and the fixed limits after the last trip, and since when."""
    said = found(none_yet(1), none_yet(2), look(3), look(4))
    assert "After trip 4 pellet-20 caught 1.31 times as fast as plain, on the same" in said
    assert "running interval is between 0.50 and 2.00 times" in said
    assert "fixed one is between 0.86 and 2.02 times" in said
    assert "an interval since trip 3" in said
    assert said.startswith("Nothing is settled yet: the running interval has left out 1 at none of")


def test_limits_that_are_not_there_yet_are_said_so():
    """Never "is without a limit": the running interval has none on either side yet."""
    assert "running interval has no limit on either side yet" in found(look(1, None, None))


def test_since_when_1_is_excluded():
    """The first look that left out 1, which way it fell, and a hedge where looks were skipped."""
    looks = look(1), look(2, 1.1, 3.0), look(3, 1.2, 2.9)
    assert "has excluded 1 since trip 2: pellet-20 is the faster of the two." in found(*looks)
    assert "has excluded 1 by the look after trip 2" in found(*looks, every_trip=False)
    assert "the slower of the two" in found(look(1), look(2, 0.2, 0.9))


def test_an_interval_that_goes_back_to_1_and_one_that_contradicts_itself_are_owned_up_to():
    """Neither is passed over: the drawn band holds 1 again, or no one ratio fits all looks."""
    assert "has come to hold 1 again" in found(look(1, 1.1, 3.0), look(2, 0.98, 2.5))
    assert "contradict each other" in found(look(1, 1.5, 3.0), look(2, 0.5, 1.2))


def test_without_an_interval_the_reason_is_said():
    """Fish still missing with their counts, too few trips, no fit, no same-trip answer."""
    for missing, part in (
        ("few_fish", "9 on pellet-20 and 7 on plain"),
        ("few_trips", "2 trips on this basis are too few"),
        ("no_fit", "no answer with both limits"),
        ("no_same_trips", "no same-trip answer"),
    ):
        said = found(none_yet(1), none_yet(2, missing))
        assert "no running interval yet" in said
        assert part in said


def test_what_each_interval_is_for():
    """Look with one as you like, the other only as settled beforehand; measured, no theorem."""
    uses = " ".join(words.how_to_use(running(look(1))))
    for part in (
        "look at after every trip",
        "only if you had decided beforehand when to stop",
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
    assert "have no date" in " ".join(words.how_to_use(running(*looks, undated=3)))
    assert "1 trip of 3 has no date" in " ".join(words.how_to_use(running(*looks, undated=1)))
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
    """Beyond 100,000 times either way there is no limit to read; nearer ones are given."""
    assert words.table_row(look(3, 0.0028, 1_742_030), 1.25)[-2] == "above 0.0028"
    assert words.table_row(look(3, 1e-7, 8.0), 1.25)[-2] == "below 8.00"
    assert words.table_row(look(3, 0.02, 99_000), 1.25)[-2] == "0.020 to 99,000"


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


def test_limits_in_a_picture_are_given_within_reason():
    """Past a thousand times either way the picture says so; the table has the figure."""
    far = look(1, 0.000039, 7551.0)
    said = [text for _, _, text in words.end_labels(far, 1.25)]
    assert said[0] == "over 1,000 running"
    assert said[-1] == "under 0.001 running"
    assert "7,551" in words.table_row(far, 1.25)[-2]
