"""A proposed layout in words: its file, each entry with three cells, and on a terminal."""

from __future__ import annotations

import shlex
from collections.abc import Sequence

from rodhours.counts import listed, tallied
from rodhours.log.layout.apply import clock_said
from rodhours.log.layout.contents import Contents, one_line, read_forms
from rodhours.log.layout.layout import BAIT, COLUMNS, ROD
from rodhours.log.layout.propose import Proposal
from rodhours.log.layout.reshape import REFUSED
from rodhours.log.layout.toml import entry_line, layout_text

SHOWN_FORMS = 6
"""How many forms of a column are shown with their reading."""
LEGEND = (
    "Left: your columns, as the file has them. Right: what they are for rodhours,",
    'or "keep" (kept as it is, under its own name), or "leave out" (not imported).',
)


def proposal_text(proposal: Proposal) -> str:
    """The TOML text of the proposed layout, to be read and corrected."""
    opening = [
        f"How the columns and values of {tables_laid_out(proposal)} are read.",
        "A proposal: read it, correct it, then import with rodhours import FILE --layout THIS.",
        "Lines that begin with # say something or are not in force.",
        *proposal.aside,
        *remarks(proposal),
    ]
    if proposal.layout.dates.clock_on is not None:
        opening.append(clock_said(proposal.layout.dates))
    notes: dict[tuple[str, str], Sequence[str]] = {("", ""): opening, ("columns", ""): LEGEND}
    notes |= {("columns", name): column_lines(proposal, name) for name in proposal.cells}
    after: dict[str, list[str]] = {}
    # Each question stands in the section of its answer: the entries, one of them to be in force.
    for question in proposal.questions:
        for section in dict.fromkeys(name for one in question.answers.values() for name in one):
            cells = f" ({' | '.join(question.cells)})" if question.cells else ""
            lines = after.setdefault(section, [])
            lines.append(f"QUESTION: {question.asks}{cells} Take the # off the answer's lines:")
            for says, told in question.answers.items():
                entries = told.get(section, {})
                lines += [f"  {says}:"] if entries else []
                lines += [entry_line(section, key, value) for key, value in entries.items()]
    return layout_text(proposal.layout, notes, after)


def column_lines(proposal: Proposal, name: str) -> list[str]:
    """What is said of one column: its cells, the readings of their forms, what is left open."""
    ours, contents = proposal.layout.columns[name], Contents(proposal.cells[name])
    lines = [" | ".join(one_line(text, 24) for text in contents.samples) or "(every cell is empty)"]
    if ours not in COLUMNS:
        return lines
    readings = read_forms(ours, contents, proposal.layout, proposal.raw.workbook)
    faults = [one for one in readings if one.fault]
    read = [one for one in readings if not one.fault]
    shown = [] if all(one.plain for one in read) else read[:SHOWN_FORMS]
    lines += [one.said for one in [*shown, *faults[:SHOWN_FORMS]]]
    return [one_line(line, 300) for line in lines]


def remarks(proposal: Proposal) -> list[str]:
    """What is said of the proposal as a whole: the sheet, the rods, the trips, what is missing."""
    names, said = proposal.layout.session_from, []
    if proposal.sheets:
        said.append(
            f"The workbook has the sheets {listed(proposal.sheets)}; the log is taken to be "
            f"{proposal.raw.sheet}, whose columns fit best."
        )
    if proposal.rods:
        mark, what, had = ROD, "rod", "had a bait"
        if not any(mark in name for name in proposal.layout.groups):
            mark, what, had = BAIT, "bait", "was out"
        said.append(
            f"One row is a trip with columns for each {what} ({listed(proposal.rods)}); each "
            f"{what} that {had} becomes a stint. {mark} stands for the {what}."
        )
    if names:
        count = tallied(proposal.sessions or 0, "session")
        make = f"{listed(names)} together make one" if len(names) > 1 else f"each {names[0]} is one"
        said.append(
            f"No column names the session, so {make}; that makes {count}. One session is one stay "
            "at one water."
        )
    missing = proposal.unanswerable
    if proposal.fish_only:
        said.append(f"NOT A LOG OF STINTS: {REFUSED.format(proposal.raw.place_of_table)}")
    elif proposal.rods and "fish" in missing:
        said.append(
            "TO DO: nothing says which rod had the fish: give each a column of its own, such as "
            f"{proposal.rods[0]} fish, with 0 for a blank."
        )
    elif missing:
        holds = listed([f"{one} ({COLUMNS[one].holds})" for one in missing], "or")
        said.append(
            f"TO DO: no column can be {holds}, which is needed. Where one is, write in the "
            f'layout, under [columns], "Its name" = "{missing[0]}"; else add one to the sheet.'
        )
    return said


def tables_laid_out(proposal: Proposal) -> str:
    """What a layout is for: a table, and how many further ones have the same columns."""
    alike, what = proposal.sheets_alike, "sheet" if proposal.raw.workbook else "table"
    like = f" and {tallied(alike, what)} like it" if alike else ""
    return proposal.raw.place_of_table + like


def how_to_go_on(file: str, questions: int) -> str:
    """What to do with a proposal that was printed, as commands to paste."""
    file = shlex.quote(file)
    answers = "answer the questions in it, each with the line beside it" if questions else "read it"
    return (
        "A layout for it is proposed on standard output; nothing was imported. Keep it, "
        f"{answers}, then import with it (on a terminal, import asks instead):\n"
        f"  rodhours import {file} --propose > my.layout.toml\n"
        f"  rodhours import {file} --layout my.layout.toml"
    )
