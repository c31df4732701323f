"""`rodhours check`: findings in three parts, their machine form, and no all-clear."""

from __future__ import annotations

import json

import numpy as np
import pandas as pd
import pytest

import simulated_seasons as seasons
from simulated_seasons import FAVOURITE, REFERENCE, Season

CODES = {
    "clumping",
    "confounded",
    "gaps_in_the_log",
    "one_batch_each",
    "red_letter_trip",
    "rods_not_rotated",
    "unlogged_blanks",
}


@pytest.fixture
def faulty() -> pd.DataFrame:
    """The favourite always on rod 2 and from one batch; trips T9 and T10 missing."""
    rng = np.random.default_rng(11)
    season = Season(trips=40, rods=2, rate=0.05)
    log = seasons.logged(rng, seasons.both_on_every_trip(rng, season=season))
    log["variant"] = np.where(log["rod"] == "2", FAVOURITE, REFERENCE)
    log.loc[log["variant"] == FAVOURITE, "batch"] = "the only one"
    return log[~log["session"].isin(["T9", "T10"])]


@pytest.fixture
def logbook(command, faulty, tmp_path):
    """A function that imports a log into a logbook of its own."""

    def kept(log: pd.DataFrame = faulty) -> None:
        path = tmp_path / "stints.csv"
        log.to_csv(path, index=False, date_format="%Y-%m-%d")
        done = command("import", path)
        assert done.code == 0, done.out + done.err

    return kept


def test_each_finding_is_found_how_much_and_what_to_do(command, logbook):
    """Worst first, found and how much, then what to do; no all-clear at the end."""
    logbook()
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
    assert f"{FAVOURITE} was fished from one batch only" in done.out


def test_the_machine_form_has_exactly_its_keys(command, logbook):
    """Schema 1: code, severity, says, numbers; the variant is among the numbers."""
    logbook()
    done = command("check", "--reference", REFERENCE, "--json")
    said = json.loads(done.out)
    assert set(said) == {"schema", "findings"}
    assert said["schema"] == 1
    found = {one["code"]: one for one in said["findings"]}
    assert {"rods_not_rotated", "one_batch_each", "gaps_in_the_log"} <= set(found)
    for one in said["findings"]:
        assert set(one) == {"code", "severity", "says", "numbers"}
    assert found["rods_not_rotated"]["numbers"]["variant"] == FAVOURITE
    assert found["gaps_in_the_log"]["numbers"]["missing_numbers"] == ["T9", "T10"]
    assert "variant" not in found["gaps_in_the_log"]["numbers"]


def test_rows_chosen_have_no_gaps_of_their_own(command, logbook, faulty):
    """The trips to other waters are not missing: gaps are those of the whole log."""
    logbook()
    water = faulty["venue"].mode()[0]
    said = json.loads(command("check", "--venue", water, "--json").out)
    (gaps,) = [one for one in said["findings"] if one["code"] == "gaps_in_the_log"]
    assert gaps["numbers"]["missing_numbers"] == ["T9", "T10"]


def test_the_same_findings_from_python(command, logbook, faulty):
    """`rodhours.check` on the frame gives what the command prints; it remembers the reference."""
    import rodhours

    logbook()
    said = json.loads(command("check", "--reference", FAVOURITE, "--json").out)
    found = rodhours.check(faulty, reference=FAVOURITE).to_dict()
    assert [one["code"] for one in found["findings"]] == [one["code"] for one in said["findings"]]
    assert command("check").out.startswith("Against pellet-20:")


def test_a_log_without_a_fault_is_not_called_clean(command, logbook):
    """None of the checks of a log speaks on a clean one, and that is no all-clear."""
    rng = np.random.default_rng(1)
    season = Season(trips=40, rods=2, rate=0.1, session_sd=0.0)
    log = seasons.both_on_every_trip(rng, season=season)
    logbook(seasons.logged(rng, log))
    said = json.loads(command("check", "--reference", REFERENCE, "--json").out)
    assert {one["code"] for one in said["findings"]} & CODES == set()
    assert "No note is not an all-clear" in command("check").out


def test_an_unknown_reference_is_named(command, logbook):
    """Exit code 2, and no traceback."""
    logbook()
    done = command("check", "--reference", "plane")
    assert done.code == 2
    assert "Did you mean 'plain'" in done.err
