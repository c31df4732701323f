"""Bare `rodhours`: what the logbook holds and the next sensible command."""

from __future__ import annotations

import os
from pathlib import Path
from typing import Annotated, Any

import typer

from rodhours.cli.options import DEFAULT_LOGBOOK, LOGBOOK_VARIABLE, LogbookOption
from rodhours.cli.output import answer
from rodhours.errors import UsageError
from rodhours.version import __version__


def welcome(
    context: typer.Context,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    version: Annotated[bool, typer.Option("--version", help="Print the version.")] = False,
) -> None:
    """Look at the logbook, unless a command was given, which then uses that logbook."""
    if version:
        answer(f"rodhours {__version__}")
        raise typer.Exit
    if context.invoked_subcommand is None:
        answer(_state(logbook))
    elif str(context.get_parameter_source("logbook")).endswith("COMMANDLINE"):
        _hand_on(context, context.invoked_subcommand, logbook)


def _hand_on(context: typer.Context, name: str, logbook: Path) -> None:
    """A logbook named before the command is that of the command, as if its variable said so."""
    command: Any = context.command
    chosen = command.get_command(context, name)
    options = [
        one for part in (chosen, *getattr(chosen, "commands", {}).values()) for one in part.params
    ]
    if "logbook" not in {one.name for one in options}:
        raise UsageError(f"rodhours {name} uses no logbook: leave --logbook out.")
    before = os.environ.get(LOGBOOK_VARIABLE)
    os.environ[LOGBOOK_VARIABLE] = str(logbook)
    context.call_on_close(
        lambda: (
            os.environ.pop(LOGBOOK_VARIABLE, None)
            if before is None
            else os.environ.update({LOGBOOK_VARIABLE: before})
        )
    )


def _state(path: Path) -> str:
    from rodhours.log.logbook import open_logbook
    from rodhours.log.logbook_file import is_missing

    if not path.exists() or is_missing(path):
        return (
            f"There is no logbook here yet ({path}).\n"
            "Start with your own trip log:   rodhours import FILE\n"
            "or look at an example season:   rodhours demo\n"
            "All commands:                   rodhours --help"
        )
    from rodhours.words.numbers import count

    with open_logbook(path) as logbook:
        held, waiting = logbook.counts(), len(logbook.waiting())
        recipes = len(logbook.variants())
    waits = f"{count(waiting, 'trip')} {'waits' if waiting == 1 else 'wait'}: rodhours waiting"
    if not held.stints and recipes and not waiting:
        return (
            f"The logbook {path} holds {count(recipes, 'recipe')} and no trip yet.\n"
            "Next: rodhours mix VARIANT --baits 30, or rodhours plan rotation"
        )
    if not held.stints:
        first = waits if waiting else f"The logbook {path} is empty."
        return f"{first}\nNext: rodhours import FILE"
    when = f", {held.first_date} to {held.last_date}" if held.first_date else ""
    lines = [
        f"The logbook {path} holds {count(held.sessions, 'trip')} with "
        f"{count(held.stints, 'stint')} and {count(held.fish, 'fish')}{when}."
    ]
    if waiting:
        lines.append(f"{waits} lists them.")
    if held.variants < 2:
        lines.append("It knows one bait only; fish two or more side by side, then compare.")
        lines.append("Next: rodhours summary")
    else:
        lines.append(f"It knows {count(held.variants, 'variant')}.")
        lines.append("Next: rodhours compare, then rodhours report")
    return "\n".join(lines)
