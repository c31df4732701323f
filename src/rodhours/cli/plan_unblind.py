"""`rodhours plan unblind`: open the sealed key of blind bags, and note that in the logbook."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rodhours.cli.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from rodhours.cli.output import answer, answer_json, talk, width_of_answers
from rodhours.errors import UnusableFile, UsageError

if TYPE_CHECKING:
    from rodhours.log.logbook import Logbook

LARGEST_FILE = 1_000_000


def unblind(
    file: Annotated[
        Path | None, typer.Argument(help="The sealed key, rotation-NAME.sealed.")
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
    from rodhours.words.blind import not_this_key

    key = opened(_text(file), str(file))
    if is_missing(logbook):
        talk(f"There is no logbook at {logbook} yet: one is begun, to note the opening in.")
    with open_logbook(logbook, create=True) as book:
        told = _keys_told(book, key.plan)
        if told and key.fingerprint not in told:
            raise UnusableFile(not_this_key(str(file), key, sorted(told)))
        opening = book.open_key(key.plan, key.variant_of, key.trips)
    if as_json:
        answer_json(
            {
                "schema": 1,
                "plan": key.plan,
                "codes": key.variant_of,
                "key": key.fingerprint,
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


def _keys_told(book: Logbook, plan: str) -> set[str]:
    """The fingerprints that the trips of a plan say their key has."""
    from rodhours.log.frames import stint_frame
    from rodhours.planning.blind import KEY_COLUMN

    if not book.is_begun():
        return set()
    stints = stint_frame(book, with_left_out=True)
    if KEY_COLUMN not in stints:
        return set()
    return {
        str(one)
        for one in stints[stints["session"].str.startswith(f"{plan}-")][KEY_COLUMN].dropna()
    }


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
