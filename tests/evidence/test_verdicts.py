"""The verdict in the order of its rules; each case is worked out by hand."""

from __future__ import annotations

import pytest

from rodhours.evidence.verdicts import verdict


@pytest.mark.parametrize(
    ("low", "high", "fish", "other", "expected"),
    [
        # Fewer than 5 fish on the two together comes before everything else.
        (1.5, 3.0, 4, 0, "too little to say"),
        (1.5, 3.0, 2, 2, "too little to say"),
        (None, None, 0, 0, "too little to say"),
        (1.5, 3.0, 5, 0, "ahead"),
        (1.5, 3.0, 3, 2, "ahead"),
        # Ahead and behind come before a missing limit and before width.
        (1.01, None, 9, 9, "ahead"),
        (1.01, 99.0, 9, 9, "ahead"),
        (0.0, 0.99, 0, 9, "behind"),
        (None, 0.99, 0, 9, "behind"),
        (0.001, 0.99, 9, 9, "behind"),
        # A limit of exactly 1 leaves 1 in.
        (1.0, 3.0, 9, 9, "unsettled"),
        (0.5, 1.0, 9, 9, "unsettled"),
        # A missing limit, or limits more than 16-fold apart.
        (None, 3.0, 9, 9, "too little to say"),
        (0.5, None, 9, 9, "too little to say"),
        (0.0, 3.0, 0, 9, "too little to say"),
        (0.5, 8.01, 9, 9, "too little to say"),
        (0.5, 8.0, 9, 9, "unsettled"),
        # Both limits within 1/1.25 = 0.8 and 1.25.
        (0.8, 1.25, 900, 900, "level"),
        (0.79, 1.2, 900, 900, "unsettled"),
        (0.9, 1.26, 900, 900, "unsettled"),
        # A small difference is still ahead or behind.
        (1.01, 1.1, 900, 900, "ahead"),
        (0.9, 0.99, 900, 900, "behind"),
    ],
)
def test_rules_in_their_order(low, high, fish, other, expected):
    """Too little; ahead; behind; no limit or 16-fold; level; unsettled."""
    assert verdict(low, high, fish, other, 1.25) == expected


def test_margin_decides_what_is_level():
    """--margin widens what counts as level, and nothing else."""
    assert verdict(0.6, 1.6, 90, 90, 1.25) == "unsettled"
    assert verdict(0.6, 1.6, 90, 90, 2.0) == "level"
    assert verdict(0.5, 2.0, 90, 90, 2.0) == "level"
    assert verdict(1.1, 1.6, 90, 90, 2.0) == "ahead"
