"""`rodhours demo` from end to end, and its report in a browser."""

from __future__ import annotations

import csv
import re
import subprocess
import sys
from pathlib import Path
from typing import NamedTuple

import pytest

from browser import find_browser, visit
from rodhours.cli.commands import built

EXAMPLE = Path(__file__).parents[2] / "example_data"
TABLES = ("stints.csv", "sessions.csv", "variants.csv", "catches.csv")
ANSWER = re.compile(
    r"pellet-20 caught ([\d.]+) times as fast as plain; "
    r"with 95 % confidence between ([\d.]+) and ([\d.]+) times"
)


class Demo(NamedTuple):
    """A run of the demo, and its page."""

    folder: Path
    first: subprocess.CompletedProcess[str]
    page: bytes


def run_demo(folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "rodhours", "demo", "--dir", str(folder)],
        capture_output=True,
        text=True,
        timeout=900,
        check=False,
    )


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Demo:
    folder = tmp_path_factory.mktemp("demo") / "season"
    first = run_demo(folder)
    assert first.returncode == 0, first.stderr
    page = (folder / "season.html").read_bytes()
    return Demo(folder, first, page)


def example_rows() -> int:
    """Data rows of the four tables of the example season, counted by the csv module."""
    total = 0
    for name in TABLES:
        with (EXAMPLE / name).open(encoding="utf-8", newline="") as stream:
            total += sum(1 for _ in csv.DictReader(stream))
    return total


def test_the_demo_runs_and_leaves_its_files(demo: Demo) -> None:
    """Exit code 0; the season's tables as they are, the logbook and the report are there."""
    assert demo.first.returncode == 0, demo.first.stderr
    for name in TABLES:
        assert (demo.folder / name).read_bytes() == (EXAMPLE / name).read_bytes()
    assert (demo.folder / "logbook.sqlite").read_bytes().startswith(b"SQLite format 3\0")
    assert f"{example_rows():,} rows imported" in demo.first.stdout
    assert str(demo.folder / "season.html") in demo.first.stdout


def test_the_demo_answers_its_question_with_an_interval(demo: Demo) -> None:
    """The answer names both baits and a ratio that lies within its limits."""
    found = ANSWER.search(demo.first.stdout)
    assert found is not None, demo.first.stdout
    ratio, low, high = (float(part) for part in found.groups())
    assert 0 < low < ratio < high


def test_every_command_the_demo_names_to_try_next_can_be_called(demo: Demo) -> None:
    """What the demo tells a reader to type are commands with options that they have."""
    tail = demo.first.stdout.split("Then try:")[1]
    commands = [line.split() for line in tail.splitlines() if line.startswith("  rodhours ")]
    assert {"check", "response", "sizes", "compare", "rehearse"} <= {one[1] for one in commands}
    assert len(commands) <= 7
    for _, name, *arguments in commands:
        built(name).make_context(name, arguments)


def test_the_demo_wants_a_new_folder(demo: Demo, command) -> None:
    """Again into the same folder it is refused in a line, and nothing is touched."""
    again = command("demo", "--dir", demo.folder)
    assert (again.code, again.out, again.err.count("\n")) == (2, "", 1)
    assert (demo.folder / "season.html").read_bytes() == demo.page


def test_a_request_of_a_spoilt_page_is_kept_back_and_would_be_seen(
    demo: Demo, tmp_path: Path
) -> None:
    """A copy with an error and a picture from the net shows both to a browser; under the page's
    own policy it gets nothing from the net."""
    browser = find_browser()
    if browser is None:
        pytest.skip("no Chromium here, so the report cannot be opened in it")
    wanted = "http://127.0.0.1:9/x.png"
    spoilt = demo.page.decode().replace(
        "</body>", f'<img src="{wanted}"><script>console.error("x")</script></body>'
    )
    copy = tmp_path / "spoilt.html"
    copy.write_text(spoilt, encoding="utf-8")
    seen = visit(browser, copy, tmp_path)
    assert seen.requests == []
    assert any("Content Security Policy" in line for line in seen.console)
    bare, policies = re.subn(r'<meta http-equiv="Content-Security-Policy"[^>]*>', "", spoilt)
    assert policies == 1
    copy.write_text(bare, encoding="utf-8")
    seen = visit(browser, copy, tmp_path)
    assert seen.requests == [wanted]
    assert len(seen.console) == 1
    assert seen.console[0].startswith('"x"')
