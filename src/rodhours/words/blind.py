"""The words of blind bags: the seal, the packing list, what opening the key means.

Scope: plain numbers and strings in, sentences out.
"""

from __future__ import annotations

from collections.abc import Sequence

from rodhours.planning.blind import BagKey

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

PACKING_TITLE = "Packing list for rotation {}"
PACKING_LINE = "bag {}: {} ({} planned)"
REFERENCE_SHOWS = (
    "The reference is on all {} trips, so its bag can be told from the sheet. With --even it takes "
    "no more turns than the others, and no bag stands out."
)
KEY_TITLE = "Rotation {}: what was in the bags (key {})"
OPENED_NOW = "Opened now, with {} of {} in the logbook; that is noted there."
OPENED_BEFORE = "First opened {}, with {} of {} in the logbook. That stays noted."
OPENED_EARLY = (
    "That was early: {} not yet in the logbook. Trips fished from now on are not blind: whoever "
    "knows the bag may give it the better spot, recast it sooner, or stop while it is ahead. For "
    "the rest of the season plan and pack anew, with new codes. (Trips fished before, but not yet "
    "imported, were blind all the same: the note in the logbook cannot know them, so import first "
    "next time.)"
)
OPENED_EARLY_THEN = (
    "That was early: {} not yet in the logbook then. Trips fished after it were not blind."
)
NAMES_FROM_NOW = (
    "From now on every answer shows the recipes' names; the codes ({}) are still understood, in "
    "files to import and on the command line."
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


def not_this_key(file: str, key: BagKey, told: Sequence[str]) -> str:
    """The trips of a plan name another key."""
    return (
        f"{file} is key {key.fingerprint}, but the trips of rotation {key.plan} in the logbook "
        f"belong to key {' or '.join(told)}: nothing was opened. Find the sealed file that was "
        "written together with the sheet."
    )
