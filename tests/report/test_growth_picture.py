"""How the evidence grew: the looks as text and as a picture, for few and for many variants."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from drawings import sound
from seasons import HOSTILE, OTHER_SCRIPTS, a_comparison, a_result

from rodhours.evidence.running_result import Look, RunningComparison, RunningResult
from rodhours.report.pictures.growth import evidence_growth, looks_to_draw
from rodhours.report.pictures.style import HUES
from rodhours.report.pictures.variant_style import variant_styles
from rodhours.report.terminal import FEW_LOOKS, MOST_LOOKS, running_text
from rodhours.words.answer import headline


def looks(*variants):
    return variant_styles(variants, "plain")


def a_look(trip, **changes):
    """An interval that closes in on 1.3; the figures are inputs, made up."""
    wide = 12.0 / trip**0.5
    look = Look(
        trip=trip,
        session=f"T{trip}",
        angler=None,
        date=f"2025-{4 + trip // 28:02d}-{1 + trip % 28:02d}",
        sessions=trip,
        fish=3 * trip,
        rod_hours=48.0 * trip,
        reference_fish=2 * trip,
        reference_rod_hours=48.0 * trip,
        rate_ratio=1.3,
        conf_low=1.3 / (1 + wide),
        conf_high=1.3 * (1 + wide),
        fixed_low=1.3 / (1 + wide / 2),
        fixed_high=1.3 * (1 + wide / 2),
        spread=0.5,
        df=10,
        cutoff=12.0,
    )
    return replace(look, **changes)


NUMBERS = ("rate_ratio", "conf_low", "conf_high", "fixed_low", "fixed_high", "cutoff", "df")
NOTHING = dict.fromkeys(NUMBERS)


def a_running(variants=("pellet-20",), trips=50, first=4, **changes):
    looks = tuple(
        a_look(n, **(NOTHING | {"missing": "few_fish"} if n < first else changes))
        for n in range(1, trips + 1)
    )
    comparisons = tuple(RunningComparison(name, "same trips", looks) for name in variants)
    return RunningResult(
        reference="plain",
        confidence=0.95,
        family=len(variants),
        margin=1.25,
        adjusted_for=(),
        trips=trips,
        undated=0,
        every_trip=True,
        comparisons=comparisons,
    )


MANY = tuple(f"bait-{n}" for n in range(1, 15))
CASES = {
    "one variant": a_running(),
    "three variants": a_running(("pellet-20", HOSTILE, OTHER_SCRIPTS)),
    "many variants": a_running(MANY),
    "long names": a_running(("a hookbait with a very long name " * 3, "b" * 80)),
    "one look": a_running(trips=4),
    "one trip": a_running(trips=1, first=1),
    "no limits": a_running(conf_low=None, conf_high=None, fixed_low=None, fixed_high=None),
    "no dates": a_running(date=None),
    "far away": a_running(rate_ratio=90.0, conf_low=55.0, conf_high=4e6, fixed_low=60.0),
}


class Drawn(dict):
    """The picture of each case, drawn when it is first looked at."""

    def __missing__(self, name):
        one = CASES[name]
        self[name] = evidence_growth(one, looks("plain", *(c.variant for c in one.comparisons)))
        return self[name]


@pytest.fixture(scope="module")
def drawn():
    return Drawn()


@pytest.mark.parametrize("name", CASES)
def test_each_picture_is_sound(drawn, name):
    """Well formed, said in words, its text within its edges."""
    sound(drawn[name])


def test_the_numbers_stand_in_a_table_and_in_the_alt_text(drawn):
    """Every variant and every look, also those that no frame was drawn for."""
    picture = drawn["many variants"]
    assert len(picture.table) == len(MANY) * 50
    assert set(picture.table["Variant"]) == set(MANY)
    assert MANY[0] in picture.alt
    assert "10 further variants stand in the table alone" in picture.caption
    one = drawn["one variant"]
    assert list(one.table["Running limits"])[-1] == "0.48 to 3.51"
    assert "fewer than 5 fish" in one.table["Running limits"][0]


def test_lines_are_named_where_they_end_and_dates_stand_at_the_ends(drawn):
    """No legend: each line's value and name at the right, the dates beneath."""
    said = re.findall(r"<text[^>]*>([^<]+)</text>", drawn["one variant"].svg)
    for text in ("3.51 running", "0.48 running", "2.40 fixed", "0.70 fixed", "1.30 times"):
        assert text in said
    assert "trips so far, 2025-04-02 to 2025-05-23" in said
    assert "trips so far" in re.findall(r"<text[^>]*>([^<]+)</text>", drawn["no dates"].svg)
    assert "no limit running" in drawn["no limits"].svg


def test_each_variant_has_its_hue_and_the_bands_two_strengths(drawn):
    """Told apart in colour and, by how dark the bands are, in grey; the line at 1 is in ink."""
    svg = drawn["three variants"].svg
    for place, hue in enumerate(HUES[:3], 1):
        assert f"var(--hue-{place}, {hue})" in svg
    assert len(set(re.findall(r"opacity: ([\d.]+)", svg))) == 2


def test_the_same_bytes_and_nothing_where_there_is_nothing(drawn):
    """Deterministic; no picture where no variant has an interval."""
    again = evidence_growth(
        CASES["three variants"], looks("plain", "pellet-20", HOSTILE, OTHER_SCRIPTS)
    )
    assert again.svg == drawn["three variants"].svg
    assert evidence_growth(a_running(trips=3), looks("plain", "pellet-20")) is None


def test_at_most_20_looks_are_drawn_and_fewer_where_there_are_many_variants():
    """Never more than 20; the work of eight variants is that of four, and twelve looks are."""
    assert [looks_to_draw(n) for n in (1, 4, 5, 12, 40)] == [20, 20, 16, 12, 12]


def test_the_table_of_a_long_season_has_40_rows_and_the_last(drawn):
    """Looks from the first interval on, thinned, the last always among them; that is said."""
    result = a_result([a_comparison("pellet-20")])
    long = running_text(result, a_running(trips=400), whole=True)
    rows = re.findall(r"^\d+ +2025|^\d+ +no date", long, re.MULTILINE)
    assert len(rows) == MOST_LOOKS
    assert re.search(r"^400 ", long, re.MULTILINE)
    assert "40 of 397 looks" in long
    brief = running_text(result, a_running(trips=400))
    assert len(re.findall(r"^\d+ +2025|^\d+ +no date", brief, re.MULTILINE)) == FEW_LOOKS
    assert re.search(r"^400 ", brief, re.MULTILINE)
    short = running_text(result, a_running(trips=12), whole=True)
    assert len(re.findall(r"^\d+ +2025", short, re.MULTILINE)) == 9
    assert "spread evenly" not in short


def test_the_text_opens_with_the_answer_and_ends_with_what_limits_it():
    """What the running interval says leads, never the verdict for a single look."""
    result = a_result([a_comparison("pellet-20")])
    text = running_text(result, a_running(), whole=True)
    assert text.startswith("Nothing is settled yet")
    assert text.index("After trip 50") < text.index(headline(result.comparisons[0], result))
    assert ("What limits it\n" in text) == bool(result.notes)
    none = running_text(result, a_running(trips=3))
    assert "No running interval yet" in none
