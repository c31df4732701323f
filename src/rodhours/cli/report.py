"""`rodhours report`: the season on one self-contained page, or in another form."""

from __future__ import annotations

import os
from dataclasses import dataclass
from datetime import UTC, datetime
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from rodhours.cli.options import (
    DEFAULT_LOGBOOK,
    Against,
    ForceOption,
    Intervals,
    LogbookOption,
    RowsAndFish,
    SeasonStartsOption,
    UnitsOption,
    asks,
    keep_reference,
    require_places,
    season_start,
)
from rodhours.cli.output import answer, json_text, talk
from rodhours.cli.rehearse import INTERRUPTED, run_rehearsal
from rodhours.errors import UsageError

if TYPE_CHECKING:
    from rodhours.report.season import Season


class Form(StrEnum):
    """The form of a report."""

    HTML = "html"
    PDF = "pdf"
    JSON = "json"


@dataclass(frozen=True)
class Further:
    """What else a report can show."""

    rehearse: Annotated[
        int | None,
        typer.Option(
            "--rehearse",
            metavar="SEASONS",
            help="Rehearse so many invented seasons on this schedule, such as 100, and show what "
            "a season like this can tell. Takes a while.",
        ),
    ] = None
    compare_season: Annotated[
        bool,
        typer.Option(
            "--compare-season",
            help="Report on the last season alone, and put the earlier ones beside it.",
        ),
    ] = False
    season_starts: SeasonStartsOption = "01-01"
    share: Annotated[
        bool, typer.Option("--share", help="To hand on: no names, swims, coordinates or notes.")
    ] = False


@asks
def report(
    out: Annotated[
        Path | None,
        typer.Option(help="Where to write the report.  [default: reports/season.FORMAT]"),
    ] = None,
    form: Annotated[
        Form | None,
        typer.Option(
            "--format",
            help="A page, paper or results for machines.  "
            "[default: by the ending of --out, else html]",
        ),
    ] = None,
    *,
    options: Against,
    rows: RowsAndFish,
    intervals: Intervals,
    further: Further,
    units: UnitsOption = None,
    force: ForceOption = False,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
) -> None:
    """Write the season as one page: the answer first, then what it rests on and what limits it.

    The page is a single file that opens in any browser and asks nothing of the network. The other
    forms say the same.
    """
    own_place = out is None
    form, out = form_and_place(form, out)
    require_places(out, force=force or own_place, logbook=logbook)
    if form is Form.PDF:
        from rodhours.report.pdf import pdf_library

        pdf_library()  # Says before the work where it is not there.
    everything = asked = rows.of(logbook, further.share)
    if further.compare_season:
        starts = season_start(further.season_starts)
        asked = everything.last_season(starts)
    fit: dict[str, Any] = {"adjust": options.adjust or (), **vars(intervals)}
    result = asked.compare(reference=options.reference, **fit)
    keep_reference(asked, options.reference, result.reference)
    rehearsal = by_season = None
    if further.rehearse is not None:
        rehearsal = run_rehearsal(asked, None, result.reference, seasons=further.rehearse)
        if not rehearsal.complete:
            talk("Interrupted; no page was written.")
            raise typer.Exit(INTERRUPTED)
    if further.compare_season:
        by_season = everything.seasons(result.reference, starts, **fit)
    from rodhours.report.season import gather
    from rodhours.whole_files import write_whole

    # SOURCE_DATE_EPOCH, where it is set, for the same bytes.
    told = os.environ.get("SOURCE_DATE_EPOCH")
    day = datetime.now() if told is None else datetime.fromtimestamp(int(told), UTC)
    season = gather(
        asked.stints,
        result,
        everything=asked.log.everything,
        catches=asked.catches,
        recipes=asked.log.recipes,
        rehearsal=rehearsal,
        by_season=by_season,
        units=units or asked.log.weight_unit,
        made=day.date().isoformat(),
        notes=asked.notes,
    )
    write_whole(out, _in_form(season, form))
    talk("The season’s report:")
    answer(str(out))


def form_and_place(form: Form | None, out: Path | None) -> tuple[Form, Path]:
    """The form that is meant, by what was asked for or else by the name of the file, and the file.

    HTML where nothing says otherwise. UsageError where form and name contradict each other, for
    Markdown, and for a folder.
    """
    if out is None:
        form = form or Form.HTML
        return form, Path("reports") / f"season.{form}"
    ending = out.suffix.lower().removeprefix(".")
    if ending == "md":
        raise UsageError(f"A report is written as {', '.join(Form)}, not as Markdown: {out}.")
    named = Form(ending) if ending in set(Form) else None
    meant = form or named or Form.HTML
    if named not in (None, meant):
        raise UsageError(
            f"Which is meant? {out} ends in {out.suffix}, --format asks for {meant}. "
            f"Leave --format out, or name the file {out.with_suffix(f'.{meant}')}."
        )
    return meant, out


def _in_form(season: Season, form: Form) -> str | bytes:
    """The season in that form, text or bytes."""
    if form is Form.JSON:
        from rodhours.report.season import season_machine

        return json_text(season_machine(season)) + "\n"
    from rodhours.report.page import season_page
    from rodhours.report.pdf import page_as_pdf

    page = season_page(season)
    return page_as_pdf(page) if form is Form.PDF else page
