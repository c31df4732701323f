"""The `rodhours` command: its entry point, which turns errors into exit codes."""

from __future__ import annotations

import os
import signal
import sys

import typer

from rodhours.cli.commands import Commands
from rodhours.cli.output import take_any_text, talk
from rodhours.cli.welcome import welcome
from rodhours.errors import RodhoursError, UnusableFile

app = typer.Typer(
    cls=Commands,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    help="Turn a season's trip log into evidence: which hookbait recipe catches more fish "
    "per rod-hour, by how much, and how sure one can be.",
)
app.callback(invoke_without_command=True)(welcome)


class _Interrupted(BaseException):
    """Ctrl-C: no Exception, so that nothing on the way takes it for an error of its own."""


def _interrupt(*_: object) -> None:
    raise _Interrupted


def run() -> None:
    """Entry point of the console script."""
    signal.signal(signal.SIGINT, _interrupt)
    if sys.stdout is None:
        sys.exit("Standard output is closed, so there is nowhere to answer.")
    take_any_text()
    try:
        try:
            app()
        finally:
            sys.stdout.flush()
    except RodhoursError as error:
        talk(str(error))
        sys.exit(error.exit_code)
    except (_Interrupted, KeyboardInterrupt):
        talk("Interrupted; nothing half-done was kept.")
        sys.exit(130)
    except BrokenPipeError:
        # The reader of a pipe (head, less) went away: not an error of ours.
        _say_no_more()
        sys.exit(0)
    except OSError as error:
        place = f"{error.filename}: " if error.filename else ""
        talk(f"{place}{error.strerror or error}. It cannot be read or written.")
        _say_no_more()
        sys.exit(UnusableFile.exit_code)


def _say_no_more() -> None:
    """Nothing is left to flush when Python ends: it would fail once more, and aloud."""
    if sys.__stdout__ is not None and sys.stdout is sys.__stdout__:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.__stdout__.fileno())
