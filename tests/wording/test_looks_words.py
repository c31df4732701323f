"""The words around looks after every trip: what was found, since when, and what each is for."""

from __future__ import annotations

from rodhours.wording import looks as words


def look(trip, low=0.5, high=2.0, **changes):
    """One look with an interval; figures are made up."""
    return {
        "trip": trip,
        "session": f"T{trip}",
        "angler": None,
        "date": f"2025-04-{trip:02d}",
        "sessions": trip,
        "fish": 9,
        "reference_fish": 7,
        "rate_ratio": 1.31,
        "conf_low": low,
        "conf_high": high,
        "fixed_low": 0.86,
        "fixed_high": 2.02,
        "cutoff": 11.2,
        "missing": None,
        **changes,
    }


def none_yet(trip, missing="few_fish", **changes):
    """One look without an interval."""
    empty = ("rate_ratio", "conf_low", "conf_high", "fixed_low", "fixed_high", "cutoff")
    return look(trip, missing=missing, **dict.fromkeys(empty), **changes)


def comparison(*looks, since=None, low=0.5, high=2.0, first=1):
    return {
        "variant": "pellet-20",
        "basis": "same trips",
        "first_trip": first,
        "excluded_one_since": since,
        "low_so_far": low,
        "high_so_far": high,
        "looks": list(looks),
    }


def running(one, **changes):
    return {
        "reference": "plain",
        "confidence": 0.95,
        "family": 1,
        "margin": 1.25,
        "trips": len(one["looks"]),
        "undated": 0,
        "every_trip": True,
        "comparisons": [one],
        **changes,
    }


def test_both_intervals_are_told_with_the_trip_and_the_basis():
    """The estimate, the running and the fixed limits after the last trip, and since when."""
    one = comparison(none_yet(1), none_yet(2), look(3), look(4), first=3)
    said = words.found(one, running(one))
    assert said.startswith("After trip 4 pellet-20 caught 1.31 times as fast as plain, on the same")
    assert "running interval is between 0.50 and 2.00 times" in said
    assert "fixed one is between 0.86 and 2.02 times" in said
    assert "an interval since trip 3" in said
    assert "left out 1 at none of the looks: nothing is settled" in said


def test_limits_that_are_not_there_yet_are_said_so():
    """Never "is without a limit": the running interval has none on either side yet."""
    one = comparison(look(1, None, None), low=None, high=None)
    assert "running interval has no limit on either side yet" in words.found(one, running(one))


def test_since_when_1_is_excluded():
    """The first look that left out 1, which way it fell, and a hedge where looks were skipped."""
    one = comparison(look(1), look(2, 1.1, 3.0), look(3, 1.2, 2.9), since=2, low=1.2)
    said = words.found(one, running(one))
    assert "has excluded 1 since trip 2: pellet-20 is the faster of the two." in said
    thinned = words.found(one, running(one, every_trip=False))
    assert "has excluded 1 by the look after trip 2" in thinned
    slower = comparison(look(1), look(2, 0.2, 0.9), since=2, low=0.5, high=0.9)
    assert "the slower of the two" in words.found(slower, running(slower))


def test_an_interval_that_goes_back_to_1_and_one_that_contradicts_itself_are_owned_up_to():
    """Neither is passed over: the drawn band holds 1 again, or no one ratio fits all looks."""
    back = comparison(look(1, 1.1, 3.0), look(2, 0.98, 2.5), since=1, low=1.1)
    assert "has come to hold 1 again" in words.found(back, running(back))
    apart = comparison(look(1, 1.5, 3.0), look(2, 0.5, 1.2), since=1, low=1.5, high=1.2)
    assert "contradict each other" in words.found(apart, running(apart))


def test_without_an_interval_the_reason_is_said():
    """Fish still missing with their counts, too few trips, no fit, no same-trip answer."""
    for missing, part in (
        ("few_fish", "9 on pellet-20 and 7 on plain"),
        ("few_trips", "2 trips on this basis are too few"),
        ("no_fit", "could not be fitted"),
        ("no_same_trips", "no same-trip answer"),
    ):
        one = comparison(none_yet(1), none_yet(2, missing), first=None, low=None, high=None)
        said = words.found(one, running(one))
        assert "no running interval yet" in said
        assert part in said


def test_what_each_interval_is_for():
    """Look with one as you like, the other only as settled beforehand; measured, no theorem."""
    one = comparison(look(1))
    uses = " ".join(words.how_to_use(running(one)))
    assert "look at after every trip" in uses
    assert "only if you had decided beforehand when to stop" in uses
    assert "not a theorem" in uses
    assert "simulated seasons" in uses
    assert "date" not in uses
    assert "for all three comparisons together" in " ".join(
        words.how_to_use(running(one, family=3))
    )


def test_undated_trips_and_looks_left_out_are_owned_up_to():
    """All undated, some undated, and a thinned season each have their sentence."""
    one = comparison(look(1), look(2), look(3))
    assert "have no date" in " ".join(words.how_to_use(running(one, undated=3)))
    assert "1 trip of 3 has no date" in " ".join(words.how_to_use(running(one, undated=1)))
    thinned = words.how_to_use(running(one, trips=90, every_trip=False))
    assert "Only 3 of the 90 trips" in thinned[-1]


def test_a_row_of_the_table():
    """As many cells as headings, with the reason in place of the limits where there are none."""
    for one in (look(3), none_yet(3)):
        assert len(words.table_row(one, 1.25)) == len(words.TABLE_HEADING)
    assert words.table_row(look(3), 1.25)[-2:] == ["0.50 to 2.00", "0.86 to 2.02"]
    assert "fewer than 5 fish" in words.table_row(none_yet(3), 1.25)[-2]
    far = [words.table_row({**look(3), "rate_ratio": one}, 1.25)[4] for one in (2.2e8, 3e-9, 12.3)]
    assert far == ["over 1,000", "under 0.001", "12.3"]


def test_a_limit_that_limits_nothing_is_none():
    """Beyond 100,000 times either way there is no limit to read; nearer ones are given."""
    assert words.table_row(look(3, 0.0028, 1_742_030), 1.25)[-2] == "above 0.0028"
    assert words.table_row(look(3, 1e-7, 8.0), 1.25)[-2] == "below 8.00"
    assert words.table_row(look(3, 0.02, 99_000), 1.25)[-2] == "0.020 to 99,000"


def test_the_heading_states_the_finding():
    """Nothing yet, nothing settled, or which bait is where since when."""
    empty = comparison(none_yet(1), first=None)
    assert words.growth_heading(running(empty)).startswith("Too little")
    open_ = comparison(look(1), look(2))
    assert words.growth_heading(running(open_)) == (
        "After 2 trips of looking, nothing is settled yet"
    )
    ahead = comparison(look(1), look(2, 1.2, 3.0), since=2, low=1.2)
    said = words.growth_heading(running(ahead))
    assert said == "pellet-20 has been ahead since trip 2, however often one looked"


def test_a_heading_does_not_deny_what_the_first_answer_says():
    """Settled by the fixed interval and not by the running one: both are said."""
    one = comparison(look(1), look(2) | {"fixed_low": 1.1, "fixed_high": 3.0})
    said = words.growth_heading(running(one))
    assert said.startswith("pellet-20: settled if you look once")
    assert "not yet if you look after every trip" in said


def test_looks_without_an_answer_between_others_are_explained():
    """A band that breaks off is said to; one that has not begun is not."""
    assert "break off" in words.growth_caption(running(comparison(look(1), none_yet(2))), 0)
    begun = running(comparison(none_yet(1), look(2)))
    assert "break off" not in words.growth_caption(begun, 0)


def test_limits_in_a_picture_are_given_within_reason():
    """Past a thousand times either way the picture says so; the table has the figure."""
    far = look(1, 0.000039, 7551.0)
    said = [text for _, _, _, text in words.end_labels(far, 1.25)]
    assert said[0] == "over 1,000 running"
    assert said[-1] == "under 0.001 running"
    assert "7,551" in words.table_row(far, 1.25)[-2]
