"""`rodhours report` as a user meets it: findings of the checks, ingredients, a rehearsal."""

from __future__ import annotations

import json
import re
from html import unescape

import pandas as pd
import pytest

from rodhours.cli.demo import example_season
from rodhours.words.notes import TOGETHER
from rodhours.words.parts import with_and_without_commands

pytestmark = pytest.mark.usefixtures("few_looks")

TABLES = ("stints", "sessions", "variants", "catches")


@pytest.fixture
def imported(command, tmp_path):
    """A function that imports tables of the example season, some trips kept or left out."""

    def made(tables, without=(), until=None):
        for name in tables:
            table = pd.read_csv(example_season() / f"{name}.csv", dtype=str)
            if "session" in table:
                table = table[~table["session"].isin(without)]
                table = table if until is None else table[table["session"] <= until]
            table.to_csv(tmp_path / f"{name}.csv", index=False)
        assert command("import", *(f"{name}.csv" for name in tables)).code == 0

    return made


@pytest.fixture
def page(command, tmp_path):
    """A function that reads the report."""

    def made(*options: str) -> str:
        done = command("report", "--out", "season.html", "--reference", "plain", *options)
        assert done.code == 0, done.err
        return (tmp_path / "season.html").read_text(encoding="utf-8")

    return made


def plain_text(html: str) -> str:
    return unescape(re.sub(r"<[^>]*>", "", html)).replace("\u00a0", " ")


def limits(html: str) -> list[str]:
    part = html.split('<section id="limits">')[1].split("</section>")[0]
    items = re.findall(r"<li>(.*?)</li>", part, flags=re.DOTALL)
    return [" ".join(plain_text(item).split()) for item in items]


def test_every_finding_of_the_checks_limits_the_answer(command, imported, page):
    """What `check` finds, missing trips among it, stands under what limits the answer: each once,
    worst first; of dates chosen, gaps are those of the whole log."""
    imported(TABLES, without=("T12", "T13"), until="T26")
    since = ("--since", "2025-06-01")
    told = limits(page(*since))
    checked = command("check", "--reference", "plain", "--json", *since)
    findings = json.loads(checked.out)["findings"]
    assert "gaps_in_the_log" in {one["code"] for one in findings}
    assert any("T12 and T13 are missing" in one for one in told)
    assert len(told) == len(set(told))
    # What is said of several baits in one text holds fewer entries than the findings.
    codes = [one["code"] for one in findings]
    for one in findings:
        if one["code"] not in TOGETHER or codes.count(one["code"]) == 1:
            # Commands stand in a place of their own.
            without, _ = with_and_without_commands(one["says"])
            assert sum(line.endswith(without) for line in told) == 1, one
    weights = [one.split(".")[0] for one in told]
    assert weights == sorted(weights, key=["Serious", "Caution", "Worth knowing"].index)


def test_stints_alone_make_a_page_with_the_rehearsal_that_was_asked_for(imported, page):
    """No recipes, no ingredients, one angler; the rehearsal is a part of its own."""
    imported(("stints",), until="T10")
    made = page("--rehearse", "1")
    assert "Rehearsed: 1 season on your own schedule" in plain_text(made)
    assert "ingredient-1" not in made
    assert "Who contributed what" not in made


def test_no_seasons_cannot_be_rehearsed(command, imported, tmp_path):
    """Exit code 2, and the page that was there stays."""
    imported(("stints",), until="T08")
    (tmp_path / "season.html").write_text("the page that was there", encoding="utf-8")
    done = command("report", "--out", "season.html", "--rehearse", "0", "--force")
    assert done.code == 2
    assert "Rehearse between 1 and" in done.err
    assert (tmp_path / "season.html").read_text(encoding="utf-8") == "the page that was there"


def test_an_interrupted_rehearsal_writes_no_page(command, imported, tmp_path, monkeypatch):
    """On all cores; exit code 130, and half a rehearsal is not put on a page that is kept."""
    from rodhours.simulate import run

    at_work = []

    def stopped(work, pieces, jobs, after_each):
        at_work.append(jobs)
        return [work(pieces[0]), *([None] * (len(pieces) - 1))]

    imported(("stints",), until="T14")
    monkeypatch.setattr(run, "cores", lambda: 3)
    monkeypatch.setattr(run, "spread", stopped)
    done = command("report", "--out", "season.html", "--rehearse", "2")
    assert done.code == 130
    assert "no page was written" in done.err
    assert not (tmp_path / "season.html").exists()
    assert at_work == [3]
