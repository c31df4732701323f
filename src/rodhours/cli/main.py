"""The `rodhours` command: collects the command groups and turns errors into exit codes."""

from __future__ import annotations

import signal
import sys

import typer

from rodhours.cli.batches import batch
from rodhours.cli.checking import check
from rodhours.cli.comparing import compare
from rodhours.cli.demonstrating import demo
from rodhours.cli.exporting import export
from rodhours.cli.importing import import_files
from rodhours.cli.leaving_out import leave_out
from rodhours.cli.lifting import lift
from rodhours.cli.mixing import mix
from rodhours.cli.output import talk
from rodhours.cli.planning import plan
from rodhours.cli.recipes import recipes
from rodhours.cli.rehearsing import rehearse
from rodhours.cli.renaming import rename
from rodhours.cli.reporting import report
from rodhours.cli.responding import response
from rodhours.cli.reviewing import history
from rodhours.cli.sizing import sizes
from rodhours.cli.summarising import summary
from rodhours.cli.templating import template
from rodhours.cli.undoing import undo
from rodhours.cli.welcoming import welcome
from rodhours.errors import RodhoursError

app = typer.Typer(
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    help="Turn a season's trip log into evidence: which hookbait recipe catches more fish "
    "per rod-hour, by how much, and how sure one can be.",
)
app.callback(invoke_without_command=True)(welcome)
app.command("import")(import_files)
app.command()(summary)
app.command()(compare)
app.command()(check)
app.command()(response)
app.command()(sizes)
app.command()(report)
app.command()(rehearse)
app.command()(mix)
app.command()(lift)
app.command()(recipes)
app.add_typer(batch, name="batch")
app.add_typer(plan, name="plan")
app.command()(demo)
app.command()(export)
app.command()(history)
app.command()(undo)
app.command()(rename)
app.command("leave-out")(leave_out)
app.command()(template)


class _Interrupted(BaseException):
    """Ctrl-C: no Exception, so that nothing on the way takes it for an error of its own."""


def _interrupt(*_: object) -> None:
    raise _Interrupted


def run() -> None:
    """Entry point of the console script."""
    signal.signal(signal.SIGINT, _interrupt)
    try:
        app()
    except RodhoursError as error:
        talk(str(error))
        sys.exit(error.exit_code)
    except (_Interrupted, KeyboardInterrupt):
        talk("Interrupted; nothing half-done was kept.")
        sys.exit(130)
    except BrokenPipeError:
        # The reader of a pipe (head, less) went away: not an error of ours.
        sys.stderr.close()
        sys.exit(0)
