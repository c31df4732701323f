"""Bag codes and the sealed key."""

from __future__ import annotations

from itertools import combinations

import pytest

from rodhours.errors import UnusableFile, UsageError
from rodhours.planning.blind import BagKey, draw_codes, new_plan_name, opened, sealed
from rodhours.words.blind import seal_heading

VARIANTS = ["plain", "pellet-10", "pellet-20", "pellet-30", "crushed-biscuit"]
KEY = BagKey("KADE", tuple(zip(["TAF", "HEW", "JAR", "DEK", "MAP"], VARIANTS, strict=True)), 20)
SEALED = sealed(KEY, seal_heading(KEY.plan, "rotation-KADE.sealed"))


def test_codes_cannot_be_mistaken():
    """No letter that looks like a figure or another letter, two letters apart, none known."""
    for _ in range(20):
        codes = draw_codes(VARIANTS, taken=["taf", "HEW"])
        assert list(codes) == VARIANTS
        assert not {"TAF", "HEW"} & set(codes.values())
        for one, other in combinations(codes.values(), 2):
            assert sum(x != y for x, y in zip(one, other, strict=True)) >= 2
        # 0 O Q D-like rounds, 1 I L, 2 Z, 5 S, 6 G, 8 B, U V: handwriting turns them round.
        assert not set("".join(codes.values())) & set("OQIL1ZSGBUV0")


def test_codes_are_drawn_anew():
    """No order of the variants comes out in the order of the codes each time, nor a name twice."""
    orders = set()
    for _ in range(40):
        codes = draw_codes(VARIANTS)
        orders.add(tuple(sorted(VARIANTS, key=codes.__getitem__)))
    # 40 draws of 120 orders: ten the same by chance alone is beyond reason.
    assert len(orders) > 10
    assert len({new_plan_name() for _ in range(40)}) > 10


def test_codes_run_out_in_words():
    """Where every code is taken, a sentence and not an endless search."""
    taken = [a + b + c for a in "DFHJKMPRTW" for b in "AE" for c in "DFHJKMPRTW"]
    with pytest.raises(UsageError, match="not enough free"):
        draw_codes(VARIANTS, taken)


def test_the_seal_is_not_read_by_eye():
    """Neither variants nor codes stand in the file; it says what it is and how to open it."""
    for code, variant in KEY.codes:
        assert code not in SEALED.split("sealed key")[1]
        assert variant not in SEALED
    assert "a seal, not a lock" in SEALED
    assert "rodhours plan unblind rotation-KADE.sealed" in SEALED


def test_what_was_sealed_is_opened():
    """The key comes back as it was, with other line ends too."""
    assert opened(SEALED, "k") == KEY
    assert opened(SEALED.replace("\n", "\r\n").replace("\r\n", "\n"), "k") == KEY


@pytest.mark.parametrize("place", [0.1, 0.5, 0.9])
def test_a_changed_key_is_refused(place):
    """One letter changed anywhere in the sealed part, or a part cut off, opens nothing."""
    head, body = SEALED.split("rodhours sealed key 1\n")
    body, checksum = body.split("\nchecksum")
    at = int(len(body) * place)
    other = "A" if body[at] != "A" else "B"
    changed = f"{head}rodhours sealed key 1\n{body[:at]}{other}{body[at + 1 :]}\nchecksum{checksum}"
    with pytest.raises(UnusableFile):
        opened(changed, "k")
    with pytest.raises(UnusableFile):
        opened(SEALED[: int(len(SEALED) * place)], "k")


def test_another_file_is_no_key():
    """A file that is something else is named as such."""
    with pytest.raises(UnusableFile, match="no sealed key"):
        opened("session,variant\nT1,plain\n", "stints.csv")
