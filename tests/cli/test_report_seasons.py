"""`rodhours report --compare-season` as a user meets it."""

from __future__ import annotations

import json
import re
import shutil
from html import unescape

import pandas as pd
import pytest

from report_tables import same_numbers, section, table
from rodhours.cli.demo import example_season
from rodhours.log.importing import import_paths

pytestmark = pytest.mark.usefixtures("few_looks")


@pytest.fixture(scope="module")
def both_years(tmp_path_factory):
    """A logbook that holds the example season and the same a year before, with every fish of
    pellet-20 on plain and the other way round."""
    folder, own = example_season(), tmp_path_factory.mktemp("years")
    import_paths([folder / "stints.csv", folder / "sessions.csv"], own / "logbook.sqlite")
    stints = pd.read_csv(folder / "stints.csv", dtype=str)[
        ["session", "rod", "variant", "hours", "fish"]
    ]
    sessions = pd.read_csv(folder / "sessions.csv", dtype=str)[["session", "date", "venue"]]
    swapped = {"plain": "pellet-20", "pellet-20": "plain"}
    stints["variant"] = stints["variant"].replace(swapped)
    sessions["date"] = sessions["date"].str.replace("2025", "2024")
    for frame, name in ((stints, "stints"), (sessions, "sessions")):
        frame["session"] = "last-" + frame["session"]
        (own / "before").mkdir(exist_ok=True)
        frame.to_csv(own / "before" / f"{name}.csv", index=False)
    import_paths([own / "before"], own / "logbook.sqlite")
    return own / "logbook.sqlite"


@pytest.fixture
def two_years(command, both_years, tmp_path):
    """The command, in a folder with that logbook."""
    shutil.copyfile(both_years, tmp_path / "logbook.sqlite")
    return command


def part_of(page, name):
    text = re.search(rf'<section id="{name}">(.*?)</section>', page, re.DOTALL)[1]
    text = re.sub(r"<svg.*?</svg>", " ", text, flags=re.DOTALL)
    return unescape(re.sub(r"<[^>]+>", "", text))


def test_the_last_season_leads_and_the_earlier_one_stands_beside_it(two_years, tmp_path):
    """The answer is that of the last season's rows; a part has both, and says whether pellet-20
    changed: it did by construction, from 1 / x times as fast as plain to x times."""
    done = two_years("report", "--out", "s.html", "--reference", "plain", "--compare-season")
    assert done.code == 0, done.err
    page = (tmp_path / "s.html").read_text(encoding="utf-8")
    assert "2025-04-01 to 2025-10-16" in page
    said = part_of(page, "seasons")
    assert "This season is 2025, with 45 trips and 106 fish; beside it 2024 (45 trips, 106" in said
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
    for year in ("2024", "2025"):
        only = ("--since", f"{year}-01-01", "--until", f"{year}-12-31", "--json")
        rates = json.loads(two_years("summary", *only).out)["rows"]
        compared = json.loads(two_years("compare", "--reference", "plain", *only).out)
        rates = {one["group"]: one for one in rates}
        ratios = {one["variant"]: one for one in compared["comparisons"]}
        own = [row for row in rows if row["Season"] == year]
        assert {row["Variant"] for row in own} == set(rates)
        for row in own:
            one = rates[row["Variant"]]
            same_numbers(row["Fish"], one["fish"])
            same_numbers(row["Blanks"], one["blanks"])
            same_numbers(row["Rod-hours"], one["rod_hours"])
            same_numbers(row["Per 100 rod-hours"], one["per_100_rod_hours"])
            if ratio := ratios.get(row["Variant"]):
                same_numbers(row["Ratio"], ratio["rate_ratio"])
                same_numbers(row["Limits"], ratio["conf_low"], ratio["conf_high"])


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


def test_weights_are_shown_in_the_unit_asked_for(command, tmp_path):
    """Kilograms where they are asked for, though the example log has pounds and ounces."""
    folder = example_season()
    assert command("import", *folder.glob("[svc]*.csv"), "--no-layout").code in (0, 3)
    asked = ("--reference", "plain", "--units", "kg")
    assert command("report", "--out", "s.html", *asked).code == 0
    said = part_of((tmp_path / "s.html").read_text(encoding="utf-8"), "fish")
    assert re.search(r"\d ?kg\b", said), said
    assert not re.search(r"\d ?lb\b", said)
