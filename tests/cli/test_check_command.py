"""`rodhours check`: findings in three parts, their machine form, and no all-clear."""

from __future__ import annotations

import json
import shutil

import numpy as np
import pandas as pd
import pytest

import rodhours
import simulated_seasons as seasons
from rodhours.log.importing import import_paths
from simulated_seasons import FAVOURITE, REFERENCE, Season


@pytest.fixture(scope="module")
def faulty() -> pd.DataFrame:
    """The favourite always on rod 2 and from one batch; trips T9 and T10 missing."""
    rng = np.random.default_rng(11)
    season = Season(trips=40, rods=2, rate=0.05)
    log = seasons.logged(rng, seasons.both_on_every_trip(rng, season=season))
    log["variant"] = np.where(log["rod"] == "2", FAVOURITE, REFERENCE)
    log.loc[log["variant"] == FAVOURITE, "batch"] = "the only one"
    return log[~log["session"].isin(["T9", "T10"])]


@pytest.fixture(scope="module")
def imported(faulty, tmp_path_factory):
    """A logbook that it was imported into once."""
    folder = tmp_path_factory.mktemp("faulty")
    faulty.to_csv(folder / "log.csv", index=False, date_format="%Y-%m-%d")
    import_paths([folder / "log.csv"], folder / "logbook.sqlite")
    return folder / "logbook.sqlite"


@pytest.fixture
def logbook(imported, tmp_path):
    """A copy of it where the commands look for one."""
    return shutil.copyfile(imported, tmp_path / "logbook.sqlite")


def test_each_finding_is_found_how_much_and_what_to_do(command, logbook):
    """Worst first, found and how much, then what to do; no all-clear at the end."""
    done = command("check", "--reference", REFERENCE)
    assert done.code == 0
    *blocks, following = done.out.strip().split("\n\n")
    assert following == "Next: rodhours plan next"
    assert blocks[0].startswith("Against plain:")
    assert blocks[-1].startswith("No note is not an all-clear")
    weights = [block.split(":")[0] for block in blocks[1:-1]]
    order = ["Serious", "Caution", "Worth knowing"]
    assert weights == sorted(weights, key=order.index)
    rods = next(block for block in blocks if "On the trips that had both" in block)
    *_, what_to_do = rods.splitlines()
    assert what_to_do.startswith("  Do: Swap rods")
    assert "T9 and T10 are missing" in done.out
    assert f"Fished from one batch only: {FAVOURITE}" in done.out


def test_the_machine_form_is_that_of_python(command, logbook, faulty):
    """Schema 1: code, severity, says, numbers, the variant among them; the codes of
    `rodhours.check` on the frame. The reference is remembered."""
    said = json.loads(command("check", "--reference", FAVOURITE, "--json").out)
    assert (set(said), said["schema"]) == ({"schema", "findings"}, 1)
    found = {one["code"]: one for one in said["findings"]}
    for one in said["findings"]:
        assert set(one) == {"code", "severity", "says", "numbers"}
    assert found["rods_not_rotated"]["numbers"]["variant"] == REFERENCE
    assert "variant" not in found["gaps_in_the_log"]["numbers"]
    of_python = rodhours.check(faulty, reference=FAVOURITE).to_dict()["findings"]
    assert [one["code"] for one in of_python] == [one["code"] for one in said["findings"]]
    # Rows chosen have no gaps of their own: the trips to other waters are not missing.
    done = command("check", "--venue", faulty["venue"].mode()[0], "--json")
    (gaps,) = [one for one in json.loads(done.out)["findings"] if one["code"] == "gaps_in_the_log"]
    assert gaps["numbers"]["missing_numbers"] == ["T9", "T10"]
    assert command("check").out.startswith("Against pellet-20:")
    unknown = command("check", "--reference", "plane")
    assert (unknown.code, "Did you mean 'plain'" in unknown.err) == (2, True)
