"""What the commands share: which rows, which fish, which reference, and the comparison itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from rodhours.cli.output import talk
from rodhours.errors import UnusableLogbook, UsageError

if TYPE_CHECKING:
    import pandas as pd

    from rodhours.evidence.result import Note
    from rodhours.evidence.results import ComparisonResult
    from rodhours.logbook.logbook import Logbook

REFERENCE = "reference"
"""The logbook's setting that remembers the reference."""
LEFT_OUT = "left_out"
"""The code of the note, and the name of the filter, on sessions left out."""

ReferenceOption = Annotated[
    str | None,
    typer.Option(
        "--reference",
        help="The variant to compare with; the logbook remembers it.",
        show_default=False,
    ),
]
AdjustOption = Annotated[
    list[str] | None,
    typer.Option(
        "--adjust",
        metavar="COLUMN",
        help="Adjust for a column of the log, such as rod, or for month or time_of_year. "
        "May be given several times.",
        show_default=False,
    ),
]
SinceOption = Annotated[
    str | None, typer.Option(help="Only sessions from this date on, such as 2025-04-01.")
]
UntilOption = Annotated[str | None, typer.Option(help="Only sessions up to this date.")]
VenueOption = Annotated[
    list[str] | None,
    typer.Option("--venue", help="Only this water. May be given several times."),
]
AnglerOption = Annotated[
    list[str] | None,
    typer.Option("--angler", help="Only this angler. May be given several times."),
]


class OutcomeChoice(StrEnum):
    """Which fish count."""

    LANDED = "landed"
    LOST = "lost"
    HOOKED = "hooked"


SpeciesOption = Annotated[
    str | None,
    typer.Option("--species", help="Count only fish of this species, from catches."),
]
MinWeightOption = Annotated[
    str | None,
    typer.Option(
        "--min-weight",
        metavar="WEIGHT",
        help="Count only fish of this weight and over, such as 20lb, '20lb 8oz' or 9.5kg.",
    ),
]
OutcomeOption = Annotated[
    OutcomeChoice,
    typer.Option("--outcome", help="Count fish landed, lost, or hooked (both)."),
]
ConfidenceOption = Annotated[float, typer.Option(help="Confidence of the intervals.")]
MarginOption = Annotated[
    float, typer.Option(help="Two baits within this many times of each other count as level.")
]


@dataclass(frozen=True)
class Chosen:
    """The stints chosen, the choice as it is printed in the machine form, and what it left out."""

    stints: pd.DataFrame
    filters: dict[str, Any]
    notes: tuple[Note, ...] = ()


def choose(
    logbook: Logbook,
    stints: pd.DataFrame,
    since: str | None = None,
    until: str | None = None,
    venues: Sequence[str] | None = None,
    anglers: Sequence[str] | None = None,
    species: str | None = None,
    min_weight: str | None = None,
    outcome: OutcomeChoice = OutcomeChoice.LANDED,
) -> Chosen:
    """Rows and fish as the options of a command ask for them: `choose_rows`, then `choose_fish`."""
    rows = without_left_out(logbook, choose_rows(stints, since, until, venues, anglers))
    return choose_fish(logbook, rows, species, min_weight, outcome)


def without_left_out(logbook: Logbook, chosen: Chosen) -> Chosen:
    """The same choice with a note, and a filter, on the sessions that the logbook leaves out."""
    aside = [
        {"session": one.session, "angler": one.angler, "because": one.because}
        for one in logbook.left_out()
    ]
    if not aside:
        return chosen
    from rodhours.evidence.result import Note

    note = Note(LEFT_OUT, None, "caution", {"sessions": aside})
    return Chosen(chosen.stints, {**chosen.filters, LEFT_OUT: aside}, (note, *chosen.notes))


def whole_log(logbook: Logbook, stints: pd.DataFrame) -> pd.DataFrame:
    """All stints, those of sessions left out too: what is in the log is no gap in it."""
    if not logbook.left_out():
        return stints
    from rodhours.logbook.frames import stint_frame

    return stint_frame(logbook, with_left_out=True)


def choose_rows(
    stints: pd.DataFrame,
    since: str | None = None,
    until: str | None = None,
    venues: Sequence[str] | None = None,
    anglers: Sequence[str] | None = None,
) -> Chosen:
    """The stints from `since` to `until` (dates, both included) at these venues by these anglers.

    Stints of sessions without a date are left out where a date is asked for, and that is said.
    UsageError for a date that is none, an unknown venue or angler, or where nothing is left.
    """
    filters: dict[str, Any] = {}
    kept = stints["session"].notna()
    bounds = {"since": _date("--since", since), "until": _date("--until", until)}
    for name, bound in bounds.items():
        if bound is None:
            continue
        filters[name] = bound.isoformat()
        day = stints["date"].dt.normalize()
        kept &= (day >= str(bound)) if name == "since" else (day <= str(bound))
    undated = int(stints["date"].isna().sum()) if filters else 0
    if undated:
        talk(f"{undated} stints have no date and are left out.")
    for column, names in (("venue", venues), ("angler", anglers)):
        if not names:
            continue
        from rodhours.near import unknown_name

        known = set(stints[column].dropna())
        for name in names:
            if name not in known:
                raise UsageError(unknown_name(column, name, known))
        filters[column] = list(names)
        kept &= stints[column].isin(list(names))
    chosen = stints[kept]
    if chosen.empty:
        raise UsageError(
            "No stint is left by that choice of dates, waters and anglers."
            if filters
            else "The logbook holds no stints yet. Start with: rodhours import FILE"
        )
    return Chosen(chosen, filters)


def season_start(text: str) -> tuple[int, int]:
    """Month and day of a text such as 04-01; UsageError for a day that not every year has."""
    try:
        day = date.fromisoformat(f"2025-{text}")
    except ValueError:
        raise UsageError(f"A season starts on a day such as 04-01, not '{text}'.") from None
    return day.month, day.day


def last_season(chosen: Chosen, starts: tuple[int, int]) -> Chosen:
    """Of the chosen stints those of the last season; those without a date are in none.

    UsageError where no stint has a date.
    """
    from rodhours.evidence.season_by_season import season_names

    names = season_names(chosen.stints["date"], starts)
    if names.isna().all():
        raise UsageError("No stint has a date, so there are no seasons to compare.")
    last = str(names.dropna().max())
    stints = chosen.stints[names == last]
    return replace(chosen, stints=stints, filters={**chosen.filters, "season": last})


def choose_fish(
    logbook: Logbook,
    chosen: Chosen,
    species: str | None = None,
    min_weight: str | None = None,
    outcome: OutcomeChoice = OutcomeChoice.LANDED,
) -> Chosen:
    """The same stints, their fish counting only those of the species, weight and outcome asked for.

    `min_weight` is a text with its unit. The choice stands in the filters, and what the log could
    not say in the notes; nothing is changed where nothing was asked for. UsageError for a weight
    that is none, an unknown species, and where the log cannot say which fish were meant.
    """
    if species is None and min_weight is None and outcome is OutcomeChoice.LANDED:
        return chosen
    least = None if min_weight is None else _weight("--min-weight", min_weight)
    from rodhours.evidence.fish_counted import wanted_fish
    from rodhours.logbook.frames import catches_frame

    stints, note = wanted_fish(chosen.stints, catches_frame(logbook), species, least, outcome.value)
    if stints.empty:
        raise UsageError("No stint is left: none of those chosen has a count of lost fish.")
    return Chosen(stints, {**chosen.filters, **note.choice}, (*chosen.notes, *note.notes))


def choose_catches(logbook: Logbook, chosen: Chosen, species: str | None = None) -> pd.DataFrame:
    """The fish of the sessions chosen, of one species where it is named.

    UsageError for a species that no fish of the logbook has.
    """
    import pandas as pd

    from rodhours.logbook.frames import catches_frame
    from rodhours.near import unknown_name

    catches = catches_frame(logbook)
    if species is not None:
        known = set(catches["species"].dropna())
        if species not in known:
            raise UsageError(unknown_name("species", species, known))
    trip = ["session", "angler"]
    sessions = pd.MultiIndex.from_frame(chosen.stints[trip].fillna("").drop_duplicates())
    kept = pd.MultiIndex.from_frame(catches[trip].fillna("")).isin(sessions)
    if species is not None:
        kept &= (catches["species"] == species).to_numpy(dtype=bool)
    return catches[kept]


def _weight(option: str, text: str) -> float:
    from rodhours.logbook.cells import CellFault
    from rodhours.logbook.cells.weights import read_weight, weight_readings
    from rodhours.wording.weights import KG_PER_LB, ounces_or_decimals

    try:
        weight = read_weight(text.strip())
    except CellFault:
        decimal = dict(weight_readings(text.strip())).get("decimal lb")
        if decimal is not None and text.strip()[-1:].isalpha():
            raise UsageError(ounces_or_decimals(option, text, decimal / KG_PER_LB)) from None
        weight = 0.0
    if weight <= 0:
        raise UsageError(
            f"{option} takes a weight with its unit, such as 20lb, '20lb 8oz' or 9.5kg, "
            f"not '{text}'."
        )
    return weight


def _date(option: str, text: str | None) -> date | None:
    if text is None:
        return None
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise UsageError(f"{option} takes a date such as 2025-04-01, not '{text}'.") from None


def comparison(
    logbook: Logbook,
    chosen: Chosen,
    *,
    variant: str | None = None,
    reference: str | None = None,
    adjust: Sequence[str] | None = None,
    confidence: float = 0.95,
    basis: str = "auto",
    margin: float = 1.25,
) -> ComparisonResult:
    """Compare the chosen stints; the reference given is remembered, else the remembered one.

    A remembered reference that the chosen rows do not have is passed over, and that is said.
    """
    from rodhours.evidence.compare import compare

    variant, reference = logbook.variant_meant(variant), logbook.variant_meant(reference)
    result = compare(
        chosen.stints,
        reference=remembered_reference(logbook, chosen, variant)
        if reference is None
        else reference,
        variant=variant,
        adjust=tuple(adjust or ()),
        confidence=confidence,
        basis=basis,
        margin=margin,
    )
    remember(logbook, reference)
    result = result.knowing(chosen.filters, chosen.notes, logbook.content_sha256())
    return result.with_notes(_kitchen_notes(logbook, result))


def _kitchen_notes(logbook: Logbook, result: ComparisonResult) -> tuple[Note, ...]:
    """What the recipes of the variants compared say: the evidence itself knows stints alone."""
    from rodhours.kitchen.compare import lift_notes, recipe_notes
    from rodhours.logbook.frames import variants_frame

    variants = [one.variant for one in result.comparisons]
    frame = variants_frame(logbook)
    return (
        *recipe_notes(frame, variants, result.reference),
        *lift_notes(frame, variants, result.reference),
    )


def remembered_reference(
    logbook: Logbook, chosen: Chosen, variant: str | None = None
) -> str | None:
    """The reference that the logbook remembers; None where it is of no use for these rows."""
    reference = logbook.variant_meant(logbook.setting(REFERENCE))
    if reference is not None and reference not in set(chosen.stints["variant"]):
        talk(f"The remembered reference '{reference}' has no stint in these rows.")
        return None
    return None if reference == variant else reference


def remember(logbook: Logbook, reference: str | None) -> None:
    """Let the logbook remember the reference that was given, where one was and it can."""
    if reference is None or reference == logbook.setting(REFERENCE):
        return
    try:
        logbook.set_setting(REFERENCE, reference)
    except UnusableLogbook:
        talk("The logbook cannot be written: the reference is not remembered.")


def read_stints(path: Path) -> tuple[Logbook, pd.DataFrame]:
    """Open the logbook and read its stints that count; the caller closes it.

    UsageError where every session is left out.
    """
    from rodhours.logbook.frames import stint_frame
    from rodhours.logbook.logbook import open_logbook

    logbook = open_logbook(path)
    try:
        stints = stint_frame(logbook)
        if stints.empty and logbook.left_out():
            raise UsageError(
                "Every session with a stint is left out, so there is nothing to answer from. "
                "rodhours leave-out SESSION --take-back counts one again."
            )
        return logbook, stints
    except BaseException:
        logbook.close()
        raise
