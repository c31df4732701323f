"""`--species`, `--min-weight`, `--outcome` and `rodhours sizes` as a user meets them.

The expected counts are pandas sums over the files that were imported.
"""

from __future__ import annotations

import json
import shutil

import pytest

import rodhours
from rodhours.log.cells.weights import read_weight
from rodhours.log.importing import import_paths
from rodhours.log.logbook import open_logbook
from two_baits import as_logged, written


def imported(command, folder, files):
    done = command("import", *written(files, folder))
    assert done.code == 0, done.err


def machine(command, *asked):
    return json.loads(command(*asked, "--json").out)


@pytest.fixture
def files():
    """The tables, to be changed and imported."""
    return as_logged()


@pytest.fixture(scope="module")
def logbook(tmp_path_factory):
    """The season imported once."""
    folder = tmp_path_factory.mktemp("season")
    import_paths(written(as_logged(), folder), folder / "logbook.sqlite")
    return folder / "logbook.sqlite"


@pytest.fixture
def held(logbook, tmp_path):
    """A copy of that logbook where the commands look for one; the tables it came from."""
    shutil.copyfile(logbook, tmp_path / "logbook.sqlite")
    return as_logged()


def landed(files):
    catches = files["catches"]
    catches = catches[catches["outcome"] == "landed"]
    return catches.assign(kg=catches["weight"].map(read_weight))


def test_counts_are_those_of_the_files(command, held):
    """Fish of a species, of a weight, lost and hooked: as many as the files hold, by variant."""
    fish = landed(held)
    tench, heavy = fish["species"] == "tench", fish["kg"] >= 18.5 * 0.45359237
    by_bait = held["stints"].astype({"fish": int, "lost": int}).groupby("variant")
    expected = {
        ("--species", "tench"): fish[tench].groupby("variant").size(),
        ("--min-weight", "18lb 8oz"): fish[heavy].groupby("variant").size(),
        ("--species", "tench", "--min-weight", "8kg"): (
            fish[tench & (fish["kg"] >= 8)].groupby("variant").size()
        ),
        ("--outcome", "lost"): by_bait["lost"].sum(),
        ("--outcome", "hooked"): by_bait["fish"].sum() + by_bait["lost"].sum(),
    }
    for options, counts in expected.items():
        summed = machine(command, "summary", *options)
        assert {row["group"]: row["fish"] for row in summed["rows"]} == counts.to_dict(), options
        assert summed["total"]["stints"] == len(held["stints"])


def test_answers_name_the_choice_in_words_and_in_json(command, held):
    """A line over the answer, the filters in the machine form, no such line without a choice."""
    options = ("--species", "carp", "--min-weight", "15lb")
    found = machine(command, "check", *options)
    assert found["filters"] == {
        "species": "carp",
        "min_weight_kg": pytest.approx(15 * 0.45359237, abs=1e-6),
        "outcome": "landed",
    }
    done = command("summary", *options)
    assert done.out.startswith("Counted here: carp of 15 lb and over.")
    assert "landed or lost" in command("summary", "--outcome", "hooked").out.splitlines()[0]
    assert "Counted here" not in command("summary").out
    assert "filters" not in machine(command, "summary")


@pytest.mark.usefixtures("few_looks")
def test_report_says_what_it_counts(command, tmp_path, held):
    """The line stands over the answer on the page and among its sources; sizes have a picture."""
    done = command("report", "--min-weight", "8.5kg", "--out", "page.html")
    assert done.code == 0, done.err
    page = (tmp_path / "page.html").read_text(encoding="utf-8").replace("\u00a0", " ")
    assert page.count("Counted here: fish of 8.5 kg and over.") == 1
    assert page.index("Counted here") < page.index('class="lead"')
    assert "all rows of the logbook; counted: fish of 8.5 kg and over" in page
    assert 'id="fish"' in page
    assert "Whether any bait brings heavier fish is not settled" in page


def test_sessions_without_catches_count_as_unweighed(command, tmp_path, files):
    """Fish counted in stints and not listed in catches are named as lacking a weight."""
    first = files["stints"]["session"].iloc[0]
    only = {name: table for name, table in files.items() if name != "catches"}
    for name in ("stints", "sessions"):
        only[name] = only[name][only[name]["session"] == first]
    imported(command, tmp_path, only)
    done = command("summary", "--min-weight", "10lb")
    assert done.code == 2
    assert "List each fish in a table catches" in done.err
    rest = {
        name: files[name][files[name]["session"] != first]
        for name in ("stints", "sessions", "catches")
    }
    imported(command, tmp_path, rest)
    fish = int(only["stints"]["fish"].astype(int).sum())
    done = command("summary", "--min-weight", "10lb")
    assert done.code == 2
    assert f"{fish} of the " in done.err


def test_lost_counts_that_are_missing_are_named(command, tmp_path, files):
    """An empty lost cell leaves its stint out, which every answer says; it is not a zero."""
    files["stints"].loc[:2, "lost"] = None
    files["catches"] = files["catches"][files["catches"]["outcome"] == "landed"]
    imported(command, tmp_path, files)
    done = command("summary", "--outcome", "lost")
    hours = files["stints"]["hours"].astype(float)[:3].sum()
    assert f"3 stints ({hours:,.0f} rod-hours) were left out" in done.out
    found = machine(command, "summary", "--outcome", "hooked")
    assert found["total"]["stints"] == len(files["stints"]) - 3
    by_code = {one["code"]: one for one in found["notes"]}
    assert by_code["lost_not_logged"]["numbers"]["stints"] == 3


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ("summary --min-weight 20", "or 9.5kg, not '20'"),
        ("check --min-weight heavy", "not 'heavy'"),
        ("report --min-weight 20.5lb", "20.500lb or 9.5kg"),
        ("compare --min-weight=-5kg", "not '-5kg'"),
        ("report --outcome hooked --min-weight 20lb", "--outcome landed"),
        ("sizes --species tensh", "Did you mean 'tench'?"),
        ("sizes --venue Nowhere", "There is no venue"),
        ("sizes --units stone", "stone"),
    ],
)
@pytest.mark.usefixtures("held")
def test_what_cannot_be_asked(command, asked, says):
    """Exit code 2, nothing on stdout, and what would be right on stderr."""
    done = command(*asked.split())
    assert (done.code, done.out) == (2, "")
    assert says in done.err


def test_sizes_gives_the_figures_of_the_files(command, held):
    """Median, quartiles and biggest of each variant are pandas' own over the files; and
    `rodhours.sizes` on the same fish gives the machine form."""
    found = machine(command, "sizes", "--reference", "plain")
    assert (found["schema"], found["reference"]) == (1, "plain")
    fish = landed(held).assign(angler=None)
    by_variant = fish.groupby("variant")["kg"]
    quarters = by_variant.quantile([0.25, 0.5, 0.75]).unstack()
    assert {row["variant"] for row in found["rows"]} == set(quarters.index)
    for row in found["rows"]:
        name = row["variant"]
        assert row["weighed"] == by_variant.count()[name]
        assert row["biggest_kg"] == by_variant.max()[name]
        for share, part in ((0.25, "lower_quartile"), (0.5, "median"), (0.75, "upper_quartile")):
            assert row[f"{part}_kg"] == pytest.approx(quarters.loc[name, share])
    assert found == rodhours.sizes(fish.assign(weight=fish["kg"]), "plain").to_dict()


def test_sizes_in_words(command, tmp_path, held):
    """Pounds and ounces or kilograms, about weighed fish only, species chosen, reference kept."""
    biggest = landed(held)["kg"].max()
    pounds, ounces = divmod(round(biggest / 0.45359237 * 16), 16)
    said = command("sizes", "--reference", "plain").out
    assert f"{pounds} lb {ounces} oz" in said
    assert "about the fish that were weighed and only those" in said
    assert "Several species are weighed together here" in said
    assert f"{biggest:.2f} kg" in command("sizes", "--units", "kg").out
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        book.set_setting("weight_unit", "kg")
    assert f"{biggest:.2f} kg" in command("sizes").out
    one = command("sizes", "--species", "tench")
    assert "Several species" not in one.out
    found = machine(command, "sizes", "--species", "tench")
    assert found["filters"] == {"species": "tench"}
    tench = landed(held)["species"] == "tench"
    assert sum(row["weighed"] for row in found["rows"]) == tench.sum()


@pytest.mark.usefixtures("few_looks")
def test_sizes_without_a_weight(command, tmp_path, files):
    """A log without weights is told how to write one."""
    files["catches"] = files["catches"].drop(columns="weight")
    imported(command, tmp_path, files)
    done = command("sizes")
    assert (done.code, done.out) == (2, "")
    assert "22lb 4oz" in done.err
