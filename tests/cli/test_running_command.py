"""`rodhours compare --running` as a user meets it."""

from __future__ import annotations

import json
import re

import numpy as np
import pandas as pd
import pytest

import rodhours
import simulated_seasons as seasons
from simulated_seasons import FAVOURITE, REFERENCE, Season


@pytest.fixture
def book(command, tmp_path):
    """Ten dated trips in the default logbook; the rows as pandas has them."""
    log = seasons.both_on_every_trip(np.random.default_rng(4), 2.0, Season(trips=10, rate=0.08))
    date = pd.Timestamp("2025-04-01") + pd.to_timedelta(log["session"].astype(int) * 9, unit="D")
    log = log.assign(session="trip " + log["session"], date=date.dt.strftime("%Y-%m-%d"))
    log.to_csv(tmp_path / "log.csv", index=False)
    assert command("import", "log.csv").code == 0
    return log


def test_json_is_that_of_compare_with_the_looks_of_python(command, book):
    """Nothing of the answer changes; `running` is what rodhours.running_looks gives."""
    plain = json.loads(command("compare", FAVOURITE, REFERENCE, "--json").out)
    done = command("compare", FAVOURITE, REFERENCE, "--running", "--json")
    assert done.code == 0, done.err
    machine = json.loads(done.out)
    running = machine.pop("running")
    assert machine == plain
    assert running["logbook_sha256"] == plain["logbook_sha256"]
    frame = book.assign(date=pd.to_datetime(book["date"]))
    wanted = rodhours.running_looks(frame, REFERENCE, FAVOURITE).to_dict()
    assert running == {**wanted, "logbook_sha256": plain["logbook_sha256"]}
    (answer,), (looks,) = plain["comparisons"], running["comparisons"]
    assert looks["basis"] == answer["basis"]
    assert looks["looks"][-1]["fixed_low"] == answer["conf_low"]


def test_text_has_each_trip_and_says_what_each_interval_is_for(command, book):
    """The answer first, then trip by trip with dates; the notes of the season stay."""
    options = ("--running", "--since", "2025-04-10", "--all-notes")
    done = command("compare", FAVOURITE, REFERENCE, *options)
    assert done.code == 0, done.err
    assert done.out.startswith(("Nothing is settled yet", "The running interval has excluded 1"))
    assert re.search(r"^9 +2025-06-21 ", done.out, re.MULTILINE)
    assert "measured on simulated seasons" in done.out
    assert "\nWhat limits it\n" in done.out
