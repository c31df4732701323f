"""Results show well in a notebook: sentences and table, whatever the labels hold."""

from __future__ import annotations

from html.parser import HTMLParser

import numpy as np

import rodhours
import simulated_seasons as seasons
from rodhours.words.notes import says
from rodhours.words.shown import sentences


class _Texts(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.text = ""

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.tags.append(tag)

    def handle_data(self, data: str) -> None:
        self.text += data


def read(html: str) -> _Texts:
    parser = _Texts()
    parser.feed(html)
    return parser


def test_a_result_shows_its_sentences_its_notes_and_its_table() -> None:
    """In a line its class and its answer; in a notebook all sentences and notes above a table of
    the tidy frame, where it has one."""
    log = seasons.each_rod_by_mood(np.random.default_rng(1), 1.5)
    for result, tables, begins in (
        (rodhours.compare(log, "plain"), 1, "<ComparisonResult: Not settled: on the "),
        (rodhours.check(log, "plain"), 0, "<CheckResult: Against plain: "),
        (rodhours.summarise(log), 1, "<RateSummary: "),
    ):
        page = read(result._repr_html_())
        assert page.tags.count("table") == tables
        assert sentences(result)
        for sentence in (*sentences(result), *map(says, result.notes)):
            assert sentence in page.text
        assert repr(result).startswith(begins)
        assert repr(result) == f"<{type(result).__name__}: {sentences(result)[0]}>"


def test_hostile_labels_are_escaped() -> None:
    """A label with a script in it shows as text."""
    log = seasons.both_on_every_trip(np.random.default_rng(1), 1.5)
    log["variant"] = log["variant"].replace("pellet-20", "<script>alert(1)</script>")
    page = read(rodhours.compare(log, "plain")._repr_html_())
    assert "script" not in page.tags
    assert "<script>alert(1)</script>" in page.text


def test_a_summary_shows_its_rows() -> None:
    """One row a group and no total; what does not exist is a dash."""
    log = seasons.both_on_every_trip(np.random.default_rng(2), 1.5)
    summary = rodhours.summarise(log)
    assert list(summary.frame["group"]) == ["pellet-20", "plain"]
    page = read(summary._repr_html_())
    assert page.tags.count("tr") == 3
    assert "NaN" not in page.text
    assert "None" not in page.text
