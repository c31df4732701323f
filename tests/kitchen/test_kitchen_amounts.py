"""Doses, eggs, units, rounding and whole batches: conservation, scaling, defaults."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from rodhours.errors import UsageError
from rodhours.kitchen import constants
from rodhours.kitchen.batch import default_dry_g_per_egg, make_batch
from rodhours.kitchen.buoyancy import lift
from rodhours.kitchen.constants import Origin
from rodhours.kitchen.doses import (
    egg_contents_g,
    ml_per_bait,
    ml_per_egg,
    ml_per_egg_from_bait,
    ml_per_kg,
    on_top_of_the_rest,
    share_of_dry_mix,
)
from rodhours.kitchen.mix import mix_of
from rodhours.kitchen.scales import measured_ml, weighed
from rodhours.kitchen.sheet import loads, mixing_sheet

ROW = {
    "variant": "pellet-20",
    "base_mix": "birdseed and semolina",
    "pellet_pct": 20.0,
    "attractor_ml_per_egg": 3.0,
    "albumen_g_per_kg": 40.0,
    "cork_mm": 12.0,
    "size_mm": 15.0,
    "boil_s": 100.0,
}
amounts = st.floats(0.01, 1e5)


def sheet_of(**asked):
    batch = make_batch(mix_of(ROW), **asked)
    return mixing_sheet(batch, lift(15, 12), 12, constants.PASTE_DENSITY)


def by_name(sheet):
    return {one.what: one for one in sheet.quantities}


# Units and classes


def test_pounds_and_ounces():
    """The pound is 453.59237 g, the ounce 28.349523125 g.

    NIST SP 811 (2008) Appendix B.8; printed, from memory; exact by definition.
    """
    assert constants.POUND_G == 453.59237
    assert constants.OUNCE_G == 28.349523125


def test_egg_classes():
    """S under 53 g, M 53 to 63, L 63 to 73, XL 73 and over.

    Commission Delegated Regulation (EU) 2023/2465; class limits read. Shell 8.1 to 12.4 %:
    Britannica, 'egg', and handbook ranges quoted there.
    """
    limits = {name: (one.low_g, one.high_g) for name, one in constants.EGG_CLASSES.items()}
    assert limits == {"S": (None, 53), "M": (53, 63), "L": (63, 73), "XL": (73, None)}
    for one in constants.EGG_CLASSES.values():
        assert (one.low_g or 0) <= one.typical_g < (one.high_g or math.inf)
    assert 0.081 <= constants.SHELL_SHARE <= 0.124
    # 90 % of the middle of class M, 58 g.
    assert egg_contents_g("M") == pytest.approx(52.2)
    with pytest.raises(UsageError, match="S, M, L, XL"):
        egg_contents_g("XXL")


def test_defaults_lie_within_common_practice():
    """Each stated default lies within what common practice says (common practice, no source).

    3 to 4 ml in a one-egg mix; 15 to 16 mm over 12 mm; 90 to 120 s; loads of 30 to 35; portions
    of 30 to 40. Cork 120 to 240 kg/m³: Gibson & Ashby, Cellular Solids, from memory.
    """
    assert 3 <= constants.ATTRACTOR_ML_PER_EGG.value <= 4
    assert 15 <= constants.SIZE_OVER_12_MM_CORK.value <= 16
    assert 90 <= constants.BOIL_S.value <= 120
    assert 30 <= constants.MOST_BAITS_IN_A_LOAD <= 35
    assert 30 <= constants.MOST_BAITS_IN_A_PORTION <= 40
    assert (constants.CORK_DENSITY_LOW, constants.CORK_DENSITY_HIGH) == (120, 240)
    assert constants.CORK_DENSITY.value == 170


# Doses


@pytest.mark.parametrize(("on_top", "share"), [(0, 0), (25, 20), (100, 50), (100 / 9, 10)])
def test_pellet_on_top(on_top, share):
    """250 g on top of 1 kg is 250 of 1,250 g: closed form."""
    assert share_of_dry_mix(on_top) == pytest.approx(share)
    assert on_top_of_the_rest(share) == pytest.approx(on_top)


def test_pellet_alone_is_on_top_of_nothing():
    """A mix of pellet alone has no figure on top, and nothing is taken away on top."""
    with pytest.raises(UsageError):
        on_top_of_the_rest(100)
    with pytest.raises(UsageError):
        share_of_dry_mix(-1)


@given(amounts, amounts, amounts)
def test_attractor_doses_convert_back(dose, dry, baits):
    """ml per egg, per kg of dry mix and per bait are one dose said three ways."""
    assert ml_per_egg(ml_per_kg(dose, dry), dry) == pytest.approx(dose)
    assert ml_per_egg_from_bait(ml_per_bait(dose, baits), baits) == pytest.approx(dose)


def test_attractor_example():
    """3 ml to an egg that takes up 80 g: 12.5 eggs to a kg, so 37.5 ml (arithmetic)."""
    assert ml_per_kg(3, 80) == pytest.approx(37.5)


# Scales


@pytest.mark.parametrize(
    ("grams", "shown"), [(0, 0), (0.02, 0.1), (2.25, 2.3), (9.94, 9.9), (10.4, 10), (12.5, 13)]
)
def test_grams(grams, shown):
    """1 g, and 0.1 g under 10 g; what is there never becomes nothing."""
    assert weighed(grams) == shown


@pytest.mark.parametrize(
    ("millilitres", "shown"), [(0, 0), (0.03, 0.1), (0.31, 0.3), (3.2, 3), (3.25, 3.5), (3.7, 3.5)]
)
def test_millilitres(millilitres, shown):
    """0.5 ml, and 0.1 ml under that."""
    assert measured_ml(millilitres) == shown


# Batches


@given(
    st.integers(1, 3000),
    st.floats(0, 100),
    st.floats(0, 20),
    st.floats(0, 60),
    st.floats(20, 300),
    st.sampled_from(["S", "M", "L", "XL"]),
)
def test_mass_is_conserved(baits, pellet, attractor, waste, per_egg, egg_class):
    """Parts make the dry mix; dry mix, egg and attractor the paste; baits and waste use it up."""
    assume(pellet / 100 + 40 / 1000 <= 1)
    mix = mix_of({**ROW, "pellet_pct": pellet, "attractor_ml_per_egg": attractor})
    made = make_batch(mix, baits=baits, waste_pct=waste, dry_g_per_egg=per_egg, egg_class=egg_class)
    assert made.base_g + made.pellet_g + made.albumen_g == pytest.approx(made.dry_g)
    assert made.pellet_g == pytest.approx(made.dry_g * pellet / 100)
    assert made.albumen_g == pytest.approx(made.dry_g * 0.04)
    assert made.dry_g + made.egg_g + made.attractor_g == pytest.approx(made.paste_g)
    assert made.left_g == pytest.approx(made.paste_g * waste / 100, abs=1e-6)
    assert made.dry_g == pytest.approx(made.eggs * per_egg)


@given(st.integers(1, 3000), st.floats(0, 60), st.floats(20, 300))
def test_the_three_ways_agree(baits, waste, per_egg):
    """Scaled from baits, from the eggs of that batch or from its dry mix: the same batch."""
    mix = mix_of(ROW)
    one = make_batch(mix, baits=baits, waste_pct=waste, dry_g_per_egg=per_egg)
    for asked in ({"eggs": one.eggs}, {"dry_g": one.dry_g}):
        other = make_batch(mix, **asked, waste_pct=waste, dry_g_per_egg=per_egg)
        assert other.baits == baits
        for name in ("dry_g", "pellet_g", "eggs", "egg_g", "attractor_ml", "paste_g"):
            assert getattr(other, name) == pytest.approx(getattr(one, name))


def test_skins_in_100_g():
    """100 g of paste of 1100 kg/m³ are 105.4 skins of 12 in 15 mm (arithmetic): 105 baits."""
    paste_of_an_egg = 80 + 52.2 + 3
    made = make_batch(mix_of(ROW), eggs=100 / paste_of_an_egg, waste_pct=0)
    assert made.paste_g == pytest.approx(100)
    assert made.baits == 105
    assert made.paste_per_bait_g == pytest.approx(0.948604, abs=5e-7)
    assert made.paste_g / made.paste_per_bait_g == pytest.approx(105.4, abs=0.05)


def test_dry_mix_at_hand():
    """400 g of finished dry mix at 20 % pellet and 40 g/kg: 80 g, 16 g, and 304 g of the rest."""
    shown = {name: one.amount for name, one in by_name(sheet_of(dry_g=400)).items()}
    assert shown["dry mix, all together"] == 400
    assert shown["of that: ground pellet"] == 80
    assert shown["of that: egg-white powder"] == 16
    assert shown["of that: base mix"] == 304
    # 400 g at 80 g to an egg: 5 eggs, 5 x 52.2 g, 5 x 3 ml.
    assert shown["eggs to crack, class M"] == 5
    assert shown["beaten egg"] == 261
    assert shown["liquid attractor"] == 15
    assert shown["expected paste"] == 676


@given(st.floats(5, 5000))
def test_rounded_parts_add_up(dry):
    """On the sheet the parts of the dry mix add up to it within half a gram, as rounding."""
    shown = {name: one.amount for name, one in by_name(sheet_of(dry_g=dry)).items()}
    parts = sum(amount for name, amount in shown.items() if name.startswith("of that"))
    assert abs(parts - shown["dry mix, all together"]) <= 0.5 + 1e-9


def test_own_figures_go_before_defaults():
    """The angler's own dry mix to an egg and weight of an egg are used and named as theirs."""
    own = make_batch(mix_of(ROW), eggs=2, dry_g_per_egg=95, egg_g_per_egg=50)
    assert (own.dry_g, own.egg_g) == pytest.approx((190, 100))
    lines = by_name(mixing_sheet(own, lift(15, 12), 12, constants.PASTE_DENSITY))
    assert lines["dry mix, all together"].origins == (Origin.MEASURED,)
    assert Origin.MEASURED in lines["beaten egg"].origins
    stated = by_name(sheet_of(eggs=2))
    assert stated["dry mix, all together"].origins == (Origin.PRACTICE,)
    assert Origin.PUBLISHED in stated["beaten egg"].origins


def test_default_follows_the_weight_of_the_egg():
    """A bigger egg takes up more, in proportion to what is in it: 68/58 for L."""
    assert default_dry_g_per_egg("L").value == pytest.approx(80 * 68 / 58)
    assert default_dry_g_per_egg("M").value == 80


@pytest.mark.parametrize(
    ("baits", "most", "lots", "each"),
    [(60, 35, 2, 30), (70, 35, 2, 35), (71, 35, 3, 24), (1, 35, 1, 1), (80, 40, 2, 40)],
)
def test_loads(baits, most, lots, each):
    """Loads are as few and as even as they can be, and none is over the most."""
    assert loads(baits, most) == (lots, each)
    assert each <= most
    assert lots * each >= baits


def test_every_line_says_where_it_comes_from():
    """No figure stands on the sheet without its origin."""
    for one in sheet_of(baits=60).to_dict()["quantities"]:
        assert one["from"], one
        assert set(one) == {"what", "amount", "unit", "from"}


# Recipes with gaps


@pytest.mark.parametrize("column", ["pellet_pct", "cork_mm"])
@pytest.mark.parametrize("empty", [None, math.nan])
def test_an_empty_cell_is_never_none_of_it(column, empty):
    """A recipe that does not say is refused, with the column to fill."""
    with pytest.raises(UsageError, match=f"does not say {column}"):
        mix_of({**ROW, column: empty})


def test_defaults_are_named_as_common_practice():
    """What may be missing is a stated default; size only over the cork that practice knows."""
    row = {"variant": "plain", "pellet_pct": 0.0, "cork_mm": 12.0}
    mix = mix_of(row)
    for stated in (mix.size_mm, mix.attractor_ml_per_egg, mix.boil_s, mix.drying_days):
        assert stated.origin is Origin.PRACTICE
    with pytest.raises(UsageError, match="does not say size_mm"):
        mix_of({**row, "cork_mm": 10.0})
    assert mix_of({**row, "cork_mm": 10.0}, size_mm=14).size_mm.origin is Origin.ASKED


def test_powder_in_sachets_where_the_recipe_does_not_say():
    """About one small sachet to a pound of dry mix (common practice, no source)."""
    mix = mix_of({**ROW, "albumen_g_per_kg": math.nan})
    made = make_batch(mix, dry_g=2 * 453.59237)
    line = by_name(mixing_sheet(made, lift(15, 12), 12, constants.PASTE_DENSITY))[
        "of that: egg-white powder"
    ]
    assert (line.amount, line.unit, line.origins) == (2, "sachets", (Origin.PRACTICE,))


@pytest.mark.parametrize(
    "asked",
    [
        {},
        {"baits": 10, "eggs": 1},
        {"baits": 0},
        {"eggs": -1},
        {"dry_g": math.nan},
        {"dry_g": 0.1},
        {"baits": 10, "waste_pct": 100},
        {"baits": 10, "dry_g_per_egg": 0},
        {"baits": 10, "egg_g_per_egg": 0},
        {"baits": 10, "paste_density": 1.1},
    ],
)
def test_what_makes_no_batch_is_refused(asked):
    """Amounts that make no batch end in plain words."""
    with pytest.raises(UsageError):
        make_batch(mix_of(ROW), **asked)


def test_more_than_the_whole_is_refused():
    """Pellet and powder cannot be more than the dry mix that they are part of."""
    with pytest.raises(UsageError, match="more than the whole"):
        mix_of({**ROW, "pellet_pct": 98.0})
