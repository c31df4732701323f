"""Where the limits of a rate come from is said without the words of statisticians."""

import re

import pytest

from rodhours.evidence import summary
from rodhours.wording.rate_methods import method_words, methods


def test_every_method_of_the_summary_has_words():
    """A method without words must not reach a reader."""
    used = {
        summary.SESSION_MODEL,
        summary.GAMMA_MODEL,
        summary.NO_UPPER_LIMIT,
        summary.EXACT_FEW_SESSIONS,
        summary.EXACT_NO_FISH,
    }
    assert set(methods()) == used


@pytest.mark.parametrize("method", methods())
def test_words_are_plain(method):
    """No model is named, and the words differ from the machine's."""
    said = method_words(method)
    assert said != method
    assert not re.search(r"gamma|poisson|session|exact", said, flags=re.IGNORECASE)


def test_an_unknown_method_is_refused():
    """It raises rather than showing a reader the machine's word."""
    with pytest.raises(KeyError):
        method_words("by ear")
