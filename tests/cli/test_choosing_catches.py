"""`--species`, `--min-weight`, `--outcome` and `rodhours sizes` as a user meets them.

The expected counts are pandas sums over the files that were imported.
"""

from __future__ import annotations

import json
import shutil

import pandas as pd
import pytest

import rodhours
from rodhours.cli.demonstrating import example_season
from rodhours.logbook.cells.weights import read_weight
from rodhours.logbook.importing import import_paths
from rodhours.logbook.logbook import open_logbook

TABLES = ("stints", "sessions", "variants", "catches")


def as_logged() -> dict[str, pd.DataFrame]:
    """Twenty trips of the example season as frames of texts, two baits, every other fish a tench.

    Cut down so that the many answers asked for below come quickly.
    """
    read = {name: pd.read_csv(example_season() / f"{name}.csv", dtype=str) for name in TABLES}
    baits = {name: "plain" if name == "plain" else "pellet-20" for name in read["variants"].variant}
    read["variants"] = read["variants"][read["variants"]["variant"].isin(baits.values())]
    for name in ("stints", "sessions", "catches"):
        read[name] = read[name][read[name]["session"] <= "T20"].reset_index(drop=True)
        if name != "sessions":
            read[name]["variant"] = read[name]["variant"].map(baits)
    read["catches"].loc[::2, "species"] = "tench"
    return read


def imported(command, folder, files):
    for name, table in files.items():
        table.to_csv(folder / f"{name}.csv", index=False)
    done = command("import", *(folder / f"{name}.csv" for name in files))
    assert done.code == 0, done.err


@pytest.fixture
def files():
    """The tables, to be changed and imported."""
    return as_logged()


@pytest.fixture(scope="module")
def logbook(tmp_path_factory):
    """The season imported once."""
    folder = tmp_path_factory.mktemp("season")
    paths = [folder / f"{name}.csv" for name in TABLES]
    for path, table in zip(paths, as_logged().values(), strict=True):
        table.to_csv(path, index=False)
    import_paths(paths, folder / "logbook.sqlite")
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


def test_counts_are_those_of_the_files(command, tmp_path, held):
    """Fish of a species, of a weight, lost and hooked: as many as the files hold, by variant."""
    fish = landed(held)
    stints = held["stints"].astype({"fish": int, "lost": int})
    by_rod = stints.groupby("variant")
    expected = {
        ("--species", "tench"): fish[fish["species"] == "tench"].groupby("variant").size(),
        ("--min-weight", "18lb 8oz"): fish[fish["kg"] >= 18.5 * 0.45359237]
        .groupby("variant")
        .size(),
        ("--species", "tench", "--min-weight", "8kg"): fish[
            (fish["species"] == "tench") & (fish["kg"] >= 8)
        ]
        .groupby("variant")
        .size(),
        ("--outcome", "lost"): by_rod["lost"].sum(),
        ("--outcome", "hooked"): by_rod["fish"].sum() + by_rod["lost"].sum(),
    }
    for options, counts in expected.items():
        machine = json.loads(command("summary", *options, "--json").out)
        found = {row["group"]: row["fish"] for row in machine["rows"]}
        assert found == counts.to_dict(), options
        assert machine["total"]["stints"] == len(stints)


def test_response_counts_the_fish_asked_for(command, tmp_path, held):
    """As many fish by bait on all trips as the files hold; the choice is named and in the JSON."""
    fish = landed(held)
    expected = fish[fish["species"] == "tench"].groupby("variant").size()
    options = ("response", "pellet_pct", "--species", "tench")
    machine = json.loads(command(*options, "--json").out)
    assert machine["all_trips"]["fish"] == expected.sum()
    assert machine["filters"] == {"species": "tench", "outcome": "landed"}
    assert command(*options).out.startswith("Counted here: tench.")


def test_check_and_rehearse_are_about_the_rows_and_fish_asked_for(command, tmp_path, held):
    """Both name the fish they count and carry the choice; a rehearsal has the trips chosen, and
    as many seasons as asked."""
    checked = command("check", "--min-weight", "15lb")
    assert checked.out.startswith("Counted here: fish of 15 lb and over.")
    machine = json.loads(command("check", "--min-weight", "15lb", "--json").out)
    assert set(machine["filters"]) == {"min_weight_kg", "outcome"}
    sessions = held["sessions"]
    water = sessions["venue"].mode()[0]
    options = ("--venue", water, "--outcome", "hooked")
    rehearse = ("rehearse", "--seasons", "1", "--jobs", "1", *options)
    found = json.loads(command(*rehearse, "--json").out)
    assert found["filters"] == {"venue": [water], "outcome": "hooked"}
    assert found["trips"] == (sessions["venue"] == water).sum()
    assert command(*rehearse).out.startswith("Counted here: fish hooked, landed or lost.")


def test_what_was_left_out_is_a_finding(command, tmp_path, files):
    """Stints without a count of lost fish, named by check and by response as by compare."""
    files["stints"].loc[[0, 3], "lost"] = None
    imported(command, tmp_path, files)
    for asked in (("check",), ("response", "pellet_pct")):
        machine = json.loads(command(*asked, "--outcome", "lost", "--json").out)
        told = {one["code"]: one for one in machine.get("findings", machine.get("notes"))}
        assert told["lost_not_logged"]["numbers"]["stints"] == 2


def test_compare_names_the_choice_in_words_and_in_json(command, tmp_path, held):
    """A line over the answer, the filters in the machine form, no such line without a choice."""
    options = ("--species", "carp", "--min-weight", "15lb")
    machine = json.loads(command("compare", "pellet-20", "plain", *options, "--json").out)
    assert machine["filters"] == {
        "species": "carp",
        "min_weight_kg": pytest.approx(15 * 0.45359237, abs=1e-6),
        "outcome": "landed",
    }
    done = command("compare", "pellet-20", "plain", *options)
    assert done.out.startswith("Counted here: carp of 15 lb and over.")
    for name, outcome, words in [
        ("compare", "lost", "fish hooked and lost"),
        ("summary", "hooked", "landed or lost"),
    ]:
        done = command(name, "--outcome", outcome)
        assert words in done.out.splitlines()[0]
        assert "Counted here" not in command(name).out
    assert json.loads(command("compare", "--json").out)["filters"] == {}
    assert "filters" not in json.loads(command("summary", "--json").out)


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
    assert command("sizes").out.startswith("Not settled: a typical weighed fish")
    assert "Whether any bait brings heavier fish is not settled" in page


def test_unweighed_fish_are_named_or_refused(command, tmp_path, files):
    """Up to 5 % without a weight are named beside the answer; more end with exit code 2."""
    catches = files["catches"]
    fish = catches.index[catches["outcome"] == "landed"]
    most = int(0.05 * len(fish))
    catches.loc[fish[:most], "weight"] = None
    imported(command, tmp_path, files)
    done = command("compare", "--min-weight", "10lb")
    assert done.code == 0
    assert f"Of the {len(fish)} fish concerned, {most} have no weight in the log" in done.out
    assert "have no weight in the log" in command("summary", "--min-weight", "10lb").out
    notes = json.loads(command("summary", "--min-weight", "10lb", "--json").out)["notes"]
    assert [note["code"] for note in notes] == ["fish_not_known"]

    catches.loc[fish[: most + 1], "weight"] = None
    files["catches"].to_csv(tmp_path / "catches.csv", index=False)
    (tmp_path / "logbook.sqlite").unlink()
    imported(command, tmp_path, files)
    for name in ("compare", "summary", "report"):
        done = command(name, "--min-weight", "10lb")
        assert (done.code, done.out) == (2, "")
        assert f"{most + 1} of the {len(fish)} fish concerned" in done.err


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
    """An empty lost cell leaves its stint out and says so; it is not a zero."""
    files["stints"].loc[:2, "lost"] = None
    files["catches"] = files["catches"][files["catches"]["outcome"] == "landed"]
    imported(command, tmp_path, files)
    done = command("compare", "--outcome", "lost")
    hours = files["stints"]["hours"].astype(float)[:3].sum()
    assert f"3 stints ({hours:,.0f} rod-hours) were left out" in done.out
    machine = json.loads(command("summary", "--outcome", "hooked", "--json").out)
    assert machine["total"]["stints"] == len(files["stints"]) - 3


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("--species", "tensh"), "Did you mean 'tench'?"),
        (("--min-weight", "20"), "20lb, '20lb 8oz' or 9.5kg, not '20'"),
        (("--min-weight", "heavy"), "not 'heavy'"),
        (("--min-weight", "20.5lb"), "three decimals: 20.500lb"),
        (("--min-weight", "0lb"), "not '0lb'"),
        (("--min-weight", "-5kg"), "not '-5kg'"),
        (("--outcome", "seen"), "seen"),
        (("--outcome", "hooked", "--min-weight", "20lb"), "--outcome landed"),
    ],
)
@pytest.mark.parametrize("name", ["compare", "summary", "report"])
def test_what_cannot_be_asked(command, tmp_path, held, name, options, says):
    """Exit code 2, nothing on stdout, and what would be right on stderr."""
    done = command(name, *options)
    assert (done.code, done.out) == (2, "")
    assert says in done.err


def test_sizes_gives_the_figures_of_the_files(command, tmp_path, held):
    """Median, quartiles and biggest of each variant are pandas' own over the files."""
    machine = json.loads(command("sizes", "--reference", "plain", "--json").out)
    assert (machine["schema"], machine["reference"]) == (1, "plain")
    by_variant = landed(held).groupby("variant")["kg"]
    quarters = by_variant.quantile([0.25, 0.5, 0.75]).unstack()
    assert {row["variant"] for row in machine["rows"]} == set(quarters.index)
    for row in machine["rows"]:
        name = row["variant"]
        assert row["weighed"] == by_variant.count()[name]
        assert row["biggest_kg"] == by_variant.max()[name]
        assert row["median_kg"] == pytest.approx(quarters.loc[name, 0.5])
        assert row["lower_quartile_kg"] == pytest.approx(quarters.loc[name, 0.25])
        assert row["upper_quartile_kg"] == pytest.approx(quarters.loc[name, 0.75])


def test_sizes_is_the_answer_of_python(command, tmp_path, held):
    """`rodhours.sizes` on the same fish gives the machine form, filters aside."""
    fish = landed(held).assign(angler=None)
    machine = json.loads(command("sizes", "--reference", "plain", "--json").out)
    assert machine == rodhours.sizes(fish.assign(weight=fish["kg"]), "plain").to_dict()


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
    machine = json.loads(command("sizes", "--species", "tench", "--json").out)
    assert machine["filters"] == {"species": "tench"}
    tench = landed(held)["species"] == "tench"
    assert sum(row["weighed"] for row in machine["rows"]) == tench.sum()
    assert command("compare", "--reference", "pellet-20").code == 0
    assert json.loads(command("sizes", "--json").out)["reference"] == "pellet-20"


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("--species", "tensh"), "Did you mean 'tench'?"),
        (("--reference", "plane"), "Did you mean 'plain'?"),
        (("--venue", "Nowhere"), "There is no venue"),
        (("--units", "stone"), "stone"),
    ],
)
def test_what_sizes_cannot_answer(command, tmp_path, held, options, says):
    """Exit code 2 and what would be right."""
    done = command("sizes", *options)
    assert (done.code, done.out) == (2, "")
    assert says in done.err


@pytest.mark.usefixtures("few_looks")
def test_sizes_without_a_weight(command, tmp_path, files):
    """A log without weights is told how to write one."""
    files["catches"] = files["catches"].drop(columns="weight")
    imported(command, tmp_path, files)
    done = command("sizes")
    assert (done.code, done.out) == (2, "")
    assert "22lb 4oz" in done.err
    assert command("report", "--out", "page.html").code == 0
    assert 'id="sizes"' not in (tmp_path / "page.html").read_text(encoding="utf-8")
