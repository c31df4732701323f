"""Notes in plain words: the one text of each code, and what holds for several baits said once.

An unknown code raises KeyError: a note without words must not reach a reader.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Sequence
from functools import partial

from rodhours.evidence.result import CAUTION, INFORMATION, OF_THE_LOG, SERIOUS, Note
from rodhours.evidence.results import CheckResult
from rodhours.words.check_notes import FORKED
from rodhours.words.note_forms import Text, filled
from rodhours.words.note_texts import OF_A_COMPARISON, OF_AN_INGREDIENT
from rodhours.words.numbers import listed, word
from rodhours.words.parts import Parts

WHAT_TO_DO = "Do: "
WEIGHTS = {SERIOUS: "Serious", CAUTION: "Caution", INFORMATION: "Worth knowing"}
NO_ALL_CLEAR = "No note is not an all-clear."
MOST_KINDS = 3
"""Where more baits than four are checked, further kinds are told of only if they are serious."""
WHAT_LIMITS = "What limits it most:"
MOST_TOLD = 1
"""Further things that limit an answer are counted in a brief one, not told."""
_KINDS = {
    SERIOUS: ("serious thing", "serious things"),
    CAUTION: ("caution", "cautions"),
    INFORMATION: ("thing worth knowing", "things worth knowing"),
}


def _filling(texts: Mapping[str, Text]) -> dict[str, Callable[..., Parts]]:
    return {code: partial(filled, text) for code, text in texts.items()}


TEXTS: dict[str, Callable[..., Parts]] = {**_filling(OF_A_COMPARISON), **FORKED}
"""The text of each code; those of `TOGETHER` take one or several notes, the others one."""
RESPONSE_TEXTS = _filling(OF_AN_INGREDIENT)
TOGETHER = frozenset(code for code, text in OF_A_COMPARISON.items() if text.each).union(
    ("confounded", "one_batch_each", "recipes_differ", "rods_not_rotated")
)
"""Codes that can be said of several baits at once."""
ON_WHAT_COUNTS = frozenset(
    {
        *OF_THE_LOG,
        "as_planned",
        "fish_not_known",
        "lost_from_catches",
        "lost_not_logged",
        "no_catches",
        "no_count_of_lost",
        "reference_chosen",
        "stints_left_out",
        "too_many_unknown",
    }
)
"""Codes of notes on which rows and fish count, and against what: no answer is without them."""


def says(*notes: Note) -> str:
    """A note, or several of one code of `TOGETHER`, in plain words."""
    return parts(*notes).joined


def parts(*notes: Note) -> Parts:
    """The same as what was found, how much it could move the answer, and what to do."""
    first = notes[0]
    texts = RESPONSE_TEXTS if first.variant is None and first.code in RESPONSE_TEXTS else TEXTS
    return texts[first.code](*notes)


def gathered(notes: Sequence[Note]) -> list[tuple[str, str]]:
    """Severity and text of each thing to say: `in_parts` as one text."""
    return [(severity, said.joined) for severity, said in in_parts(notes)]


def in_parts(notes: Sequence[Note]) -> list[tuple[str, Parts]]:
    """Severity and parts of each thing to say, in the order of the notes, equal texts once.

    Notes of one code, severity and reason about several baits become one text where the code has
    one for several. The machine form keeps every note by itself.
    """
    groups: dict[Hashable, list[Note]] = {}
    for place, note in enumerate(notes):
        numbers = note.numbers
        alike = (note.code, note.severity, numbers.get("reason"), numbers.get("by"))
        groups.setdefault(alike if note.code in TOGETHER else place, []).append(note)
    return list(dict.fromkeys((group[0].severity, parts(*group)) for group in groups.values()))


def briefly(notes: Sequence[Note]) -> list[str]:
    """What limits an answer most, in few sentences: the worst thing and what to do about it.

    What was counted, and what not, is always told. How many more there are comes last; how much
    each could move the answer is left to `check`.
    """
    counted = gathered([note for note in notes if note.code in ON_WHAT_COUNTS])
    others = in_parts([note for note in notes if note.code not in ON_WHAT_COUNTS])
    said = [
        f"{WHAT_LIMITS} {parts._replace(how_much='').joined}" for _, parts in others[:MOST_TOLD]
    ]
    more = [weight for weight, _ in others[MOST_TOLD:]]
    grave = f", {word(more.count(SERIOUS))} serious" if SERIOUS in more else ""
    notes_left = f"{word(len(more))} more note{'s' if len(more) > 1 else ''}".capitalize()
    further = [f"{notes_left}{grave}: --all-notes."] if more else []
    return [*said, *(text for _, text in counted), *further]


def by_kind(notes: Sequence[Note]) -> list[tuple[list[tuple[str, str]], str]]:
    """Findings by code, worst first: what was found, how much it could move, what to do, once.

    What is said of several baits in the same words stands once.
    """
    kinds: dict[str, list[Note]] = {}
    for note in notes:
        kinds.setdefault(note.code, []).append(note)
    told = []
    for alike in kinds.values():
        said = in_parts(alike)
        # What is only worth knowing moves no answer by much.
        found = [
            (weight, one.found if weight == INFORMATION else f"{one.found} {one.how_much}".strip())
            for weight, one in said
        ]
        told.append((found, " ".join(dict.fromkeys(one.what_to_do for _, one in said))))
    return told


def kinds_left(kinds: int, reference: str) -> str:
    """How many kinds of findings are not told of where there are many baits."""
    left = f"{word(kinds)} more kind{'s' * (kinds > 1)} of notes, none serious: ".capitalize()
    return f"{left}rodhours check BAIT {reference} has those of one bait."


def how_many(severities: Sequence[str]) -> list[str]:
    """How many of each weight, worst first: `two serious things`, `one caution`."""
    return [
        f"{word(many)} {one if many == 1 else several}"
        for severity, (one, several) in _KINDS.items()
        if (many := severities.count(severity))
    ]


def found(result: CheckResult) -> list[str]:
    """What the checks found, in one sentence."""
    return [heading([note.severity for note in result.notes], result.reference)]


def heading(severities: Sequence[str], reference: str) -> str:
    """What the checks found, in one line: `Against plain: one caution.`"""
    return f"Against {reference}: {listed(how_many(severities)) or 'nothing found'}."
