"""`rodhours demo` from end to end, and its report in a browser."""

from __future__ import annotations

import csv
import io
import re
from contextlib import redirect_stdout
from pathlib import Path
from typing import NamedTuple

import pytest

from browser import find_browser, visit
from rodhours.cli.commands import built
from rodhours.cli.demo import demo as run_demo
from rodhours.report.pictures import growth

EXAMPLE = Path(__file__).parents[2] / "example_data"
TABLES = ("stints.csv", "sessions.csv", "variants.csv", "catches.csv")
ANSWER = re.compile(
    r"pellet-20 caught ([\d.]+) times as fast as plain; "
    r"with 95 % confidence between ([\d.]+) and ([\d.]+) times"
)


class Demo(NamedTuple):
    """A run of the demo, what it said, and its page."""

    folder: Path
    said: str
    page: bytes


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Demo:
    """Run once, with few looks back on the page."""
    folder, said = tmp_path_factory.mktemp("demo") / "season", io.StringIO()
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(said):
        patch.setattr(growth, "MOST_LOOKS", 4)
        patch.setattr(growth, "FEWEST_LOOKS", 4)
        run_demo(folder)
    return Demo(folder, said.getvalue(), (folder / "season.html").read_bytes())


def example_rows() -> int:
    """Data rows of the four tables of the example season, counted by the csv module."""
    total = 0
    for name in TABLES:
        with (EXAMPLE / name).open(encoding="utf-8", newline="") as stream:
            total += sum(1 for _ in csv.DictReader(stream))
    return total


def test_the_demo_runs_and_leaves_its_files(demo: Demo) -> None:
    """The season's tables as they are, the logbook and the report; the answer names both baits
    and a ratio that lies within its limits."""
    for name in TABLES:
        assert (demo.folder / name).read_bytes() == (EXAMPLE / name).read_bytes()
    assert (demo.folder / "logbook.sqlite").read_bytes().startswith(b"SQLite format 3\0")
    assert f"{example_rows():,} rows imported" in demo.said
    assert str(demo.folder / "season.html") in demo.said
    found = ANSWER.search(demo.said)
    assert found is not None, demo.said
    ratio, low, high = (float(part) for part in found.groups())
    assert 0 < low < ratio < high


def test_every_command_the_demo_names_to_try_next_can_be_called(demo: Demo) -> None:
    """What the demo tells a reader to type are commands with options that they have."""
    tail = demo.said.split("Then try:")[1]
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
