"""The command line in this process, through its own entry point; time limits off.

Stands here so that every test can import `reference` and `simulated_seasons` from tests/.
"""

from __future__ import annotations

import gc
import io
import random
import signal
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest
from hypothesis import settings

# Timings are no tests: a busy machine must not fail one.
settings.register_profile("untimed", deadline=None)
settings.load_profile("untimed")


def pytest_addoption(parser):
    parser.addoption("--shuffle", type=int, metavar="SEED", help="files and tests in another order")


def pytest_collection_modifyitems(config, items):
    """Files in another order and their tests in another order, the same on every worker."""
    seed = config.getoption("shuffle")
    if seed is not None:
        draw = random.Random(seed).random
        files = {item.path: draw() for item in items}
        items.sort(key=lambda item: (files[item.path], draw()))


def pytest_collection_finish():
    """What is loaded by now stays: the collector of garbage need not look at it all day."""
    gc.freeze()


@dataclass(frozen=True)
class Done:
    """What a command left behind."""

    code: int
    out: str
    err: str


@pytest.fixture
def command(tmp_path, monkeypatch, capsys):
    """A function that runs `rodhours` with the arguments given, in `tmp_path`.

    Without `--jobs` it works on one core: the tests share the others among themselves, and
    processes take longer to start than most of what is asked for here.
    """
    from rodhours.cli.main import run

    monkeypatch.setattr("rodhours.simulate.run.cores", lambda: 1)
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("RODHOURS_LOGBOOK", raising=False)
    before = signal.getsignal(signal.SIGINT)

    def call(*arguments: str | Path) -> Done:
        monkeypatch.setattr(sys, "argv", ["rodhours", *map(str, arguments)])
        capsys.readouterr()
        try:
            run()
            code = 0
        except SystemExit as left:
            code = int(left.code or 0)
        said = capsys.readouterr()
        return Done(code, said.out, said.err)

    yield call
    signal.signal(signal.SIGINT, before)


@pytest.fixture
def by_questions(command, monkeypatch):
    """A function that runs a command as at a terminal, with the answers typed ahead."""
    from rodhours.cli import layouts

    def answered(answers: str, *arguments: str) -> Done:
        monkeypatch.setattr(layouts, "can_ask", lambda: True)
        monkeypatch.setattr(sys, "stdin", io.StringIO(answers))
        return command(*arguments)

    return answered


@pytest.fixture
def few_looks(monkeypatch):
    """Reports look back after four trips instead of 24: for tests of what else is on a page."""
    from rodhours.report.pictures import growth

    monkeypatch.setattr(growth, "MOST_LOOKS", 4)
    monkeypatch.setattr(growth, "FEWEST_LOOKS", 4)
