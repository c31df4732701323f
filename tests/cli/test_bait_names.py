"""A bait under any of its names: after a key is opened, its code and its recipe are one bait."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from rodhours.log.logbook import open_logbook

KEY = {"KADE": "plain", "MOKU": "pellet-20"}
NAMES = ("KADE", "kade", "plain", "base")
"""One bait: the code on its bag, as written in a hurry, its recipe, and what that was renamed."""
STINTS = "session,date,rod,variant,hours,fish,batch\n" + "".join(
    f"T{trip},2025-04-{trip:02},{rod},{bait},{5 + trip % 3},{(trip * rod) % 5 // 3},{batch}\n"
    for trip in range(1, 13)
    for rod, bait, batch in ((1, ("kade", "KADE", "plain")[trip % 3], "K1"),
                             (2, ("MOKU", "pellet-20")[trip % 2], ""), (3, "pellet-10", ""))
)  # fmt: skip
CATCHES = "session,rod,weight\n" + "".join(
    f"T{trip},{rod},{18 + trip + rod} lb 2 oz\n"
    for trip in range(1, 13)
    for rod in (1, 2, 3)
    for _ in range((trip * rod) % 5 // 3)
)
RECIPES = (
    "variant,base_mix,pellet_pct,size_mm,boil_s\n"
    "plain,birdseed,0,16,90\npellet-20,birdseed,20,16,90\npellet-10,birdseed,10,16,90\n"
)
REHEARSE = ("rehearse", "--seasons", 2, "--jobs", 1, "--quiet")
FULL = pytest.mark.full
QUICK = ("mix", "recipes", "batch", "rename")
"""Commands that are asked by every name; all go by the same look-up."""
COMMANDS = (
    ("compare", "NAME", "pellet-10", "--json"),
    pytest.param(("compare", "pellet-10", "NAME", "--running", "--json"), marks=FULL),
    ("check", "--reference", "NAME"),
    ("sizes", "--reference", "NAME"),
    pytest.param(("report", "--reference", "NAME", "--out", "page.json", "--force"), marks=FULL),
    ("plan", "hours", "--reference", "NAME", "--quick", "--ratio", 2),
    pytest.param(("plan", "next", "--reference", "NAME"), marks=FULL),
    ("plan", "rotation", "--variants", "pellet-10,NAME", "--reference", "NAME", "--rods", 2,
     "--trips", 6, "--json"),
    ("mix", "NAME", "--baits", 60, "--cork-mm", 0),
    ("recipes", "NAME", "pellet-10"),
    ("recipes", "pellet-10", "NAME"),
    ("batch", "add", "NAME", "--date", "2025-03-21", "--json"),
    ("batch", "list", "--variant", "NAME"),
    ("rename", "NAME", "another"),
    ("rename", "pellet-10", "NAME"),
    pytest.param((*REHEARSE, "NAME", "pellet-10"), marks=FULL),
    pytest.param((*REHEARSE, "--reference", "NAME"), marks=FULL),
)  # fmt: skip


@pytest.fixture
def log(command, tmp_path):
    """The command, in a folder with a log of bags whose key was opened and one bait renamed."""
    for name, text in (("stints", STINTS), ("catches", CATCHES), ("variants", RECIPES)):
        (tmp_path / f"{name}.csv").write_text(text)
    assert command("import", "stints.csv", "catches.csv", "variants.csv").code == 0
    with open_logbook("logbook.sqlite") as book:
        book.add_batch({"variant": "kade", "date": "2025-03-20"}, [15.9, 16.1], code="K1")
        assert book.open_key("MANO", KEY, 12).trips_in == 10  # not in trips 5 and 11
        assert book.rename_variant("plain", "base").stints == 12
    return command


@pytest.mark.parametrize("asked", COMMANDS, ids=lambda asked: " ".join(map(str, asked)))
def test_every_command_knows_a_bait_by_each_of_its_names(log, tmp_path, asked):
    """Typed as code, in small letters, as recipe or as renamed: the same answer to the letter."""
    held = Path("logbook.sqlite").read_bytes()
    # A label that a bait once had is free for another one.
    names = NAMES if asked[0] in QUICK else ("kade", "base")
    if asked[:2] == ("rename", "pellet-10"):
        names = [name for name in NAMES if name != "plain"]
    answers = []
    for name in names:
        Path("logbook.sqlite").write_bytes(held)
        done = log(*(str(part).replace("NAME", name) for part in asked))
        page = Path("page.json")
        answers.append((done.code, done.out, page.read_text() if page.exists() else ""))
        assert done.code == (3 if asked[:2] == ("rename", "pellet-10") else 0), done.err
    assert len(set(answers)) == 1
    assert "KADE" not in answers[0][1]


def test_no_answer_shows_a_code(log):
    """Groups, batches and recipes go by the recipes' labels; the renamed bait kept its recipe."""
    groups = {row["group"] for row in json.loads(log("summary", "--json").out)["rows"]}
    assert groups == {"base", "pellet-10", "pellet-20"}
    with open_logbook("logbook.sqlite") as book:
        assert {recipe["variant"] for recipe in book.variants()} == groups
        assert [batch["variant"] for batch in book.batches()] == ["base"]
    assert not [line for line in log("batch", "list").err.splitlines() if "ledger" in line]


def test_files_with_codes_are_read_as_their_baits(log, tmp_path):
    """The same trips with names written out are there already, and a new trip's code is known."""
    named = STINTS.replace("kade", "base").replace("KADE", "base").replace("plain", "base")
    (tmp_path / "named.csv").write_text(named.replace("MOKU", "pellet-20"))
    said = log("import", "named.csv", "catches.csv", "--json")
    assert (said.code, json.loads(said.out)["rows_imported"]) == (0, 0)
    (tmp_path / "new.csv").write_text("session,rod,variant,hours,fish\nT99,1,Kade,5,0\n")
    assert log("import", "new.csv").code == 0
    rows = json.loads(log("summary", "--json").out)["rows"]
    assert {row["group"]: row["sessions"] for row in rows}["base"] == 13


def test_an_opening_is_a_change(log):
    """It is listed and taken back; opened again the day of the first opening stays noted."""
    assert "opened key: plan MANO, codes KADE, MOKU" in log("history").out
    assert "its codes are codes again" in log("undo", "3").out
    with open_logbook("logbook.sqlite") as book:
        fished = book.variants_fished()
        # The rename of plain stands: it speaks of the trips that were logged by that name.
        assert {"KADE", "kade", "base", "MOKU"} <= fished
        first = book.changes()[2].details["opened_at"]
        again = book.open_key("MANO", KEY, 12)
        assert (again.opened_at, again.first) == (first, False)
        assert book.variants_fished() == {"plain", "base", "pellet-10", "pellet-20"}
