"""The sums behind the pictures, against sums by hand."""

import pandas as pd
import pytest
from seasons import a_comparison, a_result

from rodhours.report import tallies


def log(rows):
    return pd.DataFrame(
        rows, columns=["session", "angler", "date", "venue", "variant", "hours", "fish"]
    ).assign(date=lambda frame: pd.to_datetime(frame["date"]))


SMALL = log(
    [
        ("b", "X", "2025-06-02", "Mere", "plain", 10.0, 0),
        ("b", "X", "2025-06-02", "Mere", "pellet", 10.0, 2),
        ("a", "X", "2025-04-01", "Pit", "plain", 30.0, 1),
        ("a", "Y", "2025-05-01", "Pit", "pellet", 5.0, 1),
        ("b", "X", "2025-06-02", "Mere", "pellet", 5.0, 1),
    ]
)


def test_trips_are_known_by_angler_and_session_and_run_by_date():
    """Two anglers' `a` are two trips; order is that of the dates."""
    assert list(tallies.trips(SMALL)) == [2, 2, 0, 1, 2]


def test_undated_trips_come_last_in_the_order_of_the_log():
    """A trip without a date is not lost."""
    undated = SMALL.assign(date=pd.NaT)
    assert list(tallies.trips(undated)) == [0, 0, 1, 2, 0]


def test_hours_by_place_add_up_to_all_hours():
    """No hour is lost or counted twice, whatever is missing."""
    holes = SMALL.copy()
    holes.loc[0, "venue"] = None
    holes.loc[2, "date"] = pd.NaT
    places = tallies.hours_by_place(holes, ["plain", "pellet"])
    assert places.frame["rod_hours"].sum() == 60.0
    assert tallies.NO_DATE in set(places.frame["when"])
    assert tallies.NO_VENUE in set(places.frame["venue"])
    shares = places.frame.groupby("variant")["share"].sum()
    assert shares.to_numpy() == pytest.approx(1.0)


@pytest.mark.parametrize(("months", "name"), [(24, "January 2020"), (25, "2020 Q1"), (120, "2020")])
def test_times_grow_coarser_as_the_log_grows_longer(months, name):
    """At most 24 times: months, then quarters, then years."""
    dates = pd.period_range("2020-01", periods=months, freq="M").to_timestamp()
    ends = log(
        [(str(i), "X", date, "Mere", "plain", 1.0, 0) for i, date in enumerate(dates[[0, -1]])]
    )
    assert name in set(tallies.hours_by_place(ends, ["plain"]).frame["when"])


def test_the_largest_gap_names_the_place_and_both_shares():
    """Plain spent 30 of 40 hours in April; pellet none: the largest difference of all."""
    gap = tallies.largest_gap(tallies.hours_by_place(SMALL, ["plain", "pellet"]), "plain")
    assert gap is not None
    assert gap[1:] == ("in April 2025", 0.0, 0.75)


def test_even_hours_have_no_gap():
    """Differences under ten points are not named."""
    rows = [
        (str(i), "X", f"2025-0{4 + i}-01", "Mere", variant, 12.0, 0)
        for i in range(4)
        for variant in ("plain", "pellet")
    ]
    places = tallies.hours_by_place(log(rows), ["plain", "pellet"])
    assert tallies.largest_gap(places, "plain") is None


def test_a_few_stints_of_one_variant_do_not_make_the_heading():
    """Under a tenth of all hours lies unevenly of itself."""
    rows = [
        (str(i), "X", f"2025-0{4 + i}-01", "Mere", variant, 12.0, 0)
        for i in range(4)
        for variant in ("plain", "pellet")
    ]
    rows.append(("0", "X", "2025-04-01", "Mere", "rare", 4.0, 0))
    places = tallies.hours_by_place(log(rows), ["plain", "pellet", "rare"])
    assert tallies.largest_gap(places, "plain") is None


def test_all_pictures_share_one_order():
    """The reference first, then the compared, then whatever else was fished."""
    stints = log([(v, "X", None, None, v, 1.0, 0) for v in ("zander", "b", "plain", "a")])
    result = a_result([a_comparison("b"), a_comparison("never fished")])
    assert tallies.variant_order(stints, result) == ["plain", "b", "a", "zander"]


def test_contributions_are_sums_by_angler():
    """Trips by angler and session, rod-hours and fish; those without a name come last."""
    stints = pd.DataFrame(
        {
            "session": ["1", "1", "1", "2", "1"],
            "angler": ["Tam", "Tam", None, "Tam", "Zoe"],
            "variant": ["plain"] * 5,
            "hours": [4.0, 5.5, 6.0, 1.0, 2.0],
            "fish": [1, 0, 3, 2, 0],
        }
    )
    table = tallies.contributions(stints)
    assert table.to_numpy().tolist() == [
        ["Tam", 2, 10.5, 3],
        ["Zoe", 1, 2.0, 0],
        ["angler not logged", 1, 6.0, 3],
    ]
    assert len(tallies.contributions(stints.drop(columns="angler"))) == 1
