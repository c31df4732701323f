"""Doses, eggs, rounding, whole batches and their sheet: conservation, scaling, defaults."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from rodhours.errors import UsageError
from rodhours.kitchen import amounts, batch, lift, sheet
from rodhours.kitchen.amounts import Origin, egg_contents_g, on_top_of_the_rest, share_of_dry_mix
from rodhours.kitchen.batch import asked_for, egg_of, make_batch
from rodhours.kitchen.compare import off_recipe
from rodhours.kitchen.ledger import dry_g_per_egg
from rodhours.kitchen.recipe import BOIL_S, recipe_of
from rodhours.report.mixing_sheet import sheet_text

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


def made(row=ROW, dry_g_per_egg=None, of_egg_g=None, egg_class="M", **asked):
    further = {name: asked.pop(name) for name in ("waste_pct", "paste_density") if name in asked}
    egg = egg_of(egg_class, dry_g_per_egg, of_egg_g)
    return make_batch(recipe_of(row), asked_for(**asked), egg, **further)


def lines(of):
    """The sheet's lines by their codes."""
    return {line.code: line for line in sheet.mixing_sheet(of, lift.lift(15, 12)).quantities}


def test_egg_classes():
    """S under 53 g, M 53 to 63, L 63 to 73, XL 73 and over.

    Commission Delegated Regulation (EU) 2023/2465; class limits read. Shell 8.1 to 12.4 %:
    Britannica, 'egg', and handbook ranges quoted there.
    """
    limits = {"S": (0, 53), "M": (53, 63), "L": (63, 73), "XL": (73, math.inf)}
    assert limits.keys() == amounts.TYPICAL_EGG_G.keys()
    for name, (low, high) in limits.items():
        assert low <= amounts.TYPICAL_EGG_G[name] < high
    assert 0.081 <= amounts.SHELL_SHARE <= 0.124
    # 90 % of the middle of class M, 58 g.
    assert egg_contents_g("M") == pytest.approx(52.2)


def test_defaults_lie_within_common_practice():
    """Each stated default lies within what common practice says (common practice, no source).

    Boiling for 90 to 120 s; loads of 30 to 35; portions of 30 to 40. Cork 120 to 240 kg/m³:
    Gibson & Ashby, Cellular Solids, from memory.
    """
    assert 90 <= BOIL_S.value <= 120
    assert 30 <= sheet.MOST_BAITS_IN_A_LOAD <= 35
    assert 30 <= sheet.MOST_BAITS_IN_A_PORTION <= 40
    assert (lift.CORK_DENSITY_LOW, lift.CORK_DENSITY_HIGH) == (120, 240)
    assert lift.CORK_DENSITY.value == 170


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


@pytest.mark.parametrize(
    ("amount", "unit", "shown"),
    [
        (0, "g", 0), (0.02, "g", 0.1), (2.25, "g", 2.3), (99.94, "g", 99.9), (100.4, "g", 100),
        (102.5, "g", 103), (0, "ml", 0), (0.03, "ml", 0.1), (0.31, "ml", 0.3), (4.94, "ml", 4.9),
        (5.2, "ml", 5), (5.25, "ml", 5.5),
    ],
)  # fmt: skip
def test_what_scales_and_syringes_show(amount, unit, shown):
    """1 g, 0.1 g under 100 g; 0.5 ml, 0.1 ml under 5 ml; what is there never becomes nothing."""
    assert amounts.measured(amount, unit) == shown


@pytest.mark.parametrize("waste", [0, 10, 40])
def test_attractor_in_a_bait_does_not_grow_with_waste(waste):
    """What is in wasted paste is wasted too: one recipe, one dose in a bait.

    A class M egg (52.2 g) with 80 g of dry mix and 6 ml makes 138.2 g of paste. A skin of 10 in
    14 mm is pi / 6 x (2.744 - 1) = 0.91314 cm³, of 1100 kg/m³ 1.00446 g: 6 x 1.00446 / 138.2 =
    0.04361 ml.
    """
    row = {**ROW, "attractor_ml_per_egg": 6.0, "cork_mm": 10.0, "size_mm": 14.0}
    one = made(row, baits=90, waste_pct=waste)
    (dose,) = [one.per_bait(part) for part in one.recipe.ingredients if part.name == "attractor"]
    assert dose == pytest.approx(0.04361, abs=5e-6)


def test_every_ending_is_reckoned():
    """A kilogram of dry mix, 12.5 eggs at 80 g, worked by hand.

    Krill at 25 % and meal at 75 % on top of the rest: to 100 g of that 25 and 75, so 12.5 and
    37.5 % of the finished mix. 1000 - 200 - 40 - 125 - 375 - 20 = 240 g of base mix, of which
    semolina is 40 %. A drop is a twentieth of a ml (common practice, no source).
    """
    row = {
        **ROW, "krill_pct_on_top": 25.0, "meal_pct_on_top": 75.0, "salt_g_per_kg": 20.0,
        "oil_ml_per_kg": 10.0, "sweetener_ml_per_egg": 1.0, "dye_drops_per_egg": 4.0,
        "base_semolina_pct": 40.0,
    }  # fmt: skip
    one = made(row, dry_g=1000)
    shown = {code: (line.amount, line.unit) for code, line in lines(one).items()}
    assert shown["base_mix"] == (240, "g")
    assert [shown[code] for code in row if code not in ROW] == [
        (125, "g"), (375, "g"), (20, "g"), (10, "ml"), (12.5, "ml"), (50, "drops"), (96, "g"),
    ]  # fmt: skip
    # 12.5 eggs of 52.2 g are 652.5 g; 37.5 ml of attractor, 10, 12.5, and 50 drops of 0.05 g.
    assert one.paste_g == pytest.approx(1000 + 652.5 + 37.5 + 10 + 12.5 + 2.5)


@pytest.mark.parametrize(
    ("cells", "says"),
    [
        ({"pellet_pct": 60.0, "krill_pct": 55.0}, "pellet_pct, albumen_g_per_kg, krill_pct"),
        ({"base_seed_pct": 70.0, "base_semolina_pct": 40.0}, "110 %"),
        ({"pellet_pct_on_top": 20.0}, "pellet in both"),
        ({"salt_g_per_kg": -1.0}, "below 0"),
    ],
)
def test_parts_that_cannot_be(cells, says):
    """Parts beyond their whole, one twice, one of less than nothing: refused by column."""
    with pytest.raises(UsageError, match=says):
        recipe_of({**ROW, **cells})


def test_no_filled_cell_is_missing_from_the_sheet():
    """Each filled cell is a line, a size, a time, or listed as not reckoned; text cells too."""
    row = {
        **ROW, "krill_pct": 10.0, "salt_g_per_kg": "a pinch", "hardness": 3.0, "notes": "rolled",
        "drying_days": 4.0, "empty_pct": None, "boil_s": 101.0,
    }  # fmt: skip
    text = sheet_text(sheet.mixing_sheet(made(row, dry_g=400), lift.lift(15, 12)))
    for said in (
        "pellet-20", "birdseed and semolina", "15 mm over a 12 mm cork", "101 s", "4 days",
        "krill", "ground pellet", "egg-white powder", "liquid attractor",
        "not reckoned: salt_g_per_kg a pinch, hardness 3, notes rolled.",
        "nothing is weighed of: empty_pct.",
    ):  # fmt: skip
        assert said in text, said


def followed(seed):
    """A recipe, what its sheet prints with a figure of one's own, and the batch to that sheet."""
    rng = np.random.default_rng(seed)
    row = {
        "variant": "bait",
        str(rng.choice(["pellet_pct", "pellet_pct_on_top"])): rng.uniform(0, 60),
        "attractor_ml_per_egg": rng.uniform(0, 12),
        "albumen_g_per_kg": rng.uniform(0, 80),
        "krill_pct": rng.uniform(0, 30),
        "cork_mm": float(rng.choice([0, 8, 10])),
        "size_mm": rng.uniform(11, 24),
        "boil_s": 75.0,
    }
    scaled = {"egg_class": str(rng.choice(["S", "M", "L", "XL"]))}
    scaled |= {"baits": int(10 ** rng.uniform(0, 3)), "waste_pct": rng.uniform(0, 30)}

    def printed(own=None):
        figures = () if own is None else (own.grams, own.egg_g)
        return {code: line.amount for code, line in lines(made(row, *figures, **scaled)).items()}

    def entered(shown):
        parts = {code.split("_")[0]: amount for code, amount in shown.items()}
        return {
            "variant": "bait", "date": pd.Timestamp("2025-03-20"), "dry_g": shown["dry_mix"],
            "eggs": shown.get("eggs_used", shown["eggs"]), "egg_g": shown["beaten_egg"],
            "pellet_g": parts["pellet"], "albumen_g": parts["albumen"],
            "attractor_ml": parts["attractor"], "boil_s": shown["boiling"],
            "diameters_mm": (row["size_mm"],),
        }  # fmt: skip

    return row, printed, entered


@pytest.mark.parametrize("seeds", [60, pytest.param(10_000, marks=pytest.mark.full)])
def test_a_sheet_followed_to_the_letter_is_the_recipe(seeds):
    """No batch as its sheet printed it is off its recipe, and the next sheet is the same.

    So it is too after an own figure came from a batch that took up a fifth more dry mix.
    """
    for seed in range(seeds):
        row, printed, entered = followed(seed)
        first = printed()
        batch_made = entered(first)
        assert off_recipe(batch_made, row) == (), (seed, batch_made)
        own = dry_g_per_egg(pd.DataFrame([batch_made]), "bait")
        assert printed(own) == first, seed
        stiffer = {**batch_made, "dry_g": 480.0, "eggs": 5.0, "egg_g": 261.0}
        own = dry_g_per_egg(pd.DataFrame([stiffer]), "bait")
        second = printed(own)
        assert off_recipe(entered(second), row) == (), seed
        again = dry_g_per_egg(pd.DataFrame([stiffer, entered(second)]), "bait")
        assert printed(again) == second, seed


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
    in_it = {part.name: one.amount(part) for part in one.recipe.ingredients}
    assert one.base_g + in_it["pellet"] + in_it["albumen"] == pytest.approx(one.dry_g)
    assert in_it["pellet"] == pytest.approx(one.dry_g * pellet / 100)
    assert in_it["albumen"] == pytest.approx(one.dry_g * 0.04)
    assert in_it["attractor"] == pytest.approx(one.eggs * attractor)
    assert one.dry_g + one.egg_g + in_it["attractor"] == pytest.approx(one.paste_g)
    left = one.paste_g - baits * one.paste_per_bait_g
    assert left == pytest.approx(one.paste_g * waste / 100, abs=1e-6)
    assert one.dry_g == pytest.approx(one.eggs * per_egg)
    for part in one.recipe.ingredients:
        assert one.per_bait(part) * baits == pytest.approx(one.amount(part) * (1 - waste / 100))


@given(st.integers(1, 3000), st.floats(0, 60), st.floats(20, 300))
def test_the_three_ways_agree(baits, waste, per_egg):
    """Scaled from baits, from the eggs of that batch or from its dry mix: the same batch."""
    one = made(baits=baits, waste_pct=waste, dry_g_per_egg=per_egg)
    for asked in ({"eggs": one.eggs}, {"dry_g": one.dry_g}):
        other = made(**asked, waste_pct=waste, dry_g_per_egg=per_egg)
        assert other.baits == baits
        for name in ("dry_g", "base_g", "eggs", "egg_g", "paste_g"):
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
    parts = [shown[code] for code in ("dry_mix", "pellet_pct", "albumen_g_per_kg", "base_mix")]
    assert parts == [400, 80, 16, 304]
    # 400 g at 80 g to an egg: 5 eggs, 5 x 52.2 g, 5 x 3 ml.
    wet = [shown[code] for code in ("eggs", "beaten_egg", "attractor_ml_per_egg")]
    assert wet == [5, 261, 15]
    assert "eggs_used" not in shown
    assert shown["paste"] == 676


@given(st.floats(5, 5000))
def test_rounded_parts_add_up(dry):
    """On the sheet the parts of the dry mix add up to it within half a gram, as rounding."""
    shown = lines(made(dry_g=dry))
    parts = sum(shown[code].amount for code in ("base_mix", "pellet_pct", "albumen_g_per_kg"))
    assert abs(parts - shown["dry_mix"].amount) <= 0.5 + 1e-9


def test_own_figures_go_before_defaults():
    """The angler's own dry mix to an egg is used and named as theirs.

    95 g to 50 g of egg is 1.9 g to a gram: a class M egg with 52.2 g in it takes up 99.18 g.
    """
    own = made(eggs=2, dry_g_per_egg=95)
    assert (own.dry_g, own.egg_g) == pytest.approx((190, 104.4))
    assert lines(own)["dry_mix"].origins == (Origin.MEASURED,)
    assert made(eggs=2, dry_g_per_egg=95, of_egg_g=50).dry_g == pytest.approx(2 * 99.18)
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
    """Times that are missing are stated defaults; sizes and doses are never made up."""
    row = {"variant": "plain", "pellet_pct": 0.0, "cork_mm": 10.0}
    with pytest.raises(UsageError, match="does not say size_mm"):
        recipe_of(row)
    plain = recipe_of({**row, "attractor_ml_per_egg": None}, size_mm=14)
    assert plain.size_mm.origin is Origin.ASKED
    for stated in (plain.boil_s, plain.drying_days):
        assert stated.origin is Origin.PRACTICE
    assert plain.unrecorded == ("attractor_ml_per_egg",)
    assert [one.name for one in plain.ingredients] == ["pellet"]


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
        {"baits": 10, "paste_density": 1.1},
        # Pellet and powder are more than the dry mix that they are part of.
        {"baits": 10, "row": {**ROW, "pellet_pct": 98.0}},
    ],
)
def test_what_makes_no_batch_is_refused(asked):
    """Amounts that make no batch end in plain words."""
    with pytest.raises(UsageError):
        made(**asked)
