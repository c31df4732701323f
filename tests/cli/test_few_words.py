"""The terminal says little: words counted on several seasons, and lines within 80 columns.

The bars are the project's own, set before the texts were written to them.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from odd_seasons import season
from rodhours.cli import output
from rodhours.cli.commands import COMMANDS, built
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
    "two baits, four trips": (lambda: season(("plain", "pellet-20"), trips=4), "pellet-20", BARS),
    "four baits, four trips": (lambda: season(trips=4), "pellet-10", BARS),
    "no fish": (lambda: season(rate=0.0), "pellet-10", QUICK),
    "nine baits": (lambda: season(NINE, trips=60), "mix-A", QUICK),
}
"""Seasons, a bait of each, and what is asked of them; none of their recipes makes a mix."""


@pytest.fixture
def eighty(monkeypatch) -> None:
    """A terminal of 80 columns."""
    monkeypatch.setattr(output.sys.stdout.__class__, "isatty", lambda _: True, raising=False)
    monkeypatch.setenv("COLUMNS", "80")


def test_each_answer_is_short_and_narrow(command, eighty) -> None:
    """At most so many words, no line past 80 columns, and the next command in the last line."""
    assert command("import", SEASON).code == 0
    for asked, most in BARS.items():
        if asked == "compare --running":
            # Looks at all baits of a whole season take long; four trips have their share.
            continue
        done = command(*asked.format("pellet-20").split())
        assert done.code == 0, done.err
        assert len(done.out.split()) <= most, asked
        assert max(map(len, done.out.splitlines())) <= 80, asked
        assert done.out.splitlines()[-1].startswith("Next: rodhours "), asked


@pytest.mark.parametrize("name", OTHERS)
def test_answers_of_other_seasons_are_as_short(command, eighty, tmp_path, name) -> None:
    """Few trips, many baits, no fish: the same bars."""
    made, bait, questions = OTHERS[name]
    tables = {table: frame for table, frame in made().items() if len(frame)}
    assert command("import", *written(tables, tmp_path)).code == 0
    for asked in questions:
        if "mix {}" not in asked:
            done = command(*asked.format(bait).split())
            assert done.code == 0, done.err
            assert len(done.out.split()) <= BARS[asked], asked
            assert max(map(len, done.out.splitlines())) <= 80, asked


def test_the_next_command_names_the_logbook_that_was_asked(command) -> None:
    """It can be typed as it stands; a machine form has no such line."""
    assert command("import", SEASON, "--logbook", "my own.sqlite").code == 0
    done = command("compare", "--logbook", "my own.sqlite")
    assert done.out.splitlines()[-1] == "Next: rodhours check --logbook 'my own.sqlite'"
    assert command("compare", "--logbook", "my own.sqlite", "--json").out.endswith("}\n")


def test_what_settles_it_and_what_limits_it_stand_in_compare(command) -> None:
    """The answer, how sure, what limits it most, what would settle it, what next; the first line
    of all against one has each bait and its limits."""
    assert command("import", SEASON).code == 0
    two = command("compare", "pellet-20", "plain").out
    rows = ("Not settled:", "What limits it most:", "What would settle it: about", "Next:")
    places = [two.index(row) for row in rows]
    assert places == sorted(places)
    first = command("compare", "--reference", "plain").out.splitlines()[0]
    for bait in ("pellet-20 at", "pellet-10 at", "pellet-20-attractor-6 at"):
        assert bait in first


def test_several_baits_are_compared_with_the_last(command) -> None:
    """`compare A B C` is A and B against C, in the order of their ratios, and says who stood by."""
    assert command("import", SEASON).code == 0
    machine = json.loads(command("compare", "pellet-20", "pellet-10", "plain", "--json").out)
    assert machine["reference"] == "plain"
    assert [one["variant"] for one in machine["comparisons"]] == ["pellet-20", "pellet-10"]
    picked = [one for one in machine["notes"] if one["code"] == "one_of_several"]
    assert [one["numbers"]["others"] for one in picked] == [1, 1]


def test_a_bait_and_its_reference_are_named_alike_everywhere(command) -> None:
    """`A B` on check and sizes is `A --reference B`: of A alone, and no other bait."""
    assert command("import", SEASON).code == 0
    for name in ("check", "sizes"):
        done = command(name, "pellet-20", "plain")
        assert done.code == 0, done.err
        assert "pellet-10" not in done.out
        assert command(name, "pellet-20", "plain", "--reference", "pellet-10").code == 2


def test_every_command_has_an_example_in_its_help() -> None:
    """The example is of that command, and each of its options is one of the command's."""
    for name in COMMANDS:
        group = built(name)
        for each in getattr(group, "commands", {"": group}).values():
            called = name if each is group else f"{name} {each.name}"
            assert each.epilog.startswith(f"Example: rodhours {called}")
            known = {option for one in each.params for option in one.opts}
            given = {word for word in each.epilog.split() if word.startswith("--")}
            assert given <= known, called


def test_undo_explains_a_word_that_is_no_number(command) -> None:
    """What a change is known by, and where it is listed."""
    assert command("import", SEASON).code == 0
    done = command("undo", "import")
    assert (done.code, done.out) == (2, "")
    assert "rodhours history lists" in done.err
