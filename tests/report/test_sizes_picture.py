"""The picture of sizes: every weighed fish a dot, words and numbers, the same bytes."""

from __future__ import annotations

import re

import numpy as np
import pandas as pd
import pytest
from drawings import sound

from rodhours.evidence.sizes import sizes
from rodhours.report.pictures.sizes import BAND, DOT, side_by_side, sizes_picture
from rodhours.report.pictures.variant_style import variant_styles


def drawn(result, units="lb"):
    """In the colours of a page that has no other variant."""
    return sizes_picture(
        result, variant_styles([row.variant for row in result.rows], "plain"), units
    )


@pytest.fixture(scope="module")
def result():
    rng = np.random.default_rng(1)
    variants = np.repeat(["plain", "pellet-20", "<b>$x$</b>"], [30, 25, 3])
    catches = pd.DataFrame(
        {
            "session": rng.integers(0, 12, 58).astype(str),
            "variant": variants,
            "weight": rng.lognormal(2.0, 0.3, 58),
        }
    )
    catches.loc[0, "weight"] = None
    return sizes(catches, "plain")


def test_every_weighed_fish_is_a_dot(result):
    """As many dots as fish, in a group for each variant."""
    svg = drawn(result).svg
    groups = re.findall(r"<g clip-path[^>]*>.*?</g>", svg, re.DOTALL)
    dots = sum(group.count("<use ") for group in groups if "fill-opacity: 0" in group)
    assert dots == len(result.fish) == 57


def test_words_and_numbers(result):
    """The alt text names the picture; the table has a row a variant; what limits it is said; the
    dots lie where they lay."""
    picture = drawn(result)
    sound(picture)
    assert list(picture.table["Variant"]) == ["plain", "<b>$x$</b>", "pellet-20"]
    assert list(picture.table["Weighed"]) == ["29", "3", "25"]
    assert "1 was not weighed" in picture.caption
    assert "<b>" not in picture.svg
    assert "weight, kg" in drawn(result, "kg").svg
    assert drawn(result).svg == picture.svg


def test_one_fish_alone_can_be_drawn():
    """The smallest log there is, and a variant that has no weighed fish."""
    catches = pd.DataFrame(
        {"session": ["1", "1"], "variant": ["plain", "pellet-20"], "weight": [8.0, None]}
    )
    picture = drawn(sizes(catches))
    assert "pellet-20 none weighed" in picture.alt
    sound(picture)


def test_near_neighbours_do_not_hide_each_other():
    """Dots closer than their diameter lie apart, within the band, until its places are used up."""
    most = BAND / 2 - DOT / 2
    along = np.sort(np.random.default_rng(2).uniform(0, 60, 30))
    off = side_by_side(along, DOT, most)
    assert np.abs(off).max() <= most
    gaps = np.hypot(np.diff(along), np.diff(off))
    assert gaps.min() >= DOT * (1 - 1e-9)
    five = side_by_side(np.zeros(5), DOT, most)
    assert len(set(five)) == 5
    assert side_by_side(np.zeros(0), DOT, most).size == 0
