"""`rodhours report` as a user meets it: findings of the checks, ingredients, a rehearsal."""

from __future__ import annotations

import json
import re
from html import unescape

import pandas as pd
import pytest

from rodhours.cli.demo import example_season
from rodhours.words.parts import with_and_without_commands

pytestmark = pytest.mark.usefixtures("few_looks")

TABLES = ("stints", "sessions", "variants", "catches")


@pytest.fixture
def page(command, tmp_path):
    """A function that imports the example season without some trips and reads its report."""

    def made(*options: str, without: tuple[str, ...] = ()) -> str:
        if not (tmp_path / "logbook.sqlite").exists():
            for name in TABLES:
                table = pd.read_csv(example_season() / f"{name}.csv", dtype=str)
                if "session" in table:
                    table = table[~table["session"].isin(without)]
                table.to_csv(tmp_path / f"{name}.csv", index=False)
            assert command("import", *(f"{name}.csv" for name in TABLES)).code == 0
        done = command(
            "report", "--out", "season.html", "--reference", "plain", "--force", *options
        )
        assert done.code == 0, done.err
        return (tmp_path / "season.html").read_text(encoding="utf-8")

    return made


def plain_text(html: str) -> str:
    return unescape(re.sub(r"<[^>]*>", "", html)).replace("\u00a0", " ")


def limits(html: str) -> list[str]:
    part = html.split('<section id="limits">')[1].split("</section>")[0]
    items = re.findall(r"<li>(.*?)</li>", part, flags=re.DOTALL)
    return [" ".join(plain_text(item).split()) for item in items]


def test_every_finding_of_the_checks_limits_the_answer(command, page):
    """What `check` finds, missing trips among it, stands under what limits the answer: each once,
    worst first; of water and dates chosen, gaps are those of the whole log."""
    for options in ((), ("--since", "2025-06-01")):
        told = limits(page(*options, without=("T12", "T13")))
        checked = command("check", "--reference", "plain", "--json", *options)
        findings = json.loads(checked.out)["findings"]
        assert "gaps_in_the_log" in {one["code"] for one in findings}
        assert any("T12 and T13 are missing" in one for one in told)
        assert len(told) == len(set(told))
        # What is said of several baits in one text holds fewer entries than the findings.
        single = {one["says"] for one in findings}
        for code in ("few_fish", "mostly_indirect", "one_batch_each", "no_fish"):
            if sum(one["code"] == code for one in findings) > 1:
                single -= {one["says"] for one in findings if one["code"] == code}
        for says in single:
            # Commands stand in a place of their own.
            without, _ = with_and_without_commands(says)
            assert sum(one.endswith(without) for one in told) == 1, says
        weights = [one.split(".")[0] for one in told]
        assert weights == sorted(weights, key=["Serious", "Caution", "Worth knowing"].index)


def test_the_ingredients_of_the_season_are_on_its_page(command, page):
    """The opening sentence of `rodhours response` for each number that differs, of the same rows
    and fish; no rehearsal where none was asked for."""
    chosen = ("--since", "2025-05-01", "--outcome", "hooked")
    made = page(*chosen)
    assert 'id="rehearsal"' not in made
    html = plain_text(made)
    for column in ("pellet_pct", "attractor_ml_per_egg"):
        lines = command("response", column, *chosen).out.split("\n\n")
        assert lines[0].startswith("Counted here")
        assert lines[1] in html


def test_a_page_without_recipes_has_no_ingredients(command, tmp_path):
    """Stints alone make a page, quietly."""
    assert command("import", example_season() / "stints.csv").code == 0
    done = command("report", "--out", "season.html")
    assert done.code == 0, done.err
    assert "ingredient-1" not in (tmp_path / "season.html").read_text(encoding="utf-8")


def test_a_rehearsal_is_there_where_it_is_asked_for(page):
    """A part of its own, and the same bytes again."""
    first = page("--rehearse", "1")
    assert "Rehearsed: 1 season on your own schedule" in plain_text(first)
    assert page("--rehearse", "1") == first


def test_no_seasons_cannot_be_rehearsed(command, tmp_path):
    """Exit code 2, and the page that was there stays."""
    assert command("import", example_season() / "stints.csv").code == 0
    (tmp_path / "season.html").write_text("the page that was there", encoding="utf-8")
    done = command("report", "--out", "season.html", "--rehearse", "0", "--force")
    assert done.code == 2
    assert "Rehearse between 1 and" in done.err
    assert (tmp_path / "season.html").read_text(encoding="utf-8") == "the page that was there"


def test_an_interrupted_rehearsal_writes_no_page(command, tmp_path, monkeypatch):
    """On all cores; exit code 130, and half a rehearsal is not put on a page that is kept."""
    from rodhours.simulate import processes, run

    at_work = []

    def stopped(work, pieces, jobs, after_each):
        at_work.append(jobs)
        return [work(pieces[0]), *([None] * (len(pieces) - 1))]

    assert command("import", example_season() / "stints.csv").code == 0
    monkeypatch.setattr(processes, "cores", lambda: 3)
    monkeypatch.setattr(run, "spread", stopped)
    done = command("report", "--out", "season.html", "--rehearse", "2")
    assert done.code == 130
    assert "no page was written" in done.err
    assert not (tmp_path / "season.html").exists()
    assert at_work == [3]
