"""A proposal as the text of a layout file: each entry with three sample cells and its readings."""

from __future__ import annotations

import re

from rodhours.log.cells.texts import may_be_pounds
from rodhours.log.layout import proposal_words as words
from rodhours.log.layout.propose import Match, Proposal
from rodhours.log.layout.toml import entry_line, layout_text, one_line

SHOWN_FORMS = 6
"""How many forms of a column are shown with their reading."""
_BARE_DECIMAL = re.compile(r"\d+\.\d+")


def proposal_text(proposal: Proposal) -> str:
    """The TOML text of the proposed layout, to be read and corrected."""
    notes: dict[tuple[str, str], list[str]] = {
        ("", ""): [
            *words.opens_a_layout(proposal.file, proposal.sheet, proposal.sheets_alike),
            *_openings(proposal),
        ],
        ("columns", ""): list(words.LEGEND),
    }
    after: dict[str, list[str]] = {}
    for match in proposal.matches:
        notes["columns", match.theirs] = match_lines(match)
    if proposal.rods:
        notes["columns", ""].append(words.apart_said(proposal.layout, proposal.rods))
    if proposal.layout.session_from:
        notes["session", "from"] = [
            words.session_said(proposal.layout.session_from, proposal.sessions) + "."
        ]
    if proposal.sheets:
        notes["file", "sheets"] = [words.sheet_chosen(proposal.sheet or "", proposal.sheets)]
    if proposal.layout.dates.clock_on is not None:
        notes["dates", "clock_on"] = [
            words.clock_said(proposal.layout.dates.clock_on, proposal.layout.dates.clock_end_on)
        ]
    _questions(proposal, after)
    return layout_text(proposal.layout, notes, after)


def match_lines(match: Match) -> list[str]:
    """What is said of one column: its cells, the readings of their forms, what is left open."""
    lines = [words.samples_said([one_line(text, 24) for text in match.samples])]
    faults = [one for one in match.readings if one.fault is not None]
    read = [one for one in match.readings if one.fault is None]
    plain = all(one.value in (one.text, f"{one.text}.0") for one in read)
    if match.ours is not None:
        shown = [] if plain else read[:SHOWN_FORMS]
        lines += [
            words.read_as(match.ours, one_line(one.text, 24), one.value, one.fault)
            for one in [*shown, *faults[:SHOWN_FORMS]]
        ]
    elif may_be_pounds(match.theirs) and any(map(_BARE_DECIMAL.fullmatch, match.samples)):
        lines.append(words.KEPT_POUNDS)
    return [one_line(line, 300) for line in lines]


def _openings(proposal: Proposal) -> list[str]:
    """What has to be settled before the layout can be used, and what is left aside."""
    if proposal.fish_only:
        return [f"NOT A LOG OF STINTS: {words.WHY_FISH_ONLY}. {words.HOW_TO_ADD_HOURS}."]
    lines = list(proposal.aside)
    if proposal.unanswerable:
        lines.append(f"TO DO: {words.no_column_said(proposal.unanswerable, proposal.rods)}.")
    return lines


def _questions(proposal: Proposal, after: dict[str, list[str]]) -> None:
    """Each question in the section of its answer: the entries, of which one is to be in force."""
    for question in proposal.questions:
        for section in dict.fromkeys(name for one in question.answers.values() for name in one):
            cells = f" ({' | '.join(question.cells)})" if question.cells else ""
            lines = after.setdefault(section, [])
            lines.append(f"QUESTION: {question.asks}{cells} Take the # off the answer's lines:")
            for says, told in question.answers.items():
                entries = told.get(section, {})
                lines += [f"  {says}:"] if entries else []
                lines += [entry_line(section, key, value) for key, value in entries.items()]
