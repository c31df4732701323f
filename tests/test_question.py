"""`rodhours.question`: what the command line has, for Python; each answer held to the command's."""

from __future__ import annotations

import json
import shutil
from dataclasses import FrozenInstanceError
from datetime import date

import pytest

import rodhours
from rodhours.errors import UnusableLogbook, UsageError
from rodhours.log.importing import import_paths
from rodhours.log.logbook import Logbook, open_logbook
from rodhours.planning.blind import BagKey, sealed
from two_baits import as_logged, written

FULL = pytest.mark.full
WATERS = ["Quernhollow Mere", "Grindlemoss Pit"]
CODES = {"KADE": "plain", "MOTU": "pellet-20"}


def two_years():
    """Trips of two anglers in two years; T03 has no date, T05 no count of lost fish."""
    files = as_logged()
    files["catches"] = files["catches"].drop(columns="time")
    for name in ("stints", "sessions", "catches"):
        number = files[name]["session"].str[1:].astype(int)
        files[name]["angler"] = ["Tam" if one % 4 == 0 else "Ida" for one in number]
    sessions, stints = files["sessions"], files["stints"]
    earlier = sessions["session"] <= "T06"
    sessions["date"] = sessions["date"].where(~earlier, "2024" + sessions["date"].str[4:])
    sessions.loc[sessions["session"] == "T03", "date"] = None
    stints.loc[stints["session"] == "T05", "lost"] = None
    return files


@pytest.fixture(scope="module")
def imported(tmp_path_factory):
    """The season imported once, with a session left out."""
    folder = tmp_path_factory.mktemp("season")
    import_paths(written(two_years(), folder), folder / "logbook.sqlite")
    with open_logbook(folder / "logbook.sqlite") as book:
        book.leave_out("T20", "Tam", "the lake was closed")
    return folder / "logbook.sqlite"


@pytest.fixture
def logbook(imported, tmp_path):
    """A copy of it where the commands look for one."""
    return shutil.copyfile(imported, tmp_path / "logbook.sqlite")


CHOICES = {
    "all rows": ((), {}),
    "dates": (
        ("--since", "2024-04-05", "--until", "2025-06-09"),
        {"since": "2024-04-05", "until": date(2025, 6, 9)},
    ),
    "waters": (("--venue", WATERS[0], "--venue", WATERS[1]), {"venue": WATERS}),
    "angler": (("--angler", "Tam"), {"angler": "Tam"}),
    "species": (("--species", "tench"), {"species": "tench"}),
    "weight": (("--min-weight", "14lb 8oz"), {"min_weight": "14lb 8oz"}),
    "lost": (("--outcome", "lost"), {"outcome": "lost"}),
    "much": (
        ("--since", "2024-04-01", "--venue", WATERS[0], "--outcome", "hooked"),
        {"since": "2024-04-01", "venue": WATERS[:1], "outcome": "hooked"},
    ),
}


ANSWERS = {
    "compare": lambda asked: asked.compare(),
    "compare pellet-20 plain --adjust rod --basis all --confidence 0.9 --margin 1.5": (
        lambda asked: asked.compare("pellet-20", "plain", ["rod"], 0.9, "all", 1.5)
    ),
    "summary --by venue --confidence 0.9": lambda asked: asked.summary("venue", 0.9),
    "check --reference pellet-20": lambda asked: asked.check("pellet-20"),
    "response pellet_pct --per 10 --adjust rod --confidence 0.9": (
        lambda asked: asked.response("pellet_pct", 10, ["rod"], 0.9)
    ),
    "rehearse --seasons 1 --jobs 1 --ratio 2 --seed 3": (
        lambda asked: asked.rehearse(seasons=1, ratio=2, seed=3)
    ),
    "plan next --ratio 2 --power 0.9 --adjust rod --confidence 0.9 --margin 1.5": (
        lambda asked: asked.next_season(None, 2, 0.9, adjust=["rod"], confidence=0.9, margin=1.5)
    ),
    "plan hours --reference plain --ratio 2 --quick": (
        lambda asked: asked.hours("plain", ratio=2, quick=True)
    ),
}


def machine(done):
    assert done.code == 0, done.err
    return json.loads(done.out)


@pytest.mark.parametrize(
    "called",
    [pytest.param(one, marks=FULL) if one.startswith("rehearse") else one for one in ANSWERS],
)
def test_every_answer_is_that_of_the_command(command, logbook, called):
    """`to_dict()` is what `--json` prints, whichever answer is asked for."""
    options, named = CHOICES["much"]
    answer = ANSWERS[called](rodhours.question(logbook, **named))
    found = answer if isinstance(answer, dict) else answer.to_dict()
    assert found == machine(command(*called.split(), *options, "--json"))


@pytest.mark.parametrize("chosen", CHOICES)
def test_every_choice_is_that_of_the_command(command, logbook, chosen):
    """Rows, dates, fish and sessions left out are chosen alike, and what was passed over is a
    remark where the command says it."""
    options, named = CHOICES[chosen]
    asked = rodhours.question("logbook.sqlite", **named)
    done = command("summary", *options, "--json")
    assert asked.summary().to_dict() == machine(done)
    assert asked.filters == machine(done)["filters"]
    assert "".join(f"{one}\n" for one in asked.remarks) == done.err
    assert bool(asked.remarks) == ("since" in named)
    assert "left_out" in [note.code for note in asked.notes]


@pytest.mark.parametrize(("chosen", "species"), [("all rows", None), ("waters", "tench")])
def test_sizes_are_those_of_the_command(command, logbook, chosen, species):
    """Of all fish or of one species, whether the question or the answer is about it."""
    options, named = CHOICES[chosen]
    asked = rodhours.question(logbook, **named)
    of = () if species is None else ("--species", species)
    wanted = machine(command("sizes", "--reference", "plain", *options, *of, "--json"))
    assert asked.sizes("plain", species).to_dict() == wanted
    about = rodhours.question(logbook, **named, species=species)
    assert about.sizes("plain").to_dict() == wanted


def test_an_open_logbook_is_asked_too(logbook):
    """The same question by its path and open; it stays open."""
    with open_logbook(logbook) as book:
        asked = rodhours.question(book)
        assert book.counts().stints > 0
    assert asked.compare().to_dict() == rodhours.question(str(logbook)).compare().to_dict()


def test_a_question_is_frozen_and_of_one_moment(command, logbook):
    """What is imported later changes no answer of a question already asked."""
    asked = rodhours.question(logbook, venue=WATERS[0])
    before = asked.summary().to_dict()
    command("leave-out", "T01", "--because", "a second rod was not logged")
    assert asked.summary().to_dict() == before
    with pytest.raises(FrozenInstanceError):
        asked.notes = ()
    assert repr(asked).startswith(f"<Question: {len(asked.stints)} stints of {logbook}; venue")


def test_the_remembered_reference(command, logbook, monkeypatch):
    """A reference given is used and not written; `remember` writes; then it holds for both."""
    asked = rodhours.question(logbook)
    assert asked.compare(reference="pellet-20").reference == "pellet-20"
    taken = asked.compare()
    assert "reference_chosen" in [note.code for note in taken.notes]
    assert asked.remember("pellet-20") == (
        "The reference is pellet-20 from now on; --reference names another."
    )
    asked = rodhours.question(logbook)
    assert asked.compare().to_dict() == machine(command("compare", "--json"))
    assert {answer().reference for answer in (asked.compare, asked.sizes)} == {"pellet-20"}
    assert asked.compare("pellet-20").reference == "plain"

    def refuse(*_):
        raise UnusableLogbook("read only")

    monkeypatch.setattr(Logbook, "set_reference", refuse)
    assert asked.remember("pellet-20") is None
    unwritten = asked.remember("plain")
    assert unwritten in command("compare", "--reference", "plain", "--json").err


def test_a_remembered_reference_that_the_rows_lack(command, logbook):
    """It is passed over, which is a value here and a remark of the command."""
    with open_logbook(logbook) as book:
        book.set_reference("pellet-40")
    asked = rodhours.question(logbook)
    done = command("compare", "--json")
    assert asked.passed_over is not None
    assert done.err == f"{asked.passed_over}\n"
    assert asked.compare().to_dict() == machine(done)


def test_a_code_of_an_opened_key_is_its_bait(command, tmp_path):
    """Wherever a bait is named, the code on its bag names it too."""
    code_of = {name: code for code, name in CODES.items()}
    files = two_years()
    for name in ("stints", "catches"):
        files[name]["variant"] = files[name]["variant"].map(code_of)
    import_paths(written(files, tmp_path), tmp_path / "logbook.sqlite")
    (tmp_path / "bags.sealed").write_text(sealed(BagKey("BAGS", tuple(CODES.items()), 20), []))
    assert command("plan", "unblind", "bags.sealed").code == 0
    asked = rodhours.question("logbook.sqlite")
    bait, plain = code_of["pellet-20"].lower(), code_of["plain"]
    for answer in (
        lambda bait, plain: asked.compare(bait, plain),
        lambda _, plain: asked.sizes(plain),
    ):
        assert answer(bait, plain).to_dict() == answer("pellet-20", "plain").to_dict()


def test_the_last_season_alone(logbook):
    """Its stints and fish are those of its dates; the others stand beside it, oldest first."""
    asked = rodhours.question(logbook)
    last = asked.last_season()
    assert set(last.stints["date"].dt.year) == {2025}
    assert last.filters == {**asked.filters, "season": "2025"}
    assert set(last.catches["session"]) <= set(last.stints["session"])
    assert set(last.catches["session"]) < set(asked.catches["session"])
    found = asked.seasons("plain", confidence=0.9)
    assert [one.season for one in found.seasons] == ["2024", "2025"]
    assert asked.last_season((4, 20)).filters["season"] == "2025/26"


@pytest.mark.parametrize(
    ("options", "named"),
    [
        (("--since", "1/5/2025"), {"since": "1/5/2025"}),
        (("--until", "2020-01-01"), {"until": "2020-01-01"}),
        (("--venue", "Quernhollow Mire"), {"venue": "Quernhollow Mire"}),
        (("--angler", "Idda"), {"angler": ["Idda"]}),
        (("--species", "tensh"), {"species": "tensh"}),
        (("--min-weight", "20"), {"min_weight": 20}),
        (("--min-weight", "20.5lb"), {"min_weight": "20.5lb"}),
        (("--logbook", "none.sqlite"), {"logbook": "none.sqlite"}),
    ],
)
def test_what_is_not_there_is_an_error(command, logbook, options, named):
    """The words are those of the command, and nothing is written."""
    done = command("summary", *options)
    with pytest.raises((UsageError, UnusableLogbook)) as caught:
        rodhours.question(**{"logbook": logbook, **named})
    assert done.err == f"{caught.value}\n"
    assert done.code == caught.value.exit_code


def test_an_outcome_that_is_none(logbook):
    """Where the command line has a list to choose from, Python has an error that names it."""
    with pytest.raises(ValueError, match="landed, lost, hooked"):
        rodhours.question(logbook, outcome="seen")


def test_every_session_left_out(command, logbook, tmp_path):
    """Nothing to answer from is said so; a log without stints asks for an import."""
    (tmp_path / "log.csv").write_text("session,variant,hours,fish\nA,plain,5,1\n")
    command("import", "log.csv", "--logbook", "one.sqlite")
    command("leave-out", "A", "--because", "flood", "--logbook", "one.sqlite")
    with pytest.raises(UsageError, match="Every session with a stint is left out"):
        rodhours.question("one.sqlite")
    for _ in range(2):
        command("undo", "--logbook", "one.sqlite")
    with pytest.raises(UsageError, match="rodhours import FILE"):
        rodhours.question("one.sqlite")
