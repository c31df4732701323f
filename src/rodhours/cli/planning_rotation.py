"""`rodhours plan rotation`: which rod fishes which variant on each trip, blind if wanted."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from rodhours.cli.options import DEFAULT_LOGBOOK, JsonOption, LogbookOption
from rodhours.cli.output import answer, answer_json, talk, width_of_answers
from rodhours.errors import UsageError

if TYPE_CHECKING:
    from rodhours.planning.rotation import Rotation

LONGEST_TRIP = 24 * 14
"""Hours; longer is a slip."""
LONGEST_NAME = 12


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
        str | None,
        typer.Option(help="Swap the baits during a trip, such as every 12h.", show_default=False),
    ] = None,
    trip_hours: Annotated[
        str, typer.Option(help="How long a trip is; only swaps need it.")
    ] = "24h",
    reference: Annotated[
        str | None,
        typer.Option(
            help="The variant that the others are compared with: it is put on every trip.",
            show_default=False,
        ),
    ] = None,
    even: Annotated[
        bool, typer.Option("--even", help="Give the reference no more turns than the others.")
    ] = False,
    seed: Annotated[int, typer.Option(help="The same seed gives the same plan.")] = 1,
    name: Annotated[
        str | None,
        typer.Option(
            help="The plan's name: trips are labelled by it.  [default: four letters]",
            show_default=False,
        ),
    ] = None,
    sheet: Annotated[
        Path | None,
        typer.Option(help="Write the sheet for the bank, A4 (HTML), here.", show_default=False),
    ] = None,
    csv: Annotated[
        Path | None,
        typer.Option(help="Write the plan as a trip log to fill in here.", show_default=False),
    ] = None,
    blind: Annotated[
        bool,
        typer.Option("--blind", help="Name the baits by bag codes; the key is sealed in a file."),
    ] = False,
    key: Annotated[
        Path | None,
        typer.Option(
            help="Where to write the sealed key.  [default: rotation-NAME.sealed]",
            show_default=False,
        ),
    ] = None,
    packing_list: Annotated[
        Path | None,
        typer.Option(
            help="Write what goes into which bag here, for somebody else to pack.",
            show_default=False,
        ),
    ] = None,
    logbook: LogbookOption = DEFAULT_LOGBOOK,
    as_json: JsonOption = False,
) -> None:
    """Which rod fishes which bait on each trip, so that luck of rod, order and company is even.

    Every variant meets every rod, and every other variant on the same trip, as equally often as
    can be; the balance reached stands beside what counting allows. The CSV, filled in, imports as
    a trip log. With --blind nobody at the bank knows which bait is which until rodhours plan
    unblind.
    """
    labels = [one.strip() for one in variants.split(",") if one.strip()]
    if not labels:
        raise UsageError("Name the variants: rodhours plan rotation --variants plain,pellet-20")
    if not blind and (key is not None or packing_list is not None):
        raise UsageError("--key and --packing-list go with --blind.")
    parts, part_hours = _parts(swap_every, trip_hours)
    for path in (sheet, csv, key, packing_list):
        if path is not None and path.is_dir():
            raise UsageError(f"{path} is a folder: give the name of a file.")
    if key is not None:
        _refuse_to_write_over(key)
    from rodhours.planning.rotation import checked_labels, plan_rotation
    from rodhours.wording import rotation as words

    labels, reference = _baits_meant(labels, reference, logbook)
    checked_labels(labels, rods, trips, parts, reference)
    codes: dict[str, str] = {}
    if blind:
        from rodhours.planning.blind import draw_codes

        codes = draw_codes(labels, _labels_known(logbook))
    if name is None:
        asked = None if blind else (labels, rods, trips, parts, reference, even, seed)
        called = _free_name(asked, _plans_fished(logbook))
    else:
        _check_name(name)
        called = name
        if name.casefold() in _plans_fished(logbook):
            talk(words.name_in_use(name))
    plan = plan_rotation(
        sorted(codes.values()) if blind else labels,
        rods,
        trips,
        parts=parts,
        reference=codes[reference] if blind and reference is not None else reference,
        even=even,
        seed=seed,
        name=called,
    )
    if blind:
        _write_key(plan, codes, _default_key(called) if key is None else key)
        _write_packing_list(plan, codes, packing_list)
    _write_files(plan, part_hours, sheet, csv)
    if as_json:
        content = plan.to_dict()
        if blind:
            # Which code is the reference's would be the first line of the key.
            content["reference"] = None
        answer_json({**content, "blind": blind, "part_hours": part_hours})
        return
    from rodhours.report.rotation_text import rotation_text

    on_plan = _on_plan(plan, part_hours, reference, blind)
    answer(rotation_text(plan, on_plan, _to_do(blind), words.CAUTIONS, width_of_answers()))


def _parts(swap_every: str | None, trip_hours: str) -> tuple[int, float | None]:
    """Parts of a trip and the hours of each; one part without swaps."""
    if swap_every is None:
        return 1, None
    each = _hours("--swap-every", swap_every)
    whole = _hours("--trip-hours", trip_hours)
    if whole > LONGEST_TRIP:
        raise UsageError(f"--trip-hours takes up to {LONGEST_TRIP} hours, not {trip_hours}.")
    parts = round(whole / each)
    if parts < 2 or abs(parts * each - whole) > 1e-6:
        raise UsageError(
            f"A trip of {whole:g} h does not fall into whole parts of {each:g} h. Choose "
            f"--swap-every so that it does, such as {whole / 2:g}h or {whole / 3:.4g}h."
        )
    return parts, each


def _hours(option: str, text: str) -> float:
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


def _check_name(name: str) -> None:
    if not (
        0 < len(name) <= LONGEST_NAME and all(letter.isalnum() or letter in "-_" for letter in name)
    ):
        raise UsageError(
            f"--name takes up to {LONGEST_NAME} letters, figures and dashes, such as summer, "
            f"not '{name}'."
        )


def _baits_meant(
    labels: list[str], reference: str | None, logbook: Path
) -> tuple[list[str], str | None]:
    """The baits that these names stand for in the logbook, where there is one."""
    if not logbook.is_file():
        return labels, reference
    from rodhours.logbook.logbook import open_logbook

    with open_logbook(logbook, create=True) as book:
        return [book.variant_meant(name) or name for name in labels], book.variant_meant(reference)


def _labels_known(logbook: Path) -> set[str]:
    """Labels that a bag code must not be taken for; none where there is no logbook yet."""
    if not logbook.is_file():
        return set()
    from rodhours.logbook.logbook import open_logbook

    with open_logbook(logbook, create=True) as book:
        if not book.is_begun():
            return set()
        recipes = {row["variant"] for row in book.variants()}
        return book.variants_fished() | recipes | book.labels().codes.keys()


def _plans_fished(logbook: Path) -> set[str]:
    """Names of plans, casefolded, that trips in the logbook are labelled by."""
    if not logbook.is_file():
        return set()
    from rodhours.logbook.logbook import open_logbook

    with open_logbook(logbook, create=True) as book:
        labels = [row["session"] for row in book.sessions()] if book.is_begun() else []
    return {label.rpartition("-")[0].casefold() for label in labels}


def _free_name(asked: tuple[object, ...] | None, fished: set[str]) -> str:
    """A name that no trip in the logbook is labelled by: what was `asked` says which, else chance.

    The same plan in the next season would have the labels of this one, and trips of two years
    would be taken for one.
    """
    from rodhours.planning.blind import new_plan_name
    from rodhours.planning.rotation import plan_name
    from rodhours.wording.rotation import named_anew

    first = called = new_plan_name() if asked is None else plan_name(*asked)
    while asked is None and (called.casefold() in fished or _default_key(called).exists()):
        first = called = new_plan_name()
    number = 1
    while called.casefold() in fished:
        number += 1
        called = f"{first}{number}"
    if called != first and asked is not None:
        talk(named_anew(first, called))
    return called


def _on_plan(
    plan: Rotation, part_hours: float | None, reference: str | None, blind: bool
) -> list[str]:
    """What there is to say of the plan itself, in words."""
    from rodhours.report.rotation_text import balance_notes
    from rodhours.wording import blind as blind_words
    from rodhours.wording import rotation as words

    turns = plan.rods * plan.parts
    notes = balance_notes(plan)
    if part_hours is not None:
        notes.insert(0, words.swaps(plan.parts, part_hours))
    if turns == 1:
        notes.append(words.NO_SHARED_TRIPS)
    elif plan.precision is None:
        notes.append(words.NOT_LINKED)
    elif not plan.reference_on_every_trip:
        notes.append(words.precision_text(plan.precision))
    if plan.reference_on_every_trip and plan.reference_precision is not None:
        told = None if blind else reference
        notes.append(words.reference_on_every_trip(told, plan.reference_precision))
        if blind:
            notes.append(blind_words.reference_shows(plan.trips))
    elif reference is not None and turns >= len(plan.variants):
        notes.append(words.reference_there_anyway())
    elif reference is not None and turns > 1:
        notes.append(words.reference_even())
    return notes


def _to_do(blind: bool) -> list[str]:
    from rodhours.wording import blind as blind_words
    from rodhours.wording import rotation as words

    notes = [words.KEEP_TO_IT]
    if blind:
        notes += [
            blind_words.HOW_TO_PACK,
            blind_words.WHAT_GIVES_AWAY,
            blind_words.SEED_AND_CODES,
            blind_words.SEAL_NOT_LOCK,
        ]
    return [*notes, words.HOW_TO_IMPORT]


def _refuse_to_write_over(key: Path) -> None:
    if key.exists():
        raise UsageError(f"{key} is there already, and a key is never written over: name another.")


def _default_key(called: str) -> Path:
    return Path(f"rotation-{called}.sealed")


def _write_key(plan: Rotation, codes: dict[str, str], path: Path) -> None:
    from rodhours.planning.blind import BagKey, sealed
    from rodhours.wording.blind import seal_heading

    _refuse_to_write_over(path)
    of_code = tuple(sorted((code, variant) for variant, code in codes.items()))
    key = BagKey(plan.name, of_code, plan.trips)
    _write(path, sealed(key, seal_heading(plan.name)))
    talk(f"The key is sealed in {path}; keep it with the season's files.")


def _write_packing_list(plan: Rotation, codes: dict[str, str], path: Path | None) -> None:
    if path is None:
        return
    from rodhours.report.rotation_text import packing_list

    _write(path, packing_list(plan, {code: variant for variant, code in codes.items()}))
    talk(f"What goes into which bag is in {path}: for whoever packs, not for whoever fishes.")


def _write_files(
    plan: Rotation, part_hours: float | None, sheet: Path | None, csv: Path | None
) -> None:
    if sheet is not None:
        from rodhours.report.rotation_sheet import rotation_sheet
        from rodhours.version import __version__

        _write(sheet, rotation_sheet(plan, part_hours, __version__))
        talk(f"The sheet is written to {sheet}; open it in a browser to print it.")
    if csv is not None:
        from rodhours.report.rotation_text import rotation_csv

        _write(csv, rotation_csv(plan))
        talk(f"The plan is written to {csv}; filled in, it imports as a trip log.")


def _write(path: Path, text: str) -> None:
    from rodhours.whole_files import write_whole

    write_whole(path, text)
