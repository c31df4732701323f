"""Proposed layouts: what is matched, what is shown, what is left open, and never month first."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from time import process_time

import pytest

from rodhours.errors import RodhoursError
from rodhours.log.importing import import_paths
from rodhours.log.layout.names import STRONG_NAMES, plain_name, unit_in_name
from rodhours.log.layout.proposal_text import proposal_text
from rodhours.log.layout.propose import Proposal, proposals_for
from rodhours.log.layout.toml import parse_layout, with_entries


def proposal(folder: Path, text: str) -> Proposal:
    (folder / "trips.csv").write_text(text, encoding="utf-8")
    (found,) = proposals_for([folder / "trips.csv"])
    return found


def asked(found: Proposal, about: str) -> tuple[str, ...] | None:
    """The cells of a question; None where it is not asked."""
    return next((one.cells for one in found.questions if one.about == about), None)


# What anglers call these columns is common practice, no source. Capitals, punctuation and units do
# not matter; what the cells hold must agree.
@pytest.mark.parametrize(
    ("log", "columns", "missing"),
    [
        (
            "Date,Lake,Peg,Rod,Hookbait,Hrs,Landed,Lost\n12/04/2025,Alder Mere,4,1,plain,12,1,0\n",
            "date,venue,swim,rod,variant,hours,fish,lost",
            "",
        ),
        (
            "TRIP NO,Recipe,Rod hours,takes,dropped,Water Temp. (°C)\n1,plain,12,1,0,11.5\n",
            "session,variant,hours,fish,lost,water_temp_c",
            "",
        ),
        (
            "Day,Venue,Bait used,Time in,Time out,Caught,Remarks\n"
            "12.4.25,Alder Mere,plain,18:30,06:30,0,cold\n",
            "date,venue,variant,cast_in,cast_out,fish,notes",
            "",
        ),
        (
            "Day,Water,Bait,Time in (hrs),Fish,Moon\n12.4.25,Alder Mere,plain,36:30,0,full\n",
            "date,venue,variant,hours,fish,keep",
            "",
        ),
        (
            "session,variant,Start,Finish,fish\n1,plain,2025-04-12 18:30,2025-04-13 06:30,0\n",
            "session,variant,cast_in,cast_out,fish",
            "",
        ),
        # A column called Fish that holds species is no count; a lone column of dates is the date.
        (
            "Entry,Bait,Hours,Fish,Moon\n12/04/2025,plain,5,carp,1\n3/5/25,mix,6,tench,0\n",
            "date,variant,hours,keep,keep",
            "fish",
        ),
        # Two columns that are equally likely are both left open.
        (
            "Trip,Bait,Hours,Caught,Landed\n1,plain,5,1,1\n2,mix,5,0,0\n",
            "session,variant,hours,keep,keep",
            "fish",
        ),
        # A count of the whole trip cannot be shared out among its rods, whatever its name.
        (
            "Day,Lake,Hours,Bait 1,Bait 2,Landed\n12/04/2025,A,5,plain,mix,1\n",
            "date,venue,hours,keep,variant",
            "fish",
        ),
        (
            "session,fish,Rod 1 bait,Rod 2 bait,hours\na,1,plain,mix,5\n",
            "session,leave out,hours,variant",
            "fish",
        ),
        # Where no column says which stint a row is of, nobody can tell whether hours repeat.
        ("Hrs,Date,,0\n" + "12,22lb 4oz,,\n" * 8, "hours,weight,keep", "session,variant"),
    ],
)
def test_columns_are_matched_by_their_names_and_cells(
    tmp_path: Path, log: str, columns: str, missing: str
) -> None:
    """Each column is one of ours, kept or left out; what is needed and not there is named."""
    found = proposal(tmp_path, log)
    assert ",".join(found.layout.columns.values()) == columns
    assert ",".join(found.missing) == missing
    assert not found.fish_only
    assert parse_layout(proposal_text(found), "x").columns == found.layout.columns


HEAD = "Trip,Date,Bait,Hours,Fish\n"


@pytest.mark.parametrize(
    ("log", "says"),
    [
        (
            "Trip,Bait,Hours,Caught,Landed\n1,plain,5,1,1\n2,mix,5,0,0\n",
            [
                "Which column is the number of fish landed?",
                '"Caught" = "fish"',
                '"Landed" = "fish"',
            ],
        ),
        (
            HEAD + "1,05/04/2025,plain,5,1\n2,06/07/2025,mix,5,0\n",
            ["05/04/2025 is read as 2025-04-05", "Is the day or the month first in Date?"],
        ),
        # 36:30 is 36.5 hours, 1d 12h is 36, 8,5 is 8.5; what cannot be read is shown as well.
        (
            "Trip;Bait;Hrs;Fish\n1;plain;36:30;1\n2;plain;1d 12h;0\n3;plain;8,5;0\n"
            "4;plain;90 min;0\n5;plain;7,25;0\n6;plain;12:15;0\n7;plain;ages;0\n",
            [
                *("36:30 is read as 36.5 h", "1d 12h is read as 36 h"),
                *("8,5 is read as 8.5 h", "90 min is read as 1.5 h", "ages cannot be read"),
                'decimal = ","',
            ],
        ),
        (
            "Date,Bait,Time in,Time out,Fish\n2024-06-01,plain,1830,6.15am,0\n"
            "2024-06-08,plain,half six,7pm,0\n2024-06-15,plain,6pm,7am,0\n",
            ["1830 is read as 18:30", "6.15am is read as 06:15", "half six cannot be read"],
        ),
        ("Trip,Bait,Time in,Time out,Fish\n1,plain,17:00,21:00,0\n", ["clock_on"]),
        # Three cells stand over each column; those with line breaks stay in one comment line.
        (
            'Trip,Bait,Hours,Fish,Moon\n1,plain,5,0,"full\n[columns]"\n2,p,5,0,new\n',
            ['# full [columns] | new "Moon" = "keep"', '# plain | p "Bait" = "variant"', "1 | 2"],
        ),
        (
            "Date,Lake,Bait,Weight\n"
            + "".join(f"{day}/04/2025,Alder Mere,plain,{day}lb 4oz\n" for day in range(10, 16)),
            ["NOT A LOG OF STINTS", "hours that caught nothing"],
        ),
    ],
)
def test_what_a_proposal_says(tmp_path: Path, log: str, says: list[str]) -> None:
    """Matches, readings and gaps stand in the comments of the layout file."""
    text = proposal_text(proposal(tmp_path, log))
    prose = " ".join(text.replace("\n# ", " ").split())
    plain = " ".join(text.split())
    for part in says:
        assert part in prose or part in plain


@pytest.mark.parametrize(
    ("days", "form", "both"),
    [
        (("05/04/2025", "06/07/2025"), "day-month-year", True),
        (("05/04/2025", "26/07/2025"), "day-month-year", False),
        (("05/04/2025", "07/26/2025"), "month-day-year", False),
        (("05/04/2025", "07/26/2025", "26/07/2025"), "day-month-year", False),  # a slip in one
    ],
)
def test_days_come_first(tmp_path: Path, days: tuple[str, ...], form: str, both: bool) -> None:
    """Month first is proposed only where nothing else reads the dates; both ways are named."""
    found = proposal(tmp_path, HEAD + "".join(f"{day},{day},plain,5,1\n" for day in days))
    assert found.layout.dates.form == form
    assert asked(found, "day first") == (days if both else None)


def test_labels_that_look_alike_are_never_merged_unasked(tmp_path: Path) -> None:
    """They stand in the file as a comment; with the # off they are one."""
    found = proposal(
        tmp_path,
        "Date,Lake,Bait,Hours,Fish\n"
        "12/04/2025,Alder Mere,20% pellet,5,0\n13/04/2025,Alder Mere,20%  Pellet,5,0\n"
        "14/04/2025,alder mere,20 pct pellet,5,0\n15/04/2025,Alder Mere,20% pellet,5,0\n",
    )
    assert asked(found, "alike variant") == ('"20% pellet" = "20% Pellet"',)
    assert asked(found, "alike venue") == ('"Alder Mere" = "alder mere"',)
    assert parse_layout(proposal_text(found), "x").values == {"variant": {}, "venue": {}}
    yes = [one.likely for one in found.questions]
    assert with_entries(found.layout, yes[0] | yes[1]).values == {
        "variant": {"20%  Pellet": "20% pellet"},
        "venue": {"alder mere": "Alder Mere"},
    }
    no = [list(one.answers.values())[1] for one in found.questions]
    assert with_entries(found.layout, no[0] | no[1]).values == {
        "variant": {"20%  Pellet": "20%  Pellet"},
        "venue": {"alder mere": "alder mere"},
    }


def test_the_names_of_the_trade() -> None:
    """Each strong name means one column; units stand in brackets or as the last word."""
    strong = [name for names in STRONG_NAMES.values() for name in names]
    assert sorted({name for name in strong if strong.count(name) > 1}) == []
    assert all(plain_name(name) == name for name in strong)
    for name, unit in {
        "Water temp. (°F)": "F",
        "Depth ft": "ft",
        "Weight (lb/oz)": "lb.oz",
        "Depth": None,
    }.items():
        assert unit_in_name(name) == unit
    assert plain_name("Water temp. (°F)") == plain_name("WATER_TEMP") == "water temp"


@pytest.mark.parametrize("name", ["ID", "No.", "#", "Trip no"])
def test_row_numbers_are_no_session(tmp_path: Path, name: str) -> None:
    """Another text in every row is no trip where day and water repeat; one a trip is."""
    rows = "1,12/05/2025,A,1,plain,5,0\n2,12/05/2025,A,2,mix,5,1\n3,19/05/2025,A,1,mix,5,0\n"
    found = proposal(tmp_path, f"{name},Date,Lake,Rod,Bait,Hours,Fish\n{rows}")
    assert found.layout.session_from == ("Date", "Lake")
    assert found.sessions == 2
    assert (asked(found, "trips") is not None) == (name == "Trip no")
    found = proposal(
        tmp_path, f"{name},Date,Lake,Rod,Bait,Hours,Fish\n{rows.replace('2,1', '1,1')}"
    )
    assert found.layout.theirs("session") == name


LONG = {
    "apostrophes": "'" * 50_000,
    "digits": "1" * 50_000,
    "blanks": "1" + " " * 50_000 + "x",
    "weights": "22lb " * 10_000,
}


@pytest.mark.parametrize("text", LONG.values(), ids=LONG)
def test_endless_texts_take_no_time(tmp_path: Path, text: str) -> None:
    """Reading and proposing take a time that goes with the length: ten times it, not a hundred.

    The bound is loose, for busy machines: a search that is quadratic takes minutes.
    """
    head = f"Trip,Day,Bait,Hrs,Landed,Weight,In,{text[:20_000].strip()}"
    row = [text.replace(",", " ")] * 8
    (tmp_path / "log.csv").write_text(f"{head}\n1,2025-04-12,plain,5,0,,,\n{','.join(row)}\n")
    started = process_time()
    with suppress(RodhoursError):
        proposals_for([tmp_path / "log.csv"])
    (tmp_path / "own.csv").write_text(
        f"session,date,variant,hours,fish,cast_in\n1,2025-04-12,plain,5,0,\n{','.join(row[:6])}\n"
    )
    with suppress(RodhoursError):
        import_paths([tmp_path / "own.csv"], tmp_path / "logbook.sqlite")
    assert process_time() - started < 10
