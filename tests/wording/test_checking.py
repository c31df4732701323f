"""The words around the findings: none, one and many."""

import pytest

from rodhours.wording.checking import NO_ALL_CLEAR, heading


@pytest.mark.parametrize(
    ("severities", "text"),
    [
        ([], "Nothing found, with plain as the reference."),
        (["caution"], "Found, with plain as the reference: one caution."),
        (
            ["serious", "serious", "caution", "information"],
            "Found, with plain as the reference: two serious things, one caution and one thing "
            "worth knowing.",
        ),
        (["information"] * 12, "Found, with plain as the reference: 12 things worth knowing."),
    ],
)
def test_the_heading_counts_by_weight(severities, text):
    """Worst first, in words up to nine."""
    assert heading(severities, "plain") == text


def test_no_note_is_not_an_all_clear():
    """Said in these words."""
    assert NO_ALL_CLEAR.startswith("No note is not an all-clear")
