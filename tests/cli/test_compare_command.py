"""`rodhours compare` as a user meets it: words, JSON, which rows, the reference, exit codes.

The numbers behind it have their own tests; here the frame is built by pandas from the same
rows, so that nothing of the logbook goes into the expected answer.
"""

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


def rows():
    """Sixteen dated trips at two waters with three variants, as a flat trip log."""
    log = seasons.several_variants(
        np.random.default_rng(14), (1.0, 2.0), Season(trips=16, rate=0.05)
    )
    number = log["session"].astype(int)
    date = pd.Timestamp("2025-04-01") + pd.to_timedelta(number * 9, unit="D")
    return log.assign(
        session="trip " + log["session"],
        date=date.dt.strftime("%Y-%m-%d"),
        venue=np.where(number % 4 == 0, "Alder Mere", "Old Brickpit"),
        depth_m=2.0 + number % 3,
    )


@pytest.fixture(scope="module")
def imported(tmp_path_factory):
    """The rows as pandas has them, and the logbook that they were imported into once."""
    folder, log = tmp_path_factory.mktemp("season"), rows()
    log.to_csv(folder / "log.csv", index=False)
    import_paths([folder / "log.csv"], folder / "logbook.sqlite")
    return log, folder / "logbook.sqlite"


@pytest.fixture
def book(imported, tmp_path):
    """A copy of it where the commands look for one; the rows."""
    shutil.copyfile(imported[1], tmp_path / "logbook.sqlite")
    return imported[0]


def said(done):
    """The JSON on stdout of a command that gave an answer."""
    assert done.code == 0, done.err
    return json.loads(done.out)


def expected(log, **options):
    """The answer from Python on these rows, without what only a logbook knows."""
    frame = log.assign(date=pd.to_datetime(log["date"]))
    return rodhours.compare(frame, **options).to_dict()


def test_json_is_the_answer_of_python_with_its_source(command, book):
    """the same from Python, plus the rows chosen and the logbook's content."""
    machine = said(command("compare", "--reference", REFERENCE, "--json"))
    sha = machine.pop("logbook_sha256")
    wanted = expected(book, reference=REFERENCE)
    assert wanted.pop("logbook_sha256") is None
    assert machine == wanted
    assert (machine["filters"], len(machine["comparisons"])) == ({}, 2)
    assert len(bytes.fromhex(sha)) == 32


def test_the_ratio_never_turns_upside_down(command, tmp_path):
    """Looks at a growing log whose baits lead in rod-hours in turn: the first bait taken
    stays the reference, said once; naming one for once does not move it, undoing the choice does.
    """
    hours = {"plain": (9, 2), "pellet": (5, 12)}
    head, taken, said_of_it = "session,variant,rod,hours,fish", set(), []
    lines = [head]
    for trip in range(2):
        lines += [
            f"T{trip},{bait},{rod},{hours[bait][trip % 2]},{(trip + rod) % 3}"
            for rod, bait in enumerate(hours)
        ]
        (tmp_path / "log.csv").write_text("\n".join(lines))
        assert command("import", "log.csv").code == 0
        looks = [command("compare", "--json"), command("check")]
        taken.add(said(looks[0])["reference"])
        said_of_it += [line for one in looks for line in one.err.splitlines() if "now on" in line]
        assert said(command("compare", "plain", "pellet", "--json"))["reference"] == "pellet"
    assert (taken, len(said_of_it)) == ({"plain"}, 1)
    (change,) = [
        one
        for one in json.loads(command("history", "--json").out)["changes"]
        if one["kind"] == "reference"
    ]
    assert (change["variant"], change["automatic"]) == ("plain", True)
    assert "reference: plain" in command("history").out
    assert "plain as the reference" in command("undo", str(change["id"])).out
    # 5 + 12 rod-hours against 9 + 2.
    assert said(command("compare", "--json"))["reference"] == "pellet"
    assert "from now on" not in command("compare", "--reference", "pellet").err
    assert "is plain from now on" in command("check", "--reference", "plain").err


def test_the_answer_opens_with_one_sentence_in_plain_words(command, book):
    """A sentence, the table, what limits it most, the next command; on demand all of it."""
    done = command("compare", FAVOURITE, REFERENCE)
    machine = said(command("compare", FAVOURITE, REFERENCE, "--json"))
    (one,) = machine["comparisons"]
    first = done.out.splitlines()[0]
    words = {"unsettled": "Not settled", "too little to say": "Too little to say"}
    assert first.startswith(words.get(one["verdict"], one["verdict"].capitalize()) + ":")
    for piece in (FAVOURITE, REFERENCE, "95 %", f"{one['rate_ratio']:.2f}", "confidence"):
        assert piece in first
    rows = ("  same trips", "  all trips", "What limits it most:", "Next: rodhours check")
    places = [done.out.index(row) for row in rows]
    assert places == sorted(places)
    whole = command("compare", FAVOURITE, REFERENCE, "--all-notes").out
    assert "as if every fish came by itself" in whole
    assert all(note["says"] in whole for note in machine["notes"])
    for forbidden in ("significant", "proved", "e-1", "nan", "None"):
        assert forbidden not in done.out
    assert done.err == ""


USAGE = (
    (["plian"], "Did you mean 'plain'?"),
    ([FAVOURITE, "Plain"], "Did you mean 'plain'?"),
    (["--reference", "nothing-like-it"], "Known: pellet-20, plain, variant-2"),
    ([REFERENCE, REFERENCE], "itself"),
    ([FAVOURITE, REFERENCE, "--reference", "variant-2"], "Two references"),
    (["--adjust", "dept_m"], "Did you mean 'depth_m'?"),
    (["--adjust", "fish"], "fish"),
    (["--until", "2020-01-01"], "No stint"),
    (["--venue", "Alder Mire"], "Did you mean 'Alder Mere'?"),
    (["--confidence", "95"], "between 0 and 1"),
    (["--margin", "0.8"], "above 1"),
)


def test_what_is_not_there_is_a_usage_error(command, book):
    """Exit code 2, what is wrong and what would be right on stderr, nothing on stdout."""
    for arguments, says in USAGE:
        done = command("compare", *arguments)
        assert (done.code, done.out) == (2, ""), arguments
        assert says in done.err, arguments
        assert "Traceback" not in done.err


def test_a_forced_basis_that_does_not_exist(command, tmp_path):
    """Exit code 5 and why; without forcing, the same rows have an answer."""
    log = rows()
    first = log.groupby("session")["variant"].transform("first")
    log.assign(variant=first).to_csv(tmp_path / "log.csv", index=False)
    command("import", "log.csv")
    done = command("compare", FAVOURITE, REFERENCE, "--basis", "same")
    assert (done.code, done.out) == (5, "")
    assert "no same-trip answer" in done.err
    answer = said(command("compare", FAVOURITE, REFERENCE, "--json"))
    assert answer["comparisons"][0]["basis"] == "all trips"


def test_an_unusable_logbook(command, tmp_path):
    """Exit code 4: none there, a folder, another program's file; what to do is said."""
    (tmp_path / "notes.sqlite").write_text("not a logbook")
    for path, says in (
        ("none.sqlite", "rodhours import FILE"),
        ("no/folder/none.sqlite", "folder"),
        (".", "not a file"),
        ("notes.sqlite", "notes.sqlite"),
    ):
        done = command("compare", "--logbook", path)
        assert (done.code, done.out) == (4, "")
        assert says in done.err
    assert not (tmp_path / "none.sqlite").exists()


def test_as_planned_compares_what_the_plan_asked_for(command, tmp_path):
    """Stints under the bait planned, those without a plan aside; a log without plans has none."""
    log = rows()
    planned = log["variant"].mask(log.index % 7 == 0, REFERENCE).mask(log.index % 5 == 0)
    log.assign(planned=planned).to_csv(tmp_path / "log.csv", index=False)
    assert command("import", "log.csv").code == 0
    machine = said(command("compare", "--as-planned", "--json", "--reference", REFERENCE))
    obeyed = log.assign(variant=planned)[planned.notna()]
    wanted = expected(obeyed, reference=REFERENCE)
    assert machine["comparisons"] == wanted["comparisons"]
    assert machine["filters"] == {"as_planned": True}
    (note,) = [one for one in machine["notes"] if one["code"] == "as_planned"]
    off = (planned != log["variant"]) & planned.notna()
    assert note["numbers"] == {
        "planned": int(planned.notna().sum()),
        "departed": int(off.sum()),
        "unplanned": int(planned.isna().sum()),
    }
    log.to_csv(tmp_path / "plain.csv", index=False)
    assert command("import", "plain.csv", "--logbook", "plain.sqlite").code == 0
    done = command("compare", "--as-planned", "--logbook", "plain.sqlite")
    assert done.code == 2
    assert "planned" in done.err


def test_the_logbook_can_be_named_by_the_environment(command, book, tmp_path, monkeypatch):
    """RODHOURS_LOGBOOK instead of --logbook; the option goes first."""
    (tmp_path / "logbook.sqlite").rename(tmp_path / "elsewhere.sqlite")
    assert command("compare").code == 4
    monkeypatch.setenv("RODHOURS_LOGBOOK", "elsewhere.sqlite")
    assert command("compare").code == 0
    assert command("compare", "--logbook", "none.sqlite").code == 4
