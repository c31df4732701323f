"""`rodhours plan`: the group of commands that look ahead to the next season.

Scope: the group alone; each command has a file of its own and is hung on here.
"""

from __future__ import annotations

import typer

from rodhours.cli.plan_hours import hours
from rodhours.cli.plan_next import next_season
from rodhours.cli.plan_rotation import rotation
from rodhours.cli.plan_unblind import unblind

plan = typer.Typer(
    add_completion=False,
    no_args_is_help=True,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
    help="Plan the next season: how many rod-hours it takes, which rod fishes what, what next.",
)
plan.command("hours")(hours)
plan.command("next")(next_season)
plan.command()(rotation)
plan.command()(unblind)
