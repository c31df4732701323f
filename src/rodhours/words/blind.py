"""The words of blind bags: the seal, the packing list, what opening the key means.

Scope: plain numbers and strings in, sentences out.
"""

from __future__ import annotations

from collections.abc import Sequence

from rodhours.planning.blind import BagKey
from rodhours.words.numbers import count

SEAL_NOT_LOCK = (
    "It is a seal, not a lock: anyone set on it can open the file. It keeps you from knowing by "
    "accident, and the logbook remembers when it was opened."
)
HOW_TO_PACK = (
    "Somebody else fills the bags: let a friend run this with --packing-list FILE, fill a bag for "
    "each code, and keep the list. Alone it is half blind at best: print the list without reading "
    "it further than you must, fill all bags of the season in one go well before the first trip, "
    "destroy the list, and say in your notes that you packed them yourself."
)
WHAT_GIVES_AWAY = (
    "Baits must look, smell and float alike, or the bag hides nothing. Leave the column batch "
    "empty until the key is opened: a batch code names its variant."
)
SEED_AND_CODES = (
    "Codes and the plan's name are drawn anew each time, whatever the seed: a sheet, its CSV and "
    "its sealed key belong together by that name."
)
TO_DO = (HOW_TO_PACK, WHAT_GIVES_AWAY, SEED_AND_CODES, SEAL_NOT_LOCK)
"""What to do with a blind plan, beside what to do with any."""
PACKING_WARNING = (
    "STOP. Do not read on if you will fish these bags: below stands what is in each. Whoever packs "
    "them keeps this list from whoever fishes."
)
PACKING_STEPS = (
    "Take plain bags that are all alike, and mark each with its code and, on every bag alike, "
    "bait, not food; may contain egg, fish, nut: nothing else.",
    "Fill one bag at a time and shut it before the next; wash hands and scoop in between.",
    "Give the fisher the bags and the sheet. Keep this list, or destroy it: the sealed key has it.",
)


def seal_heading(plan: str, file: str) -> list[str]:
    """The lines on top of a sealed file, which knows its own name."""
    return [
        f"Rotation {plan}: the key to its bag codes, sealed.",
        "",
        "Leave it shut until the trips are fished. Then open it with",
        "",
        f"    rodhours plan unblind {file}",
        "",
        "which notes in the logbook when it was opened and how many trips were in by then.",
        "It is a seal, not a lock: anyone set on it can open it.",
    ]


def packing_title(plan: str) -> str:
    """The heading of a packing list."""
    return f"Packing list for rotation {plan}"


def packing_line(code: str, variant: str, turns: int) -> str:
    """One bag of a packing list."""
    return f"bag {code}: {variant} ({count(turns, 'turn')} planned)"


def reference_shows(trips: int) -> str:
    """Why a reference on every trip is hardly blind."""
    return (
        f"The reference is on all {trips} trips, so its bag can be told from the sheet. With "
        "--even it takes no more turns than the others, and no bag stands out."
    )


def key_title(key: BagKey) -> str:
    """The heading over an opened key."""
    return f"Rotation {key.plan}: what was in the bags (key {key.fingerprint})"


def not_this_key(file: str, key: BagKey, told: Sequence[str]) -> str:
    """The trips of a plan name another key."""
    return (
        f"{file} is key {key.fingerprint}, but the trips of rotation {key.plan} in the logbook "
        f"belong to key {' or '.join(told)}: nothing was opened. Find the sealed file that was "
        "written together with the sheet."
    )


def opened_now(trips_in: int, planned: int) -> str:
    """When it was opened: what the logbook noted."""
    return (
        f"Opened now, with {trips_in} of {count(planned, 'planned trip')} in the logbook; "
        "that is noted there."
    )


def opened_before(when: str, trips_in: int, planned: int) -> str:
    """It was opened before: when, and how many trips were in by then."""
    return (
        f"First opened {when}, with {trips_in} of {count(planned, 'planned trip')} in the logbook. "
        "That stays noted."
    )


def opened_early(missing: int) -> str:
    """What an early look costs."""
    return (
        f"That was early: {count(missing, 'planned trip')} not yet in the logbook. Trips fished "
        "from now on are not blind: whoever knows the bag may give it the better spot, recast it "
        "sooner, or stop while it is ahead. For the rest of the season plan and pack anew, with "
        "new codes. (Trips fished before, but not yet imported, were blind all the same: the note "
        "in the logbook cannot know them, so import first next time.)"
    )


def opened_early_then(missing: int) -> str:
    """That a look was early, to whoever comes back to the key."""
    return (
        f"That was early: {count(missing, 'planned trip')} not yet in the logbook then. Trips "
        "fished after it were not blind."
    )


def names_from_now(codes: Sequence[str]) -> str:
    """What changes in the answers."""
    return (
        "From now on every answer shows the recipes' names; the codes "
        f"({', '.join(codes)}) are still understood, in files to import and on the command line."
    )
