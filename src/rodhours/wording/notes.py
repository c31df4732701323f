"""What limits an answer, in plain words: one text for each code that the comparison gives.

Each text says what is the matter, what it means for the answer and what to do about it, in this
order: three parts, which can also be shown under each other.
An unknown code raises KeyError: a note without words must not reach a reader.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from rodhours.evidence.result import Note
from rodhours.wording.check_notes import CHECK_TEXTS
from rodhours.wording.history import sessions_left_out
from rodhours.wording.numbers import count, hours, listed, margin_text, number, the_count, times
from rodhours.wording.parts import Parts
from rodhours.wording.response_notes import RESPONSE_TEXTS
from rodhours.wording.wanted import lacking, on_variants, wanted_fish, words_for

Numbers = Mapping[str, Any]

WHY_NOT_SAME_TRIPS = {
    "unlinked": "it was never fished beside the reference, nor beside a bait that was",
    "few_sessions": (
        "that needs at least 4 trips with it and 4 with the reference among those that had "
        "two or more of the baits in the water"
    ),
    "few_df": "there are too few such trips for the number of baits compared",
}
COLUMN_WORDS = {
    "rod": "rod",
    "month": "month",
    "time_of_year": "time of year",
    "spot": "spot",
    "venue": "venue",
}


def says(code: str, variant: str | None, numbers: Numbers) -> str:
    """A note in plain words.

    `code` is a note’s stable code, `variant` the bait it concerns (None: the whole comparison),
    `numbers` its figures under the keys that belong to the code. Raises KeyError where the code
    is unknown or a figure that the text cannot do without is missing.
    """
    return parts(code, variant, numbers).joined


def parts(code: str, variant: str | None, numbers: Numbers) -> Parts:
    """The same note as what was found, how much it could move the answer, and what to do."""
    if variant is None and code in RESPONSE_TEXTS:
        return RESPONSE_TEXTS[code](Note(code, None, "", numbers))
    told = _TEXTS[code](variant or "the variant", numbers)
    # Where no bait is named, a part may begin with "the variant".
    return told if variant else Parts(*(part[:1].upper() + part[1:] for part in told))


def codes() -> tuple[str, ...]:
    """The codes that have a text, in alphabetical order."""
    return tuple(sorted(_TEXTS))


def _not_same_trips(variant: str, numbers: Numbers) -> Parts:
    shared = numbers["shared_sessions"]
    why = WHY_NOT_SAME_TRIPS[numbers["reason"]]
    together = f"{variant} and the reference shared {count(shared, 'trip')}"
    return Parts(
        f"This answer for {variant} comes from all trips, not from the same trips: {why} "
        f"({together}).",
        "It cannot tell a better bait from better days.",
        f"Fish {variant} and the reference side by side on every trip.",
    )


def _no_same_trips(variant: str, numbers: Numbers) -> Parts:
    why = WHY_NOT_SAME_TRIPS[numbers["reason"]]
    together = f"{variant} and the reference shared {count(numbers['shared_sessions'], 'trip')}"
    return Parts(
        f"There is no same-trip answer for {variant}: {why} ({together}).",
        "The same trips were asked for, so no answer is given in its place.",
        f"Fish {variant} and the reference side by side on every trip.",
    )


def _left_out(variant: str, numbers: Numbers) -> Parts:
    return sessions_left_out(numbers["sessions"])


def _favourite_conditions(variant: str, numbers: Numbers) -> Parts:
    same, everything = numbers["same_trips_ratio"], numbers["all_trips_ratio"]
    effect, days = ("flatters", "good") if everything > same else ("hides", "poor")
    return Parts(
        f"The all-trips answer {effect} {variant}: {times(everything)} the reference’s rate over "
        f"all trips, but {times(same)} on the same trips.",
        "That is a wider gap than chance alone would often leave; fishing "
        f"{variant} more on the {days} trips does that.",
        "Go by the same trips.",
    )


def _hidden_conditions(variant: str, numbers: Numbers) -> Parts:
    factor = numbers["factor"]
    as_good = f"{times(factor)} as good as" if factor >= 1 else f"only {times(factor)} as good as"
    return Parts(
        f"If {variant}’s trips were {as_good} the reference’s for reasons nobody logged (water, "
        "weather, season), that alone would bring the nearer limit of the all-trips answer to 1.",
        "The log could then no longer say which is ahead.",
        "Ask yourself whether they were; trips with both side by side settle it.",
    )


def _few_fish(variant: str, numbers: Numbers) -> Parts:
    fish, other = numbers["fish"], numbers["reference_fish"]
    return Parts(
        f"Few fish: {count(fish, 'fish')} on {variant} and {count(other, 'fish')} on the "
        "reference.",
        "One fish more or less would move this answer a good deal; the limits allow for that.",
        "Only more trips will narrow them.",
    )


def _no_fish(variant: str, numbers: Numbers) -> Parts:
    return Parts(
        f"{variant} has caught no fish in {hours(numbers['rod_hours'])}.",
        "The log can say how good it is at most, not how good it is.",
        "Give it more hours before you drop it for good.",
    )


def _no_fish_on_reference(variant: str, numbers: Numbers) -> Parts:
    return Parts(
        f"The reference has caught no fish in {hours(numbers['rod_hours'])}.",
        "So no ratio and no upper limit exist.",
        "Give the reference more hours, or compare with another one (--reference).",
    )


def _no_fit(variant: str, numbers: Numbers) -> Parts:
    about = "" if variant == "the variant" else f" for {variant}"
    basis = "the same trips" if numbers["basis"] == "same trips" else str(numbers["basis"])
    return Parts(
        f"No answer could be worked out{about} from {basis}.",
        "The log holds too little there.",
        "More trips with fish on them are needed; with --adjust, ask for fewer columns.",
    )


def _too_few_trips(variant: str, numbers: Numbers) -> Parts:
    return Parts(
        f"Too few trips: {count(numbers['sessions'], 'trip')} for {variant}, with as many baits "
        "and columns as were asked for.",
        "They cannot carry an answer.",
        "More trips, or fewer --adjust columns, would.",
    )


def _rods_not_logged(variant: str, numbers: Numbers) -> Parts:
    return Parts(
        "The log does not say which rod or spot each bait was on.",
        "A same-trip answer cannot see whether the best rod or spot was kept for one bait.",
        "Log the rod and the spot, and swap the baits round between the rods.",
    )


def _adjust_by_rod(variant: str, numbers: Numbers) -> Parts:
    return Parts(
        "The rods are logged, but this answer does not allow for them.",
        "If one bait had the best rod position more often, that is in the answer.",
        "See whether it changes with --adjust rod.",
    )


def _stints_left_out(variant: str, numbers: Numbers) -> Parts:
    left = numbers["stints"]
    were = "was" if left == 1 else "were"
    return Parts(
        f"{count(left, 'stint')} ({hours(numbers['rod_hours'])}, {count(numbers['fish'], 'fish')}) "
        f"{were} left out because {_column(numbers)} is not logged there.",
        "The answer is about the rest.",
        "Fill it in, or compare without adjusting for it.",
    )


def _column_constant_within_trips(variant: str, numbers: Numbers) -> Parts:
    column = _column(numbers)
    return Parts(
        f"The same-trip answer needs no adjusting for {column}: it is the same for all baits of a "
        "trip.",
        "So it cannot favour one of them.",
        "Only the all-trips answer is adjusted for it.",
    )


def _column_not_used(variant: str, numbers: Numbers) -> Parts:
    reason = str(numbers["reason"]).rstrip(".")
    return Parts(
        f"The answer is not adjusted for {_column(numbers)}: {reason}.",
    )


def _column(numbers: Numbers) -> str:
    name = str(numbers["column"])
    return COLUMN_WORDS.get(name, name)


def _mostly_indirect(variant: str, numbers: Numbers) -> Parts:
    shared, sessions = numbers["shared_sessions"], numbers["sessions"]
    met = f"only {shared:,}" if shared else "none"
    return Parts(
        f"Of the {count(sessions, 'trip')} behind this answer, {met} had both {variant} and the "
        "reference in the water.",
        "The rest compare them by way of a third bait, which is less firm.",
        "Trips with these two side by side would make it firmer.",
    )


def _reference_chosen(variant: str, numbers: Numbers) -> Parts:
    shared = numbers["shared_rod_hours"]
    why = (
        f", because it has the most rod-hours on trips shared with other baits ({hours(shared)}), "
        "not because of what it caught"
        if shared
        else ""
    )
    return Parts(
        f"No reference was given: {numbers['reference']} was taken{why}.",
        "",
        "Choose another with --reference; the logbook remembers it.",
    )


def _small_difference(variant: str, numbers: Numbers) -> Parts:
    margin = margin_text(numbers["margin"])
    return Parts(
        f"The difference between {variant} and the reference is small.",
        f"Both limits lie within {margin} times either way.",
        "Whether that is worth the trouble is for you to say.",
    )


def _one_variant(variant: str, numbers: Numbers) -> Parts:
    return Parts(
        "Only one bait is in the chosen rows.",
        "So there is nothing to compare it with.",
        "Log a second bait fished on the same trips.",
    )


def _mixed_fishing(variant: str, numbers: Numbers) -> Parts:
    return Parts(
        "All ratios describe mixed fishing, with several baits in the water at once.",
        "A bait may draw fish to its neighbour, or away from it; what a trip with one bait alone "
        "would bring, they do not say.",
    )


def _fish_not_known(variant: str, numbers: Numbers) -> Parts:
    unknown = numbers["unknown"]
    have, they = (
        ("has", "It is not counted, though it may be one of")
        if unknown == 1
        else ("have", "They are not counted, though some may be")
    )
    return Parts(
        f"Of {the_count(numbers['concerned'], 'fish')} concerned, {number(unknown)} {have} "
        f"{lacking(numbers)} in the log ({on_variants(numbers['by_variant'])}).",
        f"{they} {wanted_fish(numbers)}.",
        f"List every fish in catches with its {listed(words_for(numbers))}, small ones too.",
    )


def _lost_not_logged(variant: str, numbers: Numbers) -> Parts:
    left = numbers["stints"]
    were = "was" if left == 1 else "were"
    return Parts(
        f"{count(left, 'stint')} ({hours(numbers['rod_hours'])}) {were} left out, because the log "
        "does not say how many fish were lost there.",
        "The answer is about the rest: an empty cell is not none.",
        "Write 0 in the column lost where none was.",
    )


def _lost_from_catches(variant: str, numbers: Numbers) -> Parts:
    return Parts(
        "Lost fish are counted as catches lists them, since no stint has a count of its own: a "
        "stint without one there is taken to have lost none.",
        "If lost fish were written down only now and then, do not trust this answer.",
        "Fill in the column lost of stints; that makes it firm.",
    )


def _fish_not_weighed(variant: str, numbers: Numbers) -> Parts:
    unweighed, of = numbers["unweighed"], numbers["of"]
    was = "was" if unweighed == 1 else "were"
    return Parts(
        f"Of {the_count(of, 'landed fish')}, {number(unweighed)} {was} not weighed "
        f"({on_variants(numbers['by_variant'])}).",
        "If small fish went back unweighed, the weights here flatter the bait that caught them.",
        "Weigh every fish, or every fish of a rod.",
    )


def _several_species(variant: str, numbers: Numbers) -> Parts:
    kinds = listed(f"{many:,} {name}" for name, many in numbers["species"].items())
    return Parts(
        f"Several species are weighed together here: {kinds}.",
        "A bait that draws another species is not one that draws bigger fish.",
        "Ask for one species with --species.",
    )


def _size_reference_chosen(variant: str, numbers: Numbers) -> Parts:
    return Parts(
        f"No reference was given: {numbers['reference']} was taken, because it has the most "
        f"weighed fish ({numbers['weighed']:,}).",
        "",
        "Choose another with --reference.",
    )


_TEXTS: dict[str, Callable[[str, Numbers], Parts]] = {
    **CHECK_TEXTS,
    "adjust_by_rod": _adjust_by_rod,
    "column_constant_within_trips": _column_constant_within_trips,
    "column_not_used": _column_not_used,
    "favourite_conditions": _favourite_conditions,
    "few_fish": _few_fish,
    "fish_not_known": _fish_not_known,
    "fish_not_weighed": _fish_not_weighed,
    "hidden_conditions": _hidden_conditions,
    "left_out": _left_out,
    "lost_from_catches": _lost_from_catches,
    "lost_not_logged": _lost_not_logged,
    "mixed_fishing": _mixed_fishing,
    "mostly_indirect": _mostly_indirect,
    "no_fish": _no_fish,
    "no_fish_on_reference": _no_fish_on_reference,
    "no_fit": _no_fit,
    "no_same_trips": _no_same_trips,
    "not_same_trips": _not_same_trips,
    "one_variant": _one_variant,
    "reference_chosen": _reference_chosen,
    "rods_not_logged": _rods_not_logged,
    "several_species": _several_species,
    "size_reference_chosen": _size_reference_chosen,
    "small_difference": _small_difference,
    "stints_left_out": _stints_left_out,
    "too_few_trips": _too_few_trips,
}
