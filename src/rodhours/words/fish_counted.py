"""What an answer counts where that is not all: which fish, sessions left out, trips that wait.

Works from the choice in its machine form: species, min_weight_kg and outcome.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from rodhours.evidence.fish_counted import HOOKED, LANDED, LOST
from rodhours.words.numbers import listed
from rodhours.words.weights import stated_weight

CHOICES = ("species", "min_weight_kg", "outcome")
_OUTCOMES = {LANDED: "", LOST: " hooked and lost", HOOKED: " hooked, landed or lost"}


def wanted_fish(chosen: Mapping[str, Any]) -> str | None:
    """What is counted: `carp of 20 lb and over`, `fish hooked and lost`; None for all fish landed.

    `chosen` may hold other choices beside `CHOICES`; they are passed over.
    """
    species, kg = chosen.get("species"), chosen.get("min_weight_kg")
    outcome = chosen.get("outcome") or LANDED
    if species is None and kg is None and outcome == LANDED:
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
    if chosen.get("outcome") == LOST:
        said += " Ahead means that more of them were lost per rod-hour."
    return said


def needed(chosen: Mapping[str, Any]) -> list[str]:
    """The columns of catches that the choice needs."""
    columns = {"species": "species", "weight": "min_weight_kg"}
    return [column for column, name in columns.items() if chosen.get(name) is not None]


def lacking(chosen: Mapping[str, Any]) -> str:
    """What an undecided fish lacks: `no weight`, `no species`, `no species or no weight`."""
    return listed((f"no {column}" for column in needed(chosen)), "or")


def weighs_lost(chosen: Mapping[str, Any]) -> bool:
    """Whether weights of lost fish are asked for, which are seldom known."""
    return chosen.get("outcome") != LANDED and chosen.get("min_weight_kg") is not None
