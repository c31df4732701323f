"""Where the limits of a catch rate come from, in plain words, where a reader should know it."""

from __future__ import annotations

_WORDS = {
    "session model": "the limits allow for trips of uneven luck",
    "session model, upper limit from gamma sessions": (
        "few trips or few fish, so the upper limit comes from a simpler model of uneven trips"
    ),
    "session model, too few trips for an upper limit": "too few trips for an upper limit",
    "exact Poisson, fewer than 3 sessions": (
        "fewer than 3 trips, so the limits cannot allow for good days and bad, and are too close"
    ),
    "exact Poisson, no fish": (
        "no fish, so there is an upper limit only, and it cannot allow for good days and bad"
    ),
}


def methods() -> tuple[str, ...]:
    """The methods that have words, in alphabetical order."""
    return tuple(sorted(_WORDS))


def method_words(method: str) -> str:
    """A method of `RateRow` in plain words. Raises KeyError where the method is unknown."""
    return _WORDS[method]
