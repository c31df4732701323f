"""Volumes, water and lift against published tables and closed forms."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from reference.open_data import bait_lift
from rodhours.errors import UsageError
from rodhours.kitchen.buoyancy import (
    Lift,
    cork_for_lift,
    density_of_weighed,
    lift,
    lift_differs,
    net_lift,
    size_for_lift,
)
from rodhours.kitchen.geometry import ball_cm3, ball_mm, skin_cm3
from rodhours.kitchen.water import water_density

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
    found = lift(15, 12, 1100, 20, size_tolerance_mm=0)
    assert (found.low, found.typical, found.high) == pytest.approx(
        (0.598226, 0.661561, 0.7068), abs=1.1e-6
    )


def test_range_holds_both_spreads():
    """Half a millimetre either way and cork's spread together: the corners 15.5 ± 0.5 mm."""
    found = lift(15.5, 12, 1100, 20)
    # The grid: 16 mm with cork of 240 is the weakest, 15 mm with cork of 120 the strongest.
    assert (found.low, found.high) == pytest.approx((0.559798, 0.7068), abs=1.1e-6)


@given(corks, skins, st.floats(320, 2900), temperatures)
def test_range_covers_what_is_within(cork, skin, paste, celsius):
    """Every size within the tolerance and every natural cork lies in the range."""
    size = cork + skin
    found = lift(size, cork, paste, celsius)
    for step in (-0.5, -0.2, 0, 0.3, 0.5):
        for density in (120, 150, 170, 200, 240):
            made = net_lift(size + step, cork, paste, density, water_density(celsius))
            assert found.low - 1e-9 <= made <= found.high + 1e-9


@given(corks, skins, pastes, temperatures)
def test_size_for_a_wanted_lift_gives_it(cork, skin, paste, celsius):
    """The size found for a lift has that lift, and is the one it was taken from."""
    wanted = lift(cork + skin, cork, paste, celsius).typical
    size = size_for_lift(wanted, cork, paste, celsius)
    assert lift(size, cork, paste, celsius).typical == pytest.approx(wanted, abs=1e-9)
    assert size == pytest.approx(cork + skin, rel=1e-6)


@given(corks, skins, pastes, temperatures)
def test_cork_for_a_wanted_lift_gives_it(cork, skin, paste, celsius):
    """The cork found for a lift gives it, and is the one it was taken from."""
    size = cork + skin
    wanted = lift(size, cork, paste, celsius).typical
    found = cork_for_lift(wanted, size, paste, celsius)
    assert found == pytest.approx(cork, rel=1e-6)
    assert lift(size, found, paste, celsius).typical == pytest.approx(wanted, abs=1e-9)


def test_afloat_until_the_paste_is_too_heavy():
    """12 mm cork in 15 mm floats until the paste reaches 1867.14 kg/m³ at 20 °C (arithmetic)."""
    assert net_lift(15, 12, 1867.14, 170, water_density(20)) == pytest.approx(0, abs=5e-6)
    assert lift(15, 12, 1868, 20).typical < 0 < lift(15, 12, 1867, 20).typical


def test_what_cannot_be_is_refused():
    """No size and no cork is made up for a lift that none gives."""
    with pytest.raises(UsageError, match="Choose another cork"):
        size_for_lift(0.8, 12, 1100, 12)  # the bare cork lifts 0.75 g
    with pytest.raises(UsageError, match="No cork"):
        cork_for_lift(3, 16)
    with pytest.raises(UsageError, match="No cork"):
        cork_for_lift(-1, 16)
    with pytest.raises(UsageError, match="no room"):
        lift(12, 12)
    with pytest.raises(UsageError, match="would be 1100"):
        lift(16, 12, 1.1)


def test_holds_up_the_weakest():
    """What it holds is the low end; lead weighs 0.911975 of its air weight in water of 20 °C."""
    found = lift(15.5, 12, 1100, 20)
    assert found.holds_g == found.low
    assert found.low / found.lead_in_air_g == pytest.approx(0.911975, abs=5e-7)
    assert lift(18, 6, 1200, 20).holds_g == 0


def test_density_from_twenty_baits():
    """Twenty of the derived bait (0.153812 g cork, 0.948604 g paste) weigh 1100 kg/m³."""
    assert density_of_weighed(20 * (0.153812 + 0.948604), 20, 15, 12) == pytest.approx(
        1100, abs=0.01
    )
    with pytest.raises(UsageError, match="no paste has"):
        density_of_weighed(2.2, 20, 15, 12)  # the weight of two, not of twenty
    with pytest.raises(UsageError, match="at least one"):
        density_of_weighed(0, 20, 15, 12)


def test_lift_differs():
    """A difference beyond the tolerance is given with its numbers, within it there is none."""
    # The grid at 20 °C, paste 1100, cork 170: 15 mm lifts 0.661561 g, 16 mm 0.623132 g.
    fifteen, sixteen = lift(15, 12, 1100, 20), lift(16, 12, 1100, 20)
    assert lift_differs(fifteen, sixteen, 0.05) is None
    found = lift_differs(fifteen, sixteen, 0.03)
    assert found is not None
    assert found["difference_g"] == pytest.approx(0.661561 - 0.623132, abs=2e-6)
    assert lift_differs(sixteen, fifteen, 0.03)["difference_g"] == -found["difference_g"]


def test_lift_differs_beyond_what_making_does():
    """Without a tolerance it is what half a millimetre does to the bait that it moves most."""
    one, other = Lift(0.70, 0.6, 0.8, 0.02, 999), Lift(0.66, 0.6, 0.8, 0.03, 999)
    assert lift_differs(one, other) == {
        "one_g": 0.70,
        "other_g": 0.66,
        "difference_g": pytest.approx(0.04),
        "tolerance_g": 0.03,
    }
    assert lift_differs(one, Lift(0.66, 0.6, 0.8, 0.05, 999)) is None
