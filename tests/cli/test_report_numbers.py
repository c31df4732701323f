"""Every number that the report gives of catch rates and ratios is that of the machine forms."""

from __future__ import annotations

import json
import re
import shutil
from collections.abc import Iterator
from html import unescape

import pytest

from rodhours.cli.demonstrating import TABLES, example_season
from rodhours.cli.importing import import_files
from rodhours.cli.reporting import report

DRAWN = re.compile(r'<text style="(?![^"]*middle)[^>]*>([^<]*)</text>')
"""Words in a picture: ticks of axes, which are no numbers of the log, are centred."""
NUMBER = re.compile(r"\d[\d,]*(?:\.\d+)?")


@pytest.fixture(scope="module")
def reported(tmp_path_factory):
    """A folder with the logbook of the example season and the report of it."""
    folder = tmp_path_factory.mktemp("reported")
    logbook = folder / "logbook.sqlite"
    import_files([example_season() / name for name in TABLES], logbook=logbook)
    report(out=folder / "season.html", logbook=logbook, reference="plain")
    return folder


@pytest.fixture
def season(command, reported, tmp_path):
    """The report of the example season, and what `compare` and `summary` print of it as JSON."""
    shutil.copytree(reported, tmp_path, dirs_exist_ok=True)
    compared = json.loads(command("compare", "--reference", "plain", "--json").out)
    summary = json.loads(command("summary", "--json").out)
    plan = json.loads(command("plan", "next", "--reference", "plain", "--json").out)
    return (tmp_path / "season.html").read_text(encoding="utf-8"), compared, summary, plan


def text_of(html: str) -> str:
    html = re.sub(r"<svg.*?</svg>|<table.*?</table>", " ", html, flags=re.DOTALL)
    return unescape(re.sub(r"<[^>]*>", "", html)).replace("\u00a0", " ")


def section(page: str, name: str) -> str:
    return re.search(rf'<section[^>]* id="{name}">.*?</section>', page, re.DOTALL).group(0)


def table(html: str) -> list[dict[str, str]]:
    """The first table as rows by heading."""
    inside = re.search(r"<table.*?</table>", html, re.DOTALL).group(0)
    rows = [
        [text_of(cell) for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.DOTALL)]
        for row in re.findall(r"<tr>(.*?)</tr>", inside, re.DOTALL)
    ]
    return [dict(zip(rows[0], row, strict=True)) for row in rows[1:]]


def agrees(shown: str, value: float) -> bool:
    """Whether a number as shown is the value, rounded to the digits that are shown."""
    digits = len(shown.partition(".")[2])
    return abs(float(shown.replace(",", "")) - value) <= 0.5 * 10**-digits * (1 + 1e-9)


def same_numbers(cell: str, *values: float) -> None:
    shown = NUMBER.findall(cell)
    assert len(shown) == len(values), (cell, values)
    for one, value in zip(shown, values, strict=True):
        assert agrees(one, value), (cell, values)


def leaves(machine: object) -> Iterator[float]:
    if isinstance(machine, dict):
        for value in machine.values():
            yield from leaves(value)
    elif isinstance(machine, list):
        for value in machine:
            yield from leaves(value)
    elif isinstance(machine, (int, float)) and not isinstance(machine, bool):
        yield float(machine)


def test_every_number_of_the_report_is_in_the_machine_forms(season):
    """Cell by cell in the tables of rates and ratios, and each number of the sentences and
    pictures of these parts is one of `compare --json` or `summary --json`, rounded, turned round
    (one in so many hours, the reference against the bait) or in words of 100; what
    would settle it is that of `plan next --json`."""
    page, compared, summary, plan = season
    rows = table(section(page, "rates"))
    machine = {row["group"]: row for row in (*summary["rows"], summary["total"])}
    assert {row["Variant"] for row in rows} == set(machine)
    for row in rows:
        one = machine[row["Variant"]]
        same_numbers(row["Trips"], one["sessions"])
        same_numbers(row["Blanks"], one["blanks"])
        same_numbers(row["Rod-hours"], one["rod_hours"])
        same_numbers(row["Fish"], one["fish"])
        same_numbers(row["Per 100 rod-hours"], one["per_100_rod_hours"])
        same_numbers(row["Limits"], one["conf_low"], one["conf_high"])
        assert row["Method"] == one["method"]
    rows = table(section(page, "ratios"))
    assert len(rows) == sum(3 if c["basis"] == "same trips" else 2 for c in compared["comparisons"])
    for row in rows:
        one = next(c for c in compared["comparisons"] if c["variant"] == row["Variant"])
        part = {"same trips": one, "all trips": one["all_trips"]}.get(row["Basis"], one["poisson"])
        same_numbers(row["Ratio"], part["rate_ratio"])
        same_numbers(row["Limits"], part["conf_low"], part["conf_high"])
        if not row["p"].startswith("<"):
            same_numbers(row["p"], part["p_value"])
        same_numbers(row["Fish"], part.get("fish", one["all_trips"]["fish"]))
        same_numbers(row["Rod-hours"], part.get("rod_hours", one["all_trips"]["rod_hours"]))
    # Sentences and the words in the pictures: no number that the machine forms do not hold.
    told = [*leaves(compared), *leaves(summary), summary["total"]["sessions"]]
    same = [one for one in compared["comparisons"] if one["basis"] == "same trips"]
    told += [
        same[0][f"reference_{name}"] + sum(one[name] for one in same)
        for name in ("fish", "rod_hours")
    ]
    told += [one["fish"] + one["reference_fish"] for one in compared["comparisons"]]
    known = [form for x in told for form in (x, 100 * x, *((1 / x, 100 / x) if x else ()))]
    known += [1, 100, len(compared["comparisons"])]
    # What would settle it: trips of one of the variants, and their rod-hours to two figures.
    alone = [one["trips_to_go_alone"] for one in plan["variants"]]
    to_go = [trips * plan["grounds"]["rod_hours_a_trip"] for trips in alone]
    known += [*alone, *(float(f"{hours:.2g}") for hours in to_go), plan["ratio"]]
    names = sorted(machine, key=len, reverse=True)
    for part in ("answer", "rates", "ratios"):
        html = section(page, part)
        words = text_of(html) + " ".join(DRAWN.findall(html))
        for name in (*names, *re.findall(r"\w+\.csv|\d{4}-\d\d-\d\d|\bT\d+", words)):
            words = words.replace(name, "")
        for shown in NUMBER.findall(words):
            assert any(agrees(shown.rstrip(","), value) for value in known), (part, shown)


def test_growth_and_what_to_fish_next_are_those_of_their_commands(command, season):
    """Each cell of the two tables is a number of `compare --running --json` or of `plan next`."""
    page, _, _, plan = season
    running = json.loads(command("compare", "--reference", "plain", "--running", "--json").out)[
        "running"
    ]
    looks = {
        (one["variant"], look["trip"]): look
        for one in running["comparisons"]
        for look in one["looks"]
    }
    rows = table(section(page, "growth"))
    assert len(rows) == 3 * 40
    for row in rows:
        look = looks[row["Variant"], int(row["Trip"])]
        if look["missing"] is None:
            same_numbers(row["Ratio"], look["rate_ratio"])
        if look["conf_low"] and look["conf_high"]:
            same_numbers(row["Running limits"], look["conf_low"], look["conf_high"])
    last = [row for row in rows if row["Trip"] == "45"]
    assert len(last) == 3
    for row, one in zip(table(section(page, "next")), plan["variants"], strict=True):
        assert row["choice"] == one["choice"]
        same_numbers(row["times as fast"], one["rate_ratio"])
        same_numbers(row["trips to go"], one["trips_to_go"])
        same_numbers(row["rod-hours to go"], one["rod_hours_to_go"])
