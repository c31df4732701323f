"""Names that are near to one that is not there."""

from __future__ import annotations

import pytest

from rodhours.near import near_names, unknown_name

KNOWN = ("plain", "pellet-20", "pellet-30", "water_temp_c", "Fish")


@pytest.mark.parametrize(
    ("name", "near"),
    [
        ("plian", ["plain"]),  # two letters changed about: 2 x 4 of 10 letters are shared
        ("PLAIN", ["plain"]),
        ("Water Temp (C)", ["water_temp_c"]),
        ("fish", ["Fish"]),
        ("pellet20", ["pellet-20", "pellet-30"]),
        ("zzz", []),
        ("", []),
    ],
)
def test_the_nearest_first(name: str, near: list[str]) -> None:
    """Capitals and punctuation do not count; a name that is like none has none."""
    assert near_names(name, KNOWN) == near


def test_an_unknown_name_is_answered_with_the_nearest_and_all() -> None:
    """The hint stands only where there is one; without any names it says so."""
    says = unknown_name("variant", "plian", KNOWN)
    assert says.startswith("There is no variant 'plian'. Did you mean 'plain'? Known: Fish, ")
    assert all(name in says for name in KNOWN)
    assert "mean" not in unknown_name("variant", "zzz", KNOWN)
    assert unknown_name("species", "x", ()).endswith("Known: none.")
