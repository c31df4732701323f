"""history, undo, rename, leave-out and export as a user meets them: words, JSON, exit codes."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from rodhours.log.logbook import open_logbook

LOG = "session,date,rod,variant,hours,fish\n" + "".join(
    f"T{trip},2025-04-{trip:02},{rod},{bait},{5 + trip % 3},{(trip * rod) % 4 // 2}\n"
    for trip in range(1, 13)
    for rod, bait in enumerate(("plain", "pellet-20"), start=1)
)
RECIPES = "variant,pellet_pct\nplain,0\npellet-20,20\n"
REASON = "the bailiff moved us at noon"


@pytest.fixture
def log(command, tmp_path):
    """The command, in a folder with a logbook of twelve trips."""
    (tmp_path / "log").mkdir()
    (tmp_path / "log" / "stints.csv").write_text(LOG)
    (tmp_path / "log" / "variants.csv").write_text(RECIPES)
    catches = "".join(
        f"T{trip},{rod},{18 + trip} lb 2 oz\n"
        for trip in range(1, 13)
        for rod in (1, 2)
        for _ in range((trip * rod) % 4 // 2)
    )
    (tmp_path / "log" / "catches.csv").write_text("session,rod,weight\n" + catches)
    assert command("import", "log").code == 0
    return command


def test_history_from_import_to_undo(log) -> None:
    """Each change with its number, the newest first; what was taken back stays and says so."""
    log("rename", "pellet-20", "P20")
    log("leave-out", "T3", "--because", REASON)
    said = log("history").out
    assert [int(n) for n in re.findall(r"^ +(\d+)  \d{4}-", said, re.MULTILINE)] == [3, 2, 1]
    assert REASON in said
    assert "pellet-20 to P20" in said
    log("batch", "add", "P20", "--date", "2025-03-20")
    assert "batch: P20-1 of P20 recorded" in log("history").out
    assert "its code stays taken" in log("undo").out
    assert "12 sessions taken out" in log("undo", "1", "--dry-run").out
    assert "it counts again" in log("undo", "3").out
    assert log("undo", "3").code == 2
    assert log("undo", "9").code == 2
    assert "the renaming of pellet-20 to P20" in log("undo", "2", "--dry-run").out
    assert json.loads(log("undo", "2", "--json").out)["change"]["kind"] == "rename"
    listed = json.loads(log("history", "--json").out)["changes"]
    assert [(one["id"], one["kind"], one["undone_at"] is None) for one in listed] == [
        (4, "batch-added", False),
        (3, "leave-out", False),
        (2, "rename", False),
        (1, "import", True),
    ]
    assert all(re.fullmatch("[0-9a-f]{64}", one["sha256"]) for one in listed[3]["files"])


def test_rename_says_what_it_did_and_what_comes_next(log) -> None:
    """Figures, near misses with exit code 2, a recipe that differs with exit code 3."""
    done = log("rename", "pellet-20", "P20")
    assert "12 stints in 12 sessions" in done.out
    assert json.loads(log("rename", "P20", "pellet-20", "--json").out)["stints"] == 12
    missed = log("rename", "pelet-20", "x")
    assert (missed.code, "Did you mean pellet-20?" in missed.err) == (2, True)
    assert log("rename", "plain", "pellet-20").code == 3
    assert log("rename", "plain").code == 2


def test_every_answer_names_what_is_left_out(log) -> None:
    """Session and reason on the terminal and in JSON; none of its fish is counted."""
    assert log("leave-out", "T3").code == 2
    before = json.loads(log("summary", "--json").out)
    warned = log("leave-out", "T3", "--because", REASON)
    assert "spoils the answer" in warned.out
    for arguments in (("check", "--reference", "plain"), ("summary",)):
        said = log(*arguments)
        assert f"session T3 (because: {REASON})" in " ".join(said.out.split()), arguments
    for arguments in (("sizes", "--reference", "plain", "--json"), ("summary", "--json")):
        machine = json.loads(log(*arguments).out)
        assert machine["filters"]["left_out"][0]["because"] == REASON, arguments
        (note,) = (note for note in machine["notes"] if note["code"] == "left_out")
        assert f"session T3 (because: {REASON})" in note["says"], arguments
    after = machine
    sessions = [[row["sessions"] for row in one["rows"]] for one in (before, after)]
    assert sessions == [[12, 12], [11, 11]]
    assert "counts again" in log("leave-out", "T3", "--take-back").out
    assert REASON not in log("summary").out


def test_a_trip_left_out_is_no_gap(log) -> None:
    """The running numbers of the log are whole: T3 is in it, though nothing counts it."""
    log("leave-out", "T3", "--because", REASON)
    found = json.loads(log("check", "--reference", "plain", "--json").out)["findings"]
    assert "left_out" in [note["code"] for note in found]
    assert not [note for note in found if "gap" in note["code"] or "missing" in note["code"]]


@pytest.mark.full
def test_the_page_names_what_is_left_out(log, tmp_path) -> None:
    """With its reason, among what limits the answer and where the rows are named."""
    log("leave-out", "T3", "--because", REASON)
    assert log("report", "--out", "page.html").code == 0
    page = (tmp_path / "page.html").read_text(encoding="utf-8")
    assert REASON in page
    assert "without session T3" in page


@pytest.mark.full
def test_a_rehearsal_names_what_is_left_out(log) -> None:
    """On the terminal and in JSON."""
    log("leave-out", "T3", "--because", REASON)
    rehearse = ("rehearse", "--seasons", "1", "--jobs", "1", "--quiet")
    assert REASON in log(*rehearse).out
    machine = json.loads(log(*rehearse, "--json").out)
    assert machine["filters"]["left_out"][0]["session"] == "T3"


def test_export_says_what_it_wrote_and_what_it_could_not(log, tmp_path: Path) -> None:
    """Files and rows; marks and batches named as not carried; nothing written over unasked."""
    log("batch", "add", "plain", "--date", "2025-03-20")
    log("leave-out", "T3", "--because", REASON)
    done = log("export", "out")
    assert done.code == 0
    assert "T3 is left out" in done.err
    assert "1 batch" in done.err
    again = log("export", "out")
    assert (again.code, "--force" in again.err) == (2, True)
    machine = json.loads(log("export", "out.xlsx", "--json").out)
    assert machine["rows"]["stints"] == 24
    assert machine["not_exported"] == {"left_out": ["T3"], "batches": 1}
    assert log("import", "out", "--logbook", "new.sqlite").code == 0
    with open_logbook(tmp_path / "new.sqlite") as book:
        assert book.content_sha256() == machine["content_sha256"]
    assert log("export").code == 2
