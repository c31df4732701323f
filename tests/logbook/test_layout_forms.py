"""Cells in a layout's units and marks, as the text that the trip log's own format has."""

from __future__ import annotations

import pytest

from rodhours.logbook.cells import CellFault
from rodhours.logbook.layout.forms import form_reader
from rodhours.logbook.layout.layout import Layout, Units


# NIST Special Publication 811, appendix B.8, from memory: foot 3.048 E-01 m and yard 9.144 E-01 m
# (exact), inch of mercury, conventional 3.386 389 E+03 Pa, millimetre of mercury, conventional
# 1.333 224 E+02 Pa; t/°C = (t/°F - 32)/1.8.
@pytest.mark.parametrize(
    ("column", "unit", "text", "value"),
    [
        ("depth_m", "ft", "10", 3.048),
        ("range_m", "yd", "100", 91.44),
        ("range_m", "ft", "1.5", 0.4572),
        ("pressure_hpa", "inHg", "30", 1015.9167),
        ("pressure_hpa", "mmHg", "760", 1013.25024),
        ("water_temp_c", "F", "50", 10.0),
        ("air_temp_c", "F", "-40", -40.0),
        ("air_temp_c", "C", "-4.5", -4.5),
    ],
)
def test_measures_are_converted(column: str, unit: str, text: str, value: float) -> None:
    """Published factors, to the last digit that they are published with."""
    read = form_reader(column, Layout(units=Units(measures={column: unit})), workbook=False)
    assert read is not None
    assert read(text) == pytest.approx(value, rel=1e-12)


def test_a_workbook_keeps_numbers_with_a_point() -> None:
    """With decimal commas in the texts, 36.5 is a typed number; 36.125 may be thousands too, so
    it is refused where points separate thousands."""
    plain = Layout(units=Units(decimal=","))
    grouped = Layout(units=Units(decimal=",", thousands="."))
    for layout in (plain, grouped):
        read = form_reader("hours", layout, workbook=True)
        assert read is not None
        assert (read("36.5"), read("36,5")) == (36.5, 36.5)
    typed = form_reader("hours", plain, workbook=True)
    assert typed is not None
    assert typed("36.125") == 36.125
    either = form_reader("hours", grouped, workbook=True)
    text_alone = form_reader("hours", grouped, workbook=False)
    assert either is not None
    assert text_alone is not None
    with pytest.raises(CellFault, match=r"36125.*36,125"):
        either("36.125")
    assert text_alone("1.250,5") == 1250.5
    with pytest.raises(CellFault):
        text_alone("36.5")
