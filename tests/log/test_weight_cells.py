"""Weights in their forms, against the conversion factors of NIST SP 811, Appendix B.8.

Pound (avoirdupois) 453.59237 g and ounce 28.349523125 g, both exact (from memory).
"""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from rodhours.log.cells import CellFault
from rodhours.log.cells.weights import plain_weight, read_weight, weight_family, weight_readings

POUND_G = Fraction("453.59237")
OUNCE_G = Fraction("28.349523125")


@settings(max_examples=30)
@given(st.integers(0, 120), st.integers(0, 15))
def test_pounds_and_ounces_in_every_spelling(pounds: int, ounces: int) -> None:
    """The exact mass, rounded once: nothing is lost between the cell and the logbook."""
    kg = float((pounds * POUND_G + ounces * OUNCE_G) / 1000)
    for text in ("{0}lb {1}oz", "{0} lb {1} oz", "{0}lb{1}", "{0} lb {1}", "{0} lbs, {1} ozs"):
        assert read_weight(text.format(pounds, ounces)) == kg
        assert weight_family(text.format(pounds, ounces)) == "lb"
    for text in ("{0}-{1}", "{0}lb {1}oz"):
        assert read_weight(text.format(pounds, ounces), "lb") == kg
    assert read_weight(f"{pounds}.{ounces:02d}", "lb.oz") == kg


@pytest.mark.parametrize(
    ("text", "form", "kg"),
    [
        ("13lb 7oz", None, 6.095147471875),  # 13 x 453.59237 g and 7 x 28.349523125 g
        ("22.25 lb", None, 22.25 * 0.45359237),
        ("1 LB", None, 0.45359237),
        ("8oz", None, 0.45359237 / 2),
        ("10.1 kg", None, 10.1),
        ("850 g", None, 0.85),
        ("10.1", "kg", 10.1),
        ("2", "lb", 0.90718474),
    ],
)
def test_printed_conversions(text: str, form: str | None, kg: float) -> None:
    """Each form gives the mass that the definition of its unit gives."""
    assert read_weight(text, form) == pytest.approx(kg, rel=1e-15)


@settings(max_examples=30)
@given(st.integers(1, 120), st.integers(0, 999), st.integers(1, 3))
@example(22, 15, 2)
@example(22, 16, 2)
@example(22, 0, 1)
def test_what_a_point_behind_pounds_means(pounds: int, digits: int, places: int) -> None:
    """One or two digits that make 1 to 15 may be ounces: refused. All others are decimals."""
    text = f"{pounds}.{digits % 10**places:0{places}d}"
    value = digits % 10**places
    decimal = float((pounds + Fraction(value, 10**places)) * POUND_G / 1000)
    assert read_weight(text, "decimal lb") == decimal
    for written, form in ((text, "lb"), (f"{text} lb", None), (f"{text}lb", "kg")):
        if places < 3 and 1 <= value <= 15:
            with pytest.raises(CellFault, match=f"{pounds}lb {value}oz"):
                read_weight(written, form)
        else:
            assert read_weight(written, form) == decimal


def test_ounces_whose_nought_a_spreadsheet_dropped() -> None:
    """A spreadsheet keeps 22.10 as 22.1, so as ounces that is 1 or 10: both are told."""
    with pytest.raises(CellFault, match=r"22lb 1oz or 22lb 10oz"):
        read_weight("22.1", "lb.oz")
    assert read_weight("22.10", "lb.oz") == read_weight("22lb 10oz")
    with pytest.raises(CellFault):
        read_weight("22.16", "lb.oz")


@settings(max_examples=20)
@given(st.decimals("0.001", "60", places=3))
def test_kilograms_and_grams(kg) -> None:
    """Metric weights are the decimal number that was written."""
    assert read_weight(f"{kg} kg") == read_weight(str(kg), "kg") == float(kg)
    assert read_weight(f"{kg * 1000:.0f} g") == float(kg)
    assert weight_family(f"{kg} kg") == "kg"


@settings(max_examples=30)
@given(st.integers(0, 99), st.integers(0, 1599), st.sampled_from(["lb", "kg"]))
def test_a_plain_spelling_is_the_same_weight(whole: int, hundredths: int, unit: str) -> None:
    """A weight written anew without a form reads as before, in its own unit."""
    text = f"{whole}lb {hundredths / 100}oz" if unit == "lb" else f"{whole}.{hundredths:04d} kg"
    plain = plain_weight(text)
    assert read_weight(plain) == read_weight(text)
    assert weight_family(plain) == unit


@pytest.mark.parametrize(
    "text",
    [
        "22-04-2025",
        "22/04/2025",
        "2025-04-22",
        "2025-04-22T00:00",
        "22-Apr",
        "22-Apr-25",
        "Apr-22",
        "22 April 2025",
        "45769",
    ],
)
@pytest.mark.parametrize("form", [None, "lb", "lb.oz", "kg"])
def test_a_weight_that_became_a_date_is_said_to_be_so(text: str, form: str | None) -> None:
    """A spreadsheet takes 22-4 for a day of April; no weight is made of it."""
    with pytest.raises(CellFault, match="turned this one into a date"):
        read_weight(text, form)


@pytest.mark.parametrize(
    "text",
    [
        *("22lb 16oz", "22-16", "22 4/16", "22 st", "4oz 22lb", "heavy", "10,1 kg", "1e3 g"),
        *("-5 kg", "9999 lb", "9" * 5000 + " kg", "nan kg", "²2 lb", "1_0 kg", ""),
    ],
)
def test_no_weight(text: str) -> None:
    """Too many ounces, other units, other orders, more than a fish weighs."""
    with pytest.raises(CellFault):
        read_weight(text, "lb")


@pytest.mark.parametrize("text", ["22", "22.25", "22-4"])
def test_a_bare_number_needs_its_unit(text: str) -> None:
    """Without a unit in the cell or a stated one nothing is taken; kilograms have no ounces."""
    with pytest.raises(CellFault):
        read_weight(text)
    if not text.replace(".", "").isdigit():
        with pytest.raises(CellFault):
            read_weight(text, "kg")


@pytest.mark.parametrize(
    ("text", "pounds"),
    [("22lb 4.5oz", "22.28125"), ("8 oz", "0.5")],
)
def test_fractions_of_a_pound(text: str, pounds: str) -> None:
    """A half, and half an ounce, as fractions of the pound."""
    assert read_weight(text) == float(Fraction(pounds) * POUND_G / 1000)
    assert weight_family(text) == "lb"


@pytest.mark.parametrize(
    ("text", "forms"),
    [
        ("22lb 4oz", {None}),
        ("22.4", {"decimal lb", "lb.oz", "kg", "g", "oz"}),
        ("22-4", {"lb", "decimal lb", "lb.oz"}),
        ("22.4 lb", {"decimal lb", "lb.oz"}),
        ("22-04-2025", set()),
    ],
)
def test_the_forms_a_weight_could_have(text: str, forms: set[str | None]) -> None:
    """Every statement that would make it a weight, and none where it is one already."""
    assert {form for form, _ in weight_readings(text)} == forms
