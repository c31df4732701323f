"""What Python users hand in and get out: dates read one way, plain words for what is no frame."""

import numpy as np
import pandas as pd
import pytest

import rodhours
import simulated_seasons as seasons


@pytest.fixture
def log():
    return seasons.both_on_every_trip(np.random.default_rng(3), 1.5)


DAYS = pd.date_range("2025-04-01", periods=12).to_series()
WRITTEN = {
    "datetimes": DAYS,
    "texts": DAYS.dt.strftime("%Y-%m-%d"),
    "moments": DAYS.dt.strftime("%Y-%m-%dT18:30"),
    "zoned": DAYS.dt.tz_localize("Europe/London"),
    "dates": DAYS.dt.date,
}


@pytest.mark.parametrize("form", WRITTEN)
def test_twelve_days_of_april_are_april(log, form):
    """Datetimes, dates and ISO 8601 texts are one thing."""
    log["date"] = WRITTEN[form].to_numpy()[pd.factorize(log["session"])[0] % 12]
    assert [row.group for row in rodhours.summarise(log, "month").rows] == ["2025-04"]


@pytest.mark.parametrize("ask", ["summary", "running", "month", "check"])
@pytest.mark.parametrize("text", ["12/04/2025", "12.4.25", "April", 20250412])
def test_what_could_be_read_two_ways_is_refused(log, ask, text):
    """Day-first texts and numbers are named with what would be right, by every answer on dates."""
    log["date"] = text
    asked = {
        "summary": lambda: rodhours.summarise(log, "month"),
        "running": lambda: rodhours.running_looks(log, "plain"),
        "month": lambda: rodhours.compare(log, "plain", adjust="month"),
        "check": lambda: rodhours.check(log, "plain"),
    }
    with pytest.raises(ValueError, match="2025-04-12") as refused:
        asked[ask]()
    assert repr(text) in str(refused.value)


def test_what_is_no_frame_is_said(log):
    """A path or a list in place of a frame; a wrong cell without numpy's own names."""
    for ask in (
        lambda: rodhours.compare("stints.csv"),
        lambda: rodhours.summarise([1, 2], "month"),
        lambda: rodhours.sizes("catches.csv"),
        lambda: rodhours.respond(log, "variants.csv", "pellet_pct"),
    ):
        with pytest.raises(ValueError, match="pandas DataFrame"):
            ask()
    log.loc[log.index[0], "hours"] = -1.0
    with pytest.raises(ValueError, match=r"holds -1\.0 in row"):
        rodhours.compare(log)


def test_every_result_has_a_frame_without_the_total(log):
    """Rows named as the result's fields; the public names are those that `dir` shows."""
    compared = rodhours.compare(log, "plain")
    assert compared.frame.loc[0, "rate_ratio"] == compared.comparisons[0].rate_ratio
    assert list(rodhours.summarise(log).frame["group"]) == ["pellet-20", "plain"]
    for made in (
        rodhours.next_season(log, "plain"),
        rodhours.plan_hours(log, "plain", ratio=4.0, quick=True),
        rodhours.check(log, "plain"),
    ):
        assert isinstance(made.frame, pd.DataFrame)
        assert "e+" not in made._repr_html_()
    assert dir(rodhours) == sorted(rodhours.__all__)
