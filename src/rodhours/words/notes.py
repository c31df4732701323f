"""Notes in plain words: the one text of each code, and what holds for several baits said once.

An unknown code raises KeyError: a note without words must not reach a reader.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence

from rodhours.evidence.result import CAUTION, INFORMATION, OF_THE_LOG, SERIOUS, Note
from rodhours.evidence.results import CheckResult
from rodhours.words.check_notes import CHECK_TEXTS
from rodhours.words.compare_notes import COMPARISON_TEXTS
from rodhours.words.fish_counted import FISH_TEXTS
from rodhours.words.left_out import sessions_left_out, trips_waiting
from rodhours.words.numbers import listed, word
from rodhours.words.parts import Parts
from rodhours.words.response_notes import RESPONSE_TEXTS

HOW_MUCH = "How much: "
WHAT_TO_DO = "What to do: "
WEIGHTS = {SERIOUS: "Serious", CAUTION: "Caution", INFORMATION: "Worth knowing"}
NO_ALL_CLEAR = "No note is not an all-clear: what was not logged cannot be seen here."
WHAT_LIMITS = "What limits it most:"
MOST_SERIOUS = 3
"""More serious things than these are counted in a brief answer, not told."""
_KINDS = {
    SERIOUS: ("serious thing", "serious things"),
    CAUTION: ("caution", "cautions"),
    INFORMATION: ("thing worth knowing", "things worth knowing"),
}

TEXTS: dict[str, Callable[..., Parts]] = {
    **CHECK_TEXTS,
    **COMPARISON_TEXTS,
    **FISH_TEXTS,
    "trips_waiting": trips_waiting,
    "left_out": lambda note: sessions_left_out(note.numbers["sessions"]),
}
"""The text of each code; those of `TOGETHER` take one or several notes, the others one."""
TOGETHER = frozenset(
    {
        "few_fish",
        "hidden_conditions",
        "lift_differs",
        "mostly_indirect",
        "no_fish",
        "not_same_trips",
        "one_batch_each",
        "recipes_differ",
    }
)
"""Codes that can be said of several baits at once."""
ON_WHAT_COUNTS = frozenset({*OF_THE_LOG, *FISH_TEXTS, "reference_chosen", "stints_left_out"})
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
    """Severity and text of each thing to say, in the order of the notes, equal texts once.

    Notes of one code, severity and reason about several baits become one text where the code has
    one for several. The machine form keeps every note by itself.
    """
    return list(dict.fromkeys((group[0].severity, says(*group)) for group in alike(notes)))


def alike(notes: Sequence[Note]) -> list[list[Note]]:
    """Notes in the groups that one text is said of, in their order."""
    groups: dict[Hashable, list[Note]] = {}
    for place, note in enumerate(notes):
        kind = (note.code, note.severity, note.numbers.get("reason"))
        groups.setdefault(kind if note.code in TOGETHER else place, []).append(note)
    return list(groups.values())


def briefly(notes: Sequence[Note]) -> list[str]:
    """What limits an answer most, in few sentences: the worst, or up to three serious things.

    What was counted, and what not, is always told. How many more there are comes last.
    """
    groups = alike(notes)
    counted = [group for group in groups if group[0].code in ON_WHAT_COUNTS]
    others = [group for group in groups if group[0].code not in ON_WHAT_COUNTS]
    grave = [group for group in others if group[0].severity == SERIOUS][:MOST_SERIOUS]
    told = grave or others[:1]
    said = [_told(group) for group in told]
    if said:
        said[0] = f"{WHAT_LIMITS} {said[0]}"
    said += [says(*group) for group in counted]
    more = how_many([group[0].severity for group in others[len(told) :]])
    return [*dict.fromkeys(said), *([f"Further: {listed(more)} (--all-notes)."] if more else [])]


def _told(group: Sequence[Note]) -> str:
    """A serious thing whole; of others how much it could move the answer is left to `check`."""
    found, how_much, what_to_do = parts(*group)
    return Parts(found, how_much if group[0].severity == SERIOUS else "", what_to_do).joined


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
    """What the checks found, in one line: `Found, with plain as the reference: one caution.`"""
    if not severities:
        return f"Nothing found, with {reference} as the reference."
    return f"Found, with {reference} as the reference: {listed(how_many(severities))}."
