"""The ledger's figures against a published example, scipy and values worked by hand."""

from __future__ import annotations

import json

import numpy as np
import pandas as pd
import pytest
from scipy import stats

from rodhours.kitchen.ledger import (
    batch_uses,
    dry_g_per_egg,
    ledger,
    paste_by_baits,
    paste_densities,
    variance_components,
    variants_of,
)
from rodhours.words.ledger import sentences

DYESTUFF = [
    (1545, 1440, 1440, 1520, 1580),
    (1540, 1555, 1490, 1560, 1495),
    (1595, 1550, 1605, 1510, 1560),
    (1445, 1440, 1595, 1465, 1545),
    (1595, 1630, 1515, 1635, 1625),
    (1520, 1455, 1450, 1480, 1445),
]
"""Yield of dyestuff from six batches, five samples each: Davies and Goldsmith, Statistical
Methods in Research and Production (4th edition, 1972); data from memory."""

NUMBERS = ("baits", "dry_g", "pellet_g", "eggs", "egg_g", "attractor_ml", "albumen_g")
NUMBERS += ("paste_g", "boil_s", "drying_days", "weight_of_20", "lift_g", "lift_after_h")


def batches(*rows: dict) -> pd.DataFrame:
    """A frame of batches with every column; what a row does not say is missing."""
    blank = dict.fromkeys(NUMBERS, np.nan) | dict.fromkeys(("notes", "paste_lot", "paste_date"))
    blank |= {"diameters_mm": ()}
    filled = [
        {"batch": f"B-{number}", "variant": "plain", "date": "2025-03-20"} | blank | row
        for number, row in enumerate(rows, start=1)
    ]
    frame = pd.DataFrame(filled)
    return frame.assign(date=pd.to_datetime(frame["date"]))


def test_components_of_the_published_example():
    """Within 2451.25 and between 1764.05, as printed for these data (Bates, Fitting linear
    mixed-effects models using lme4, from memory: 2451 and 1764, sd 49.51 and 42.00)."""
    within, between = variance_components(DYESTUFF)
    assert within == pytest.approx(2451.25, abs=0.005)
    assert between == pytest.approx(1764.05, abs=0.005)
    assert np.sqrt([within, between]) == pytest.approx([49.51, 42.00], abs=0.005)


def test_components_of_unequal_batches():
    """F from scipy, n0 worked by hand: sizes 4, 2, 3 give (9 - 29 / 9) / 2 = 26 / 9."""
    groups = [(15.2, 15.6, 15.4, 15.9), (16.1, 16.4), (15.0, 15.3, 14.8)]
    within, between = variance_components(groups)
    f = stats.f_oneway(*groups).statistic
    pooled = sum((len(g) - 1) * stats.tvar(g) for g in groups) / 6
    assert within == pytest.approx(pooled)
    assert between == pytest.approx(pooled * (f - 1) / (26 / 9))


@pytest.mark.parametrize(
    ("groups", "within"),
    [([], None), ([(15.0,), (15.5,)], None), ([(15.0, 16.0)], 0.5)],
)
def test_components_that_cannot_be_told(groups, within):
    """No batch with two baits says nothing of within; a single batch nothing of between."""
    assert variance_components(groups) == (within, None)


def test_a_spread_between_batches_is_never_below_none():
    """Batches more alike than chance would have them: 0, not the root of a negative number."""
    frame = batches({"diameters_mm": (15.0, 16.0)}, {"diameters_mm": (15.1, 15.9)})
    (spread,) = variants_of(frame)
    assert variance_components([(15.0, 16.0), (15.1, 15.9)])[1] < 0
    assert spread.between_sd_mm == 0
    assert spread.within_sd_mm == pytest.approx(np.sqrt((0.5 + 0.32) / 2))


def test_spread_counts_batches_that_were_not_measured():
    """The batches behind a variant are all of them; mean and sd are of all its baits."""
    frame = batches(
        {"diameters_mm": (15.2, 15.6, 15.4)},
        {"diameters_mm": (15.9, 16.1)},
        {},
        {"variant": "pellet-10"},
    )
    pellet, plain = variants_of(frame)
    assert (plain.variant, plain.batches, plain.measured, plain.baits) == ("plain", 3, 2, 5)
    assert plain.mean_mm == pytest.approx((15.2 + 15.6 + 15.4 + 15.9 + 16.1) / 5)
    assert plain.sd_mm == pytest.approx(stats.tstd([15.2, 15.6, 15.4, 15.9, 16.1]))
    assert (pellet.batches, pellet.mean_mm, pellet.between_sd_mm) == (1, None, None)
    listed = ledger(frame, stints()).batches
    assert [one.size.baits for one in listed] == [3, 2, 0, 0]
    assert listed[0].size.sd_mm == pytest.approx(0.2)


def test_dry_mix_to_an_egg_is_the_angler_s_own():
    """Totals over totals, from the batches of that variant which say both; else None."""
    frame = batches(
        {"dry_g": 400.0, "eggs": 4.0, "egg_g": 212.0},
        {"dry_g": 270.0, "eggs": 3.0, "egg_g": 153.0},
        {"dry_g": 500.0},
        {"dry_g": 90.0, "eggs": 1.0, "variant": "pellet-20"},
    )
    own = dry_g_per_egg(frame, "plain")
    assert own is not None
    assert own.grams == pytest.approx(670 / 7)
    assert own.egg_g == pytest.approx(365 / 7)
    assert own.batches == 2
    other = dry_g_per_egg(frame, "pellet-20")
    assert other is not None
    assert (other.grams, other.batches, other.egg_g) == (90.0, 1, None)
    assert dry_g_per_egg(frame, "unheard-of") is None


def test_a_batch_to_its_sheet_says_nothing_new():
    """80 g to an egg of 52.2 g is the stated default: 53.4 g for 34.8 g of egg is as it says.

    80 / 52.2 x 34.8 = 53.33 g, within a step of the scales (0.1 g) and of the egg (0.15 g);
    54.5 g is not. Nor does a batch made to an own figure of 100 g change that.
    """
    said = {"dry_g": 53.4, "eggs": 0.67, "egg_g": 34.8}
    assert dry_g_per_egg(batches(said), "plain") is None
    assert dry_g_per_egg(batches(said | {"dry_g": 54.5}), "plain") is not None
    stiff = {"dry_g": 400.0, "eggs": 4.0}
    own = dry_g_per_egg(batches(said, stiff, {"dry_g": 67.0, "eggs": 0.67}), "plain")
    assert (own.grams, own.batches) == (100.0, 1)


def test_eggs_by_their_grams_alone():
    """104.4 g is what two eggs of class M hold (58 g less 10 % of shell): 100 g to each."""
    own = dry_g_per_egg(batches({"dry_g": 200.0, "egg_g": 104.4}), "plain")
    assert own.grams == pytest.approx(100.0)


def stints(*rows: tuple) -> pd.DataFrame:
    return pd.DataFrame(rows, columns=["batch", "age_days", "hours"])


def test_use_is_counted_by_batch():
    """Stints, rod-hours and the youngest and oldest age of a batch; ages not known are passed."""
    frame = batches({"batch": "P-1"}, {"batch": "P-9"})
    logged = stints(
        ("P-1", 13.0, 5.0), ("P-1", 0.0, 4.0), (None, np.nan, 2.0), ("P-1", np.nan, 1.0)
    )
    use = batch_uses(logged, frame)["P-1"]
    assert (use.stints, use.rod_hours, use.youngest_days, use.oldest_days) == (3, 10.0, 0, 13)


def test_an_unfished_batch_has_no_age():
    """No stint, no age; also with no stint at all."""
    frame = batches({"batch": "P-1"})
    for logged in (stints(("P-2", 3.0, 2.0)), stints()):
        use = batch_uses(logged, frame)["P-1"]
        assert (use.stints, use.rod_hours, use.youngest_days) == (0, 0.0, None)


def test_the_machine_form_is_plain_json():
    """No NaN, no numpy number; what was not recorded is null."""
    frame = batches({"dry_g": 400.0, "eggs": 4.0, "diameters_mm": (15.0, 15.5)}, {})
    whole = ledger(frame, stints(("B-1", 12.0, 2.0)))
    told = json.loads(json.dumps(whole.to_dict(), allow_nan=False))
    first, second = told["batches"]
    assert first["date"] == "2025-03-20"
    assert first["use"] == {
        "stints": 1,
        "rod_hours": 2.0,
        "youngest_days": 12,
        "oldest_days": 12,
        "baits_used": None,
    }
    assert second["dry_g"] is None
    assert told["variants"][0]["dry_g_per_egg"]["grams"] == 100.0


def test_what_was_measured_of_a_batch():
    """60 made and 22 used leave 38; paste of 1 March rolled on the 20th lay 19 days.

    Twenty baits of 12 in 15 mm of paste of 1100 kg/m³ weigh 22.04832 g (the derived grid). A skin
    of pi / 6 x (3.375 - 1.728) = 0.86237 cm³ of it takes 0.08667 g from the 0.75047 g that the
    cork lifts at 12 °C (0.90478 cm³ x 0.99950 less 0.15381 g): 0.664 g.
    """
    recipes = pd.DataFrame({"variant": ["plain"], "size_mm": [15.0], "cork_mm": [12.0]})
    made = {"baits": 60.0, "weight_of_20": 22.04832, "lift_g": 0.6, "diameters_mm": (14.9, 15.1)}
    frame = batches({**made, "paste_lot": "A", "paste_date": "2025-03-01"})
    assert paste_densities(frame, recipes)["plain"].value == pytest.approx(1100, abs=0.01)
    fished = stints(("B-1", 3.0, 5.0), ("B-1", 4.0, 5.0)).assign(baits_used=[12.0, 10.0])
    whole = ledger(frame, fished, recipes=recipes)
    (batch,) = whole.batches
    assert (batch.baits_left, batch.days_frozen) == (38.0, 19)
    assert batch.lift_reckoned_g == pytest.approx(0.664, abs=0.001)
    said = " ".join(sentences(whole))
    assert "B-1: lift measured 0.60 g; reckoned fresh: 0.66 g." in said
    assert "B-1: from paste A, 19 days after it was made." in said


def test_paste_beside_the_baits_made_of_it():
    """400 g of dry mix with 261 g of egg (52.2 to 80) are 661 g; 60 skins of 0.9486 g are 56.9."""
    recipes = pd.DataFrame({"variant": ["plain"], "size_mm": [15.0], "cork_mm": [12.0]})
    made = {"variant": "plain", "dry_g": 400.0, "baits": 60, "paste_g": None}
    assert paste_by_baits(made, recipes) == pytest.approx((661.0, 56.916), abs=0.01)
