"""`rodhours response` as a user meets it: words, JSON, exit codes, the picture."""

from __future__ import annotations

import contextlib
import io
import json
import re
import signal
import sys
import xml.etree.ElementTree as ElementTree
from dataclasses import dataclass
from pathlib import Path
from unittest import mock

import pandas as pd
import pytest

import rodhours
from rodhours.cli.main import run
from rodhours.report.figures.response import response_picture
from rodhours.report.response_text import response_text
from rodhours.wording import response as words

EXAMPLE = Path(__file__).parents[2] / "example_data"


@dataclass(frozen=True)
class Done:
    """What a command left behind."""

    returncode: int
    stdout: str
    stderr: str


def command(folder: Path, *arguments: str) -> Done:
    """The command line, run in this process as the console script runs it."""
    out, err, code = io.StringIO(), io.StringIO(), 0
    interrupt = signal.getsignal(signal.SIGINT)
    with (
        contextlib.chdir(folder),
        mock.patch.object(sys, "argv", ["rodhours", *arguments]),
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(err),
    ):
        try:
            run()
        except SystemExit as end:
            code = int(end.code or 0)
        finally:
            signal.signal(signal.SIGINT, interrupt)
    return Done(code, out.getvalue(), err.getvalue())


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("response")
    done = command(place, "import", str(EXAMPLE / "season.xlsx"))
    assert done.returncode == 0, done.stderr
    return place


@pytest.fixture(scope="module")
def example() -> rodhours.evidence.ingredients.results.ResponseResult:
    stints = pd.read_csv(EXAMPLE / "stints.csv", dtype={"rod": str})
    return rodhours.respond(stints, pd.read_csv(EXAMPLE / "variants.csv"), "pellet_pct")


def test_the_answer_in_words(folder: Path) -> None:
    """Opening sentence first, both bases, the baits beside the line, then what limits it."""
    done = command(folder, "response", "pellet_pct")
    assert done.returncode == 0, done.stderr
    opening = done.stdout.splitlines()[0]
    assert re.search(
        r"each 10 points more pellet went with [\d.]+ times the catch rate, "
        r"with 95 % confidence between [\d.]+ and [\d.]+ times",
        opening,
    )
    for part in ("same trips", "all trips", "pellet-20", "chi-square with 2 degrees", "attractor"):
        assert part in done.stdout
    assert "ignifican" not in done.stdout
    assert "e-" not in re.sub(r"[a-z]e-[a-z]", "", done.stdout)


def test_json_is_the_promised_form(folder: Path) -> None:
    """The keys of schema 1, and the numbers of the Python answer on the same rows."""
    done = command(folder, "response", "pellet_pct", "--per", "5", "--json", "--confidence", "0.9")
    found = json.loads(done.stdout)
    assert found["schema"] == 1
    assert {
        "column", "unit", "per", "basis", "rate_ratio", "conf_low", "conf_high", "p_value",
        "verdict", "all_trips", "bent", "lack_of_fit", "curve", "points", "notes",
    } <= set(found)  # fmt: skip
    assert (found["per"], found["unit"], found["confidence"]) == (5, "points", 0.9)
    assert set(found["curve"][0]) == {"value", "ratio", "conf_low", "conf_high"}
    assert set(found["lack_of_fit"]) == {"line", "statistic", "df", "p_value"}
    assert [one["value"] for one in found["points"]] == [0, 10, 20, 20]
    for note in found["notes"]:
        assert note["says"]
    assert len(found["logbook_sha256"]) == 64


def test_choices_of_rows_are_kept(folder: Path) -> None:
    """Dates and waters choose rows and are named in the machine form."""
    done = command(
        folder, "response", "pellet_pct", "--since", "2025-06-01", "--json", "--adjust", "rod"
    )
    found = json.loads(done.stdout)
    assert found["filters"] == {"since": "2025-06-01"}
    assert found["adjusted_for"] == ["rod"]
    everything = json.loads(command(folder, "response", "pellet_pct", "--json").stdout)
    assert found["all_trips"]["fish"] < everything["all_trips"]["fish"]


@pytest.mark.parametrize(
    ("arguments", "code", "says"),
    [
        (["base_mix"], 2, "rodhours compare"),
        (["pelet_pct"], 2, "Did you mean 'pellet_pct'"),
        (["size_mm"], 2, "fewer than two values"),
        (["pellet_pct", "--per", "-1"], 2, "above 0"),
        (["pellet_pct", "--venue", "Nowhere"], 2, "Nowhere"),
        (["pellet_pct", "--logbook", "none.sqlite"], 4, "none.sqlite"),
        ([], 2, "differ between your baits: pellet_pct, attractor_ml_per_egg."),
    ],
)
def test_exit_codes_and_no_traceback(
    folder: Path, arguments: list[str], code: int, says: str
) -> None:
    """2 for what is not there, 4 without a logbook; a message on stderr, never a traceback."""
    done = command(folder, "response", *arguments)
    assert done.returncode == code
    assert done.stdout == ""
    assert says in done.stderr
    assert "Traceback" not in done.stderr


def test_narrow_terminals_cut_nothing(example) -> None:
    """Sentences wrap at the width; every bait and every figure is still there."""
    wide, narrow = response_text(example), response_text(example, 60)
    longest = max(len(line) for line in narrow.splitlines() if "  " not in line.strip())
    assert longest <= 60
    figures = re.compile(r"\d[\d.,]*")
    assert sorted(figures.findall(wide)) == sorted(figures.findall(narrow))


def test_the_picture_is_said_in_words_and_in_a_table(example) -> None:
    """One well-formed <svg>; every bait is in the picture, the alt text and the table."""
    picture = response_picture(example)
    root = ElementTree.fromstring(picture.svg)
    drawn = [node.text for node in root.iter() if node.tag.endswith("}text")]
    assert root.get("aria-label") == picture.alt
    assert root.get("viewBox", "").startswith("0 0 400 ")
    for one in example.points:
        assert one.variant in drawn
        assert one.variant in picture.alt
    assert list(picture.table["bait"]) == [one.variant for one in example.points]
    assert response_picture(example).svg == picture.svg
    assert not re.search(r"nan|inf", " ".join(re.findall(r' (?:d|x|y)="([^"]*)"', picture.svg)))


def test_pictures_of_odd_answers_are_drawn() -> None:
    """No fish, fish at one end only, many baits with long names: drawn and said all the same."""
    values = range(12)
    names = [f"a bait whose name is longer than most, number {i}" for i in values]
    recipes = pd.DataFrame({"variant": names, "hardness": [i // 2 for i in values]})
    each = list(enumerate(names))
    log = pd.DataFrame(
        [(str(trip), name, 12.0, (trip + i) % 3 % 2) for trip in range(6) for i, name in each],
        columns=["session", "variant", "hours", "fish"],
    )
    for fish in (log["fish"], 0 * log["fish"], log["fish"] * (log["variant"] == names[0])):
        result = rodhours.respond(log.assign(fish=fish), recipes, "hardness")
        picture = response_picture(result)
        ElementTree.fromstring(picture.svg)
        assert len(picture.table) == 12
        assert response_text(result, 80)


@pytest.mark.parametrize(
    ("column", "per", "said"),
    [
        ("pellet_pct", 10, "each 10 points more pellet"),
        ("pellet_pct", 1, "each point more pellet"),
        ("attractor_ml_per_egg", 1, "each ml more attractor per egg"),
        ("size_mm", 2.5, "each 2.5 mm more in size"),
        ("boil_s", 10, "each 10 s more boiling"),
        ("hardness", 1, "each 1 more hardness"),
        ("hardness", 1000, "each 1,000 more hardness"),
    ],
)
def test_steps_in_words(column: str, per: float, said: str) -> None:
    """A step reads as an angler says it, one and many."""
    assert words.step(column, per) == said


NUMBERS = {
    "column": "pellet_pct",
    "other": "size_mm",
    "columns": ["size_mm", "my_column"],
    "variants": ["mix"],
    "stints": 1,
    "rod_hours": 12.0,
    "fish": 1,
    "per": 5.0,
    "span": 4.0,
    "reason": "few_df",
    "contrasting_sessions": 1,
    "middle": 10.0,
    "below": 0,
    "above": 1,
    "sessions": 1,
    "end": "lowest",
    "value": 0.0,
    "values": [0.0, 20.0],
    "same_trips_ratio": 0.996,
    "all_trips_ratio": 0.7,
}


@pytest.mark.parametrize("code", words.codes())
def test_every_note_is_a_plain_sentence(code: str) -> None:
    """Each text ends like a sentence or a command, without code or a word never used."""
    text = words.says(code, NUMBERS)
    assert text[0].isupper() or text[0].isdigit() or text.startswith("mix")
    told = words.parts(code, NUMBERS)
    assert told.joined == text
    assert told.found
    assert told.how_much or told.what_to_do
    assert text.endswith((".", "rodhours compare"))
    assert not re.search(r"ignifican|prove|None|[{}]|_pct", text)
    assert "0.996" in text or code != "favourite_conditions"


def test_a_ratio_beside_one_never_reads_as_one() -> None:
    """A limit of 1.003 is not printed as 1.00 and called a rise."""
    machine = {
        "column": "pellet_pct", "per": 10.0, "basis": "same trips", "rate_ratio": 1.2,
        "conf_low": 1.003, "conf_high": 1.4, "verdict": "rises", "sessions": 30, "fish": 50,
        "rod_hours": 900.0, "confidence": 0.95, "bent": None, "margin": 1.25,
        "values": [0.0, 10.0, 20.0],
    }  # fmt: skip
    said = words.opening(machine)
    assert said == (
        "Rises: on the 30 trips that had two or more of the baits in the water, each 10 points "
        "more pellet went with 1.20 times the catch rate, with 95 % confidence between 1.003 and "
        "1.40 times."
    )
    none = {**machine, "rate_ratio": None, "conf_low": None, "verdict": "too little to say"}
    assert "at most 1.40 times" in words.opening(none)
    assert "each 10 points" in words.opening({**none, "conf_high": None})
