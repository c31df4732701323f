"""`rodhours response` as a user meets it: words, JSON, exit codes, the picture."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest

import rodhours
from report.drawings import sound
from rodhours.evidence.response.result import Bend
from rodhours.evidence.result import Note
from rodhours.report.pictures.response import response_picture
from rodhours.report.pictures.variant_style import variant_styles
from rodhours.report.terminal import response_text
from rodhours.words import response as words
from rodhours.words.response import step_of

EXAMPLE = Path(__file__).parents[2] / "example_data"


@pytest.fixture
def asked(command, tmp_path_factory):
    """`rodhours response` on the logbook of the example season, which is imported once."""
    book = tmp_path_factory.getbasetemp() / "response" / "logbook.sqlite"
    if not book.exists():
        book.parent.mkdir(exist_ok=True)
        assert command("import", EXAMPLE / "season.xlsx", "--logbook", book).code == 0
    return lambda *arguments: command("response", "--logbook", book, *arguments)


@pytest.fixture(scope="module")
def example() -> rodhours.evidence.response.result.ResponseResult:
    stints = pd.read_csv(EXAMPLE / "stints.csv", dtype={"rod": str})
    return rodhours.respond(stints, pd.read_csv(EXAMPLE / "variants.csv"), "pellet_pct")


def test_the_answer_in_words(asked):
    """Opening sentence first, both bases, the baits beside the line, then what limits it."""
    done = asked("pellet_pct")
    assert done.code == 0, done.err
    opening = done.out.splitlines()[0]
    assert re.search(
        r"each 10 points more pellet went with [\d.]+ times the catch rate, "
        r"with 95 % confidence between [\d.]+ and [\d.]+ times",
        opening,
    )
    for part in ("same trips", "all trips", "pellet-20", "chi-square with 2 degrees", "attractor"):
        assert part in done.out
    assert "ignifican" not in done.out
    assert "e-" not in re.sub(r"[a-z]e-[a-z]", "", done.out)


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (["base_mix"], 2, "rodhours compare"),
        (["pelet_pct"], 2, "Did you mean 'pellet_pct'"),
        (["size_mm"], 2, "fewer than two values"),
        (["pellet_pct", "--per", "-1"], 2, "above 0"),
        (["pellet_pct", "--venue", "Nowhere"], 2, "Nowhere"),
        (["pellet_pct", "--logbook", "none.sqlite"], 4, "none.sqlite"),
        ([], 2, "differ between your baits: pellet_pct, attractor_ml_per_egg."),
    ],
)
def test_exit_codes_and_no_traceback(asked, arguments, code, says):
    """2 for what is not there, 4 without a logbook; a message on stderr, never a traceback."""
    done = asked(*arguments)
    assert done.code == code
    assert done.out == ""
    assert says in done.err
    assert "Traceback" not in done.err


def test_narrow_terminals_cut_nothing(example):
    """Sentences wrap at the width; every bait and every figure is still there."""
    wide, narrow = response_text(example), response_text(example, 60)
    longest = max(len(line) for line in narrow.splitlines() if "  " not in line.strip())
    assert longest <= 60
    figures = re.compile(r"\d[\d.,]*")
    assert sorted(figures.findall(wide)) == sorted(figures.findall(narrow))


def test_the_picture_is_said_in_words_and_in_a_table(example):
    """One well-formed <svg>; every bait is in the picture, the alt text and the table."""
    look = variant_styles([one.variant for one in example.points], "plain")
    picture = response_picture(example, look)
    sound(picture)
    for one in example.points:
        assert f">{one.variant}</text>" in picture.svg
        assert one.variant in picture.alt
    assert list(picture.table["bait"]) == [one.variant for one in example.points]
    assert response_picture(example, look).svg == picture.svg


def test_pictures_of_odd_answers_are_drawn():
    """No fish, fish at one end only, many baits with long names: drawn and said all the same."""
    values = range(12)
    names = [f"a bait whose name is longer than most, number {i}" for i in values]
    recipes = pd.DataFrame({"variant": names, "hardness": [i // 2 for i in values]})
    each = list(enumerate(names))
    log = pd.DataFrame(
        [(str(trip), name, 12.0, (trip + i) % 3 % 2) for trip in range(6) for i, name in each],
        columns=["session", "variant", "hours", "fish"],
    )
    for fish in (log["fish"], 0 * log["fish"], log["fish"] * (log["variant"] == names[0])):
        result = rodhours.respond(log.assign(fish=fish), recipes, "hardness")
        picture = response_picture(result, variant_styles(names, names[0]))
        sound(picture)
        assert len(picture.table) == 12
        assert response_text(result, 80)


@pytest.mark.parametrize(
    ("column", "per", "said"),
    [
        ("pellet_pct", 10, "each 10 points more pellet"),
        ("pellet_pct", 1, "each point more pellet"),
        ("attractor_ml_per_egg", 1, "each ml more attractor per egg"),
        ("size_mm", 2.5, "each 2.5 mm more in size"),
        ("boil_s", 10, "each 10 s more boiling"),
        ("hardness", 1, "each 1 more hardness"),
        ("hardness", 1000, "each 1,000 more hardness"),
    ],
)
def test_steps_in_words(column, per, said):
    """A step reads as an angler says it, one and many."""
    assert step_of(column, per) == said


def test_a_ratio_beside_one_never_reads_as_one(example):
    """A limit of 1.003 is not printed as 1.00 and called a rise."""
    rises = replace(
        example, rate_ratio=1.2, conf_low=1.003, conf_high=1.4, verdict="rises", sessions=30
    )
    said = words.opening(rises)
    assert said == (
        "Rises: on the 30 trips that had two or more of the baits in the water, each 10 points "
        "more pellet went with 1.20 times the catch rate, with 95 % confidence between 1.003 and "
        "1.40 times."
    )
    none = replace(rises, rate_ratio=None, conf_low=None, verdict="too little to say")
    assert "at most 1.40 times" in words.opening(none)
    assert "each 10 points" in words.opening(replace(none, conf_high=None))


@pytest.mark.parametrize(
    ("verdict", "basis", "along", "said"),
    [
        ("rises", "same trips", [], "Pellet: the catch rate rises with it"),
        ("falls", "same trips", ["size_mm"], "Pellet and size: the catch rate falls with it"),
        (
            "bends",
            "all trips",
            [],
            "Pellet: only all trips could be compared, which cannot tell bait from day",
        ),
        (
            "unsettled",
            "all trips",
            ["size_mm"],
            "Pellet and size: not settled",
        ),
    ],
)
def test_the_heading_of_an_ingredient(example, verdict, basis, along, said):
    """The verdict; what was always changed with it shares it, and all trips are said to be."""
    notes = tuple(Note("moves_together", None, "serious", {"other": other}) for other in along)
    one = replace(example, verdict=verdict, basis=basis, notes=notes)
    assert words.heading(one) == said


def test_a_bend_names_its_turn(example):
    """Where the line turns, and that one ratio is an average; no turn without one in the range."""
    bends = replace(
        example, verdict="bends", conf_low=0.8, conf_high=1.4, bent=Bend(0.012, "peak", 13.79)
    )
    said = words.opening(bends)
    assert said.startswith("Bends: ")
    assert "highest near 13.8 % pellet (p = 0.012 for the bend)" in said
    straight_on = replace(bends, bent=Bend(0.012, None, None))
    assert "the line bends (p = 0.012 for the bend); go by the curve" in words.opening(straight_on)


def test_the_picture_in_words_is_against_the_reference(example):
    """It alone is what the others are against; they have ratios of their own, or none."""
    shown = replace(example, curve=())
    told = [part for part in words.alt(shown).split("; ") if "what they are against" in part]
    assert len(told) == 1
    assert f"{example.reference_variant} at " in told[0]
