"""`rodhours.plot`: what stands on real axes is what the result says."""

from __future__ import annotations

import matplotlib as mpl
import pytest
from matplotlib.figure import Figure
from seasons import a_comparison, a_result

import rodhours
from rodhours.errors import UsageError

mpl.use("Agg")


def lines(axes):
    """The ends of the intervals by row, and the marks by row."""
    ends, marks = {}, {}
    for line in axes.lines:
        x, y = (list(map(float, one)) for one in line.get_data())
        if len(x) == 2 and y[0] == y[1]:
            ends[y[0]] = tuple(x)
        elif len(x) == 1:
            marks[y[0], line.get_marker()] = x[0]
    return ends, marks


def test_intervals_and_labels_are_those_of_the_result():
    """A row a variant in the result's order, its limits and estimate to the digit."""
    result = a_result([a_comparison("pellet-20"), a_comparison("pellet-40", high=3.0)])
    axes = Figure().add_subplot()
    assert rodhours.plot(result, axes) is axes
    ends, marks = lines(axes)
    for row, one in enumerate(result.comparisons):
        assert ends[row] == (one.conf_low, one.conf_high)
        assert one.rate_ratio in [x for (y, _), x in marks.items() if y == row]
    assert [one.get_text() for one in axes.get_yticklabels()] == ["pellet-20", "pellet-40"]
    assert axes.yaxis_inverted()
    assert axes.get_xscale() == "log"
    assert axes.get_xlabel() == "times as fast as plain, with 95 % intervals"
    steps = {float(one.get_text()) for one in axes.get_xticklabels()}
    assert {0.5, 1.0, 2.0} <= steps == set(map(float, axes.get_xticks()))


def test_a_limit_that_is_none_is_an_arrow_at_the_edge():
    """No limit on a side, or none above 0: the line goes to the edge and ends in an arrow."""
    for limits, arrow, edge in (
        ({"low": 0.6, "high": None}, ">", 1),
        ({"low": 0.0, "high": 1.4}, "<", 0),
    ):
        axes = rodhours.plot(
            a_result([a_comparison("pellet-20", **limits)]), Figure().add_subplot()
        )
        ends, marks = lines(axes)
        assert ends[0][edge] == marks[0, arrow] == axes.get_xlim()[edge]
        assert ends[0][1 - edge] in limits.values()


def test_without_axes_a_figure_is_made():
    """Each call its own, with room for the names."""
    result = a_result([a_comparison("a-bait-with-a-long-name")])
    first, second = rodhours.plot(result), rodhours.plot(result)
    assert first.figure is not second.figure
    first.figure.draw_without_rendering()
    assert first.get_tightbbox().x0 >= 0


def test_nothing_to_draw_is_said():
    """A result without a comparison has no picture."""
    with pytest.raises(UsageError, match="no comparison"):
        rodhours.plot(a_result([]))
