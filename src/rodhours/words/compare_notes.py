"""What limits a comparison, or the weights of fish: one text of three parts for each code.

Each says what is the matter, what it means for the answer and what to do about it.
"""

from __future__ import annotations

from rodhours.evidence.result import Note
from rodhours.evidence.results import SAME_TRIPS
from rodhours.evidence.trips import FEWEST_SESSIONS
from rodhours.words.answer import verdict_words
from rodhours.words.numbers import (
    count,
    hours,
    limits,
    listed,
    number,
    some,
    times,
)
from rodhours.words.parts import Parts


def not_same_trips(*notes: Note) -> Parts:
    """Answers that come from all trips."""
    each = some(
        f"{note.variant} ({count(note.numbers['shared_sessions'], 'trip')} with both)"
        for note in notes
    )
    return Parts(
        f"{each} {'is' if len(notes) == 1 else 'are'} answered from all trips: "
        f"{_why(notes[0], len(notes) > 1)}.",
        "All trips cannot tell a better bait from better days.",
        _SIDE_BY_SIDE,
    )


def no_same_trips(note: Note) -> Parts:
    """The same trips were asked for in vain."""
    return Parts(
        f"There is no same-trip answer for {note.variant}: {_why(note)} ({_together(note)}).",
        "The same trips were asked for, so no answer is given in its place.",
        _SIDE_BY_SIDE,
    )


_SIDE_BY_SIDE = "Fish them side by side on every trip."


def _why(note: Note, several: bool = False) -> str:
    """Why there is no same-trip answer for one bait, or for several."""
    was = "they were" if several else "it was"
    return {
        "unlinked": f"{was} never fished beside the reference, nor beside a bait that was",
        "few_sessions": (f"the same trips need {FEWEST_SESSIONS} with each"),
        "few_df": "there are too few such trips for the number of baits compared",
    }[note.numbers["reason"]]


def _together(note: Note) -> str:
    return (
        f"{note.variant} and the reference shared {count(note.numbers['shared_sessions'], 'trip')}"
    )


def favourite_conditions(note: Note) -> Parts:
    """The all-trips answer is further off than chance would often leave it."""
    same, everything = note.numbers["same_trips_ratio"], note.numbers["all_trips_ratio"]
    effect, days = ("flatters", "good") if everything > same else ("hides", "poor")
    return Parts(
        f"The all-trips answer {effect} {note.variant}: {times(everything)} the reference’s rate, "
        f"but {times(same)} on the same trips.",
        f"Chance seldom does that; fishing it more on the {days} trips does.",
        "Go by the same trips.",
    )


def earlier_seasons(note: Note) -> Parts:
    """Earlier seasons told how uneven trips are, with the answer without them."""
    numbers = note.numbers
    return Parts(
        f"How uneven trips are is taken from {count(numbers['trips'], 'earlier trip')} too, since "
        f"so few cannot tell. From this season alone {note.variant} caught "
        f"{times(numbers['rate_ratio'])} as fast "
        f"({limits(numbers['conf_low'], numbers['conf_high'])}).",
        "The ratio is this season’s own either way."
        if numbers["verdict"] == numbers["verdict_alone"]
        else f"The verdict would be “{verdict_words(numbers['verdict_alone'])}”.",
    )


def hidden_conditions(*notes: Note) -> Parts:
    """How much better the trips of a bait must have been to explain an all-trips answer."""
    each = some(
        f"{note.variant}’s trips had been {times(note.numbers['factor'])}" for note in notes
    )
    return Parts(
        f"If {each} as good as the reference’s for reasons nobody logged (water, weather, season), "
        "that alone would bring the nearer limit of the all-trips answer to 1.",
        "The log could then no longer say which is ahead.",
        "Ask yourself whether they were; trips with both side by side settle it.",
    )


def few_fish(*notes: Note) -> Parts:
    """So few fish that one more or less matters."""
    each = some(
        f"{number(note.numbers['fish'])} on {note.variant} against "
        f"{number(note.numbers['reference_fish'])} on the reference"
        for note in notes
    )
    return Parts(
        f"Few fish: {each}.",
        "One more or less would move this a good deal; the limits allow for it.",
        "Fish on.",
    )


def no_fish(*notes: Note) -> Parts:
    """Baits that have caught nothing."""
    each = some(f"{note.variant} in {hours(note.numbers['rod_hours'])}" for note in notes)
    it, its = ("it is", "it") if len(notes) == 1 else ("these are", "them")
    return Parts(
        f"No fish yet: {each}.",
        f"The log can say how good {it} at most, not how good.",
        f"Give {its} more hours before you drop {its} for good.",
    )


def no_fit(note: Note) -> Parts:
    """The model gave nothing on a basis."""
    about = f" for {note.variant}" if note.variant else ""
    basis = note.numbers["basis"]
    return Parts(
        f"No answer could be worked out{about} from "
        f"{'the same trips' if basis == SAME_TRIPS else basis}.",
        "The log holds too little there.",
        "More trips with fish on them are needed; with --adjust, ask for fewer columns.",
    )


def adjust_by_rod(note: Note) -> Parts:
    """Rods or spots are logged and not allowed for."""
    columns = note.numbers["columns"]
    return Parts(
        f"{listed(f'{one}s' for one in columns).capitalize()} are logged, but not allowed for.",
        f"If one bait had the best {' or '.join(columns)} more often, that is in the answer.",
        f"Try {' and '.join(f'--adjust {one}' for one in columns)}.",
    )


def mostly_indirect(*notes: Note) -> Parts:
    """Answers most of whose trips lacked the bait or the reference."""
    each = some(
        f"{note.variant} on {number(note.numbers['shared_sessions'])} of "
        f"{number(note.numbers['sessions'])}"
        for note in notes
    )
    return Parts(
        f"Few trips had the bait and the reference together: {each}.",
        "The rest compare them by way of a third bait.",
        "Fish them side by side.",
    )


def reference_chosen(note: Note) -> Parts:
    """The reference was chosen by what was fished."""
    shared = note.numbers["shared_rod_hours"]
    why = (
        f" for the most rod-hours on shared trips ({hours(shared)}), not for its catch"
        if shared
        else ""
    )
    return Parts(
        f"No reference was given: {note.numbers['reference']} was taken{why}.",
        what_to_do="Choose another with --reference.",
    )
