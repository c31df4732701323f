"""The terminal says little: words counted on several seasons, and lines within 80 columns.

The bars are the project's own, set before the texts were written to them.
"""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from odd_seasons import EIGHTY, season
from rodhours.cli import output
from rodhours.cli.import_ import import_files
from two_baits import written

SEASON = Path(__file__).parents[2] / "example_data" / "season.xlsx"
BARS = {
    "compare {} plain": 130,
    "compare": 300,
    "compare --reference plain": 300,
    "compare {} plain --running": 250,
    "compare --running": 250,
    "check": 250,
    "check {} plain": 250,
    "plan next": 250,
    "mix {} --baits 100": 300,
}
QUICK = [asked for asked in BARS if "--running" not in asked and "mix" not in asked]
NINE = ("plain", *(f"mix-{letter}" for letter in "ABCDEFGH"))
OTHERS = {
    "four baits, four trips": (lambda: season(trips=4), "pellet-10", BARS),
    "no fish": (lambda: season(rate=0.0), "pellet-10", QUICK),
    "nine baits": (lambda: season(NINE, trips=30), "mix-A", ["compare", "check", "plan next"]),
    "long names, no dates": (
        lambda: {"stints": season(EIGHTY, trips=12)["stints"]},
        EIGHTY[1],
        ["compare {} plain --running", "check", "plan next"],
    ),
}
"""Seasons, a bait of each, and what is asked of them; none of their recipes makes a mix."""


@pytest.fixture(scope="module")
def imported(tmp_path_factory) -> Path:
    """The example season's logbook."""
    logbook = tmp_path_factory.mktemp("example") / "logbook.sqlite"
    import_files([SEASON], logbook=logbook)
    return logbook


@pytest.fixture
def example(imported, tmp_path) -> None:
    """A copy of it where the commands look for one."""
    shutil.copyfile(imported, tmp_path / "logbook.sqlite")


@pytest.fixture
def eighty(monkeypatch) -> None:
    """A terminal of 80 columns."""
    monkeypatch.setattr(output.sys.stdout.__class__, "isatty", lambda _: True, raising=False)
    monkeypatch.setenv("COLUMNS", "80")


@pytest.mark.parametrize("every", [False, pytest.param(True, marks=pytest.mark.full)])
def test_each_answer_is_short_and_narrow(command, example, eighty, every) -> None:
    """At most so many words, no line past 80 columns, and the next command in the last line.

    Looks back at a whole season take long, and plain is what bare compare takes.
    """
    for asked, most in BARS.items():
        if not every and ("--running" in asked or asked == "compare --reference plain"):
            continue
        done = command(*asked.format("pellet-20").split())
        assert done.code == 0, done.err
        assert len(done.out.split()) <= most, asked
        assert max(map(len, done.out.splitlines())) <= 80, asked
        assert done.out.splitlines()[-1].startswith("Next: rodhours "), asked


@pytest.mark.parametrize(
    "name",
    ["no fish", "long names, no dates"]
    + [pytest.param(one, marks=pytest.mark.full) for one in OTHERS if "baits" in one],
)
def test_answers_of_other_seasons_are_as_short(command, eighty, tmp_path, name) -> None:
    """Few trips, many baits, no fish, long names: the same bars; a name counts as a word."""
    made, bait, questions = OTHERS[name]
    tables = {table: frame for table, frame in made().items() if len(frame)}
    assert command("import", *written(tables, tmp_path)).code == 0
    for asked in questions:
        if "mix {}" not in asked:
            done = command(*(bait if word == "{}" else word for word in asked.split()))
            assert done.code == 0, done.err
            words = " ".join(done.out.split())
            for name in EIGHTY[1:]:
                words = words.replace(name, "name")
            assert len(words.split()) <= BARS[asked], asked
            assert max(map(len, done.out.splitlines())) <= 80, asked


def test_the_next_command_names_the_logbook_that_was_asked(command, example) -> None:
    """It can be typed as it stands; a machine form has no such line."""
    shutil.copyfile("logbook.sqlite", "my own.sqlite")
    done = command("compare", "--logbook", "my own.sqlite")
    assert done.out.splitlines()[-1] == "Next: rodhours check --logbook 'my own.sqlite'"
    assert command("compare", "--logbook", "my own.sqlite", "--json").out.endswith("}\n")


def test_what_settles_it_and_what_limits_it_stand_in_compare(command, example) -> None:
    """The answer, how sure, what limits it most, what would settle it, what next; the first line
    of all against one has each bait and its limits."""
    two = command("compare", "pellet-20", "plain").out
    rows = ("Not settled:", "What limits it most:", "What would settle it: about", "Next:")
    places = [two.index(row) for row in rows]
    assert places == sorted(places)
    first = command("compare", "--reference", "plain").out.splitlines()[0]
    for bait in ("pellet-20 at", "pellet-10 at", "pellet-20-attractor-6 at"):
        assert bait in first


def test_several_baits_are_compared_with_the_last(command, example) -> None:
    """`compare A B C` is A and B against C, in the order of their ratios, and says who stood by."""
    machine = json.loads(command("compare", "pellet-20", "pellet-10", "plain", "--json").out)
    assert machine["reference"] == "plain"
    assert [one["variant"] for one in machine["comparisons"]] == ["pellet-20", "pellet-10"]
    picked = [one for one in machine["notes"] if one["code"] == "one_of_several"]
    assert [one["numbers"]["others"] for one in picked] == [1, 1]


def test_a_bait_and_its_reference_are_named_alike_everywhere(command, example) -> None:
    """`A B` on check and sizes is `A --reference B`: of A alone, and no other bait."""
    for name in ("check", "sizes"):
        done = command(name, "pellet-20", "plain")
        assert done.code == 0, done.err
        assert "pellet-10" not in done.out
        assert command(name, "pellet-20", "plain", "--reference", "pellet-10").code == 2


def test_undo_explains_a_word_that_is_no_number(command, example) -> None:
    """What a change is known by, and where it is listed."""
    done = command("undo", "import")
    assert (done.code, done.out) == (2, "")
    assert "rodhours history lists" in done.err
