"""From a frame of stints to arrays: what is refused, what is one stint, how covariates are built.

Expected arrays come from pandas' own grouping and from arithmetic written out here.
"""

from __future__ import annotations

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from rodhours.errors import UsageError
from rodhours.evidence.compare import compare
from rodhours.evidence.stints import prepare


def small(**columns):
    """Four stints of two sessions."""
    frame = pd.DataFrame(
        {
            "session": ["s1", "s1", "s2", "s2"],
            "rod": ["1", "2", "1", "2"],
            "variant": ["a", "b", "b", "a"],
            "hours": [10.0, 12.0, 8.0, 10.0],
            "fish": [1, 0, 2, 1],
        }
    )
    return frame.assign(**columns)


@pytest.mark.parametrize("column", ["session", "variant", "hours", "fish"])
def test_a_missing_column_is_named(column):
    """The frame needs session, variant, hours and fish; a usage error names the missing one."""
    with pytest.raises(UsageError, match=f"no column '{column}'"):
        prepare(small().drop(columns=column))


@pytest.mark.parametrize(
    ("column", "value", "says"),
    [
        ("hours", 0.0, "hours above 0"),
        ("hours", -3.0, "hours above 0"),
        ("hours", np.nan, "hours above 0"),
        ("hours", np.inf, "hours above 0"),
        ("fish", -1, "whole number"),
        ("fish", 0.5, "whole number"),
        ("fish", np.nan, "whole number"),
        ("session", None, "a session on every stint"),
        ("variant", None, "a variant on every stint"),
    ],
)
def test_an_impossible_cell_is_named_with_its_row(column, value, says):
    """The column, what was found, in which row, and what would be right."""
    frame = small().astype(object)
    frame.loc[2, column] = value
    with pytest.raises(UsageError, match=says) as refused:
        prepare(frame)
    assert f"'{column}'" in str(refused.value)
    assert "row 2" in str(refused.value)


def test_no_stints_at_all_are_refused():
    """An empty frame has no answer."""
    with pytest.raises(UsageError, match="no stints"):
        prepare(small().iloc[:0])


def test_rows_of_one_rod_and_variant_are_added_up():
    """A rod cast again with the same bait goes on with the same stint; pandas' sums."""
    without = small(rod=None)
    frame = pd.concat([small(), small(fish=3), without, without], ignore_index=True)
    sums = (
        frame.dropna(subset="rod")
        .groupby(["session", "variant", "rod"])[["hours", "fish"]]
        .sum()
        .sort_values(["hours", "fish"])
    )
    stints = prepare(frame)
    known = stints.rod >= 0
    assert (known.sum(), (~known).sum()) == (4, 8)
    ours = pd.DataFrame({"hours": stints.hours[known], "fish": stints.fish[known]})
    ours = ours.sort_values(["hours", "fish"])
    np.testing.assert_allclose(ours.to_numpy(), sums.to_numpy())
    np.testing.assert_allclose(sorted(stints.hours[~known]), sorted([*small()["hours"]] * 2))


def test_rows_that_differ_in_a_covariate_stay_apart():
    """A rod that moved its spot has two rows when spot is adjusted for, one when it is not."""
    frame = pd.concat([small(spot="bar"), small(spot="weed")], ignore_index=True)
    assert len(prepare(frame)) == 4
    assert len(prepare(frame, ["spot"])) == 8


def test_angler_and_session_make_a_session():
    """Two anglers with the same labels are two sessions; a missing angler is one of its own."""
    frame = pd.concat(
        [small(angler="Ann"), small(angler="Ben"), small(angler=None)], ignore_index=True
    )
    assert len(np.unique(prepare(frame).session)) == 6
    assert len(np.unique(prepare(small(angler="Ann")).session)) == 2


def test_numbers_enter_straight_and_texts_as_categories():
    """Numeric columns enter linearly, text, truth values and rod as categories.

    Numbers are the z-scores by rod-hours (a change of unit), categories are indicators with the
    most fished level left out.
    """
    frame = small(depth_m=[2.0, 3.0, 5.0, 4.0], moon=["full", "new", "new", "half"])
    frame["dark"] = [True, False, False, False]
    stints = prepare(frame, ["depth_m", "moon", "dark", "rod"])
    assert stints.covariate_of == ("depth_m", "moon", "moon", "dark", "rod")
    order = np.lexsort((stints.rod, stints.session))
    table = stints.covariates[order]
    weight, depth = frame["hours"], frame["depth_m"]
    mean = np.average(depth, weights=weight)
    sd = np.sqrt(np.average((depth - mean) ** 2, weights=weight))
    np.testing.assert_allclose(table[:, 0], (depth - mean) / sd)
    indicators = {tuple(table[:, j]) for j in (1, 2)}
    assert indicators == {(1, 0, 0, 0), (0, 0, 0, 1)}
    assert tuple(table[:, 3]) == (1, 0, 0, 0)
    assert tuple(table[:, 4]) == (1, 0, 1, 0)


def test_time_of_year_is_a_yearly_sine_and_cosine():
    """One year apart is the same, half a year apart the opposite; computed from the date."""
    dates = pd.to_datetime(["2025-01-01", "2025-01-01", "2025-07-02", "2025-07-02"])
    stints = prepare(small(date=dates), ["time_of_year"])
    assert stints.covariate_of == ("time_of_year", "time_of_year")
    angle = 2 * np.pi * np.array([1, 1, 183, 183]) / 365.25
    order = np.lexsort((stints.rod, stints.session))
    for j, expected in enumerate((np.sin(angle), np.cos(angle))):
        corr = stats.pearsonr(stints.covariates[order, j], expected).statistic
        assert corr == pytest.approx(1.0)


def test_month_is_a_category_from_the_date():
    """April 2025 and April 2026 are one month; numbers of months are no amounts."""
    dates = pd.to_datetime(["2025-04-03", "2026-04-20", "2025-06-01", "2025-09-01"])
    frame = small(date=dates, session=["s1", "s2", "s3", "s4"])
    stints = prepare(frame, ["month"])
    assert stints.covariate_of == ("month", "month")
    assert sorted(stints.covariates.sum(axis=0)) == [1.0, 1.0]


def test_a_covariate_from_the_date_needs_dates():
    """Without a date everything by month or season says that it is not available."""
    with pytest.raises(UsageError, match="dates"):
        prepare(small(), ["month"])
    with pytest.raises(UsageError, match="month"):
        prepare(small(date=pd.to_datetime(["2025-04-03"] * 4)), ["date"])


def test_stints_that_lack_a_covariate_are_left_out_and_counted():
    """Left out of both bases, with their number named: stints, rod-hours and fish."""
    frame = small(depth_m=[2.0, np.nan, 5.0, 4.0], moon=["full", "new", None, "half"])
    stints = prepare(frame, ["depth_m", "moon"])
    assert len(stints) == 2
    left = {column: tuple(of) for column, *of in map(dict.values, stints.left_out)}
    assert left == {"depth_m": (1, 12.0, 0), "moon": (1, 8.0, 2)}
    assert not prepare(frame).left_out


def test_stints_left_out_are_out_of_both_bases():
    """The totals of both bases are those of the rows that have the covariate."""
    frame = pd.concat([small(session=f"s{i}") for i in range(6)], ignore_index=True)
    frame["rod"] = np.arange(len(frame)).astype(str)
    frame["depth_m"] = np.linspace(1.0, 6.0, len(frame))
    frame.loc[[0, 5], "depth_m"] = np.nan
    result = compare(frame, reference="a", adjust=["depth_m"])
    kept = frame.dropna(subset="depth_m")
    sums = kept.groupby("variant")[["fish", "hours"]].sum()
    (one,) = result.comparisons
    assert one.basis == "same trips"
    assert (one.fish, one.reference_fish) == (sums.fish["b"], sums.fish["a"])
    assert (one.all_trips.fish, one.all_trips.rod_hours) == (sums.fish["b"], sums.hours["b"])
    note = next(note for note in result.notes if note.code == "stints_left_out")
    assert note.numbers["stints"] == 2


def test_a_covariate_nobody_filled_leaves_no_stint():
    """A usage error that names the column, not an empty fit."""
    with pytest.raises(UsageError, match="depth_m"):
        prepare(small(depth_m=np.nan), ["depth_m"])


def test_missing_values_of_every_kind_are_missing():
    """None, NaN, NA and NaT alike, in text, extension and float columns."""
    frame = small(moon=pd.array(["full", None, "new", "new"], dtype="string"))
    frame["pegs"] = pd.array([1, pd.NA, 3, 3], dtype="Int64")
    for column in ("moon", "pegs"):
        assert [one.stints for one in prepare(frame, [column]).left_out] == [1]


def test_labels_may_be_numbers():
    """Variants 10 and 20 (pellet share) are labels like any other; results name them as texts."""
    stints = prepare(small(variant=[10, 20, 20, 10]))
    assert stints.variants == ("10", "20")
    assert (stints.code_of(20), stints.code_of("20")) == (1, 1)
    with pytest.raises(UsageError, match="Known: 10, 20"):
        stints.code_of(30)
