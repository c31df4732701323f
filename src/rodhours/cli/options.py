"""Options that mean the same on every command, alone and in groups that go together."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields, is_dataclass
from datetime import date
from enum import StrEnum
from functools import wraps
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, get_type_hints

import typer

from rodhours.cli.output import talk
from rodhours.errors import RodhoursError, UsageError
from rodhours.question import question
from rodhours.whole_files import require_free
from rodhours.words.weights import UNITS_HELP

if TYPE_CHECKING:
    from rodhours.evidence.result import Note
    from rodhours.question import Question

DEFAULT_LOGBOOK = Path("logbook.sqlite")
LOGBOOK_VARIABLE = "RODHOURS_LOGBOOK"

LogbookOption = Annotated[
    Path,
    typer.Option("--logbook", envvar=LOGBOOK_VARIABLE, help="The logbook file.", show_default=True),
]


class WeightUnit(StrEnum):
    """What weights are shown in."""

    LB = "lb"
    KG = "kg"


UnitsOption = Annotated[WeightUnit | None, typer.Option("--units", help=UNITS_HELP)]
JsonOption = Annotated[bool, typer.Option("--json", help="Print the answer for machines, as JSON.")]
AllNotesOption = Annotated[
    bool, typer.Option("--all-notes", help="All that was found and that limits it.")
]
SeedOption = Annotated[int, typer.Option(help="The same seed gives the same answer.")]
JobsOption = Annotated[int | None, typer.Option(help="Cores to use; all of them without this.")]
QuietOption = Annotated[bool, typer.Option("--quiet", help="Draw no progress bar.")]
ForceOption = Annotated[bool, typer.Option("--force", help="Write over files that are there.")]
DryRunOption = Annotated[
    bool, typer.Option("--dry-run", help="Say what would happen; write nothing.")
]
ReferenceOption = Annotated[
    str | None, typer.Option("--reference", help="The variant to compare with, from now on.")
]
VariantArgument = Annotated[
    str | None, typer.Argument(metavar="[BAIT]", help="The bait asked about; all without one.")
]
AgainstArgument = Annotated[
    str | None, typer.Argument(metavar="[REFERENCE]", help="The bait to compare with.")
]
AdjustOption = Annotated[
    list[str] | None,
    typer.Option(
        "--adjust",
        metavar="COLUMN",
        help="Adjust for a column of the log, such as rod or spot, or for month, "
        "time_of_year or night. "
        "May be given several times.",
    ),
]
SpeciesOption = Annotated[
    str | None, typer.Option("--species", help="Count only fish of this species, from catches.")
]
ConfidenceOption = Annotated[float, typer.Option(help="Confidence of the intervals.")]

SeasonStartsOption = Annotated[
    str, typer.Option(metavar="MM-DD", help="The day a season starts on, where seasons are asked.")
]


class Outcome(StrEnum):
    """Which fish count."""

    LANDED = "landed"
    LOST = "lost"
    HOOKED = "hooked"


class Trips(StrEnum):
    """What counts as one trip."""

    LOGGED = "logged"
    STAYS = "stays"


@dataclass(frozen=True)
class Rows:
    """Which stints are asked about."""

    since: Annotated[
        str | None,
        typer.Option(help="Only sessions from this date on: 2025-04-01, 2025-04 or 2025."),
    ] = None
    until: Annotated[
        str | None, typer.Option(help="Only sessions up to this date, month or year.")
    ] = None
    venue: Annotated[
        list[str] | None,
        typer.Option("--venue", help="Only this water. May be given several times."),
    ] = None
    angler: Annotated[
        list[str] | None,
        typer.Option("--angler", help="Only this angler. May be given several times."),
    ] = None

    trips_are: Annotated[
        Trips | None,
        typer.Option(
            "--trips-are", help="stays: days in a row on one water, logged as trips, count as one."
        ),
    ] = None
    at: Annotated[
        str | None,
        typer.Option(
            metavar="LATITUDE,LONGITUDE",
            help="Where that was, such as 52.5,-1.5, if the sessions do not say: for night.",
        ),
    ] = None
    batch: Annotated[
        list[str] | None,
        typer.Option("--batch", help="Of its bait, only this batch. May be given several times."),
    ] = None

    def of(self, logbook: Path, shared: bool = False) -> Question:
        """The question about these rows and fish of a logbook; what it passed over is said."""
        choice = {one.name: getattr(self, one.name) for one in fields(self)}
        given = {name: one for name, one in choice.items() if one is not None}
        asked = question(logbook, shared=shared, **given)
        for remark in asked.remarks:
            talk(remark)
        return asked


@dataclass(frozen=True)
class RowsAndFish(Rows):
    """Which stints are asked about, and which of their fish count."""

    species: SpeciesOption = None
    min_weight: Annotated[
        str | None,
        typer.Option(
            "--min-weight",
            metavar="WEIGHT",
            help="Count only fish of this weight and over, such as 20lb, '20lb 8oz' or 9.5kg.",
        ),
    ] = None
    outcome: Annotated[
        Outcome, typer.Option("--outcome", help="Count fish landed, lost, or hooked (both).")
    ] = Outcome.LANDED


@dataclass(frozen=True)
class Against:
    """What is compared with, and what is adjusted for."""

    reference: ReferenceOption = None
    adjust: AdjustOption = None


@dataclass(frozen=True)
class Intervals:
    """How sure an answer is to be, and what counts as level."""

    confidence: ConfidenceOption = 0.95
    margin: Annotated[
        float, typer.Option(help="Two baits within this many times of each other count as level.")
    ] = 1.25


@dataclass(frozen=True)
class Answers:
    """The logbook that answers, and whether a person or a machine reads it."""

    logbook: LogbookOption = DEFAULT_LOGBOOK
    as_json: JsonOption = False


def reference_of(named: str | None, option: str | None) -> str | None:
    """The reference, named after the bait or as an option; UsageError where both, and unlike."""
    if named is not None and option not in (None, named):
        raise UsageError(f"Two references are given: '{named}' and '{option}'. Name one.")
    return option if named is None else named


def hours_given(option: str, text: str) -> float:
    """Hours from the text of an option: 12, 12h or 90min; UsageError for anything else."""
    bare = text.strip().lower()
    unit = 60.0 if bare.endswith("min") else 1.0
    bare = bare.removesuffix("min").removesuffix("h").strip()
    try:
        value = float(bare) / unit
    except ValueError:
        value = 0.0
    if not 0 < value < float("inf"):
        raise UsageError(f"{option} takes hours, such as 12h or 90min, not '{text}'.")
    return value


def asks(command: Callable[..., None]) -> Callable[..., None]:
    """The command with each parameter that is a group of options spread into these options.

    They stand in its signature, and so in its help, in the place of the group, and are handed on
    as the group. A group is a frozen dataclass whose fields are options with their defaults.
    """
    hints = get_type_hints(command, include_extras=True)
    groups: dict[str, Any] = {name: hint for name, hint in hints.items() if is_dataclass(hint)}
    flat: list[inspect.Parameter] = []
    for name, one in inspect.signature(command).parameters.items():
        spread = _options(groups[name]) if name in groups else [(name, hints[name], one.default)]
        flat += [
            inspect.Parameter(
                option, inspect.Parameter.POSITIONAL_OR_KEYWORD, default=default, annotation=hint
            )
            for option, hint, default in spread
        ]
    signature = inspect.Signature(flat)

    @wraps(command)
    def with_options(*given: Any, **named: Any) -> None:
        bound = signature.bind(*given, **named)
        bound.apply_defaults()
        values = bound.arguments
        for name, group in groups.items():
            values[name] = group(**{option: values.pop(option) for option, *_ in _options(group)})
        command(**values)

    with_options.__signature__ = signature  # type: ignore[attr-defined]
    with_options.__annotations__ = {one.name: one.annotation for one in flat}
    return with_options


def _options(group: Any) -> list[tuple[str, Any, Any]]:
    """Name, annotation and default of each option of a group."""
    hints = get_type_hints(group, include_extras=True)
    return [(one.name, hints[one.name], one.default) for one in fields(group)]


def keep_reference(asked: Question, given: str | None, taken: str | None) -> None:
    """After an answer: the logbook keeps the reference given, or the first one that was `taken`.

    That is said once, and so is it where the one it keeps is passed over.
    """
    passed_over = asked.passed_over if given is None else None
    for says in (passed_over, asked.remember(given, taken)):
        if says is not None:
            talk(says)


def season_start(text: str) -> tuple[int, int]:
    """Month and day of a text such as 04-01; UsageError for a day that not every year has."""
    try:
        day = date.fromisoformat(f"2025-{text}")
    except ValueError:
        raise UsageError(f"A season starts on a day such as 04-01, not '{text}'.") from None
    return day.month, day.day


def talk_notes(notes: Sequence[Note]) -> None:
    """Say what the choice of rows and fish left out, where the answer itself does not."""
    from rodhours.words.notes import says

    for note in notes:
        talk(says(note))


def require_places(*paths: Path | None, force: bool, logbook: Path) -> None:
    """Raise UsageError where one of the files asked for must not be written."""
    wanted = [path for path in paths if path is not None]
    require_free(wanted, force, _files_read(logbook) if force else ())


def _files_read(logbook: Path) -> set[str]:
    from rodhours.log.logbook import open_logbook

    if not logbook.is_file():
        return set()
    try:
        with open_logbook(logbook) as book:
            return book.files_read()
    except RodhoursError:
        return set()
