"""What is counted where not every fish is: the phrase over an answer, and why there is none.

Works from the choice in its machine form: species, min_weight_kg and outcome.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rodhours.wording.numbers import count, listed, number, percent
from rodhours.wording.weights import stated_weight

CHOICES = ("species", "min_weight_kg", "outcome")
_OUTCOMES = {"landed": "", "lost": " hooked and lost", "hooked": " hooked, landed or lost"}


def wanted_fish(chosen: Mapping[str, Any]) -> str | None:
    """What is counted: `carp of 20 lb and over`, `fish hooked and lost`; None for all fish landed.

    `chosen` may hold other choices beside `CHOICES`; they are passed over.
    """
    species, kg = chosen.get("species"), chosen.get("min_weight_kg")
    outcome = chosen.get("outcome") or "landed"
    if species is None and kg is None and outcome == "landed":
        return None
    heavy = "" if kg is None else f" of {stated_weight(kg)} and over"
    return f"{species or 'fish'}{heavy}{_OUTCOMES[outcome]}"


def counted_here(chosen: Mapping[str, Any]) -> str | None:
    """The sentence over an answer that does not count every fish landed; None where it does."""
    wanted = wanted_fish(chosen)
    if wanted is None:
        return None
    said = (
        f"Counted here: {wanted}. Wherever this answer says fish or caught, it means these, and a "
        "blank is a trip without one."
    )
    if chosen.get("outcome") == "lost":
        said += " Ahead means that more of them were lost per rod-hour."
    return said


def lacking(chosen: Mapping[str, Any]) -> str:
    """What an undecided fish lacks: `no weight`, `no species`, `no species or no weight`."""
    asked = [
        f"no {word}"
        for word, name in (("species", "species"), ("weight", "min_weight_kg"))
        if chosen.get(name) is not None
    ]
    return listed(asked, "or")


def too_many_unknown(
    chosen: Mapping[str, Any], unknown: int, of: int, by_variant: Mapping[str, int], most: float
) -> str:
    """Why there is no answer: too many of the fish concerned lack a weight or a species."""
    lost = (
        " Lost fish are seldom weighed: ask for --outcome landed."
        if chosen.get("outcome") != "landed" and chosen.get("min_weight_kg") is not None
        else ""
    )
    return (
        f"There is no answer for {wanted_fish(chosen)}: {number(unknown)} of the "
        f"{count(of, 'fish')} concerned ({percent(unknown / of)}) have {lacking(chosen)} in the "
        f"log ({on_variants(by_variant)}), and no more than {percent(most)} may. List each fish in "
        f"catches with its {listed(words_for(chosen))}.{lost}"
    )


def words_for(chosen: Mapping[str, Any]) -> list[str]:
    """The columns of catches that the choice needs."""
    return [
        word
        for word, name in (("species", "species"), ("weight", "min_weight_kg"))
        if chosen.get(name) is not None
    ]


def on_variants(by_variant: Mapping[str, int]) -> str:
    """How many on which variant: `3 on plain and 1 on pellet-20`."""
    return listed(f"{number(many)} on {variant}" for variant, many in by_variant.items())


def no_catches(chosen: Mapping[str, Any]) -> str:
    """What to log before the choice can be answered."""
    columns = listed(words_for(chosen))
    return (
        f"The log does not list its fish one by one, so it cannot say which were "
        f"{wanted_fish(chosen)}. List each fish in a table catches (session, rod, {columns}) and "
        "import it with the stints of those sessions."
    )


NO_LOST = (
    "The log has no count of lost fish. Write it in the column lost of stints, 0 where none was "
    "lost, or list lost fish in catches with the outcome lost."
)
