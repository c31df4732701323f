"""Every number on the page is that of the report for machines, and those are the commands'."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator

import pytest

from report_tables import NUMBER, agrees, same_numbers, same_rates, saved, section, table, text_of
from rodhours.cli.demo import TABLES, example_season
from rodhours.cli.output import json_text
from rodhours.report.page import season_page
from rodhours.report.pictures.growth import MOST_LOOKS
from rodhours.report.season import season_machine

DRAWN = re.compile(r'<text style="(?![^"]*middle)[^>]*>([^<]*)</text>')
"""Words in a picture: ticks of axes, which are no numbers of the log, are centred."""


@pytest.fixture(scope="module")
def season(example):
    """The page of the example season, and its results for machines."""
    return season_page(example), json.loads(json_text(season_machine(example)))


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
    page, whole = season
    compared, summary, plan = whole["compare"], whole["summary"], whole["next"]
    assert re.findall(r'<section[^>]* id="([^"]+)"', page) == [
        *("answer", "limits", "next", "ratios", "growth", "hours", "ingredient-1", "ingredient-2"),
        *("fish", "rates", "batches", "method", "provenance", "glossary", "program"),
    ]
    rows = table(section(page, "rates"))
    machine = {row["group"]: row for row in (*summary["rows"], summary["total"])}
    assert {row["Variant"] for row in rows} == set(machine)
    for row in rows:
        one = machine[row["Variant"]]
        same_numbers(row["Trips"], one["sessions"])
        same_rates(row, one)
        limits = one["conf_low"], one["conf_high"]
        same_numbers(row["Limits"], *(limit for limit in limits if limit is not None))
        assert row["Method"] == one["method"]
    rows = table(section(page, "ratios"))
    assert len(rows) == sum(2 if c["basis"] == "same trips" else 1 for c in compared["comparisons"])
    for row in rows:
        one = next(c for c in compared["comparisons"] if c["variant"] == row["Variant"])
        part = {"same trips": one, "all trips": one["all_trips"]}[row["Basis"]]
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
    # What would settle it: trips of one of the variants.
    known += [one["trips_to_go"] for one in plan["variants"] if one["trips_to_go"] is not None]
    known += [plan["ratio"], 100 * plan["power"]]
    names = sorted(machine, key=len, reverse=True)
    for part in ("answer", "rates", "ratios"):
        html = section(page, part)
        words = text_of(html) + " ".join(DRAWN.findall(html))
        for name in (*names, *re.findall(r"\w+\.csv|\d{4}-\d\d-\d\d|\bT\d+", words)):
            words = words.replace(name, "")
        for shown in NUMBER.findall(words):
            assert any(agrees(shown.rstrip(","), value) for value in known), (part, shown)


def test_growth_fish_and_what_to_fish_next_are_those_of_the_machine_forms(season):
    """Each cell of the tables is a number of `compare --running --json`, `sizes` or `plan next`."""
    page, whole = season
    running, summary, plan = whole["running"], whole["summary"], whole["next"]
    looks = {
        (one["variant"], look["trip"]): look
        for one in running["comparisons"]
        for look in one["looks"]
    }
    rows = table(section(page, "growth"))
    assert len(rows) == 3 * MOST_LOOKS <= 3 * 40
    for row in rows:
        look = looks[row["Variant"], int(row["Trip"])]
        if look["missing"] is None:
            same_numbers(row["Ratio"], look["rate_ratio"])
        # The table has no limit beyond 100,000 times either way: it limits nothing.
        limits = (look["conf_low"] or 0.0, look["conf_high"] or float("inf"))
        near = [one for one in limits if 1e-5 <= one <= 1e5]
        if look["missing"] is None:
            same_numbers(row["Running limits"], *near)
    last = [row for row in rows if row["Trip"] == "45"]
    assert len(last) == 3
    html = section(page, "next")
    for row, file, one in zip(table(html), saved(html, "next.csv"), plan["variants"], strict=True):
        assert row["Choice"] == file["choice"] == one["choice"]
        ratios = one["rate_ratio"], one["conf_low"], one["conf_high"]
        same_numbers(row["Times as fast (95 % limits)"], *ratios)
        gains = one["gain_per_100"], one["gain_low"], one["gain_high"]
        same_numbers(row["Fish gained per 100 rod-hours (95 % limits)"], *map(abs, gains))
        if one["trips_to_go"] is not None:
            same_numbers(row["Trips to go"], one["trips_to_go"])
        # A gain is signed, and in the file a number with which a spreadsheet can reckon.
        assert agrees(file["gain per 100 rod-hours"], one["gain_per_100"])
        if one["trips_to_go"] is not None:
            assert agrees(file["rod-hours to go"], one["rod_hours_to_go"])
        assert len(file) == 8
    weights_and_lost_fish(section(page, "fish"), whole["sizes"], summary)


def weights_and_lost_fish(html, machine, summary):
    """Medians, quarters and the biggest in pounds and ounces (0.45359237 kg the pound), ratios of
    weight with their limits, fish landed."""
    ratios = {one["variant"]: one for one in machine["comparisons"]}
    for row, one in zip(table(html), machine["rows"], strict=True):
        same_numbers(row["Weighed"], one["weighed"])
        shown = [row["Median"], *row["Middle half"].split(" to "), row["Biggest"]]
        names = ("median_kg", "lower_quartile_kg", "upper_quartile_kg", "biggest_kg")
        for cell, name in zip(shown, names, strict=True):
            assert ounces_of(cell) == pytest.approx(one[name] / 0.45359237 * 16, abs=0.501)
        ratio = ratios.get(row["Variant"])
        if ratio is not None and ratio["weight_ratio"] is not None:
            shown = row["Typical weight ratio"]
            same_numbers(shown, ratio["weight_ratio"], ratio["conf_low"], ratio["conf_high"])
    counted = {row["group"]: row["fish"] for row in summary["rows"]}
    landed = table(html[html.index("Landed, lost and the biggest") :])
    assert {row["Variant"]: int(row["Landed"]) for row in landed} == counted


def ounces_of(shown: str) -> int:
    found = re.fullmatch(r"(?:(\d+) ?lb)? ?(?:(\d+) ?oz)?", shown)
    return 16 * int(found[1] or 0) + int(found[2] or 0)


@pytest.fixture
def asked(command, tmp_path):
    """A function that asks a command for JSON, in a folder with the example season."""
    assert command("import", *(example_season() / name for name in TABLES)).code == 0
    assert command("leave-out", "T07", "--because", "hours were guessed").code == 0

    def ask(*arguments: str) -> dict:
        done = command(*arguments, "--json")
        assert done.code == 0, done.err
        return json.loads(done.out)

    return ask


ROWS = ("--until", "2025-05-20", "--reference", "plain")
FISH = ("--outcome", "hooked")


def test_the_results_are_those_of_the_single_commands(asked, command, tmp_path):
    """Each entry is what its own command prints of the same rows and fish; what the report has no
    part for is null."""
    assert command("report", *ROWS, *FISH, "--format", "json").code == 0
    place = tmp_path / "reports" / "season.json"
    whole = json.loads(place.read_text(encoding="utf-8"))
    assert list(whole) == [
        *("schema", "title", "compare", "limits", "summary", "response", "sizes"),
        *("running", "next", "rehearsal", "seasons"),
    ]
    assert whole["schema"] == 1
    assert "2025-04-01 to 2025-05-" in whole["title"]
    running = asked("compare", *ROWS, *FISH, "--running")
    looks = running.pop("running")
    assert whole["compare"] == running
    assert whole["summary"] == asked("summary", *ROWS[:2], *FISH)
    assert whole["sizes"] == asked("sizes", *ROWS)
    assert whole["next"] == asked("plan", "next", *ROWS, *FISH)
    for one in whole["response"]:
        assert one == asked("response", one["column"], *ROWS[:2], *FISH)
    assert [one["column"] for one in whole["response"]] == ["pellet_pct"]
    assert whole["running"] == looks
    says = {note["says"] for note in whole["limits"]}
    found = asked("check", *ROWS, *FISH)["findings"]
    assert "left_out" in {note["code"] for note in found}
    assert {note["says"] for note in (*whole["compare"]["notes"], *found)} == says
    assert whole["rehearsal"] is whole["seasons"] is None
