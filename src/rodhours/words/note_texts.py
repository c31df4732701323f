"""Texts of notes that only need their figures filled in, by code, and how they are filled.

A field is a number of the note, `variant` its bait and `limits` its limits in words; after the
colon stands how it is said: a name of `FORMS` and what that needs, or `one|several`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sized
from string import Formatter
from typing import Any

from rodhours.evidence.result import Note
from rodhours.evidence.trips import FEWEST_SESSIONS
from rodhours.words.answer import verdict_words
from rodhours.words.numbers import (
    count,
    hours,
    limits,
    listed,
    margin_text,
    number,
    on_variants,
    percent,
    ratio,
    the_count,
    times,
)
from rodhours.words.parts import Parts
from rodhours.words.response import amount, name_of

_WHY_NOT = {
    "unlinked": "baits that differ in it were never fished on the same trip",
    "few_sessions": (
        f"that needs at least {FEWEST_SESSIONS} trips with baits in the water that differ in it"
    ),
    "few_df": "there are too few such trips",
}
FORMS: dict[str, Callable[..., str]] = {
    "": str,
    "amount": amount,
    "column": lambda name: "time of year" if name == "time_of_year" else name,
    "count": count,
    "hours": hours,
    "kinds": lambda many: listed(f"{number(each)} {name}" for name, each in many.items()),
    "listed": listed,
    "margin": margin_text,
    "name": name_of,
    "Name": lambda column: name_of(column)[:1].upper() + name_of(column)[1:],
    "names": lambda columns: listed(map(name_of, columns)),
    "number": lambda value, decimals="0": number(value, int(decimals)),
    "on": on_variants,
    "percent": percent,
    "ratio": ratio,
    "the": the_count,
    "times": times,
    "verdict": verdict_words,
    "why_not": _WHY_NOT.__getitem__,
}


class _Filled(Formatter):
    def format_field(self, value: Any, spec: str) -> str:
        one, either, several = spec.partition("|")
        if either:
            return one if (len(value) if isinstance(value, Sized) else value) == 1 else several
        form, _, needs = spec.partition(" ")
        return FORMS[form](value, *[needs] * bool(needs))


def filled(text: Parts, note: Note) -> Parts:
    """A text with the figures of a note in it. Raises KeyError for one that the note lacks."""
    known: Mapping[str, Any] = {**note.numbers, "variant": note.variant}
    if "conf_low" in known:
        known = {**known, "limits": limits(known["conf_low"], known["conf_high"])}
    return Parts(*(_Filled().vformat(part, (), known) for part in text))


OF_A_COMPARISON = {
    "batch_apart": Parts(
        "Batch {batch} of {variant} caught at {rate_ratio:ratio} times ({limits}) the rate of the "
        "other batches, over all trips: {fish:count fish} against {other_fish:number}.",
        "Batches of one recipe differ here by more than trips do, and an answer for the recipe "
        "mixes them.",
        "Look at what differed: how it was made, its age, the part of the season it was fished in.",
    ),
    "blind_alone": Parts(
        "Without the trips that came after the key was opened, {variant} caught "
        "{rate_ratio:times} as fast as the reference ({limits}), on {trips:count trip}."
    ),
    "column_constant_within_trips": Parts(
        "The same-trip answer needs no adjusting for {column:column}: it is the same for all "
        "baits of a trip.",
        "So it cannot favour one of them.",
        "Only the all-trips answer is adjusted for it.",
    ),
    "column_not_used": Parts("The answer is not adjusted for {column:column}: {reason}."),
    "fish_not_weighed": Parts(
        "Of {of:the landed fish}, {unweighed:number} {unweighed:was|were} not weighed "
        "({by_variant:on}).",
        "If small fish went back unweighed, the weights here flatter the bait that caught them.",
        "Weigh every fish, or every fish of a rod.",
    ),
    "goes_along": Parts(
        "There is no ratio for {variant}: it goes along with {columns:listed}, and nothing tells "
        "the two apart.",
        what_to_do="Fish it and the reference in the same {columns:listed}, or leave out --adjust.",
    ),
    "lost_from_catches": Parts(
        "Lost fish are counted as catches lists them, since no stint has a count of its own: a "
        "stint without one there is taken to have lost none.",
        "If lost fish were written down only now and then, do not trust this answer.",
        "Fill in the column lost of stints; that makes it firm.",
    ),
    "lost_not_logged": Parts(
        "{stints:count stint} ({rod_hours:hours}) {stints:was|were} left out, because the log does "
        "not say how many fish were lost there.",
        "The answer is about the rest: an empty cell is not none.",
        "Write 0 in the column lost where none was.",
    ),
    "no_count_of_lost": Parts(
        "The log has no count of lost fish.",
        what_to_do="Write it in the column lost of stints, 0 where none was lost, or list lost "
        "fish in catches with the outcome lost.",
    ),
    "no_fish_on_reference": Parts(
        "The reference has caught no fish in {rod_hours:hours}.",
        "So no ratio and no upper limit exist.",
        "Give the reference more hours, or compare with another one (--reference).",
    ),
    "one_of_several": Parts(
        "{variant} was picked out, and {others:count other bait} stood by.",
        "If that was for how it looked, the limits of {baits:number} baits looked at together hold "
        "for it: {limits}, and the verdict is “{verdict:verdict}”.",
        "To see them all, name no bait.",
    ),
    "one_variant": Parts(
        "Only one bait is in the chosen rows.",
        "So there is nothing to compare it with.",
        "Log a second bait fished on the same trips.",
    ),
    "rods_not_logged": Parts(
        "The log does not say which rod or spot each bait was on.",
        "A same-trip answer cannot see whether the best rod or spot was kept for one bait.",
        "Log the rod and the spot, and swap the baits round between the rods.",
    ),
    "several_species": Parts(
        "Several species are weighed together here: {species:kinds}.",
        "A bait that draws another species is not one that draws bigger fish.",
        "Ask for one species with --species.",
    ),
    "size_reference_chosen": Parts(
        "No reference was given: {reference} was taken, because it has the most weighed fish "
        "({weighed:number}).",
        what_to_do="Choose another with --reference.",
    ),
    "small_difference": Parts(
        "The difference between {variant} and the reference is small.",
        "Both limits lie within {margin:margin} times either way.",
        "Whether that is worth the trouble is for you to say.",
    ),
    "stints_left_out": Parts(
        "{stints:count stint} ({rod_hours:hours}, {fish:count fish}) {stints:was|were} left out "
        "because {column:column} is not logged there.",
        "The answer is about the rest.",
        "Fill it in, or compare without adjusting for it.",
    ),
    "too_few_trips": Parts(
        "Too few trips: {sessions:count trip} for {variant}, with as many baits and columns as "
        "were asked for.",
        "They cannot carry an answer.",
        "More trips, or fewer --adjust columns, would.",
    ),
    "trips_are_stays": Parts(
        "The {trips:count trip} with a date and a water are {stays:count stay}: several are days "
        "in a row on one water.",
        "What a stay has in common (weather, fish in front of you) is counted anew with each of "
        "its days, {trips_a_stay:number 1} to a stay, so the limits are too close where each bait "
        "had stays of its own.",
        "Go by the answer with --trips-are stays, unless you packed up and began afresh each day.",
    ),
    "whole_days": Parts(
        "Nearly all hours ({share:percent} of {stints:count stint}) are multiples of {step}.",
        "A bait that was in the water for 10 h and is written 24 h looks less than half as good "
        "as it is. If all baits were rounded alike, little is lost.",
        "Write down when each bait went in and came out (cast_in, cast_out).",
    ),
}
OF_AN_INGREDIENT = {
    "bend": Parts(
        "The line bends more than chance alone would bend it.",
        "One ratio for every step is an average only.",
        "Go by the curve.",
    ),
    "few_fish": Parts(
        "Few fish: {below:count fish} below and {above:count fish} above the middle of the range "
        "({middle:amount}).",
        "One fish more or less would move this answer a good deal; the limits allow for that.",
        "Only more trips will narrow them.",
    ),
    "lack_of_fit": Parts(
        "The baits lie further from the line than chance alone would put them.",
        "Something else than this ingredient makes them differ, or the line has another shape.",
        "Go by the baits one by one: rodhours compare",
    ),
    "moves_together": Parts(
        "{column:Name} and {other:name} were always changed together, so this log cannot tell "
        "them apart.",
        "What stands here under {column:name} may be the work of {other:name}, or of both.",
        "Fish a bait that changes one of the two alone.",
    ),
    "no_fish": Parts(
        "No fish in {rod_hours:hours}.",
        "There is nothing to draw a line through.",
        "Fish on and log the blanks too.",
    ),
    "not_same_trips": Parts(
        "This answer comes from all trips, not from the same trips: {reason:why_not} "
        "({contrasting_sessions:count trip} had that).",
        "It cannot tell {column:name} from better days.",
        "Fish baits that differ in it side by side on every trip.",
    ),
    "other_differences": Parts(
        "The baits also differ in {columns:names}.",
        "The line does not allow for that.",
        "See what the baits do one by one: rodhours compare",
    ),
    "recipe_missing": Parts(
        "{stints:count stint} ({rod_hours:hours}, {fish:count fish}) {stints:was|were} left out, "
        "because the {variants:recipe|recipes} of {variants:listed} {variants:does|do} not say "
        "the {column:name}.",
        "The answer is about the rest.",
        "Fill it in in the variants table.",
    ),
    "step_beyond_range": Parts(
        "The step of {per:amount} is longer than the range that was fished ({span:amount}).",
        "The ratio goes beyond what the log has seen.",
        "Take a smaller --per.",
    ),
    "step_chosen": Parts(
        "The step of {per:amount} was taken from the range that was fished.",
        what_to_do="Ask for another with --per.",
    ),
    "too_few_trips": Parts(
        "Too few trips: {sessions:count trip} with as many columns as were asked for.",
        "They cannot carry an answer.",
        "More trips, or fewer --adjust columns, would.",
    ),
    "two_values": Parts(
        "Only two values were fished ({values[0]:amount} and {values[1]:amount}).",
        "Nothing here can show whether what lies between them follows a straight line.",
        "A bait in between would.",
    ),
    "variants_not_linked": Parts(
        "{variants:listed} {variants:was|were} never fished beside the other baits.",
        "Only the all-trips answer has {variants:it|them}.",
        "Fish all baits side by side.",
    ),
}
