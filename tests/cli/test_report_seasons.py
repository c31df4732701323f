"""`rodhours report --compare-season` as a user meets it."""

from __future__ import annotations

import json
import re
import shutil
from html import unescape

import pandas as pd
import pytest

from report_tables import same_numbers, same_rates, section, table
from rodhours.cli.demo import example_season
from rodhours.log.importing import import_paths

pytestmark = pytest.mark.usefixtures("few_looks")
TRIPS = 18
SWAPPED = {"2025": {}, "2024": {"plain": "pellet-20", "pellet-20": "plain"}}


@pytest.fixture(scope="module")
def both_years(tmp_path_factory):
    """A logbook that holds the first trips of the example season and the same a year before, with
    every fish of pellet-20 on plain and the other way round; its fish in a year."""
    folder, own, fish = example_season(), tmp_path_factory.mktemp("years"), 0
    for year in ("2025", "2024"):
        (own / year).mkdir()
        for name, columns in (
            ("stints", ["session", "rod", "variant", "hours", "fish"]),
            ("sessions", ["session", "date", "venue"]),
        ):
            frame = pd.read_csv(folder / f"{name}.csv", dtype=str)[columns]
            frame = frame[frame["session"] <= f"T{TRIPS}"].replace(SWAPPED[year])
            frame["session"] = f"{year}-" + frame["session"]
            frame = frame.replace("^2025-0", f"{year}-0", regex=True)
            frame.to_csv(own / year / f"{name}.csv", index=False)
            fish += frame["fish"].astype(int).sum() if year + name == "2025stints" else 0
        import_paths([own / year], own / "logbook.sqlite")
    return own / "logbook.sqlite", fish


@pytest.fixture
def two_years(command, both_years, tmp_path):
    """The command, in a folder with that logbook."""
    shutil.copyfile(both_years[0], tmp_path / "logbook.sqlite")
    return command


def part_of(page, name):
    text = re.search(rf'<section id="{name}">(.*?)</section>', page, re.DOTALL)[1]
    text = re.sub(r"<svg.*?</svg>", " ", text, flags=re.DOTALL)
    return unescape(re.sub(r"<[^>]+>", "", text))


def test_the_last_season_leads_and_the_earlier_one_stands_beside_it(
    two_years, both_years, tmp_path
):
    """The answer is that of the last season's rows; a part has both, and says whether pellet-20
    changed: it did by construction, from 1 / x times as fast as plain to x times."""
    done = two_years("report", "--out", "s.html", "--reference", "plain", "--compare-season")
    assert done.code == 0, done.err
    page = (tmp_path / "s.html").read_text(encoding="utf-8")
    assert re.search(r"<title>[^<]*2025-04-01 to 2025-0", page)
    said = part_of(page, "seasons")
    held = f"{TRIPS} trips", f"{both_years[1]} fish"
    assert "This season is 2025, with {} and {}; beside it 2024 ({}, {})".format(*held * 2) in said
    alone = json.loads(
        two_years("compare", "pellet-20", "plain", "--since", "2025-01-01", "--json").out
    )["comparisons"][0]["rate_ratio"]
    now, before, change = re.search(
        r"pellet-20 caught ([\d.]+) times as fast as plain this season and ([\d.]+) times before: "
        r"([\d.]+) times that",
        said,
    ).groups()
    assert float(now) == pytest.approx(alone, abs=0.006)
    assert float(before) == pytest.approx(1 / alone, abs=0.006)
    assert float(change) == pytest.approx(alone**2, abs=0.02)
    assert "Chosen" in page
    assert "season 2025" in page
    rows = table(section(page, "seasons"))
    only = ("--until", "2024-12-31", "--json")
    rates = json.loads(two_years("summary", *only).out)["rows"]
    compared = json.loads(two_years("compare", "--reference", "plain", *only).out)
    rates = {one["group"]: one for one in rates}
    ratios = {one["variant"]: one for one in compared["comparisons"]}
    own = [row for row in rows if row["Season"] == "2024"]
    assert {row["Variant"] for row in own} == set(rates)
    for row in own:
        same_rates(row, rates[row["Variant"]])
        if ratio := ratios.get(row["Variant"]):
            same_numbers(row["Ratio"], ratio["rate_ratio"])
            limits = ratio["conf_low"], ratio["conf_high"]
            same_numbers(row["Limits"], *filter(None, limits))


@pytest.mark.parametrize(
    ("options", "says"),
    [
        (("--compare-season", "--since", "2025-01-01"), "no earlier season"),
        (("--compare-season", "--season-starts", "02-30"), "'02-30'"),
        (("--compare-season", "--season-starts", "spring"), "'spring'"),
    ],
)
def test_what_cannot_be_asked(two_years, tmp_path, options, says):
    """Exit code 2, a sentence, and no page."""
    done = two_years("report", "--out", "s.html", "--reference", "plain", *options)
    assert done.code == 2
    assert says in done.err
    assert not (tmp_path / "s.html").exists()
