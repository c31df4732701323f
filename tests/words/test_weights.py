"""Weights in words: pounds and ounces, kilograms, and what was stated."""

import pytest

from rodhours.log.cells.weights import KG_PER_LB, OZ_PER_LB, WEIGHT_UNITS, read_weight
from rodhours.words import weights
from rodhours.words.weights import stated_weight, weight


def test_one_pound_everywhere():
    """Words and the logbook mean the same pound, that of the 1959 agreement."""
    assert weights.KG_PER_LB == KG_PER_LB == 0.45359237
    assert weights.OZ_PER_LB == OZ_PER_LB == 16
    assert set(weights.UNITS) == set(WEIGHT_UNITS)


@pytest.mark.parametrize(
    ("kg", "pounds", "kilograms"),
    [
        (0.45359237, "1 lb", "0.45 kg"),
        (0.0283495, "1 oz", "0.03 kg"),
        # 22 lb 4 oz is 22.25 x 0.45359237 kg.
        (10.092430, "22 lb 4 oz", "10.09 kg"),
        # 15.9 oz rounds up to a pound, never to 16 oz.
        (0.4508, "1 lb", "0.45 kg"),
        (None, "–", "–"),
        (float("nan"), "–", "–"),
    ],
)
def test_a_weight_in_either_unit(kg, pounds, kilograms):
    """To the nearest ounce, or the nearest 10 g."""
    assert weight(kg, "lb") == weight(kg) == pounds
    assert weight(kg, "kg") == kilograms


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("20lb", "20 lb"),
        ("20 lb 8 oz", "20 lb 8 oz"),
        ("22.25 lb", "22 lb 4 oz"),
        ("9.5kg", "9.5 kg"),
        ("10 kg", "10 kg"),
        ("750 g", "0.75 kg"),
        ("20.300 lb", "9.208 kg"),
    ],
)
def test_a_weight_as_it_was_stated(text, said):
    """Read by the logbook and said again: pounds stay pounds, kilograms kilograms."""
    assert stated_weight(read_weight(text)) == said
