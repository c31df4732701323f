"""Doses, eggs, rounding, whole batches and their sheet: conservation, scaling, defaults."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from rodhours.errors import UsageError
from rodhours.kitchen import amounts, batch, lift, recipe, sheet
from rodhours.kitchen.amounts import Origin, egg_contents_g, on_top_of_the_rest, share_of_dry_mix
from rodhours.kitchen.batch import asked_for, egg_of, make_batch
from rodhours.kitchen.recipe import recipe_of

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


def made(row=ROW, dry_g_per_egg=None, egg_g_per_egg=None, egg_class="M", **asked):
    further = {name: asked.pop(name) for name in ("waste_pct", "paste_density") if name in asked}
    egg = egg_of(egg_class, dry_g_per_egg, egg_g_per_egg)
    return make_batch(recipe_of(row), asked_for(**asked), egg, **further)


def lines(of):
    """The sheet's lines by their codes."""
    return {line.code: line for line in sheet.mixing_sheet(of, lift.lift(15, 12)).quantities}


def test_egg_classes():
    """S under 53 g, M 53 to 63, L 63 to 73, XL 73 and over.

    Commission Delegated Regulation (EU) 2023/2465; class limits read. Shell 8.1 to 12.4 %:
    Britannica, 'egg', and handbook ranges quoted there.
    """
    limits = {name: (one.low_g, one.high_g) for name, one in amounts.EGG_CLASSES.items()}
    assert limits == {"S": (None, 53), "M": (53, 63), "L": (63, 73), "XL": (73, None)}
    for one in amounts.EGG_CLASSES.values():
        assert (one.low_g or 0) <= one.typical_g < (one.high_g or math.inf)
    assert 0.081 <= amounts.SHELL_SHARE <= 0.124
    # 90 % of the middle of class M, 58 g.
    assert egg_contents_g("M") == pytest.approx(52.2)
    with pytest.raises(UsageError, match="S, M, L, XL"):
        egg_contents_g("XXL")


def test_defaults_lie_within_common_practice():
    """Each stated default lies within what common practice says (common practice, no source).

    3 to 4 ml in a one-egg mix; 15 to 16 mm over 12 mm; 90 to 120 s; loads of 30 to 35; portions
    of 30 to 40. Cork 120 to 240 kg/m³: Gibson & Ashby, Cellular Solids, from memory. The pound is
    453.59237 g: NIST SP 811 (2008) Appendix B.8; printed, from memory; exact by definition.
    """
    assert 3 <= recipe.ATTRACTOR_ML_PER_EGG.value <= 4
    assert 15 <= recipe.SIZE_OVER_12_MM_CORK.value <= 16
    assert 90 <= recipe.BOIL_S.value <= 120
    assert 30 <= sheet.MOST_BAITS_IN_A_LOAD <= 35
    assert 30 <= sheet.MOST_BAITS_IN_A_PORTION <= 40
    assert (lift.CORK_DENSITY_LOW, lift.CORK_DENSITY_HIGH) == (120, 240)
    assert lift.CORK_DENSITY.value == 170
    assert sheet.POUND_G == 453.59237


@pytest.mark.parametrize(("on_top", "share"), [(0, 0), (25, 20), (100, 50), (100 / 9, 10)])
def test_pellet_on_top(on_top, share):
    """250 g on top of 1 kg is 250 of 1,250 g: closed form."""
    assert share_of_dry_mix(on_top) == pytest.approx(share)
    assert on_top_of_the_rest(share) == pytest.approx(on_top)


@pytest.mark.parametrize(("convert", "value"), [(on_top_of_the_rest, 100), (share_of_dry_mix, -1)])
def test_pellet_alone_is_on_top_of_nothing(convert, value):
    """A mix of pellet alone has no figure on top, and nothing is taken away on top."""
    with pytest.raises(UsageError):
        convert(value)


def test_attractor_example():
    """3 ml to an egg that takes up 80 g: 12.5 eggs to a kg, so 37.5 ml (arithmetic)."""
    assert amounts.ml_per_kg(3, 80) == pytest.approx(37.5)


@pytest.mark.parametrize(
    ("grams", "shown"), [(0, 0), (0.02, 0.1), (2.25, 2.3), (9.94, 9.9), (10.4, 10), (12.5, 13)]
)
def test_grams(grams, shown):
    """1 g, and 0.1 g under 10 g; what is there never becomes nothing."""
    assert amounts.weighed(grams) == shown


@pytest.mark.parametrize(
    ("millilitres", "shown"), [(0, 0), (0.03, 0.1), (0.31, 0.3), (3.2, 3), (3.25, 3.5), (3.7, 3.5)]
)
def test_millilitres(millilitres, shown):
    """0.5 ml, and 0.1 ml under that."""
    assert amounts.measured_ml(millilitres) == shown


@given(
    st.integers(1, 3000),
    st.floats(0, 100),
    st.floats(0, 20),
    st.floats(0, 60),
    st.floats(20, 300),
    st.sampled_from(["S", "M", "L", "XL"]),
)
def test_mass_is_conserved(baits, pellet, attractor, waste, per_egg, egg_class):
    """Parts make the dry mix; dry mix, egg and attractor (1 g/ml) the paste, which is used up."""
    assume(pellet / 100 + 40 / 1000 <= 1)
    one = made(
        {**ROW, "pellet_pct": pellet, "attractor_ml_per_egg": attractor},
        baits=baits,
        waste_pct=waste,
        dry_g_per_egg=per_egg,
        egg_class=egg_class,
    )
    assert one.base_g + one.pellet_g + one.albumen_g == pytest.approx(one.dry_g)
    assert one.pellet_g == pytest.approx(one.dry_g * pellet / 100)
    assert one.albumen_g == pytest.approx(one.dry_g * 0.04)
    assert one.dry_g + one.egg_g + one.attractor_ml == pytest.approx(one.paste_g)
    left = one.paste_g - baits * one.paste_per_bait_g
    assert left == pytest.approx(one.paste_g * waste / 100, abs=1e-6)
    assert one.dry_g == pytest.approx(one.eggs * per_egg)
    assert one.baits_per_egg * one.eggs == pytest.approx(baits)


@given(st.integers(1, 3000), st.floats(0, 60), st.floats(20, 300))
def test_the_three_ways_agree(baits, waste, per_egg):
    """Scaled from baits, from the eggs of that batch or from its dry mix: the same batch."""
    one = made(baits=baits, waste_pct=waste, dry_g_per_egg=per_egg)
    for asked in ({"eggs": one.eggs}, {"dry_g": one.dry_g}):
        other = made(**asked, waste_pct=waste, dry_g_per_egg=per_egg)
        assert other.baits == baits
        for name in ("dry_g", "pellet_g", "eggs", "egg_g", "attractor_ml", "paste_g"):
            assert getattr(other, name) == pytest.approx(getattr(one, name))


def test_skins_in_100_g():
    """100 g of paste of 1100 kg/m³ are 105.4 skins of 12 in 15 mm (arithmetic): 105 baits."""
    one = made(eggs=100 / (80 + 52.2 + 3), waste_pct=0)
    assert one.paste_g == pytest.approx(100)
    assert one.baits == 105
    assert one.paste_per_bait_g == pytest.approx(0.948604, abs=5e-7)
    assert one.paste_g / one.paste_per_bait_g == pytest.approx(105.4, abs=0.05)


def test_dry_mix_at_hand():
    """400 g of finished dry mix at 20 % pellet and 40 g/kg: 80 g, 16 g, and 304 g of the rest."""
    shown = {code: line.amount for code, line in lines(made(dry_g=400)).items()}
    parts = [shown[code] for code in ("dry_mix", "pellet", "albumen", "base_mix")]
    assert parts == [400, 80, 16, 304]
    # 400 g at 80 g to an egg: 5 eggs, 5 x 52.2 g, 5 x 3 ml.
    assert [shown[code] for code in ("eggs", "beaten_egg", "attractor")] == [5, 261, 15]
    assert shown["paste"] == 676


@given(st.floats(5, 5000))
def test_rounded_parts_add_up(dry):
    """On the sheet the parts of the dry mix add up to it within half a gram, as rounding."""
    shown = lines(made(dry_g=dry))
    parts = sum(shown[code].amount for code in ("base_mix", "pellet", "albumen"))
    assert abs(parts - shown["dry_mix"].amount) <= 0.5 + 1e-9


def test_own_figures_go_before_defaults():
    """The angler's own dry mix to an egg and weight of an egg are used and named as theirs."""
    own = made(eggs=2, dry_g_per_egg=95, egg_g_per_egg=50)
    assert (own.dry_g, own.egg_g) == pytest.approx((190, 100))
    assert lines(own)["dry_mix"].origins == (Origin.MEASURED,)
    assert Origin.MEASURED in lines(own)["beaten_egg"].origins
    stated = lines(made(eggs=2))
    assert stated["dry_mix"].origins == (Origin.PRACTICE,)
    assert Origin.PUBLISHED in stated["beaten_egg"].origins
    assert all(line.origins for line in stated.values())


def test_default_follows_the_weight_of_the_egg():
    """A bigger egg takes up more, in proportion to what is in it: 68/58 for L."""
    assert egg_of("L").dry_g.value == pytest.approx(80 * 68 / 58)
    assert egg_of("M").dry_g.value == batch.DRY_G_PER_EGG.value == 80


@pytest.mark.parametrize(
    ("baits", "most", "lots", "each"),
    [(60, 35, 2, 30), (70, 35, 2, 35), (71, 35, 3, 24), (1, 35, 1, 1), (80, 40, 2, 40)],
)
def test_loads(baits, most, lots, each):
    """Loads are as few and as even as they can be, and none is over the most (arithmetic)."""
    assert sheet.loads(baits, most) == (lots, each)


@pytest.mark.parametrize("column", ["pellet_pct", "cork_mm"])
@pytest.mark.parametrize("empty", [None, math.nan])
def test_an_empty_cell_is_never_none_of_it(column, empty):
    """A recipe that does not say is refused, with the column to fill."""
    with pytest.raises(UsageError, match=f"does not say {column}"):
        recipe_of({**ROW, column: empty})


def test_defaults_are_named_as_common_practice():
    """What may be missing is a stated default; size only over the cork that practice knows."""
    row = {"variant": "plain", "pellet_pct": 0.0, "cork_mm": 12.0}
    plain = recipe_of(row)
    for stated in (plain.size_mm, plain.attractor_ml_per_egg, plain.boil_s, plain.drying_days):
        assert stated.origin is Origin.PRACTICE
    with pytest.raises(UsageError, match="does not say size_mm"):
        recipe_of({**row, "cork_mm": 10.0})
    assert recipe_of({**row, "cork_mm": 10.0}, size_mm=14).size_mm.origin is Origin.ASKED


def test_powder_in_sachets_where_the_recipe_does_not_say():
    """About one small sachet to a pound of dry mix (common practice, no source)."""
    line = lines(made({**ROW, "albumen_g_per_kg": math.nan}, dry_g=2 * 453.59237))["albumen"]
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
        # Pellet and powder are more than the dry mix that they are part of.
        {"baits": 10, "row": {**ROW, "pellet_pct": 98.0}},
    ],
)
def test_what_makes_no_batch_is_refused(asked):
    """Amounts that make no batch end in plain words."""
    with pytest.raises(UsageError):
        made(**asked)
