"""`rodhours import`: files of a trip log into the logbook, and what became of every row.

The work is done in `logbook.importing`; here are the options and the words.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rodhours.cli.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from rodhours.cli.output import answer, answer_json, talk
from rodhours.errors import LayoutNeeded, RefusedRows, UsageError
from rodhours.words.numbers import tallied
from rodhours.words.weights import WEIGHT_UNIT_HELP

if TYPE_CHECKING:
    from rodhours.log.importing import ImportResult, TableRead
    from rodhours.log.table import Problem

PROBLEMS_SHOWN = 20


def import_files(
    files: Annotated[
        list[Path],
        typer.Argument(
            metavar="FILE...",
            help="Spreadsheets, CSV files, notes or folders: the trip log's format, or your own.",
            show_default=False,
        ),
    ],
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Say what would happen; write nothing.")
    ] = False,
    replace: Annotated[
        bool,
        typer.Option(
            "--replace",
            help="Take the files' version of sessions and variants that the logbook holds "
            "otherwise; rodhours undo brings the old version back.",
        ),
    ] = False,
    as_new: Annotated[
        bool, typer.Option("--as-new", help="Take probable doubles: they really are two trips.")
    ] = False,
    zone: Annotated[
        str | None,
        typer.Option(
            help="The time zone of the files' local times, such as Europe/Berlin.  "
            "[default: this machine's]"
        ),
    ] = None,
    weight_unit: Annotated[str | None, typer.Option(help=WEIGHT_UNIT_HELP)] = None,
    angler: Annotated[
        str | None,
        typer.Option(help="Whose log the files are; two people's trip 1 then stay two trips."),
    ] = None,
    angler_from_folder: Annotated[
        bool,
        typer.Option(
            "--angler-from-folder",
            help="FILE is a folder with a folder for each angler, named so; an import each.",
        ),
    ] = False,
    layouts: Annotated[
        list[Path] | None,
        typer.Option(
            "--layout",
            metavar="FILE",
            help="The layout file that says which of your columns is which; may be given more "
            "than once.",
        ),
    ] = None,
    sure: Annotated[
        bool,
        typer.Option("--sure", help="Take trips beyond sense (120 fish in 12 h): all is right."),
    ] = False,
    propose: Annotated[
        bool, typer.Option("--propose", help="Print a layout for the files; import nothing.")
    ] = False,
    no_layout: Annotated[
        bool, typer.Option("--no-layout", help="Leave aside a layout that the logbook remembers.")
    ] = False,
    as_json: JsonOption = False,
) -> None:
    """Read a trip log into the logbook, where refused rows wait until they are mended.

    The same file again changes nothing. A faulty row holds back the whole session it belongs
    to, never the others. A file that is no trip log stops the import: nothing of any file is
    taken then. For columns that are not those of the trip log, a layout is proposed.
    """
    if not files:
        # Not every pair of versions of the command-line libraries refuses this by itself.
        raise UsageError("Name the files of your trip log: rodhours import FILE...")
    from rodhours.cli.layouts import print_proposals

    if propose:
        print_proposals(files, as_json)
        return
    from rodhours.log.anglers import folders_of_anglers
    from rodhours.log.importing import import_paths

    if angler_from_folder and angler is not None:
        raise UsageError("--angler and --angler-from-folder both name the angler: give one.")
    people = folders_of_anglers(files) if angler_from_folder else {angler: files}
    run = partial(
        import_paths,
        logbook_path=logbook,
        dry_run=dry_run,
        replace=replace,
        as_new=as_new,
        zone=zone,
        weight_unit=weight_unit,
        remembered=not no_layout,
    )
    results = []
    for name, own in people.items():
        import_own = partial(run, own, angler=name, sure=sure)
        results.append(_imported(import_own, own, list(layouts or ()), as_json))
        for hint in results[-1].hints:
            talk(hint)
        if not as_json:
            answer(in_words(results[-1]))
    if as_json:
        machine = [one.to_dict() for one in results]
        of_each = [{"angler": name, **one} for name, one in zip(people, machine, strict=True)]
        answer_json({"schema": 1, "imports": of_each} if angler_from_folder else machine[0])
    if not all(one.complete for one in results):
        raise typer.Exit(RefusedRows.exit_code)


def _imported(
    run: Callable[..., ImportResult], files: list[Path], layouts: list[Path], as_json: bool
) -> ImportResult:
    """One import, with the layouts and the answers that it asks for on the way."""
    from rodhours.cli.layouts import after_unknown_columns, confirmed

    result = None
    while result is None:
        try:
            result = run(layouts=layouts)
        except LayoutNeeded as error:
            layouts.append(after_unknown_columns(error, files, as_json))
    if result.doubted and not as_json and confirmed(result.doubted):
        result = run(layouts=layouts, sure=True)
    return result


def in_words(result: ImportResult) -> str:
    """What was read, taken, already there and refused, and what to do next."""
    from rodhours.log.sheets import sheets_address

    groups: dict[tuple[str, str], list[TableRead]] = {}
    for table in result.tables:
        groups.setdefault((table.file, table.table), []).append(table)
    lines = []
    for (file, name), group in groups.items():
        sheets = [part.sheet for part in group if part.sheet is not None]
        rows = tallied(sum(part.rows for part in group), "row")
        lines.append(f"Read {rows} of {name} from {sheets_address(file, sheets)}.")
    lines += [*_fates(result), *_unread(result)]
    if result.problems:
        lines += ["", f"{tallied(len(result.problems), 'problem')}:", *_problems(result)]
    return "\n".join([*lines, "", *_next(result)])


def _fates(result: ImportResult) -> list[str]:
    """The rows that were imported, that were there already, that were refused."""
    sessions = result.sessions
    would = "would be " if result.dry_run else ""

    def counted(fate: str) -> str:
        return f" ({tallied(sessions[fate], 'session')})" if sessions.get(fate) else ""

    replaced = f", {sessions['replaced']:,} replaced" if sessions.get("replaced") else ""
    refused = [
        f"{tallied(sessions[fate], 'session')} {says}"
        for fate, says in (
            ("held back", "held back whole, so that no session counts by halves"),
            ("conflict", "in conflict with the logbook"),
            ("probable double", "said before under another label, file or angler"),
        )
        if sessions.get(fate)
    ]
    return [
        f"  {tallied(result.rows_imported, 'row')} {would}imported{counted('new')}{replaced}",
        f"  {tallied(result.rows_already_there, 'row')} already there{counted('already there')}",
        f"  {tallied(result.rows_rejected, 'row')} {would}refused"
        + (f" ({'; '.join(refused)})" if refused else ""),
    ]


def _unread(result: ImportResult) -> list[str]:
    """A line for each column with cells that could not be read and that no answer needs."""
    groups: dict[str | None, list[Problem]] = {}
    for problem in result.unread:
        groups.setdefault(problem.column, []).append(problem)
    return [
        f"  {tallied(len(group), 'cell')} of {column} left empty in the numbers, kept as written: "
        f"{group[0].place}: found {group[0].found!r}; {group[0].says}"
        for column, group in groups.items()
    ]


def _problems(result: ImportResult) -> list[str]:
    """A line a problem; where there are too many, the empty cells of one column are one."""
    groups: dict[object, list[Problem]] = {}
    for number, problem in enumerate(result.problems):
        together = len(result.problems) > PROBLEMS_SHOWN and problem.found is None
        key = (problem.file, problem.column, problem.says) if together else number
        groups.setdefault(key, []).append(problem)
    lines = []
    for problem, *further in list(groups.values())[:PROBLEMS_SHOWN]:
        found = f"found {problem.found!r}; " if problem.found is not None else ""
        also = f" (and {tallied(len(further), 'further row')})" if further else ""
        lines.append(f"  {problem.place}: {found}{problem.says}{also}")
    more = sum(map(len, list(groups.values())[PROBLEMS_SHOWN:]))
    if more:
        where = "--json" if result.dry_run else "rodhours waiting"
        lines.append(f"  and {more:,} more: {where} has all")
    return lines


def _next(result: ImportResult) -> list[str]:
    if result.dry_run:
        return ["This was a dry run: nothing was written."]
    lines = []
    if result.unread:
        lines.append(
            "What could not be read: rodhours waiting --cells. Mended in the file, it is taken."
        )
    # Before the first trip there are recipes alone: they are mixed and planned with.
    what_next = "rodhours waiting" if result.rows_rejected else "rodhours summary"
    if not result.rows_rejected and not any(
        table.rows for table in result.tables if table.table != "variants"
    ):
        what_next = "rodhours mix VARIANT --baits 30, or rodhours plan rotation"
    conflicts = result.sessions.get("conflict", 0) + result.variant_conflicts
    doubles = result.sessions.get("probable double", 0)
    if result.sessions.get("held back") or (result.problems and not conflicts + doubles):
        lines.append("Correct them in your own file and import it again; the rest stays as it is.")
    if doubles:
        lines.append(
            "A trip counts once: leave probable doubles as they are. Where they really are two "
            "trips, import the file again with --as-new; another person's with --angler NAME."
        )
    if conflicts:
        lines.append(
            "If they are another person's trips, import the file with --angler NAME; if the file "
            "is right and the logbook is not, with --replace "
            "(rodhours undo brings the old version back)."
        )
    if result.rows_imported:
        lines.append(f"The logbook is {result.logbook}. Next: {what_next}")
    elif not result.problems:
        noted = "keeps that these files say it too" if result.noted else "is unchanged"
        lines.append(f"Nothing new: {result.logbook} {noted}. Next: {what_next}")
    else:
        lines.append(f"Nothing new; {result.logbook} keeps what waits. Next: rodhours waiting")
    return lines
