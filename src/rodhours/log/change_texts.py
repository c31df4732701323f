"""The history of a logbook in words: each change in a line, and what a command made of it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from rodhours.counts import listed, tallied
from rodhours.near import near_names

if TYPE_CHECKING:
    from rodhours.log.aliases import Renamed
    from rodhours.log.history import Change, Undone

SHOWN = 5
"""Labels named in a sentence before it says how many more there are."""


def some(labels: Sequence[str], shown: int = SHOWN) -> str:
    """Labels as a list, cut after a few with how many more there are."""
    # A label made from date and water has a comma of its own.
    mark = "; " if any("," in label for label in labels) else ", "
    if len(labels) <= shown:
        return mark.join(labels) if mark == "; " else listed(labels)
    return f"{mark.join(labels[:shown])} and {len(labels) - shown} more"


def meant_perhaps(name: str, known: Iterable[str]) -> str:
    """The question whether one of these was meant, to follow a sentence; empty without one."""
    near = near_names(name, known)
    return f" Did you mean {listed(near, 'or')}?" if near else ""


KINDS = {
    "import": ("the import of {files}", "import{of}: {brought}{waits}", ""),
    "rename": (
        "the renaming of {old} to {new}",
        "rename: {old} to {new}{into}; {stints}, {sessions}",
        "",
    ),
    "opened-key": (
        "the opening of the key of {plan}",
        "opened key: plan {plan}, codes {codes}; {stints}",
        "its codes are codes again",
    ),
    "batch-added": (
        "the recording of batch {batch}",
        "batch: {batch} of {variant} recorded",
        "its code stays taken",
    ),
    "batch-removed": (
        "taking batch {batch} off the ledger",
        "batch: {batch} of {variant} taken off the ledger",
        "it is in the ledger again",
    ),
    "reference": ("the choice of {variant} as the reference", "reference: {variant}, {how}", ""),
    "leave-out": ("leaving out {who}", "leave-out: {who} left out", "it counts again"),
    "take-back": ("counting {who} again", "take-back: {who} counted again", "it is left out again"),
    "drop-waiting": ("dropping {who}, which waited", "{who} dropped, which waited", ""),
    "stated-end": (
        "stating trip {until_trip} as the last one looked at",
        "stated end: {variant} against {reference} until trip {until_trip}; {trips} so far",
        "",
    ),
}
"""Each kind of change as a noun, as a line of the history, and what its undoing means."""


def _said_of(change: Change, anglers: Sequence[str] = ()) -> dict[str, Any]:
    """What the texts of KINDS name."""
    details, sessions = change.details, tallied(change.sessions, "session")
    brought = f"{tallied(change.rows, 'row')}, {sessions}" if change.rows else "nothing new"
    waits = f"; {tallied(details.get('waiting', 0), 'row')} refused, which wait"
    into = ", which was there already: the two are one"
    automatic = "taken by the first answer", "named with --reference"
    return {
        **details,
        "files": ", ".join(one.file for one in change.files),
        "of": f" of {listed(anglers)}" if anglers else "",
        "brought": brought,
        "waits": waits if details.get("waiting") else "",
        "into": into if details.get("merged") else "",
        "stints": tallied(change.rows, "stint"),
        "sessions": sessions,
        "codes": ", ".join(sorted(details.get("codes", ()))),
        "how": automatic[not details.get("automatic")],
        "who": of_angler(details.get("session", ""), details.get("angler")),
    }


def of_angler(session: str, angler: str | None) -> str:
    """A session by its label, with its angler where one is known."""
    return f"session {session}" + (f" of {angler}" if angler else "")


def moment(text: str) -> str:
    """A moment of the history, UTC: `2025-05-01 18:30 UTC`."""
    return text[:16].replace("T", " ") + " UTC"


def change_lines(change: Change, anglers: Sequence[str]) -> list[str]:
    """One change of the history, an import of these anglers: what, when, what it rests on."""
    what = KINDS[change.kind][1].format_map(_said_of(change, anglers))
    lines = [f"{change.id:>4}  {moment(change.made_at)}  {what}"]
    if change.zone:
        lines.append(f"      local times: {change.zone}")
    for one in change.files:
        lines += [f"      {one.file}", f"      SHA-256 {one.sha256 or 'not kept'}"]
    if change.kind in ("leave-out", "drop-waiting"):
        lines.append(f"      because: {change.details['because']}")
    if change.undone_at is not None:
        lines.append(f"      taken back {moment(change.undone_at)}")
    return lines


EMPTY_HISTORY = "The history is empty: nothing was ever imported. Start with: rodhours import FILE"
HISTORY_HEAD = "Changes of {}, the newest first:"
HISTORY_FOOT = (
    "Take one back with: rodhours undo NUMBER\n"
    "All imports of a file or a person: rodhours undo FILE, or --angler NAME"
)


def undone(done: Undone, dry_run: bool) -> str:
    """What taking back a change did, or would do."""
    what, _, then = KINDS[done.change.kind]
    waits = done.rows_waiting
    parts = [
        f"{tallied(many, noun)} {says}"
        for many, noun, says in (
            (done.sessions_removed, "session", "taken out"),
            (done.sessions_restored, "session", "put back as before"),
            (abs(waits), "row", f"waiting {'again' if waits > 0 else 'no longer'}"),
        )
        if many
    ]
    said = what.format_map(_said_of(done.change))
    told = ", ".join([*parts, then] if then else parts)
    head = f"{'Would take back' if dry_run else 'Took back'} {said}"
    return f"{head}: {told}." if told else f"{head}."


def renamed(done: Renamed, dry_run: bool) -> str:
    """What a rename did, or would do."""
    head = f"{'Would rename' if dry_run else 'Renamed'} {done.old} to {done.new}: "
    head += f"{tallied(done.stints, 'stint')} in {tallied(done.sessions, 'session')}"
    if done.batches:
        head += f", {done.batches:,} batch{'' if done.batches == 1 else 'es'}"
    together = f" {done.new} was there already: the two are one bait from now on."
    return (
        f"{head}.{together if done.merged else ''}\nFiles that still say {done.old} are read as "
        f"{done.new}. To take it back: rodhours undo"
    )


def left_out(session: str, angler: str | None, dry_run: bool = False) -> str:
    """A session was left out: what that means, and the caution that goes with it."""
    who = of_angler(session, angler)
    head = f"Would leave out {who}." if dry_run else f"Left out {who}."
    return (
        f"{head} Its rows stay in the logbook; no answer counts them, and every answer names it "
        "with your reason.\nA trip may be left out for how it was fished or logged. Left out for "
        "what it caught, good or bad, it spoils the answer: the limits then promise more than "
        "they can hold."
    )


def counted_again(session: str, angler: str | None, dry_run: bool = False) -> str:
    """A session that was left out counts again."""
    counts = "would count" if dry_run else "counts"
    who = of_angler(session, angler)
    return f"{who[0].upper()}{who[1:]} {counts} again."


DRY_RUN = "This was a dry run: nothing was written."
