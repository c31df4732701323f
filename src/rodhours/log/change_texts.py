"""The history of a logbook: each change in a line, and why one cannot be made or taken back."""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from rodhours.counts import listed, tallied
from rodhours.near import near_names

if TYPE_CHECKING:
    from rodhours.log.aliases import Renamed
    from rodhours.log.history import Change
    from rodhours.log.undoing import Undone

SHOWN = 5
"""Labels named in a sentence before it says how many more there are."""


WITHOUT_ANGLER = "a trip without an angler"


def some(labels: Sequence[str], shown: int = SHOWN) -> str:
    """Labels as a list, cut after a few with how many more there are."""
    # A label made from date and water has a comma of its own.
    mark = "; " if any("," in label for label in labels) else ", "
    if len(labels) <= shown:
        return mark.join(labels) if mark == "; " else listed(labels)
    return f"{mark.join(labels[:shown])} and {len(labels) - shown} more"


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


def no_such_change(number: int, known: Sequence[int]) -> str:
    """A number that no change has."""
    if not known:
        return f"There is no change {number}: the logbook's history is empty."
    return (
        f"There is no change {number}; the logbook's history goes from {min(known)} to "
        f"{max(known)}: rodhours history lists it."
    )


def no_such_import(
    file: str | None, angler: str | None, files: Iterable[str], anglers: Iterable[str]
) -> str:
    """No import that stands is of that file, or of that angler."""
    if angler is None and file is not None and file in anglers:
        return f"{file} is an angler: rodhours undo --angler {shlex.quote(file)}"
    of = " and ".join(filter(None, [file, angler and f"the angler {angler}"]))
    close = near_names(file or "", files)
    hint = f" Did you mean {listed(close, 'or')}?" if close else ""
    of = of or "a trip without an angler"
    return f"No import that stands is of {of}.{hint} rodhours history lists them."


def brought_others_too(number: int, angler: str, others: Sequence[str]) -> str:
    """An import that is of several anglers, of whom one is to be taken back."""
    return (
        f"Change {number} brought trips of {listed(others)} beside those of {angler or 'nobody'}: "
        f"rodhours undo {number} takes back all of them. Nothing was taken back."
    )


def taken_back_before(number: int, undone_at: str) -> str:
    """A change that is taken back already."""
    return f"Change {number} was taken back already, {moment(undone_at)}."


def moment(text: str) -> str:
    """A moment of the history, UTC: `2025-05-01 18:30 UTC`."""
    return text[:16].replace("T", " ") + " UTC"


def no_such_variant(label: str, close: Sequence[str], known: Sequence[str]) -> str:
    """A label that no bait of the logbook has."""
    says = f"The logbook knows no variant '{label}'."
    if close:
        return f"{says} Did you mean {listed(close, 'or')}?"
    return f"{says} It knows {some(known, 12)}." if known else says


def same_label(label: str) -> str:
    """A rename to the label that is there already."""
    return f"'{label}' is the label already: name the new one second."


def read_as(old: str, new: str, changes: Sequence[int]) -> str:
    """A label of a file that is read with the one it was given in the logbook."""
    through = listed([f"rodhours undo {one}" for one in reversed(changes)])
    return (
        f"The variant {old} is read as {new}, for it was renamed in the logbook ({through} takes "
        "that back)."
    )


def code_of_another(code: str, held: str, variant: str) -> str:
    """A bag code that an opened key gave to another bait."""
    return (
        f"The code {code} stands for {held} in this logbook already, and for {variant} in this "
        "key. Keep the two seasons in two logbooks (--logbook)."
    )


def another_key(plan: str) -> str:
    """Another key of a plan of the same name."""
    return f"Another key of a plan called {plan} was opened in this logbook before."


def not_the_renamed_recipe(found: object, new: str) -> str:
    """What would be right where a file has two recipes for what the logbook knows as one bait."""
    return f"{found}, as the row of {new} says: the logbook knows both labels as one bait"


def would_be_twins(old: str, new: str, sessions: Sequence[str]) -> str:
    """A rename after which a rod would have two rows that say the same."""
    where = "session" if len(sessions) == 1 else "sessions"
    return (
        f"'{old}' was not renamed: in {where} {some(sessions)} the same rod would have two rows "
        f"of '{new}' that say the same. Tell them apart in your file (cast_in and cast_out, or a "
        "column of your own), import it with --replace, and rename then."
    )


def recipes_disagree(old: str, new: str, columns: Sequence[str]) -> str:
    """Two labels whose recipes differ: they may be two baits."""
    return (
        f"'{old}' was not renamed: the variants table says otherwise of '{new}' in "
        f"{listed(columns)}. If they are one bait, make the two rows agree in your file, import "
        "it with --replace, and rename then."
    )


def no_such_session(label: str, close: Sequence[str]) -> str:
    """A session label that the logbook does not know."""
    hint = f" Did you mean {listed(close, 'or')}?" if close else ""
    return f"The logbook has no session '{label}'.{hint}"


def no_such_trip_waits(label: str, close: Sequence[str]) -> str:
    """A label that no trip on the list of those that wait has."""
    hint = f" Did you mean {listed(close, 'or')}?" if close else ""
    return f"No trip '{label}' waits: rodhours waiting lists them.{hint}"


def several_anglers(label: str, anglers: Sequence[str]) -> str:
    """A session label that more than one angler used."""
    names = listed([one or WITHOUT_ANGLER for one in anglers])
    says = f"The session label '{label}' was used by {names}: name one with --angler"
    return says + (', or --angler "" for the one without.' if "" in anglers else ".")


def not_that_anglers(label: str, angler: str, anglers: Sequence[str]) -> str:
    """A session that another angler fished."""
    names = listed([one or WITHOUT_ANGLER for one in anglers])
    return f"There is no session '{label}' of {angler}; that label is used by {names}."


def left_out_before(label: str, because: str) -> str:
    """A session that is left out already."""
    return f"Session {label} is left out already, because: {because}"


def not_left_out(label: str) -> str:
    """A session that is not left out."""
    return f"Session {label} is not left out; there is nothing to take back."


def change_lines(change: Change, anglers: Sequence[str]) -> list[str]:
    """One change of the history, an import of these anglers: what, when, what it rests on."""
    what = KINDS[change.kind][1].format_map(_said_of(change, anglers))
    lines = [f"{change.id:>4}  {moment(change.made_at)}  {what}"]
    if change.zone:
        lines.append(f"      local times: {change.zone}")
    lines += [f"      {one.file}  SHA-256 {one.sha256 or 'not kept'}" for one in change.files]
    if change.kind in ("leave-out", "drop-waiting"):
        lines.append(f"      because: {change.details['because']}")
    if change.undone_at is not None:
        lines.append(f"      taken back {moment(change.undone_at)}")
    return lines


EMPTY_HISTORY = "The history is empty: nothing was ever imported. Start with: rodhours import FILE"
HISTORY_HEAD = "Changes of {}, the newest first:"
HISTORY_FOOT = (
    "Take one back with: rodhours undo NUMBER; all imports of a file or of a person with: "
    "rodhours undo FILE, rodhours undo --angler NAME"
)


def undone(done: Undone, dry_run: bool) -> str:
    """What taking back a change did, or would do."""
    what, _, then = KINDS[done.change.kind]
    imported, waits = done.change.kind == "import", done.rows_waiting
    parts = [
        f"{tallied(many, noun)} {says}"
        for many, noun, says, told in (
            (done.sessions_removed, "session", "taken out", imported),
            (done.sessions_restored, "session", "put back as before", None),
            (done.sessions_kept, "session", "kept, since a later import had them too", None),
            (done.variants_removed if imported else 0, "variant row", "taken out", None),
            (done.variants_restored, "variant row", "put back as before", None),
            (done.variants_kept, "variant row", "kept", None),
            (abs(waits), "row", f"waiting {'again' if waits > 0 else 'no longer'}", None),
        )
        if (many if told is None else told)
    ]
    said = what.format_map(_said_of(done.change))
    told = ", ".join([*parts, then] if then else parts) or "nothing else changed"
    return f"{'Would take back' if dry_run else 'Took back'} {said}: {told}."


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
