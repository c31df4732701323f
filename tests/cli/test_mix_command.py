"""`rodhours mix` and `rodhours lift` as a user meets them: words, JSON, the page, exit codes."""

from __future__ import annotations

import json
import re
import subprocess
from pathlib import Path

import pytest

from browser import OPTIONS, find_browser, visit

VARIANTS = """\
variant,base_mix,pellet_pct,attractor_ml_per_egg,albumen_g_per_kg,cork_mm,size_mm,boil_s
plain,birdseed and semolina,0,3,40,12,16,100
pellet-20,birdseed and semolina,20,3,40,12,16,100
gaps,,,,,12,,
with-a-long-name-and-little-known,crushed biscuit with semolina and seeds,50,,,12,16,
"""
STINTS = "session,variant,hours,fish\nT1,plain,10,0\nT1,pellet-20,10,1\n"


@pytest.fixture
def kitchen(command, tmp_path):
    """The command line beside a logbook with recipes."""
    (tmp_path / "variants.csv").write_text(VARIANTS, encoding="utf-8")
    (tmp_path / "stints.csv").write_text(STINTS, encoding="utf-8")
    assert command("import", "stints.csv", "variants.csv").code == 0
    return command


def test_json_has_its_schema(kitchen):
    """Exactly the stated keys, amounts as numbers, every figure with its origin."""
    done = kitchen("mix", "pellet-20", "--baits", "60", "--json")
    assert done.code == 0, done.err
    found = json.loads(done.out)
    assert list(found) == ["schema", "variant", "baits", "quantities", "lift_g", "cautions"]
    assert (found["schema"], found["variant"], found["baits"]) == (1, "pellet-20", 60)
    assert list(found["lift_g"]) == ["typical", "low", "high"]
    assert found["lift_g"]["low"] < found["lift_g"]["typical"] < found["lift_g"]["high"]
    for one in found["quantities"]:
        assert list(one) == ["what", "amount", "unit", "from"]
        assert isinstance(one["amount"], int | float)
        assert one["from"]
    shown = {one["what"]: one["amount"] for one in found["quantities"]}
    assert shown["cork balls, 12 mm"] == 60
    assert shown["freezer portions"] == 2
    assert shown["boiling, each load"] == 100


def test_text_says_pellet_is_part_of_the_mix(kitchen):
    """The sheet says that pellet is no extra, and what 20 % would be called on top: 25 %."""
    brief = kitchen("mix", "pellet-20", "--dry-g", "400").out
    assert "as asked" not in brief
    assert "part of it and not added on top" in " ".join(brief.split())
    said = kitchen("mix", "pellet-20", "--dry-g", "400", "--origins").out
    said = " ".join(said.split())
    assert "part of it and not added on top" in said
    assert "25 %, 250 g to each kg of it" in said
    assert "of that: ground pellet 80 g" in said
    assert "dry mix, all together 400 g as asked" in said


def test_every_caution_is_on_every_sheet(kitchen):
    """Steam, raw egg, allergens, flavours, blender, label: on text, JSON and page."""
    brief = kitchen("mix", "plain", "--eggs", "1").out
    for word in ("steam", "raw egg", "allergy", "flavours", "blender", "children", "Local law"):
        assert word in brief, word
    text = kitchen("mix", "plain", "--eggs", "1", "--sheet", "sheet.html", "--origins")
    assert text.code == 0, text.err
    machine = json.loads(kitchen("mix", "plain", "--eggs", "1", "--json").out)
    page = Path("sheet.html").read_text(encoding="utf-8")
    for said in (text.out, " ".join(machine["cautions"]), page):
        for word in (
            "Boiling water", "steam", "Raw egg", "wash hands", "Egg, fish and nut", "allergy",
            "flavours", "essential oils", "Blender", "sieve", "apart from food", "Label",
            "children and pets",
        ):  # fmt: skip
            assert word in said, word


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ("gaps --baits 10", "pellet_pct"),
        ("pelet20 --baits 10", "Did you mean 'pellet-20'?"),
        ("plain", "Give one of"),
        ("plain --baits 10 --mean-mm 16", "--weight-of-20"),
        ("plain --baits 10 --sheet .", "is a folder"),
    ],
)
def test_what_makes_no_sense_is_usage(kitchen, given, says):
    """Asked for what cannot be made: exit code 2, what is wrong in plain words, no sheet."""
    done = kitchen("mix", *given.split())
    assert (done.code, done.out) == (2, "")
    assert says in done.err
    assert "Traceback" not in done.err


def test_no_recipes_yet(command, tmp_path):
    """A logbook without a variants table says so."""
    (tmp_path / "stints.csv").write_text(STINTS, encoding="utf-8")
    assert command("import", "stints.csv").code == 0
    done = command("mix", "plain", "--baits", "10")
    assert done.code == 2
    assert "variants table" in done.err


def test_before_the_first_trip(command, tmp_path):
    """A variants table alone is imported, and the kitchen and the plan work with it."""
    (tmp_path / "variants.csv").write_text(VARIANTS, encoding="utf-8")
    done = command("import", "variants.csv")
    assert done.code == 0, done.err
    assert "Next: rodhours mix" in done.out
    assert "4 recipes and no trip yet" in command().out
    plan = ("plan", "rotation", "--variants", "plain,pellet-20", "--rods", "2", "--trips", "4")
    for given in (
        ("mix", "plain", "--baits", "9"), ("recipes",), ("batch", "add", "plain"),
        ("lift", "--size-mm", "14", "--cork-mm", "10"), ("batch", "list"), plan,
        ("template", "--xlsx", "blank.xlsx"),
        # A blank log with nothing but recipes in it is one of these too.
        ("import", "blank.xlsx"),
    ):  # fmt: skip
        done = command(*given)
        assert done.code == 0, (given, done.err)
    asked = command("summary")
    assert asked.code != 0
    assert "no stints yet" in asked.err
    (tmp_path / "stints.csv").write_text(STINTS, encoding="utf-8")
    assert command("import", "stints.csv").code == 0


def test_several_at_once(kitchen, tmp_path):
    """A sheet each, the plain one first, one list with what it costs.

    400 g of dry mix each at 80 g to an egg: 5 eggs and 15 ml each, ten eggs at 3.00 for 10. Base
    mix is 400 - 16 and 400 - 80 - 16 g, 688 g at 5.00 a kg 3.44; pellet 80 g at 1.00 for 100 g
    is 0.80.
    """
    prices = "ingredient,price,for\nEggs,3.00,10 eggs\nbase mix,5,1 kg\npellet,1.00,100 g\n"
    (tmp_path / "prices.csv").write_text(prices, encoding="utf-8")
    given = ("mix", "pellet-20", "plain", "--dry-g", "400")
    found = json.loads(kitchen(*given, "--json").out)
    assert [one["variant"] for one in found["sheets"]] == ["plain", "pellet-20"]
    bought = {one["what"]: (one["amount"], one["cost"]) for one in found["buy"]}
    assert bought["eggs"] == (10, pytest.approx(3.0))
    assert bought["base mix"] == (688, pytest.approx(3.44))
    assert bought["pellet"] == (80, pytest.approx(0.8))
    assert bought["attractor"] == (30, None)
    text = kitchen(*given, "--sheet", "two.html").out
    assert "Mix plain, then pellet-20" in text
    assert "All together 7.24" in text
    assert Path("two-1.html").exists()
    assert Path("two-2.html").exists()
    (tmp_path / "prices.csv").write_text("ingredient,price,for\npellet,cheap,1 kg\n")
    refused = kitchen(*given)
    assert refused.code == 4
    assert "row 2" in refused.err


def test_own_batch_replaces_the_default(kitchen):
    """As soon as the ledger holds one batch, its dry mix to an egg stands in for the default."""
    before = json.loads(kitchen("mix", "plain", "--eggs", "2", "--json").out)
    assert before["quantities"][0]["amount"] == 160
    assert before["quantities"][0]["from"] == "common practice"
    assert kitchen("batch", "add", "plain", "--dry-g", "380", "--eggs", "4").code == 0
    after = json.loads(kitchen("mix", "plain", "--eggs", "2", "--json").out)
    assert after["quantities"][0]["amount"] == 190
    assert after["quantities"][0]["from"] == "your measurement"
    asked = kitchen("mix", "plain", "--eggs", "2", "--dry-g-per-egg", "70", "--json")
    assert json.loads(asked.out)["quantities"][0]["amount"] == 140


def test_twenty_weighed_baits_replace_the_density(kitchen):
    """20 baits of 12 in 15 mm that weigh 22.04832 g are paste of 1100 kg/m³ (derived grid)."""
    done = kitchen(
        "mix", "plain", "--baits", "9", "--size-mm", "15", "--water-temp-c", "20",
        "--weight-of-20", "22.04832", "--mean-mm", "15",
    )  # fmt: skip
    assert "1,100 kg/m³ (your measurement)" in done.out
    assert "One bait lifts 0.66 g" in done.out


def test_lift_command(command):
    """Lift from two diameters, needing no logbook: 0.661561 g for 12 in 15 mm at 20 °C."""
    done = command(
        "lift", "--size-mm", "15", "--cork-mm", "12", "--water-temp-c", "20", "--want", "0.623132",
        "--json",
    )  # fmt: skip
    assert done.code == 0, done.err
    found = json.loads(done.out)
    assert found["lift_g"]["typical"] == pytest.approx(0.661561, abs=1e-6)
    # The grid: 16 mm over the same cork lifts 0.623132 g.
    assert found["wanted"]["size_mm"] == pytest.approx(16, abs=1e-4)
    assert found["wanted"]["cork_mm"] < 12


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ("--size-mm 20 --cork-mm 6", "It sinks"),
        ("--size-mm 15 --cork-mm 12 --want 3", "Neither"),
    ],
)
def test_a_lift_that_is_not_there(command, given, says):
    """A bait that sinks, a lift beyond any cork in that bait: said so, with exit code 0."""
    done = command("lift", *given.split())
    assert done.code == 0
    assert says in done.out


def test_names_are_text_on_the_page(command, tmp_path):
    """A variant's label is text, whatever stands in it."""
    (tmp_path / "stints.csv").write_text(STINTS.replace("plain", "<b>x"), encoding="utf-8")
    (tmp_path / "variants.csv").write_text(VARIANTS.replace("plain", "<b>x"), encoding="utf-8")
    assert command("import", "stints.csv", "variants.csv").code == 0
    assert command("mix", "<b>x", "--baits", "9", "--sheet", "s.html").code == 0
    page = Path("s.html").read_text(encoding="utf-8")
    assert "&lt;b&gt;x" in page
    assert "<b>x" not in page


@pytest.mark.skipif(find_browser() is None, reason="no Chromium here")
def test_the_sheet_is_one_page(kitchen, tmp_path):
    """Printed it is one A4 page; on screen it asks for nothing and logs nothing."""
    # The longest sheet: nothing is known but the pellet, and thousands of baits.
    given = ("with-a-long-name-and-little-known", "--baits", "12345", "--sheet", "sheet.html")
    assert kitchen("mix", *given).code == 0
    page, printed = tmp_path / "sheet.html", tmp_path / "sheet.pdf"
    seen = visit(find_browser(), page, tmp_path)
    assert [one for one in seen.requests if not one.startswith(("file:", "data:"))] == []
    assert seen.console == []
    subprocess.run(
        [
            find_browser(),
            *OPTIONS,
            f"--user-data-dir={tmp_path / 'profile'}",
            "--no-pdf-header-footer",
            f"--print-to-pdf={printed}",
            page.as_uri(),
        ],
        capture_output=True,
        timeout=90,
        check=True,
    )
    content = printed.read_bytes()
    assert re.findall(rb"/Count (\d+)", content) == [b"1"]
    (box,) = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", content)
    # A4 is 210 x 297 mm (ISO 216); a point is 25.4/72 mm.
    assert [float(side) * 25.4 / 72 for side in box] == pytest.approx([210, 297], abs=0.6)
