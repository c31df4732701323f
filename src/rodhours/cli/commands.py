"""The commands of `rodhours` by name: each is imported only when it is asked for.

So help and every answer start without the other two dozen commands. What a command says of
itself in the list stands here; its own help is the docstring of its function.
"""

from __future__ import annotations

import os
import shlex
from collections.abc import Callable
from functools import cache, wraps
from importlib import import_module
from typing import Any, NamedTuple

import typer
from typer.core import TyperGroup

from rodhours.cli.options import DEFAULT_LOGBOOK, LOGBOOK_VARIABLE
from rodhours.cli.output import answer


class Listed(NamedTuple):
    """Where a command is, and what the list says of it."""

    module: str
    name: str
    says: str


COMMANDS = {
    "import": Listed("import_", "import_files", "Read a trip log into the logbook"),
    "waiting": Listed("waiting", "waiting", "Trips whose rows were refused, and what each needs"),
    "template": Listed("template", "template", "Write a blank trip log to fill in"),
    "summary": Listed("answers", "summary", "What was fished, and fish per 100 rod-hours"),
    "compare": Listed("compare", "compare", "Did one bait really outfish another?"),
    "check": Listed("answers", "check", "What could still fool you"),
    "response": Listed("answers", "response", "Does more of an ingredient catch more?"),
    "sizes": Listed("answers", "sizes", "Did one bait bring bigger fish?"),
    "report": Listed("report", "report", "The season on one page"),
    "rehearse": Listed("rehearse", "rehearse", "Would a season like yours tell at all?"),
    "plan": Listed("plan", "plan", "The next season: hours, rotation, what next"),
    "recipes": Listed("recipes", "recipes", "Do two variants differ in one thing only?"),
    "mix": Listed("mix", "mix", "What to weigh for a batch"),
    "lift": Listed("lift", "lift", "How much a cork-cored bait lifts in water"),
    "batch": Listed("batch", "batch", "The ledger of batches"),
    "history": Listed("history", "history", "Every change of the logbook"),
    "undo": Listed("undo", "undo", "Take a change back"),
    "rename": Listed("rename", "rename", "Give a bait another label"),
    "leave-out": Listed("leave_out", "leave_out", "Leave a session out of every answer"),
    "export": Listed("export", "export", "Write the whole log in the open format"),
    "demo": Listed("demo", "demo", "The whole loop on an invented season"),
}
"""In the order of the loop: log, answer, plan, make; then the logbook itself."""


SHOWN = {
    "import": ("season.xlsx", None),
    "waiting": ("--drop T12 --because 'never fished'", "rodhours import FILE"),
    "template": ("--xlsx next-season.xlsx", "rodhours import FILE"),
    "summary": ("--by month", "rodhours compare"),
    "compare": ("pellet-20 plain", "rodhours check"),
    "check": ("pellet-20 plain", "rodhours plan next"),
    "response": ("pellet_pct --per 5", "rodhours plan next"),
    "sizes": ("pellet-20 plain", "rodhours report"),
    "report": ("--out season.html", None),
    "rehearse": ("pellet-20 plain --seasons 50", "rodhours plan hours"),
    "plan hours": ("--ratio 1.5 --rods 3 --trip-hours 24h", "rodhours plan rotation"),
    "plan next": ("--reference plain", "rodhours plan rotation"),
    "plan rotation": ("--variants plain,pellet-20 --trips 20 --sheet bank.html", None),
    "plan unblind": ("rotation-AUTUMN.sealed", "rodhours compare"),
    "recipes": ("pellet-20 plain", "rodhours mix VARIANT --baits 30"),
    "mix": ("pellet-20 --baits 100 --sheet pellet-20.html", "rodhours batch add VARIANT"),
    "lift": ("--size-mm 15 --cork-mm 12", "rodhours mix VARIANT --baits 30"),
    "batch add": ("pellet-20 --baits 100 --dry-g 66.5", None),
    "batch list": ("--variant pellet-20", "rodhours mix VARIANT --baits 30"),
    "batch remove": ("CODE", None),
    "history": ("", "rodhours undo NUMBER"),
    "undo": ("3", "rodhours history"),
    "rename": ("'pellet 20' pellet-20", "rodhours summary"),
    "leave-out": ("T12 --because 'hours were guessed'", "rodhours compare"),
    "export": ("trip-log.xlsx", None),
    "demo": ("--dir rodhours-demo", None),
}
"""What each command is given in the example of its help, and the command that makes sense after its
answer; the others say that themselves, or end the loop."""


class Commands(TyperGroup):
    """A group that imports a command when it is asked for."""

    def __init__(self, *given: Any, **options: Any) -> None:
        super().__init__(*given, **options)
        # Names alone: a mistyped one is answered with those that are near.
        self.commands: dict[str, Any] = dict.fromkeys(COMMANDS)

    def list_commands(self, _: Any) -> list[str]:
        """The names, in their order."""
        return list(COMMANDS)

    def get_command(self, _: Any, name: str) -> Any:
        """The command of that name, None where there is none."""
        return built(name) if name in COMMANDS else None

    def format_commands(self, _: Any, formatter: Any) -> None:
        """The list of commands in the help, from what stands here."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, one.says) for name, one in COMMANDS.items()])


@cache
def built(name: str) -> Any:
    """A command, or a group of them, ready to be run; made once, for a group is changed by it."""
    module, attribute, _ = COMMANDS[name]
    found = getattr(import_module(f"rodhours.cli.{module}"), attribute)
    if not isinstance(found, typer.Typer):
        app = typer.Typer(
            add_completion=False, rich_markup_mode=None, pretty_exceptions_enable=False
        )
        app.command(name)(found)
        found = app
    for one in found.registered_commands:
        called = "" if one.callback is None else one.name or one.callback.__name__
        called = called if called == name else f"{name} {called}"
        given, following = SHOWN[called]
        one.epilog = f"Example: rodhours {called} {given}".rstrip()
        if one.callback is not None and following is not None:
            one.callback = _and_next(one.callback, following)
    command = typer.main.get_command(found)
    command.name = name
    return command


def _and_next(command: Callable[..., None], following: str) -> Callable[..., None]:
    """The command, with the next one in a line after its answer for a person."""

    @wraps(command)
    def with_next(**given: Any) -> None:
        command(**given)
        if not given.get("as_json"):
            book = str(given.get("logbook", DEFAULT_LOGBOOK))
            named = book not in (str(DEFAULT_LOGBOOK), os.environ.get(LOGBOOK_VARIABLE))
            answer(f"\nNext: {following}{f' --logbook {shlex.quote(book)}' if named else ''}")

    return with_next
