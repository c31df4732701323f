"""Volumes, water and lift against published tables and closed forms; the words of a lift."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reference.open_data import bait_lift
from rodhours.errors import UsageError
from rodhours.kitchen.amounts import Origin, Stated
from rodhours.kitchen.lift import (
    Lift,
    LiftRange,
    WantedLift,
    ball_cm3,
    ball_mm,
    cork_for_lift,
    density_of_weighed,
    net_lift,
    size_for_lift,
    skin_cm3,
    water_density,
)
from rodhours.kitchen.lift import lift as lift_of
from rodhours.words import kitchen as words

# pi d³/6 and pi d² in cm³ and cm²; arithmetic, digits from the recomputation only.
BALLS = [
    (6, 0.113097, 1.130973),
    (8, 0.268083, 2.010619),
    (10, 0.523599, 3.141593),
    (11, 0.69691, 3.801327),
    (12, 0.904779, 4.523893),
    (13, 1.150347, 5.309292),
    (14, 1.436755, 6.157522),
    (15, 1.767146, 7.068583),
    (16, 2.144661, 8.042477),
    (18, 3.053628, 10.17876),
    (20, 4.18879, 12.566371),
]
# Tanaka et al. 2001, Metrologia 38:301-309 (table recommended by the CIPM), kg/m³ at 101.325 kPa:
# 0, 10, 15, 20 and 30 °C as printed; 4, 5 and 25 °C recomputed from the formula there.
WATER = [
    (0, 999.8428),
    (4, 999.9749),
    (5, 999.9668),
    (10, 999.7027),
    (15, 999.1026),
    (20, 998.2067),
    (25, 997.0470),
    (30, 995.6488),
]
# IAPWS-95, another equation of state, recomputed with general software: agrees within 3 ppm.
WATER_IAPWS = [
    (0, 999.8431),
    (4, 999.9749),
    (5, 999.9666),
    (10, 999.7025),
    (15, 999.1026),
    (20, 998.2072),
    (25, 997.0476),
]
corks = st.floats(4, 20)
skins = st.floats(0.5, 10)
pastes = st.floats(1010, 2500)
temperatures = st.floats(0, 40)


def lift(size, cork, paste=1100, celsius=12, **further):
    """The lift with paste of so many kg/m³."""
    return lift_of(size, cork, Stated(paste, Origin.MEASURED), celsius, **further)


def typical(*bait):
    return lift(*bait).lift_g.typical


@pytest.mark.parametrize(("diameter", "volume", "area"), BALLS)
def test_balls(diameter, volume, area):
    """Volumes are pi d³/6, and their growth with the diameter is half the surface."""
    assert ball_cm3(diameter) == pytest.approx(volume, abs=5.1e-7)
    assert ball_mm(ball_cm3(diameter)) == pytest.approx(diameter, rel=1e-12)
    step = 1e-4
    growth = (ball_cm3(diameter + step) - ball_cm3(diameter - step)) / (2 * step / 10)
    assert growth == pytest.approx(area / 2, abs=5e-7)


def test_skin_in_closed_form():
    """A skin is the shell 4/3 pi (R³ - r³): 0.862367 cm³ from 12 to 15 mm (arithmetic)."""
    assert skin_cm3(15, 12) == pytest.approx(0.862367, abs=5e-7)
    assert skin_cm3(16, 12) == pytest.approx(4 / 3 * math.pi * (0.8**3 - 0.6**3), rel=1e-12)


@pytest.mark.parametrize(("celsius", "density"), WATER)
def test_water(celsius, density):
    """The density of water is that of the table, to its last digit."""
    assert water_density(celsius) == pytest.approx(density, abs=5.1e-5)


@pytest.mark.parametrize(("celsius", "density"), WATER_IAPWS)
def test_water_against_another_formula(celsius, density):
    """Another equation of state agrees within 3 parts in a million, 0 to 25 °C."""
    assert water_density(celsius) == pytest.approx(density, rel=3e-6)


@pytest.mark.parametrize("celsius", [-0.1, 40.1, math.nan])
def test_water_out_of_range_is_refused(celsius):
    """Outside the range of the formula there is no answer."""
    with pytest.raises(UsageError, match="water temperature"):
        water_density(celsius)


def test_net_lift_on_the_whole_grid():
    """132 baits of the derived grid: net lift in water of 20 °C to its last digit."""
    grid = bait_lift()
    assert len(grid) == 132
    found = [
        net_lift(row.diameter_mm, row.core_mm, row.paste_kg_m3, row.cork_kg_m3, water_density(20))
        for row in grid.itertuples()
    ]
    assert found == pytest.approx(grid["net_buoyancy_g_20C"].tolist(), abs=1.1e-6)
    masses = [skin_cm3(r.diameter_mm, r.core_mm) * r.paste_kg_m3 / 1000 for r in grid.itertuples()]
    assert masses == pytest.approx(grid["paste_g"].tolist(), abs=1.1e-6)


def test_range_is_that_of_the_grid():
    """Cork 120 to 240 kg/m³ alone: 0.7068 to 0.598226 g for 12 in 15 mm at 20 °C (the grid)."""
    g = lift(15, 12, 1100, 20, size_tolerance_mm=0).lift_g
    assert (g.low, g.typical, g.high) == pytest.approx((0.598226, 0.661561, 0.7068), abs=1.1e-6)


def test_range_holds_both_spreads():
    """Half a millimetre either way and cork's spread together: the corners 15.5 ± 0.5 mm."""
    g = lift(15.5, 12, 1100, 20).lift_g
    # The grid: 16 mm with cork of 240 is the weakest, 15 mm with cork of 120 the strongest.
    assert (g.low, g.high) == pytest.approx((0.559798, 0.7068), abs=1.1e-6)


@given(corks, skins, st.floats(320, 2900), temperatures)
def test_range_covers_what_is_within(cork, skin, paste, celsius):
    """Every size within the tolerance and every natural cork lies in the range."""
    size = cork + skin
    g = lift(size, cork, paste, celsius).lift_g
    for step in (-0.5, -0.2, 0, 0.3, 0.5):
        for density in (120, 150, 170, 200, 240):
            made = net_lift(size + step, cork, paste, density, water_density(celsius))
            assert g.low - 1e-9 <= made <= g.high + 1e-9


@given(corks, skins, pastes, temperatures)
def test_size_for_a_wanted_lift_gives_it(cork, skin, paste, celsius):
    """The size found for a lift has that lift, and is the one it was taken from."""
    wanted = typical(cork + skin, cork, paste, celsius)
    size = size_for_lift(wanted, cork, paste, celsius)
    assert typical(size, cork, paste, celsius) == pytest.approx(wanted, abs=1e-9)
    assert size == pytest.approx(cork + skin, rel=1e-6)


@given(corks, skins, pastes, temperatures)
def test_cork_for_a_wanted_lift_gives_it(cork, skin, paste, celsius):
    """The cork found for a lift gives it, and is the one it was taken from."""
    size = cork + skin
    wanted = typical(size, cork, paste, celsius)
    found = cork_for_lift(wanted, size, paste, celsius)
    assert found == pytest.approx(cork, rel=1e-6)
    assert typical(size, found, paste, celsius) == pytest.approx(wanted, abs=1e-9)


def test_afloat_until_the_paste_is_too_heavy():
    """12 mm cork in 15 mm floats until the paste reaches 1867.14 kg/m³ at 20 °C (arithmetic)."""
    assert net_lift(15, 12, 1867.14, 170, water_density(20)) == pytest.approx(0, abs=5e-6)
    assert typical(15, 12, 1868, 20) < 0 < typical(15, 12, 1867, 20)


@pytest.mark.parametrize(
    ("solve", "asked", "says"),
    [
        (lift, (12, 12), "no room"),
        (lift, (16, 12, 1.1), "300 to 3000"),
        (density_of_weighed, (2.2, 20, 15, 12), "no paste has"),  # the weight of two, not of twenty
        (density_of_weighed, (0, 20, 15, 12), "at least one"),
    ],
)
def test_what_cannot_be_is_refused(solve, asked, says):
    """No lift and no density of what is no bait."""
    with pytest.raises(UsageError, match=says):
        solve(*asked)


def test_no_size_and_no_cork_for_a_lift_that_none_gives():
    """The bare 12 mm cork lifts 0.75 g. Archimedes: pi / 6 x 1.6³ cm³ of water at 15 °C (0.9991
    g/cm³) less paste of 1.1 or cork of 0.17 is -0.22 and 1.78 g."""
    assert size_for_lift(0.8, 12, 1100, 12) is None
    assert [cork_for_lift(g, 16, 1100, 15) is None for g in (-0.23, -0.21, 1.77, 1.79)] == [
        True, False, False, True,
    ]  # fmt: skip


def test_holds_up_the_weakest():
    """What it holds is the low end; tungsten of 19,300 kg/m³ (CRC Handbook,
    from memory) weighs 1 - 998.2067 / 19300 = 0.948279 of it in water of 20 °C."""
    found = lift(15.5, 12, 1100, 20)
    holds = found.holds_in_water_g
    assert holds == found.lift_g.low
    assert holds / found.holds_putty_in_air_g == pytest.approx(0.948279, abs=5e-7)
    assert lift(18, 6, 1200, 20).holds_in_water_g == 0


def test_density_from_twenty_baits():
    """Twenty of the derived bait (0.153812 g cork, 0.948604 g paste) weigh 1100 kg/m³."""
    density = density_of_weighed(20 * (0.153812 + 0.948604), 20, 15, 12)
    assert density == pytest.approx(1100, abs=0.01)


def figures(typical, low, high, holds=0.0, putty=0.0):
    """A lift with those figures, whatever bait has it."""
    g = LiftRange(typical, low, high)
    return Lift(16, 12, 12, 1100, Origin.MEASURED, g, holds, putty, 0.02)


def test_what_it_holds_is_rounded_down():
    """0.699 g is never said to hold 0.70 g, and range and holding weight agree."""
    holds = words.holds_text(figures(0.76, 0.699, 0.81, 0.699, 0.769))
    assert "up to 0.69 g in the water" in holds
    assert "as putty of tungsten that is 0.76 g in air" in holds
    assert "between 0.69 g and" in words.lift_text(figures(0.76, 0.699, 0.81))
    assert "between -0.01 g and" in words.lift_text(figures(0.1, -0.002, 0.2))


def test_a_bait_that_may_sink_holds_nothing():
    """Where the typical or the weakest bait sinks, no hook weight is named."""
    assert "It sinks" in words.holds_text(figures(-0.1, -0.2, 0))
    weak = words.holds_text(figures(0.1, -0.1, 0.2))
    assert "weakest of them sinks" in weak
    assert " g " not in weak


def test_wanted_lift_names_each_way_there_is():
    """Size, cork, both or neither: only what exists is named."""
    bait = figures(0.7, 0.6, 0.8)
    both = words.wanted_text(WantedLift(0.5, 18.7, 11.4), bait)
    assert "18.7 mm over the 12 mm cork" in both
    assert "a cork of 11.4 mm in the 16 mm bait" in both
    assert "cork of" not in words.wanted_text(WantedLift(0.5, 18.7, None), bait)
    assert words.wanted_text(WantedLift(5, None, None), bait).startswith("Neither")


@pytest.mark.parametrize(
    ("value", "unit", "says"),
    [(1, "eggs", "1 egg"), (2, "eggs", "2 eggs"), (1, "s", "1 s"), (1234.5, "g", "1,234.5 g"),
     (1.36, "g", "1.36 g"), (400.0, "g", "400 g"), (0.25, "sachets", "0.25 sachets")],
)  # fmt: skip
def test_amounts(value, unit, says):
    """Amounts carry their unit in the right number and no empty decimals."""
    assert words.amount(value, unit) == says
