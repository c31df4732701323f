"""`rodhours batch` and `rodhours recipes` as a user meets them, and what compare says of them."""

from __future__ import annotations

import json
from datetime import date

import numpy as np
import pandas as pd
import pytest

import simulated_seasons as seasons
from simulated_seasons import FAVOURITE, REFERENCE, Season

AS_WEIGHED = ("--dry-g", 400, "--pellet-g", 80, "--eggs", 4, "--egg-g", 212, "--attractor-ml", 12)
AS_WEIGHED += ("--albumen-g", 16, "--paste-g", 640, "--boil-s", 100, "--drying-days", 3)
THREE = ("--diameters", "15.2,15.6,15.4")


def recipes(**columns) -> pd.DataFrame:
    """Two recipes that differ in nothing but the columns given as (favourite, reference)."""
    same = {"base_mix": "birdseed", "cork_mm": 12, "size_mm": 15.5, "boil_s": 90}
    frame = pd.DataFrame({"variant": [FAVOURITE, REFERENCE], **same})
    return frame.assign(**{name: list(values) for name, values in columns.items()})


@pytest.fixture
def log(command, tmp_path):
    """A function that imports a season with these two recipes."""

    def bring(**columns):
        stints = seasons.each_rod_by_mood(np.random.default_rng(3), 1.0, Season(trips=12))
        number = stints["session"].astype(int)
        day = pd.Timestamp("2025-04-01") + pd.to_timedelta(number, unit="D")
        stints = stints.assign(
            session="trip " + stints["session"],
            date=day.dt.strftime("%Y-%m-%d"),
            batch=np.where(stints["variant"] == REFERENCE, "p 1", "other"),
        )
        stints.to_csv(tmp_path / "stints.csv", index=False)
        recipes(**columns).to_csv(tmp_path / "variants.csv", index=False)
        done = command("import", "stints.csv", "variants.csv")
        assert done.code == 0, done.out + done.err
        return stints

    return bring


def machine(done):
    assert done.code == 0, done.err
    return json.loads(done.out)


PASTE = ("paste_lot", "paste_date")


def test_a_batch_is_recorded_and_listed(command):
    """The label bears code, variant and date; the list has every figure as weighed."""
    done = command(
        "batch", "add", "plain", "--date", "2025-03-20", *AS_WEIGHED, *THREE, "--baits", 60
    )
    assert done.code == 0, done.err
    assert done.out.splitlines()[:2] == ["P-1", "plain, made 2025-03-20, 60 baits"]
    assert "Bait, not food. Egg, fish, nut" in done.out
    assert "P-1" in done.err
    told = machine(command("batch", "list", "--json"))
    (one,) = told["batches"]
    kept = {name: value for name, value in one.items() if name not in ("size", "use")}
    for name in ("weight_of_20", "lift_g", "lift_after_h", "lift_reckoned_g", *PASTE):
        assert kept.pop(name) is None
    assert kept == {
        "batch": "P-1",
        "variant": "plain",
        "date": "2025-03-20",
        "baits": 60,
        "dry_g": 400,
        "pellet_g": 80,
        "eggs": 4,
        "egg_g": 212,
        "attractor_ml": 12,
        "albumen_g": 16,
        "paste_g": 640,
        "boil_s": 100,
        "drying_days": 3,
        "notes": None,
        "diameters_mm": [15.2, 15.6, 15.4],
    }
    assert told["variants"][0]["dry_g_per_egg"] == {"grams": 100, "batches": 1, "egg_g": 53}
    text = command("batch", "list").out
    assert "15.4" in text
    assert "one batch only of plain" in text
    assert "took up 100 g of dry mix" in text


def test_without_a_date_it_was_made_today(command):
    """And with --json the record itself is printed; decimal commas stand between semicolons."""
    told = machine(command("batch", "add", "plain", "--diameters", "15,2; 15,6", "--json"))
    assert told["batch"]["diameters_mm"] == [15.2, 15.6]
    assert told["batch"]["date"] == date.today().isoformat()
    assert told["batch"]["batch"] == "P-1"
    assert told["batch"]["dry_g"] is None


def test_an_empty_ledger_says_how_to_begin(command, log):
    """An answer, not an error."""
    log()
    done = command("batch", "list")
    assert (done.code, done.err) == (0, "")
    assert "rodhours batch add" in done.out


def test_age_and_use_come_from_the_stints(command, log):
    """A code written otherwise in the log is the same batch; age is from batch to session."""
    stints = log()
    made = ("--date", "2025-03-20", "--code", "P-1")
    assert command("batch", "add", REFERENCE, *made).code == 0
    done = command("batch", "list", "--json")
    (one,) = machine(done)["batches"]
    mine = stints[stints["variant"] == REFERENCE]
    ages = (pd.to_datetime(mine["date"]) - pd.Timestamp("2025-03-20")).dt.days
    assert one["use"]["stints"] == len(mine)
    assert one["use"]["rod_hours"] == pytest.approx(mine["hours"].sum())
    assert (one["use"]["youngest_days"], one["use"]["oldest_days"]) == (ages.min(), ages.max())
    assert "other" in done.err
    assert "not in the ledger" in done.err


def test_dates_and_variants_that_do_not_fit_are_pointed_out(command, log):
    """A batch fished before it was made, one of another variant, a variant nobody knows."""
    log()
    assert command("batch", "add", REFERENCE, "--date", "2025-04-05", "--code", "P-1").code == 0
    assert command("batch", "add", REFERENCE, "--date", "2025-03-01", "--code", "other").code == 0
    done = command("batch", "list")
    assert done.code == 0
    assert "before it was made" in done.err
    assert f"other is a batch of {REFERENCE}" in done.err
    done = command("batch", "add", "unheard-of", "--date", "2025-03-01")
    assert done.code == 0
    assert "'unheard-of' is no variant of the logbook yet" in done.err


def test_a_batch_off_its_recipe_is_pointed_out(command, log):
    """When it is recorded and in the list: 60 g in 400 g is 15 %, not 20 %."""
    log(pellet_pct=(20, 0))
    weighed = ("--dry-g", 400, "--pellet-g", 60, "--boil-s", 90)
    done = command("batch", "add", FAVOURITE, *weighed)
    assert done.code == 0
    assert "pellet_pct 15 instead of 20." in done.err
    assert "pellet_pct 15 instead of 20." in command("batch", "list").err
    assert "boil_s" not in done.err


def test_a_list_of_one_variant_and_a_batch_taken_off(command):
    """Only its batches; an unknown one is refused with those there are. A batch is taken off
    however its code is written, once."""
    for variant in ("plain", "pellet-20"):
        assert command("batch", "add", variant, "--date", "2025-03-20").code == 0
    told = machine(command("batch", "list", "--variant", "pellet-20", "--json"))
    assert [one["batch"] for one in told["batches"]] == ["P20-1"]
    done = command("batch", "list", "--variant", "pellet-30")
    assert (done.code, done.out) == (2, "")
    assert "pellet-20" in done.err
    assert "P-1" in command("batch", "remove", "p1").out
    left = machine(command("batch", "list", "--json"))["batches"]
    assert [one["batch"] for one in left] == ["P20-1"]
    assert command("batch", "remove", "p1").code == 2


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (("--date", "20.3.2025"), "--date takes a date"),
        (("--dry-g", "0"), "--dry-g takes a number above 0"),
        (("--boil-s", "-1"), "--boil-s takes a number of 0 or more"),
        (("--dry-g", "100", "--pellet-g", "90", "--albumen-g", "11"), "101 g of them"),
        (("--diameters", "15.2,thick"), "'thick'"),
        (("--diameters", "15,2,15,6"), "decimals with a point"),
        (("--code", "--"), "no code"),
    ],
)
def test_slips_are_refused_in_plain_words(command, tmp_path, arguments, says):
    """Exit code 2, and nothing is recorded."""
    done = command("batch", "add", "plain", *arguments)
    assert (done.code, done.out) == (2, "")
    assert says in done.err
    assert "Traceback" not in done.err
    if (tmp_path / "logbook.sqlite").exists():
        assert machine(command("batch", "list", "--json"))["batches"] == []


def test_recipes_that_differ_in_one_thing(command, log):
    """The table marks it, the sentence names it alone, the comparison has no note of it. All are
    side by side; one alone is held against the remembered reference, or asked about."""
    log(pellet_pct=(20, 0))
    done = command("recipes", FAVOURITE, REFERENCE)
    assert done.code == 0, done.err
    (line,) = [one for one in done.out.splitlines() if one.startswith("pellet_pct")]
    assert line.split() == ["pellet_pct", "differs", "20", "0"]
    assert "differ in pellet_pct (20 against 0) alone" in done.out
    assert len(machine(command("recipes", "--json"))["pairs"]) == 1
    assert command("recipes", "unheard-of", REFERENCE).code == 2
    done = command("recipes", FAVOURITE)
    assert done.code == 2
    assert "rodhours recipes" in done.err
    told = machine(command("compare", "--reference", REFERENCE, "--json"))
    assert {"recipes_differ", "lift_differs"} & {note["code"] for note in told["notes"]} == set()
    (pair,) = machine(command("recipes", FAVOURITE, "--json"))["pairs"]
    assert (pair["variant"], pair["reference"]) == (FAVOURITE, REFERENCE)


@pytest.mark.usefixtures("few_looks")
def test_recipes_that_differ_in_more(command, log):
    """The warning beside the recipes, and the notes beside the comparison."""
    log(pellet_pct=(20, 0), size_mm=(19, 15.5), krill_g=(5, None))
    (pair,) = machine(command("recipes", FAVOURITE, REFERENCE, "--json"))["pairs"]
    assert pair["more_than_one"] is True
    assert [one["column"] for one in pair["differences"]] == ["pellet_pct", "size_mm"]
    assert pair["not_recorded_by_both"] == ["krill_g"]
    text = command("recipes", FAVOURITE, REFERENCE).out
    assert f"More than one thing differs from the recipe of {REFERENCE}" in text
    assert "Only one of the two records krill_g" in text
    told = machine(command("compare", FAVOURITE, REFERENCE, "--json"))
    notes = {note["code"]: note for note in told["notes"]}
    assert notes["recipes_differ"]["numbers"]["columns"] == [
        {"column": "pellet_pct", "variant": 20.0, "reference": 0.0},
        {"column": "size_mm", "variant": 19.0, "reference": 15.5},
    ]
    assert notes["lift_differs"]["variant"] == FAVOURITE
    order = ["serious", "caution", "information"]
    severities = [order.index(note["severity"]) for note in told["notes"]]
    assert severities == sorted(severities)


@pytest.mark.usefixtures("few_looks")
def test_batches_reach_the_answer(command, tmp_path):
    """A batch off its recipe is named by compare, check and report; ages are a column, `--batch`
    chooses. 25 g in 100 g is 25 %, asked were 20; made on 1 April, fished on the 11th: 10 days."""
    rows = ["session,date,variant,batch,hours,fish"]
    for trip in range(16):
        second = trip >= 8
        day = f"2025-{4 + (trip >= 8):02d}-{11 + trip % 8:02d}"
        rows.append(f"T{trip},{day},{REFERENCE},,10,{trip % 2}")
        rows.append(f"T{trip},{day},{FAVOURITE},{'b 2' if second else 'B-1'},10,{3 * second}")
    (tmp_path / "stints.csv").write_text("\n".join(rows), encoding="utf-8")
    recipes = f"variant,pellet_pct\n{FAVOURITE},20\n{REFERENCE},0\n"
    (tmp_path / "variants.csv").write_text(recipes, encoding="utf-8")
    assert command("import", "stints.csv", "variants.csv").code == 0
    for code, pellet in (("B-1", "20"), ("B-2", "25")):
        given = ("--date", "2025-04-01", "--dry-g", "100", "--pellet-g", pellet, "--code", code)
        assert command("batch", "add", FAVOURITE, *given).code == 0
    compared = ("compare", FAVOURITE, REFERENCE)
    assert "but it hangs on one batch, B-2" in command(*compared).out
    for asked in ((*compared, "--all-notes"), ("check", "--reference", REFERENCE)):
        said = " ".join(command(*asked).out.split())
        assert "counts stints with a batch off its recipe: B-2." in said, asked
    # One bait alone has batches, so there is nothing to allow for beside the age.
    told = machine(command("response", "age_days", "--json"))
    assert told["column"] == "age_days"
    first = machine(command("summary", "--batch", "B-1", "--json"))
    assert [row["fish"] for row in first["rows"]] == [0, 8]
    assert command("report", "--out", "page.html").code == 0
    assert "off its recipe: B-2" in (tmp_path / "page.html").read_text(encoding="utf-8")
