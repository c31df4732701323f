"""`rodhours plan unblind`: open the sealed key of blind bags, and note that in the logbook."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from rodhours.cli.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from rodhours.cli.output import answer, answer_json, talk, width_of_answers
from rodhours.errors import UnusableFile, UsageError

LARGEST_FILE = 1_000_000


def unblind(
    file: Annotated[
        Path | None,
        typer.Argument(help="The sealed key, rotation-NAME.sealed.", show_default=False),
    ] = None,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Open the key to the bag codes: the logbook notes when, and how many trips were in by then.

    From then on answers show the recipes' names; codes are still understood. Opening it again
    says when it was first opened.
    """
    if file is None:
        raise UsageError("Name the sealed key: rodhours plan unblind rotation-NAME.sealed")
    from rodhours.log.logbook import open_logbook
    from rodhours.log.logbook_file import is_missing
    from rodhours.planning.blind import opened
    from rodhours.report.rotation_text import opened_key_text

    key = opened(_text(file), str(file))
    if is_missing(logbook):
        talk(f"There is no logbook at {logbook} yet: one is begun, to note the opening in.")
    with open_logbook(logbook, create=True) as book:
        opening = book.open_key(key.plan, key.variant_of, key.trips)
    if as_json:
        answer_json(
            {
                "schema": 1,
                "plan": key.plan,
                "codes": key.variant_of,
                "opened_at": opening.opened_at,
                "opened_before": not opening.first,
                "trips_in": opening.trips_in,
                "trips_planned": opening.trips_planned,
            }
        )
        return
    answer(
        opened_key_text(
            key,
            opening.opened_at,
            opening.trips_in,
            opening.trips_planned,
            first=opening.first,
            width=width_of_answers(),
        )
    )


def _text(path: Path) -> str:
    try:
        if path.is_dir():
            raise UnusableFile(f"{path} is a folder: name the sealed key in it.")
        with path.open(encoding="utf-8") as stream:
            return stream.read(LARGEST_FILE)
    except FileNotFoundError:
        raise UnusableFile(f"There is no file {path}.") from None
    except (OSError, UnicodeDecodeError):
        raise UnusableFile(f"{path} cannot be read as a sealed key.") from None
