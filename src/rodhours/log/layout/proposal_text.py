"""A proposal as the text of a layout file: each entry with three sample cells and its readings."""

from __future__ import annotations

import re

from rodhours.log.cells.texts import may_be_pounds
from rodhours.log.cells.weights import weight_readings
from rodhours.log.layout import proposal_words as words
from rodhours.log.layout.contents import Contents
from rodhours.log.layout.layout import COLUMNS
from rodhours.log.layout.propose import Match, Proposal
from rodhours.log.layout.toml import layout_text, one_line, toml_value
from rodhours.log.tables import Kind

SHOWN_FORMS = 6
"""How many forms of a column are shown with their reading."""
MOST_LABELS = 30
"""With more labels than this the column is hardly that of the baits."""
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
    of_rods: list[str] = []
    for match in proposal.matches:
        if match.theirs in proposal.layout.columns:
            notes["columns", match.theirs] = match_lines(match)
        else:
            of_rods += [f"{one_line(match.theirs)}: {line}" for line in match_lines(match)]
    if of_rods:
        notes["wide", ""] = [words.wide_said(proposal.rods), *of_rods]
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
    if proposal.gaps:
        columns = f"columns = {toml_value(proposal.gaps)}"
        after["fill_down"] = [f"{words.above_said(proposal.gaps)}:", columns]
    _values(proposal, after)
    _weights(proposal, after)
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
    if match.both_ways:
        lines.append(words.is_both_ways(match.theirs, match.both_ways) + ".")
    return [one_line(line, 300) for line in lines]


def _openings(proposal: Proposal) -> list[str]:
    """What has to be settled before the layout can be used."""
    lines = []
    if proposal.fish_only:
        return [f"NOT A LOG OF STINTS: {words.WHY_FISH_ONLY}. {words.HOW_TO_ADD_HOURS}."]
    lines += [f"{words.tie_said(ours, names)}." for ours, names in proposal.ties.items()]
    lines += [f"{missing_line(proposal, ours)}." for ours in proposal.missing]
    return [f"TO DO: {line}" for line in lines]


def missing_line(proposal: Proposal, ours: str) -> str:
    """A needed column that none of theirs was matched to, with those that it may be."""
    may_be = [
        match.theirs
        for match in proposal.matches
        if match.ours is None and match.samples and Contents(match.samples).could_be(ours)
    ]
    already_said = ours in proposal.ties
    return words.missing_said(ours, COLUMNS[ours].holds, [] if already_said else may_be[:4])


def _values(proposal: Proposal, after: dict[str, list[str]]) -> None:
    for ours, groups in proposal.look_alikes.items():
        lines = [words.alike_said(ours) + ":"]
        for first, *others in groups:
            lines += [f"{toml_value(other)} = {toml_value(first)}" for other in others]
        after[f"values.{ours}"] = lines
    alike = {label for groups in proposal.look_alikes.values() for g in groups for label in g[1:]}
    rest = [label for label in proposal.labels if label not in alike]
    if 1 < len(proposal.labels) <= MOST_LABELS:
        after.setdefault("values.variant", []).extend(
            [words.labels_said() + ":", *(f"{toml_value(one)} = {toml_value(one)}" for one in rest)]
        )
    if proposal.empty_counts:
        after["values.fish"] = [words.empty_counts_said(proposal.empty_counts) + ":", '"" = "0"']


def _weights(proposal: Proposal, after: dict[str, list[str]]) -> None:
    weights = [m for m in proposal.matches if m.ours and COLUMNS[m.ours].kind is Kind.WEIGHT]
    unread = [one.text for m in weights for one in m.readings if one.fault is not None]
    if proposal.layout.units.weight is None and any(map(weight_readings, unread)):
        after["units"] = [words.weight_unit_said() + ":", 'weight = "lb.oz"']
