"""Pictures: what they show is said in words and in a table, and they are the same every time."""

import itertools
import math
import re
import xml.etree.ElementTree as ElementTree
from functools import cache
from pathlib import Path

import pytest
from drawings import sound
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from seasons import (
    CASES,
    TWELVE,
    VARIANTS,
    a_comparison,
    a_result,
    a_season,
    a_summary,
    contrast,
)

from rodhours import report
from rodhours.report import pictures as drawn_by
from rodhours.report.pdf import TALLEST_CM, WIDEST_CM
from rodhours.report.pictures import calendar as calendar_picture
from rodhours.report.pictures import growth
from rodhours.report.pictures.rows import interval, ratio_steps
from rodhours.report.pictures.style import BAND, HUES, INK, PAPER, SOFT, WIDTH
from rodhours.report.pictures.variant_style import VariantStyle, variant_styles
from rodhours.report.tallies import calendar, variant_order

PAGE = Path(report.__file__).parent / "page.html.j2"


def pictures(stints, result):
    look = variant_styles(variant_order(stints, result), result.reference, result.settled)
    return {
        "answer": drawn_by.headline_ratios(result, look),
        "rates": drawn_by.catch_rates(a_summary(stints), look, 0.95),
        "ratios": drawn_by.rate_ratios(result, look),
        "hours": drawn_by.season_calendar(stints, look),
    }


@cache
def pictures_of(name):
    """The pictures of one of the logs, drawn once."""
    return pictures(*CASES[name])


@pytest.fixture(scope="module", params=CASES)
def drawn(request):
    """All pictures of one log."""
    return request.param, pictures_of(request.param)


def texts(svg):
    root = ElementTree.fromstring(svg)
    return [node.text for node in root.iter() if node.tag.endswith("}text") and node.text]


def test_each_picture_is_well_formed_said_in_words_and_asks_for_nothing(drawn):
    """One <svg> that scales with the page, its alt text as its accessible name, text within its
    edges, nothing drawn at nan or inf; no address, script or style that would leak onto the page.
    """
    for picture in drawn[1].values():
        sound(picture)


def test_each_picture_has_its_numbers_as_a_table(drawn):
    """Every variant drawn is in the table, and in the alt text while that has room for it."""
    name, made = drawn
    stints, result = CASES[name]
    fished = set(stints["variant"])
    for key in ("rates", "hours"):
        assert fished <= set(made[key].table["Variant"])
        missing = sum(variant not in made[key].alt for variant in fished)
        counted = re.search(r"; (\d+) more in its numbers", made[key].alt)
        assert missing == (int(counted[1]) if counted else 0)
    compared = [one.variant for one in result.comparisons]
    assert list(made["answer"].table["Variant"]) == compared
    assert set(made["ratios"].table["Variant"]) == set(compared)


def test_letters_on_paper_can_be_read():
    """At least 7.5 pt in what is open on the printed page: many baits, or many waters."""
    assert f"max-width: {WIDEST_CM}cm; max-height: {TALLEST_CM}cm" in PAGE.read_text("utf-8")
    waters = a_season(trips=200, days_between=2, venues=[f"water {i}" for i in range(12)])
    calendar = drawn_by.season_calendar(waters, variant_styles(VARIANTS, "plain"))
    many = pictures_of("twelve variants, 150 trips")
    for picture in (many["answer"], many["hours"], calendar):
        wide, tall = map(float, re.search(r'viewBox="0 0 (\S+) (\S+)"', picture.svg).groups())
        points = min(WIDEST_CM / wide, TALLEST_CM / tall) / 2.54 * 72
        assert min(map(float, re.findall(r"font-size: ([\d.]+)px", picture.svg))) * points >= 7.5


def test_the_same_input_gives_the_same_bytes():
    """No date, no chance, no order of a set in the drawing; a reader's own settings change
    nothing."""
    import matplotlib as mpl

    stints, result = CASES["a season"]
    plain = pictures_of("a season")
    with mpl.rc_context({"font.size": 30, "lines.linewidth": 9, "axes.facecolor": "red"}):
        changed = pictures(stints, result)
    assert [picture.svg for picture in changed.values()] == [p.svg for p in plain.values()]


def an_axis():
    """An axis from a half to double in either direction."""
    axes = Figure().add_subplot()
    axes.set(xscale="log", yscale="log", xlim=(0.5, 2.0), ylim=(0.5, 2.0))
    return axes


def test_an_open_limit_is_an_arrow():
    """A missing limit is drawn as a line that goes on, never as an end."""
    made = pictures_of("open limits")["answer"]
    assert {"no fish; below 0.34", "above 2.90"} <= set(texts(made.svg))
    # A closed interval has line and mark; each open side adds one arrowhead.
    axes = an_axis()
    drawn = []
    for low, high in ((0.8, 1.5), (0.8, None), (None, 1.5), (None, None)):
        before = len(axes.lines)
        interval(axes, 1.0, (1.2, low, high), VariantStyle("k", "o"))
        drawn.append(len(axes.lines) - before)
    assert drawn == [2, 3, 3, 4]


def test_an_interval_wider_than_the_axis_is_an_arrow_too():
    """A limit past the end of the axis is not drawn as if it ended there."""
    axes = an_axis()
    interval(axes, 1.0, (1.2, 0.1, 40.0), VariantStyle("k", "o"))
    assert [line.get_marker() for line in axes.lines[1:3]] == ["<", ">"]


@pytest.mark.parametrize("room", [300, 180, 90, 60])
def test_steps_of_ratios_mirror_each_other_and_keep_apart(room):
    """Decimal steps, as many above 1 as below, names that do not meet however little the room."""
    steps = ratio_steps(1 / 40, 40, room, lambda _: 13.0)
    assert steps[1.0] == "1"
    assert all(float(name) == tick and len(name) <= 4 for tick, name in steps.items())
    apart = [room * math.log(b / a) / math.log(40**2) for a, b in itertools.pairwise(steps)]
    assert min(apart) >= 13
    assert len(steps) >= 3
    above = [tick for tick in steps if tick > 1]
    below = [tick for tick in steps if tick < 1]
    assert len(above) == len(below)
    assert [round(1 / tick) for tick in reversed(below)] == pytest.approx(above, rel=0.12)


def test_the_reference_is_ink_and_of_many_baits_the_settled_are():
    """One marker a variant; hues for up to four besides the reference, of more than four ink for
    those that are settled and grey for the rest, in the order asked for."""
    look = variant_styles(VARIANTS, "plain")
    assert look["plain"].colour == INK
    assert len({mark.marker for mark in look.values()}) == len(VARIANTS)
    assert len({mark.colour for mark in look.values()}) == len(VARIANTS)
    many = variant_styles(TWELVE, "plain", settled=["mix 3"])
    assert list(many) == list(TWELVE)
    assert len({mark.marker for mark in many.values()}) == 12
    assert {name for name, mark in many.items() if mark.colour == INK} == {"plain", "mix 3"}
    assert {mark.colour for mark in many.values()} == {INK, SOFT}


def test_of_many_baits_the_settled_come_first_each_kind_by_its_ratio():
    """Ahead, behind, then what is not settled, then what there is too little to say of."""
    told = {"a": ("unsettled", 1.1), "b": ("too little to say", 3.0), "c": ("behind", 0.4),
            "d": ("unsettled", 1.4), "e": ("ahead", 2.0)}  # fmt: skip
    result = a_result([a_comparison(name, ratio, 0.5, 2.0, verdict)
                       for name, (verdict, ratio) in told.items()])  # fmt: skip
    stints = a_season(("plain", *told), trips=60)
    order = variant_order(stints, result)
    assert order == ["plain", "e", "c", "d", "a", "b"]
    drawn = drawn_by.headline_ratios(result, variant_styles(order, "plain", result.settled))
    assert list(drawn.table["Variant"]) == order[1:]


def mixed(colour, ground, share):
    """A colour laid over another so that this share of it is seen."""
    both = [[int(one[i : i + 2], 16) for i in (1, 3, 5)] for one in (colour, ground)]
    return "#" + "".join(
        f"{round(share * a + (1 - share) * b):02x}" for a, b in zip(*both, strict=True)
    )


def test_colours_stand_out_from_every_ground():
    """Graphics reach 3:1 on paper, on the shaded band and on the growth picture's bands of their
    own hue, and text 4.5:1 (Web Content Accessibility Guidelines 2.1)."""
    assert len(HUES) == 4
    for colour in (*HUES, INK, SOFT):
        for ground in (PAPER, BAND):
            assert contrast(colour, ground) >= (3 if colour in HUES else 4.5)
        inner = mixed(colour, mixed(colour, PAPER, growth._OUTER), growth._INNER)
        assert contrast(colour, inner) >= 3


@pytest.mark.parametrize("name", ["a season", "open limits", "twelve variants, 150 trips"])
def test_words_are_never_in_a_hue(name):
    """Hues reach 3:1, which is enough for graphics only: all text is in ink or soft ink."""
    for picture in pictures_of(name).values():
        for style in re.findall(r'<text style="([^"]*)"', picture.svg):
            assert "hue" not in style
            assert "#" not in style or f"var(--soft, {SOFT})" in style or INK in style


def test_a_mark_stands_on_the_day_of_its_trip(monkeypatch):
    """In the lane of its variant and water each trip has one mark, later trips further right,
    days apart in proportion; undated ones after all others; the table has the log's hours."""
    stints = a_season(("plain", "pellet-20"), trips=12, days_between=9)
    stints.loc[stints["session"] == "trip 3", "date"] = None
    drawn_marks = []
    inner = calendar_picture._marks

    def keep(axes, own, y, mark, most):
        drawn_marks.append((y, own))
        return inner(axes, own, y, mark, most)

    monkeypatch.setattr(calendar_picture, "_marks", keep)
    made = drawn_by.season_calendar(stints, variant_styles(["plain", "pellet-20"], "plain"))
    lanes = drawn_marks
    assert len({y for y, _ in lanes}) == len(lanes) == 4
    dates = stints.groupby("session")["date"].first()
    for _, own in lanes:
        rows = stints[
            (stints["variant"] == own["variant"].iloc[0])
            & (stints["venue"] == own["venue"].iloc[0])
        ]
        spent = rows.groupby("session")["hours"].sum()
        days = dates[spent.index].sort_values(na_position="last")
        assert own["rod_hours"].to_list() == pytest.approx(spent[days.index].to_list())
        xs = own["x"].to_numpy()[: days.notna().sum()]
        apart = days.dropna().diff().dt.days.to_numpy()[1:]
        ratios = (xs[1:] - xs[:-1]) / apart
        assert ratios == pytest.approx(ratios[0] if len(ratios) else 1.0)
        assert (own["x"].diff().dropna() > 0).all()
    table = made.table
    assert sum(float(cell) for cell in table["Rod-hours"]) == pytest.approx(stints["hours"].sum())
    assert table["Fish"].sum() == stints["fish"].sum()


def test_a_crowded_calendar_adds_hours_up():
    """150 trips stand closer than marks can: no hour is lost where they are added up."""
    stints, result = CASES["twelve variants, 150 trips"]
    order = variant_order(stints, result)
    season = calendar(stints, order)
    placed, _ = calendar_picture._places(season, 100.0, WIDTH - 10)
    assert len(placed) < len(season.marks)
    assert placed["rod_hours"].sum() == pytest.approx(stints["hours"].sum())
    assert placed["x"].between(100, WIDTH - 5).all()


def test_an_upright_joins_the_baits_of_one_trip_and_no_others(monkeypatch):
    """Of two trips to one water the one with both baits has an upright, from lane to lane."""
    marks, uprights = [], []
    monkeypatch.setattr(
        calendar_picture, "_marks", lambda axes, own, y, *how: marks.append((y, own["x"].tolist()))
    )
    monkeypatch.setattr(
        Axes,
        "vlines",
        lambda axes, x, low, high, **how: uprights.extend(zip(x, low, high, strict=True)),
    )
    stints = a_season(("plain", "pellet-20"), trips=2, venues=("Pit",)).iloc[[0, 1, 3]]
    stints = stints.assign(variant=["plain", "pellet-20", "plain"])
    drawn_by.season_calendar(stints, variant_styles(["plain", "pellet-20"], "plain"))
    (upper, both), (lower, one) = marks
    assert (len(both), uprights) == (2, [(one[0], upper, lower)])


def test_ids_of_different_pictures_never_meet(drawn):
    """Pictures share a page, so an id is used once in it."""
    ids = [i for p in drawn[1].values() for i in re.findall(r'<[^>]* id="([^"]*)"', p.svg)]
    assert len(ids) == len(set(ids)) > 0
