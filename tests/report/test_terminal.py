"""Plain text: the sentence first, nothing cut, figures in line."""

import re

import pytest
from seasons import a_comparison, a_result

from rodhours.evidence.results import RateRow, RateSummary
from rodhours.report.terminal import comparison_text, summary_text
from rodhours.report.text_tables import columns, side_by_side


def test_all_three_bases_stand_side_by_side():
    """Same trips, all trips, and as if every fish came by itself, each with its numbers."""
    lines = comparison_text(a_result([a_comparison()]), whole=True).splitlines()

    def row(name):
        return next(line.split("  ") for line in lines if line.strip().startswith(name))

    assert {"1.31", "0.86 to 2.02", "0.21", "41", "1,050", "31"} <= {c.strip() for c in row("same")}
    assert {"1.88", "1.20 to 2.95", "0.004"} <= {c.strip() for c in row("all trips")}
    assert {"1.79", "1.31 to 2.44", "< 0.001"} <= {c.strip() for c in row("as if every fish")}
    assert lines[lines.index("plain") + 1].split() == ["same", "trips", "30", "1,100", "31"]
    brief = comparison_text(a_result([a_comparison()])).splitlines()
    assert not any("as if every fish" in line or "0.21" in line for line in brief)


def test_without_a_same_trip_answer_the_row_says_none():
    """A basis that does not exist is not left out silently."""
    text = comparison_text(a_result([a_comparison(basis="all trips")]))
    same = next(line for line in text.splitlines() if line.startswith("  same trips"))
    assert same.split() == ["same", "trips", "none"]


def test_what_limits_the_answer_comes_last_and_worst_first():
    """All notes, in their order."""
    text = comparison_text(a_result(), whole=True)
    tail = text.split("What limits it\n")[1]
    assert tail.count("\n- ") + 1 == 3
    assert tail.startswith("- The all-trips answer flatters pellet-20")


def test_several_comparisons_say_that_limits_hold_together():
    """The family is named where there is one."""
    assert "limits hold for all three together" in comparison_text(a_result())
    assert "limits hold for all" not in comparison_text(a_result([a_comparison()]))


@pytest.mark.parametrize("width", [None, 20, 60, 100])
def test_nothing_is_cut(width):
    """A narrow terminal folds sentences, tables and names, and loses nothing of them."""
    name = "pellet-20 of the second batch, rolled thin over 14 mm cork, boiled for ninety seconds"
    text = comparison_text(a_result([a_comparison(name)]), width)
    assert "…" not in text
    assert " ".join(text.split()).count(name) >= 2
    if width and width > 50:
        assert max(map(len, text.splitlines())) <= width


@pytest.mark.parametrize("width", [None, 48, 80])
def test_columns_without_room_stand_beneath(width):
    """Each row has its name again, the letters of other scripts take their room, and no line is
    wider than the terminal."""
    rows = [["", "first column", "second", "third column"], ["小麦粉" * 7, "1" * 20, "2", "3" * 20]]
    text = side_by_side(rows, width)
    assert [text.count(cell) for cell in rows[1]] == [1 if width != 48 else 2, 1, 1, 1]
    assert width is None or max(map(columns, text.splitlines())) <= width


def test_a_summary_has_rates_limits_and_hours_to_a_fish():
    """3 fish in 100 rod-hours is a fish every 33 hours; the total stands last."""
    row = RateRow("plain", 4, 2, 6, 100.0, 3, 3.0, 0.9, 9.7, "session model")
    lines = summary_text(RateSummary("variant", (row,), row, 0.9)).splitlines()
    assert " ".join(lines[1].split()) == "plain 4 2 100 3 3.0 0.90 to 9.7 33 h"
    assert lines[-1].startswith("all")
    assert "90 % limits" in lines[0]


def test_a_missing_upper_limit_is_explained():
    """Where there is no upper limit the table says so, and a remark says why."""
    few = "session model, too few trips for an upper limit"
    row = RateRow("pellet", 4, 2, 6, 100.0, 3, 3.0, 0.9, None, few)
    total = RateRow("all", 9, 3, 16, 300.0, 9, 3.0, 1.9, 6.0, "session model")
    text = summary_text(RateSummary("variant", (row,), total, 0.95))
    assert "above 0.9" in text
    assert "pellet: too few trips for an upper limit." in text.splitlines()


def test_a_rate_outside_its_own_limits_is_explained():
    """The model's estimate is shown beside the plain ratio of totals."""
    row = RateRow("pellet", 9, 2, 6, 100.0, 9, 9.0, 0.9, 7.0, "session model", 3.1)
    text = summary_text(RateSummary("variant", (row,), row, 0.95))
    assert "3.1 per 100 rod-hours" in text
    assert "a fish every 32 rod-hours" in text


def figures_of(text):
    """Every number and word of a text, in no order."""
    return sorted(re.sub(r"-{2,}", "", text).split())


def test_tables_fit_a_terminal_of_80_columns():
    """Stacked headings and long names on their own line: no line is wider, nothing is lost."""
    result = a_result()
    narrow, wide = (comparison_text(result, width, whole=True) for width in (80, None))
    assert max(map(len, narrow.splitlines())) <= 80 < max(map(len, wide.splitlines()))
    assert figures_of(narrow) == figures_of(wide)
    row = RateRow("pellet-20-attractor-6", 14, 12, 61, 1168.0, 43, 2.4, 0.22, 182.0, "x")
    total = RateRow("all", 45, 9, 126, 3514.0, 106, 3.0, 2.1, 3.8, "x")
    summary = RateSummary("variant", (row, row), total, 0.95)
    narrow, wide = summary_text(summary, 80), summary_text(summary)
    assert max(map(len, narrow.splitlines())) <= 80 < max(map(len, wide.splitlines()))
    assert figures_of(narrow) == figures_of(wide)
