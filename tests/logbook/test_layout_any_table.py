"""Whatever stands in a spreadsheet: a proposal is a layout file, and rows add up by it."""

from __future__ import annotations

import csv
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rodhours.errors import RodhoursError
from rodhours.logbook.importing import import_paths
from rodhours.logbook.layout.proposal_text import proposal_text
from rodhours.logbook.layout.propose import proposals_for
from rodhours.logbook.layout.toml import parse_layout
from rodhours.report.layout_text import layout_text

NAMES = (
    """
Date|Day|Water|Lake|Rod|Bait|Hookbait|Hrs|Time in|Time out|Landed|Takes|Fish|Lost|Weight (lb)
Temp °F|Trip|Moon|session|fish|Rod 1 bait|Rod 1 fish|Rod 2 bait|Rod 2 fish|hours|variant
a"b\\c|[x]|#
""".strip()
    .replace("\n", "|")
    .split("|")
)
CELLS = (
    """
| |0|1|2.5|2,5|36:30|1d 12h|5h|12/04/2025|4/12/25|31/2/25|2025-04-12|12 April|plain|Plain
20% pellet|22lb 4oz|22.4|-|1 + 1 lost|18:30|6pm|#REF!|nan|=A1|"|# x|Total|Alder Mere|alder mere
45759|1.234|1.234,5
""".strip("\n")
    .replace("\n", "|")
    .split("|")
)


@st.composite
def tables(draw: st.DrawFn) -> list[list[str]]:
    """A header of an angler's names and rows of anything that may stand below."""
    names = st.one_of(st.sampled_from(NAMES), st.text(st.characters(codec="utf-8"), max_size=6))
    header = draw(st.lists(names, min_size=2, max_size=9, unique=True))
    cells = [
        draw(st.lists(st.sampled_from(CELLS), min_size=1, max_size=3, unique=True)) for _ in header
    ]
    count = draw(st.integers(1, 8))
    return [header, *([draw(st.sampled_from(column)) for column in cells] for _ in range(count))]


def check(table: list[list[str]]) -> bool:
    """Whether the proposal was complete; all that was done with it is checked here."""
    with tempfile.TemporaryDirectory() as place:
        file, layout = Path(place) / "any.csv", Path(place) / "any.toml"
        with file.open("w", newline="", encoding="utf-8") as out:
            csv.writer(out).writerows(table)
        try:
            (proposal,) = proposals_for([file])
        except RodhoursError:
            return False
        text = proposal_text(proposal)
        layout.write_text(text, encoding="utf-8")
        read = parse_layout(text, str(layout))
        for part in ("columns", "units", "dates", "session_from", "wide"):
            assert getattr(read, part) == getattr(proposal.layout, part)
        assert layout_text(proposal, 80)
        try:
            result = import_paths([file], Path(place) / "x.sqlite", layouts=[layout])
        except RodhoursError:
            return False
        assert result.rows_read == (
            result.rows_imported + result.rows_already_there + result.rows_rejected
        )
        assert proposal.complete
        return True


@settings(max_examples=25)
@given(tables())
def test_a_proposal_for_any_table(table: list[list[str]]) -> None:
    """No traceback, a file that says what the proposal says, and rows that add up."""
    check(table)


@pytest.mark.full
@settings(max_examples=3000)
@given(tables())
def test_a_proposal_for_many_tables(table: list[list[str]]) -> None:
    """The same at full size."""
    check(table)
