"""Which fish count: species, weight, landed or lost, against counts by hand and a plain loop."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
import pytest

import rodhours
from rodhours.errors import UsageError
from rodhours.evidence.fish_counted import MOST_UNKNOWN, wanted_fish
from rodhours.words.notes import says

STINTS = ["session", "angler", "rod", "variant", "hours", "fish", "lost"]
CATCHES = ["stint", "session", "angler", "rod", "variant", "species", "weight", "outcome"]


def stints_of(*rows: tuple[Any, ...]) -> pd.DataFrame:
    frame = pd.DataFrame(rows, columns=STINTS)
    frame["lost"] = frame["lost"].astype("Int64")
    frame.index = pd.Index(100 - np.arange(len(frame)), name="stint")
    return frame


def catches_of(*rows: tuple[Any, ...]) -> pd.DataFrame:
    frame = pd.DataFrame(rows, columns=CATCHES)
    frame["stint"] = frame["stint"].astype("Int64")
    return frame


LOG = stints_of(
    ("A", None, "1", "plain", 10.0, 2, 0),
    ("A", None, "2", "pellet-20", 10.0, 1, 1),
    ("B", None, "1", "pellet-20", 12.0, 0, 2),
    ("B", None, "2", "plain", 12.0, 1, 0),
)
FISH = catches_of(
    (100, "A", None, "1", "plain", "carp", 9.071847, "landed"),
    (100, "A", None, "1", "plain", "tench", 2.0, "landed"),
    (99, "A", None, "2", "pellet-20", "carp", 12.0, "landed"),
    (99, "A", None, "2", "pellet-20", "carp", None, "lost"),
    (98, "B", None, "1", "pellet-20", None, None, "lost"),
    (98, "B", None, "1", "pellet-20", "tench", None, "lost"),
    (97, "B", None, "2", "plain", "carp", 9.0, "landed"),
)


@pytest.mark.parametrize(
    ("choice", "expected"),
    [
        ({}, [2, 1, 0, 1]),
        ({"species": "carp"}, [1, 1, 0, 1]),
        ({"species": "tench"}, [1, 0, 0, 0]),
        # 20 lb is 9.071847 kg: a fish of just that weight counts.
        ({"min_weight_kg": 9.071847}, [1, 1, 0, 0]),
        ({"species": "carp", "min_weight_kg": 9.0}, [1, 1, 0, 1]),
        ({"outcome": "lost"}, [0, 1, 2, 0]),
        ({"outcome": "hooked"}, [2, 2, 2, 1]),
    ],
)
def test_counts_by_hand(choice, expected):
    """Seven fish on four stints, counted on paper; nothing else in the frame changes."""
    stints, chosen, notes = wanted_fish(LOG, FISH, **choice)
    assert stints["fish"].tolist() == expected
    assert stints["fish"].dtype == "int64"
    pd.testing.assert_frame_equal(stints.drop(columns="fish"), LOG.drop(columns="fish"))
    assert (chosen, notes) == ({"outcome": "landed"} | choice, ())
    assert LOG["fish"].tolist() == [2, 1, 0, 1]


def left(notes, code):
    """The numbers of one note."""
    (note,) = [one for one in notes if one.code == code]
    return note.numbers


def test_a_fish_goes_to_the_stint_that_its_key_names():
    """Two stints of one bait on one rod of a trip: the carp of the second is counted there."""
    twice = stints_of(("A", None, "1", "plain", 5.0, 0, 0), ("A", None, "1", "plain", 5.0, 1, 0))
    caught = catches_of((99, "A", None, "1", "plain", "carp", 9.0, "landed"))
    assert wanted_fish(twice, caught, species="carp")[0]["fish"].tolist() == [0, 1]


def a_season(rng: np.random.Generator, unweighed: float = 0.0) -> tuple[Any, Any]:
    """Random stints and a row for each of their fish; some of them without a weight."""
    rows, fish = [], []
    for number in range(60):
        session, rod = f"T{number // 3}", str(number % 3 + 1)
        variant = ["plain", "pellet-10", "pellet-20"][rng.integers(3)]
        angler = ["Ida", None][number // 3 % 2]
        landed, lost = int(rng.poisson(2)), int(rng.poisson(0.5))
        rows.append((session, angler, rod, variant, 10.0, landed, lost))
        for outcome in ["landed"] * landed + ["lost"] * lost:
            weight = None if rng.random() < unweighed else round(rng.lognormal(2, 0.4), 3)
            species = ["carp", "tench", "bream"][rng.integers(3)]
            key = 100 - number
            fish.append((key, session, angler, rod, variant, species, weight, outcome))
    return stints_of(*rows), catches_of(*fish)


@pytest.mark.parametrize("keyed", [True, False])
@pytest.mark.parametrize("outcome", ["landed", "lost", "hooked"])
@pytest.mark.parametrize("species", [None, "carp"])
def test_against_a_plain_loop(species, outcome, keyed):
    """Fish by fish and stint by stint, with the key and by session, angler, rod and variant."""
    stints, catches = a_season(np.random.default_rng(3))
    expected = [
        sum(
            fish.session == stint.session
            and fish.angler == stint.angler
            and fish.rod == stint.rod
            and fish.weight >= 7.5
            and species in (None, fish.species)
            and outcome in ("hooked", fish.outcome)
            for fish in catches.fillna({"angler": ""}).itertuples()
        )
        for stint in stints.fillna({"angler": ""}).itertuples()
    ]
    if not keyed:
        catches = catches.assign(stint=pd.array([None] * len(catches), dtype="Int64"))
    counted, _, _ = wanted_fish(stints, catches, species, 7.5, outcome)
    assert counted["fish"].tolist() == expected
    assert sum(expected) > 0


@pytest.mark.parametrize("lacking", [1, 5, 6])
def test_unweighed_fish_are_named_and_more_than_5_percent_refused(lacking):
    """Of 100 fish, 5 may lack a weight; each is named with its variant and not counted."""
    stints = stints_of(
        ("A", None, "1", "plain", 10.0, 60, None), ("A", None, "2", "pellet-20", 10.0, 40, None)
    )
    rows = [(100, "A", None, "1", "plain", "carp", 10.0, "landed")] * 60
    rows += [(99, "A", None, "2", "pellet-20", "carp", 10.0, "landed")] * 40
    catches = catches_of(*rows)
    catches.loc[100 - lacking :, "weight"] = None
    if lacking > 100 * MOST_UNKNOWN:
        with pytest.raises(UsageError, match=rf"{lacking} of the 100 fish.*{lacking} on pellet-20"):
            wanted_fish(stints, catches, min_weight_kg=9.0)
        return
    counted, _, notes = wanted_fish(stints, catches, min_weight_kg=9.0)
    assert counted["fish"].tolist() == [60, 40 - lacking]
    (said,) = notes
    assert (said.code, said.numbers["unknown"]) == ("fish_not_known", lacking)
    assert said.numbers["concerned"] == 100
    assert f"{lacking} on pellet-20" in says(said)


def test_fish_that_are_not_listed_count_as_unweighed():
    """A stint whose fish are not in catches lacks weight and species of each of them."""
    stints = stints_of(
        ("A", None, "1", "plain", 10.0, 30, None), ("B", None, "1", "pellet-20", 10.0, 2, None)
    )
    catches = catches_of(*[(100, "A", None, "1", "plain", "carp", 10.0, "landed")] * 30)
    for choice in ({"min_weight_kg": 9.0}, {"species": "carp"}):
        with pytest.raises(UsageError, match=r"2 of the 32 fish.*2 on pellet-20"):
            wanted_fish(stints, catches, **choice)
    more = stints.assign(fish=[30, 1])
    counted, _, notes = wanted_fish(more, catches, species="carp")
    assert counted["fish"].tolist() == [30, 0]
    assert left(notes, "fish_not_known")["by_variant"] == {"pellet-20": 1}


def test_fish_known_to_be_others_need_no_weight():
    """A tench without a weight is no carp of 20 lb; a small fish of no species is none either."""
    rows = [(100, "A", None, "1", "plain", "carp", 10.0, "landed")] * 10
    rows += [(100, "A", None, "1", "plain", "tench", None, "landed")] * 5
    rows += [(100, "A", None, "1", "plain", None, 1.0, "landed")] * 5
    stints = stints_of(("A", None, "1", "plain", 10.0, 20, None))
    counted, _, notes = wanted_fish(stints, catches_of(*rows), "carp", 9.0)
    assert (counted["fish"].tolist(), notes) == ([10], ())


def test_fish_known_by_rod_and_variant_alone():
    """A rod that fished one bait twice: its fish are on the two together, none is unlisted."""
    stints = stints_of(
        ("A", None, "1", "plain", 4.0, 1, None),
        ("A", None, "1", "pellet-20", 4.0, 0, None),
        ("A", None, "1", "plain", 4.0, 2, None),
    )
    catches = catches_of(
        *[(None, "A", None, "1", "plain", "carp", weight, "landed") for weight in (9.0, 5.0, 9.5)]
    )
    counted, _, notes = wanted_fish(stints, catches, min_weight_kg=9.0)
    assert counted.groupby("variant")["fish"].sum().to_dict() == {"pellet-20": 0, "plain": 2}
    assert notes == ()


def test_same_labels_of_two_anglers_stay_apart():
    """The fish of Ida's trip 1 are none of Tam's trip 1, key or no key."""
    stints = stints_of(
        ("1", "Ida", "1", "plain", 4.0, 1, None),
        ("1", "Tam", "1", "plain", 4.0, 1, None),
        ("1", None, "1", "plain", 4.0, 1, None),
    )
    catches = catches_of(
        (None, "1", "Tam", "1", "plain", "carp", 9.0, "landed"),
        (None, "1", None, "1", "plain", "carp", 9.0, "landed"),
        (None, "1", "Ida", "1", "plain", "tench", 9.0, "landed"),
    )
    assert wanted_fish(stints, catches, "carp")[0]["fish"].tolist() == [0, 1, 1]


def test_stints_without_a_lost_count_are_left_out_and_named():
    """An empty cell is not zero, even where catches lists a lost fish on that stint."""
    log = LOG.assign(lost=pd.array([0, None, 2, None], dtype="Int64"))
    stints, _, notes = wanted_fish(log, FISH, outcome="lost")
    assert stints.index.tolist() == [100, 98]
    assert stints["fish"].tolist() == [0, 2]
    assert left(notes, "lost_not_logged") == {"stints": 2, "rod_hours": 22.0}
    assert wanted_fish(log, FISH, outcome="hooked")[0]["fish"].tolist() == [2, 2]


def test_fish_of_stints_left_out_are_none_of_the_fish_concerned():
    """A stint without a lost count takes its fish with it: they are neither counted nor named."""
    log = LOG.assign(lost=pd.array([0, 1, None, 0], dtype="Int64"))
    # Both fish of stint 98, one of them of no species, go with it.
    stints, _, notes = wanted_fish(log, FISH, "carp", outcome="lost")
    assert stints["fish"].tolist() == [0, 1, 0]
    assert [note.code for note in notes] == ["lost_not_logged"]


def test_a_fish_of_no_variant_on_a_rod_that_fished_two_belongs_to_neither():
    """It stays unlisted, and so is named as unknown instead of going to the first bait."""
    stints = stints_of(
        ("A", None, "1", "plain", 4.0, 1, None),
        ("A", None, "1", "pellet-20", 4.0, 0, None),
        ("A", None, "2", "plain", 4.0, 30, None),
    )
    rows = [(98, "A", None, "2", "plain", "carp", 9.0, "landed")] * 30
    catches = catches_of(*rows, (None, "A", None, "1", None, "carp", 9.0, "landed"))
    counted, _, notes = wanted_fish(stints, catches, "carp")
    assert counted["fish"].tolist() == [0, 0, 30]
    assert left(notes, "fish_not_known")["by_variant"] == {"plain": 1}


def test_lost_fish_from_catches_where_no_stint_has_a_count():
    """Then catches is the record, as it is for landed fish, and that is said."""
    log = LOG.assign(lost=pd.array([None] * 4, dtype="Int64"))
    stints, _, notes = wanted_fish(log, FISH, outcome="lost")
    assert stints["fish"].tolist() == [0, 1, 2, 0]
    assert [one.code for one in notes] == ["lost_from_catches"]
    with pytest.raises(UsageError, match="no count of lost fish"):
        wanted_fish(log, FISH[FISH["outcome"] == "landed"], outcome="lost")


def test_lost_fish_without_a_weight_refuse_an_answer_by_weight():
    """Lost fish are seldom weighed; the refusal says what to ask instead."""
    with pytest.raises(UsageError, match="--outcome landed"):
        wanted_fish(LOG, FISH, min_weight_kg=9.0, outcome="hooked")


def test_what_is_not_there_is_said():
    """No catches, an unknown species, an unknown outcome, a weight of 0, texts for weights."""
    with pytest.raises(UsageError, match=r"which were carp\. List each fish in a table catches"):
        wanted_fish(LOG, FISH.head(0), "carp")
    with pytest.raises(UsageError, match="session, rod, weight"):
        wanted_fish(LOG, FISH.head(0), min_weight_kg=9.0)
    with pytest.raises(UsageError, match=r"Did you mean 'tench'\? Known: carp, tench"):
        wanted_fish(LOG, FISH, "tensh")
    with pytest.raises(UsageError, match="session, rod, species"):
        wanted_fish(LOG, FISH.assign(species=None), "carp")
    with pytest.raises(UsageError, match="landed, lost, hooked"):
        wanted_fish(LOG, FISH, outcome="seen")
    with pytest.raises(UsageError, match="above 0"):
        wanted_fish(LOG, FISH, min_weight_kg=0.0)
    with pytest.raises(UsageError, match="numbers only"):
        wanted_fish(LOG, FISH.assign(weight="22lb"), min_weight_kg=9.0)


def test_the_answer_is_that_of_a_log_with_those_fish_alone():
    """Comparing the wanted fish is comparing a log in which the others were never caught."""
    stints, catches = a_season(np.random.default_rng(5))
    wanted = catches[(catches["species"] == "carp") & (catches["outcome"] == "landed")]
    by_key = wanted.groupby("stint").size()
    alone = stints.assign(fish=by_key.reindex(stints.index).fillna(0).astype(int))
    counted, _, _ = wanted_fish(stints, catches, "carp")
    assert (
        rodhours.compare(counted, "plain").to_dict() == rodhours.compare(alone, "plain").to_dict()
    )
