"""`rodhours plan rotation`: which rod fishes which variant on each trip, blind if wanted."""

from __future__ import annotations

from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rodhours.cli.options import (
    DEFAULT_LOGBOOK,
    ForceOption,
    JsonOption,
    LogbookOption,
    asks,
    hours_given,
    require_places,
)
from rodhours.cli.output import answer, answer_json, progress_bar, talk, width_of_answers
from rodhours.errors import UsageError

if TYPE_CHECKING:
    from rodhours.planning.rotation import Rotation

LONGEST_TRIP = 24 * 14
"""Hours; longer is a slip."""
LONGEST_NAME = 12


@dataclass(frozen=True)
class Files:
    """Where the plan is written, in which forms."""

    sheet: Annotated[
        Path | None, typer.Option(help="Write the sheet for the bank, A4 (HTML), here.")
    ] = None
    csv: Annotated[
        Path | None, typer.Option(help="Write the plan as a trip log to fill in here.")
    ] = None
    notes: Annotated[
        Path | None, typer.Option(help="Write notes to fill in on a phone, as text, here.")
    ] = None
    page: Annotated[
        Path | None, typer.Option(help="Write the page for the phone at the bank here.")
    ] = None
    key: Annotated[
        Path | None,
        typer.Option(help="Where to write the sealed key.  [default: rotation-NAME.sealed]"),
    ] = None
    packing_list: Annotated[
        Path | None,
        typer.Option(help="Write what goes into which bag here, for somebody else to pack."),
    ] = None
    force: ForceOption = False


@asks
def rotation(
    variants: Annotated[
        str,
        typer.Option(
            metavar="NAME,NAME,...",
            help="The variants, such as plain,pellet-20.",
            show_default=False,
        ),
    ] = "",
    rods: Annotated[
        int, typer.Option(help="How many rods; the fishery says how many at most.")
    ] = 3,
    trips: Annotated[int, typer.Option(help="How many trips.")] = 20,
    swap_every: Annotated[
        str | None, typer.Option(help="Swap the baits during a trip, such as every 12h.")
    ] = None,
    trip_hours: Annotated[
        str, typer.Option(help="How long a trip is; only swaps need it.")
    ] = "24h",
    reference: Annotated[
        str | None,
        typer.Option(
            help="The variant that the others are compared with: it is put on every trip."
        ),
    ] = None,
    even: Annotated[
        bool, typer.Option("--even", help="Give the reference no more turns than the others.")
    ] = False,
    seed: Annotated[int, typer.Option(help="The same seed gives the same plan.")] = 1,
    name: Annotated[
        str | None,
        typer.Option(help="The plan's name: trips are labelled by it.  [default: four letters]"),
    ] = None,
    blind: Annotated[
        bool,
        typer.Option("--blind", help="Name the baits by bag codes; the key is sealed in a file."),
    ] = False,
    *,
    files: Files,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Which rod fishes which bait on each trip, so that luck of rod, order and company is even.

    Every variant meets every rod, and every other variant on the same trip, as equally often as
    can be; the balance reached stands beside what counting allows. The CSV, filled in, imports as
    a trip log. With --blind nobody at the bank knows which bait is which until rodhours plan
    unblind.
    """
    labels = [label.strip() for label in variants.split(",") if label.strip()]
    if not labels:
        raise UsageError("Name the variants: rodhours plan rotation --variants plain,pellet-20")
    key = files.key
    if not blind and (key is not None or files.packing_list is not None):
        raise UsageError("--key and --packing-list go with --blind.")
    parts, part_hours = _parts(swap_every, trip_hours)
    places = (getattr(files, one.name) for one in fields(files) if one.name != "force")
    require_places(*places, force=files.force, logbook=logbook)
    if key is not None:
        _refuse_to_write_over(key)
    from rodhours.planning.blind import draw_codes
    from rodhours.planning.rotation import checked_labels, plan_rotation

    meant, known, plans = _known(logbook, [*labels, *([] if reference is None else [reference])])
    labels = [meant[label] for label in labels]
    reference = None if reference is None else meant[reference]
    checked_labels(labels, rods, trips, parts, reference)
    codes = draw_codes(labels, known) if blind else {}
    asked = None if blind else (labels, rods, trips, parts, reference, even, seed)
    with progress_bar("Searching", not as_json) as progress:
        plan = plan_rotation(
            sorted(codes.values()) if blind else labels,
            rods,
            trips,
            parts=parts,
            reference=None if reference is None else codes.get(reference, reference),
            even=even,
            seed=seed,
            name=_name(name, asked, plans),
            progress=progress,
        )
    fingerprint = _write_key(plan, codes, key or _default_key(plan.name)) if blind else None
    plan = replace(plan, part_hours=part_hours, key=fingerprint)
    _write_files(plan, codes, files)
    if as_json:
        answer_json(plan.to_dict())
        return
    from rodhours.report.rotation_text import rotation_text

    answer(rotation_text(plan, width_of_answers()))


def _parts(swap_every: str | None, trip_hours: str) -> tuple[int, float | None]:
    """Parts of a trip and the hours of each; one part without swaps."""
    if swap_every is None:
        return 1, None
    each = hours_given("--swap-every", swap_every)
    whole = hours_given("--trip-hours", trip_hours)
    if whole > LONGEST_TRIP:
        raise UsageError(f"--trip-hours takes up to {LONGEST_TRIP} h, not {trip_hours}.")
    parts = round(whole / each)
    if parts < 2 or abs(parts * each - whole) > 1e-6:
        raise UsageError(
            f"A trip of {whole:g} h does not fall into whole parts of {each:g} h. Choose "
            f"--swap-every so that it does, such as {whole / 2:g}h or {whole / 3:.4g}h."
        )
    return parts, each


def _known(
    logbook: Path, names: Sequence[str]
) -> tuple[dict[str, str], frozenset[str], frozenset[str]]:
    """What names stand for in the logbook, all its labels, and its plans (casefolded); nothing
    where there is no logbook yet."""
    meant = {name: name for name in names}
    if not logbook.is_file():
        return meant, frozenset(), frozenset()
    from rodhours.log.logbook import open_logbook

    with open_logbook(logbook, create=True) as book:
        meant |= {name: book.variant_meant(name) or name for name in names}
        if not book.is_begun():
            return meant, frozenset(), frozenset()
        recipes = {row["variant"] for row in book.variants()}
        labels = book.variants_fished() | recipes | book.labels().codes.keys()
        trips = [row["session"].rpartition("-")[0].casefold() for row in book.sessions()]
        return meant, frozenset(labels), frozenset(trips)


def _name(name: str | None, asked: Sequence[object] | None, fished: Container[str]) -> str:
    """The name of the plan: the one given, else one that no trip in the logbook is labelled by
    and that no key is there for."""
    from rodhours.planning.rotation import free_name
    from rodhours.words.rotation import name_in_use, named_anew

    if name is not None:
        if not 0 < len(name) <= LONGEST_NAME or not all(c.isalnum() or c in "-_" for c in name):
            raise UsageError(
                f"--name takes up to {LONGEST_NAME} letters, figures and dashes, such as summer, "
                f"not '{name}'."
            )
        if name.casefold() in fished:
            talk(name_in_use(name))
        return name

    def taken(name: str) -> bool:
        return name.casefold() in fished or (asked is None and _default_key(name).exists())

    first, free = free_name(asked, taken)
    if asked is not None and free != first:
        talk(named_anew(first, free))
    return free


def _refuse_to_write_over(key: Path) -> None:
    if key.exists():
        raise UsageError(f"{key} is there already, and a key is never written over: name another.")


def _default_key(called: str) -> Path:
    return Path(f"rotation-{called}.sealed")


def _write_key(plan: Rotation, codes: dict[str, str], path: Path) -> str:
    """Seal the key in a file; its fingerprint."""
    from rodhours.planning.blind import BagKey, sealed
    from rodhours.whole_files import write_whole
    from rodhours.words.blind import seal_heading

    _refuse_to_write_over(path)
    of_code = tuple(sorted((code, variant) for variant, code in codes.items()))
    key = BagKey(plan.name, of_code, plan.trips)
    write_whole(path, sealed(key, seal_heading(plan.name, path.name)))
    talk(f"The key is sealed in {path}; keep it with the season's files.")
    return key.fingerprint


def _write_files(plan: Rotation, codes: Mapping[str, str], files: Files) -> None:
    from rodhours.report.bank_page import bank_page
    from rodhours.report.notes_form import plan_notes
    from rodhours.report.rotation_sheet import rotation_sheet
    from rodhours.report.rotation_text import packing_list, rotation_csv
    from rodhours.whole_files import write_whole
    from rodhours.words.rotation import written_for_the_phone

    if (path := files.packing_list) is not None:
        write_whole(path, packing_list(plan, {code: variant for variant, code in codes.items()}))
        whose = "for whoever packs, not for whoever fishes"
        talk(f"What goes into which bag is in {path}: {whose}.")
    if (path := files.sheet) is not None:
        write_whole(path, rotation_sheet(plan))
        talk(f"The sheet is written to {path}; open it in a browser to print it.")
    if (path := files.csv) is not None:
        write_whole(path, rotation_csv(plan))
        talk(f"The plan is written to {path}; filled in, it imports as a trip log.")
    if (path := files.notes) is not None:
        write_whole(path, plan_notes(plan, date.today().year))
        talk(written_for_the_phone(str(path), page=False))
    if (path := files.page) is not None:
        write_whole(path, bank_page(plan))
        talk(written_for_the_phone(str(path), page=True))
