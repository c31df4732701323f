"""A command at a terminal of its own, as a person would answer it."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest


def at_a_terminal(folder: Path, answers: str, *arguments: str) -> tuple[int, str]:
    """The exit code and all that is said, with the answers typed ahead; ^D ends the input."""
    pty = pytest.importorskip("pty", reason="there are no pseudo-terminals on this system")
    ours, theirs = pty.openpty()
    environment = {**os.environ, "COLUMNS": "100", "NO_COLOR": "1"}
    environment.pop("RODHOURS_LOGBOOK", None)
    running = subprocess.Popen(
        [sys.executable, "-m", "rodhours", *arguments],
        cwd=folder,
        env=environment,
        stdin=theirs,
        stdout=theirs,
        stderr=theirs,
        close_fds=True,
        start_new_session=True,
    )
    os.close(theirs)
    # A question more than there are answers meets the end of the input.
    os.write(ours, answers.encode() + b"\x04" * 3)
    said = b""
    while True:
        try:
            part = os.read(ours, 4096)
        except OSError:  # the other side is closed
            break
        if not part:
            break
        said += part
    os.close(ours)
    return running.wait(timeout=60), said.decode().replace("\r\n", "\n")
