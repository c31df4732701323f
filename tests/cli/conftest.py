"""The command line in this process, through its own entry point, in a folder of its own."""

from __future__ import annotations

import signal
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest


@dataclass(frozen=True)
class Done:
    """What a command left behind."""

    code: int
    out: str
    err: str


@pytest.fixture
def command(tmp_path, monkeypatch, capsys):
    """A function that runs `rodhours` with the arguments given, in `tmp_path`."""
    from rodhours.cli.main import run

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
