"""Proposed layouts: what is matched, what is shown, what is left open, and never month first."""

from __future__ import annotations

from pathlib import Path

import pytest

from rodhours.logbook.layout.names import SYNONYMS, plain_name, unit_in_name
from rodhours.logbook.layout.proposal_text import proposal_text
from rodhours.logbook.layout.propose import Proposal, proposals_for
from rodhours.logbook.layout.toml import parse_layout


def proposal(folder: Path, text: str, name: str = "trips.csv") -> Proposal:
    (folder / name).write_text(text, encoding="utf-8")
    (found,) = proposals_for([folder / name])
    return found


def prose(found: Proposal) -> str:
    """The layout file with its wrapped comments in one line."""
    return " ".join(proposal_text(found).replace("\n# ", " ").split())


# What anglers call these columns is common practice, no source.
@pytest.mark.parametrize(
    ("header", "row", "wanted"),
    [
        (
            "Date,Lake,Peg,Rod,Hookbait,Hrs,Landed,Lost",
            "12/04/2025,Alder Mere,4,1,plain,12,1,0",
            "date,venue,swim,rod,variant,hours,fish,lost",
        ),
        (
            "TRIP NO,Recipe,Rod hours,takes,dropped,Water Temp. (°C)",
            "1,plain,12,1,0,11.5",
            "session,variant,hours,fish,lost,water_temp_c",
        ),
        (
            "Day,Venue,Bait used,Time in,Time out,Caught,Remarks",
            "12.4.25,Alder Mere,plain,18:30,06:30,0,cold",
            "date,venue,variant,cast_in,cast_out,fish,notes",
        ),
        (
            "Day,Water,Bait,Time in (hrs),Fish,Moon",
            "12.4.25,Alder Mere,plain,36:30,0,full",
            "date,venue,variant,hours,fish,keep",
        ),
        (
            "session,variant,Start,Finish,fish",
            "1,plain,2025-04-12 18:30,2025-04-13 06:30,0",
            "session,variant,cast_in,cast_out,fish",
        ),
    ],
)
def test_columns_are_matched_by_the_names_of_the_trade(
    tmp_path: Path, header: str, row: str, wanted: str
) -> None:
    """Capitals, punctuation and units do not matter; what the cells hold must agree."""
    found = proposal(tmp_path, f"{header}\n{row}\n")
    assert list(found.layout.columns.values()) == wanted.split(",")
    assert found.complete
    assert found.ties == {}


def test_contents_speak_against_a_name(tmp_path: Path) -> None:
    """A column called Fish that holds species is no count, and one called Date without dates no
    date; the lone column of dates is proposed although its name says nothing."""
    found = proposal(
        tmp_path, "Entry,Bait,Hours,Fish,Number\n12/04/2025,plain,5,carp,1\n3/5/25,mix,6,tench,0\n"
    )
    assert found.layout.columns["Fish"] != "fish"
    assert found.layout.columns["Entry"] == "date"
    assert "fish" in found.missing


def test_equal_columns_are_left_open(tmp_path: Path) -> None:
    """Two columns that are equally likely are both named, and neither is taken."""
    found = proposal(tmp_path, "Trip,Bait,Hours,Caught,Landed\n1,plain,5,1,1\n2,mix,5,0,0\n")
    assert found.ties == {"fish": ("Caught", "Landed")}
    assert found.missing == ("fish",)
    text = proposal_text(found)
    assert "Caught or Landed may be fish" in prose(found)
    assert parse_layout(text, "x").columns["Caught"] == "keep"


def test_days_come_first(tmp_path: Path) -> None:
    """Dates that could be read both ways are named and read day first; a date that only month
    first can read is the one case in which that is proposed."""
    head = "Trip,Date,Bait,Hours,Fish\n"
    both = proposal(tmp_path, head + "1,05/04/2025,plain,5,1\n2,06/07/2025,mix,5,0\n")
    assert both.layout.dates.form == "day-month-year"
    (match,) = (one for one in both.matches if one.theirs == "Date")
    assert match.both_ways == ("05/04/2025", "06/07/2025")
    assert "05/04/2025 is read as 2025-04-05" in proposal_text(both)
    assert "could be read day first or month first" in prose(both)
    day = proposal(tmp_path, head + "1,05/04/2025,plain,5,1\n2,26/07/2025,mix,5,0\n")
    assert day.layout.dates.form == "day-month-year"
    assert all(not one.both_ways for one in day.matches)
    month = proposal(tmp_path, head + "1,05/04/2025,plain,5,1\n2,07/26/2025,mix,5,0\n")
    assert month.layout.dates.form == "month-day-year"
    typo = proposal(
        tmp_path, head + "1,05/04/2025,plain,5,1\n2,07/26/2025,mix,5,0\n3,26/07/2025,mix,5,0\n"
    )
    assert typo.layout.dates.form == "day-month-year"


def test_each_form_of_hours_is_shown_with_its_reading(tmp_path: Path) -> None:
    """36:30 is 36.5 hours, 1d 12h is 36, 8,5 is 8.5; what cannot be read is shown as well."""
    found = proposal(
        tmp_path,
        "Trip;Bait;Hrs;Fish\n1;plain;36:30;1\n2;plain;1d 12h;0\n3;plain;8,5;0\n4;plain;90 min;0\n"
        "5;plain;7,25;0\n6;plain;12:15;0\n7;plain;ages;0\n",
    )
    text = proposal_text(found)
    for reading in ("36:30 is read as 36.5 hours", "1d 12h is read as 36 hours"):
        assert reading in text
    for reading in ("8,5 is read as 8.5 hours", "90 min is read as 1.5 hours"):
        assert reading in text
    assert "ages cannot be read" in text
    layout = parse_layout(text, "x")
    assert set(layout.units.hours) == {"decimal", "clock", "spelt"}
    assert layout.units.decimal == ","


def test_labels_that_look_alike_are_never_merged_unasked(tmp_path: Path) -> None:
    """They stand in the file as a comment; with the # off they are one."""
    found = proposal(
        tmp_path,
        "Date,Lake,Bait,Hours,Fish\n"
        "12/04/2025,Alder Mere,20% pellet,5,0\n13/04/2025,Alder Mere,20%  Pellet,5,0\n"
        "14/04/2025,alder mere,20 pct pellet,5,0\n15/04/2025,Alder Mere,20% pellet,5,0\n",
    )
    assert found.look_alikes == {
        "variant": (("20% pellet", "20%  Pellet"),),
        "venue": (("Alder Mere", "alder mere"),),
    }
    text = proposal_text(found)
    assert parse_layout(text, "x").values == {"variant": {}, "venue": {}}
    merged = parse_layout(text.replace('# "', '"'), "x")
    assert merged.values["variant"] == {
        "20%  Pellet": "20% pellet",
        # The labels that are like no other stand there as they are, to be given another.
        "20% pellet": "20% pellet",
        "20 pct pellet": "20 pct pellet",
    }
    assert merged.values["venue"] == {"alder mere": "Alder Mere"}


def test_gaps_and_empty_counts_are_offered_as_comments(tmp_path: Path) -> None:
    """Empty cells of date, water and fish: what they may mean is there to be switched on."""
    found = proposal(
        tmp_path,
        "Date,Lake,Bait,Hours,Fish\n12/04/2025,Alder Mere,plain,5,1\n,,mix,5,\n",
    )
    text = proposal_text(found)
    assert parse_layout(text, "x").fill_down == ()
    switched = text.replace("# columns", "columns")
    assert parse_layout(switched, "x").fill_down == ("Date", "Lake")
    switched = text.replace('# "" = "0"', '"" = "0"')
    assert parse_layout(switched, "x").values["fish"] == {"": "0"}


def test_three_cells_stand_over_each_column(tmp_path: Path) -> None:
    """Also of a column that is kept, and cells with line breaks stay in one comment line."""
    found = proposal(
        tmp_path, 'Trip,Bait,Hours,Fish,Moon\n1,plain,5,0,"full\n[columns]"\n2,p,5,0,new\n'
    )
    text = proposal_text(found)
    assert '# full [columns] | new\n"Moon" = "keep"' in text
    assert '# plain | p\n"Bait" = "variant"' in text
    assert "1 | 2" in text


def test_columns_for_each_rod_are_recognised(tmp_path: Path) -> None:
    """A group of columns a rod, however the rod is written."""
    for bait, fish in (
        ("Rod {} bait", "Rod {} fish"),
        ("Bait {}", "Fish {}"),
        ("R{} bait", "{} caught"),
    ):
        header = ",".join(part.format(rod) for rod in (1, 2, 3) for part in (bait, fish))
        found = proposal(tmp_path, f"Date,Lake,Hours,{header}\n12/04/2025,A,5,plain,0,mix,1,,\n")
        assert found.rods == ("1", "2", "3")
        assert set(found.layout.wide) == {"variant", "fish"}
        assert found.complete
        assert parse_layout(proposal_text(found), "x").wide == dict(found.layout.wide)


def test_a_count_of_the_whole_trip_is_no_count_of_its_rods(tmp_path: Path) -> None:
    """Beside columns for each rod a total cannot be shared out, so fish are missing."""
    found = proposal(tmp_path, "Day,Lake,Hours,Bait 1,Bait 2,Landed\n12/04/2025,A,5,plain,mix,1\n")
    assert found.missing == ("fish",)
    assert found.layout.columns["Landed"] == "keep"


def test_a_log_of_fish_is_recognised(tmp_path: Path) -> None:
    """Rows with a weight each, without hours: said in the proposal, which is not complete."""
    rows = "".join(f"{day}/04/2025,Alder Mere,plain,{day}lb 4oz\n" for day in range(10, 16))
    found = proposal(tmp_path, f"Date,Lake,Bait,Weight\n{rows}")
    assert found.fish_only
    assert not found.complete
    assert "hours that caught nothing" in prose(found)


def test_sheets_of_one_header_have_one_proposal(tmp_path: Path) -> None:
    """A sheet a month is one log: their cells are looked at together."""
    openpyxl = pytest.importorskip("openpyxl")
    book = openpyxl.Workbook()
    book.remove(book.active)
    for month, cells in {"April": "05/04/2025", "May": "26/05/2025"}.items():
        sheet = book.create_sheet(month)
        sheet.append(["Day", "Lake", "Bait", "Hours", "Landed"])
        sheet.append([cells, "Alder Mere", "plain", 5, 0])
    book.save(tmp_path / "book.xlsx")
    (found,) = proposals_for([tmp_path / "book.xlsx"])
    assert [one.both_ways for one in found.matches if one.theirs == "Day"] == [()]
    assert found.sessions == 2


def test_no_name_of_the_trade_means_two_columns() -> None:
    """Among the strong names each belongs to one column of ours."""
    strong = [name for names in SYNONYMS.values() for name in names.strong.split(", ")]
    assert sorted({name for name in strong if strong.count(name) > 1}) == []
    assert all(plain_name(name) == name for name in strong)


def test_names_say_their_units() -> None:
    """In brackets or as the last word; a name that says none has none."""
    assert unit_in_name("Water temp. (°F)") == "F"
    assert unit_in_name("Depth ft") == "ft"
    assert unit_in_name("Weight (lb/oz)") == "lb.oz"
    assert unit_in_name("Depth") is None
    assert plain_name("Water temp. (°F)") == plain_name("WATER_TEMP") == "water temp"


def test_a_count_of_the_whole_row_beside_rods_is_left_out(tmp_path: Path) -> None:
    """It cannot be shared out among the rods, even where it bears the name that we use."""
    found = proposal(tmp_path, "session,fish,Rod 1 bait,Rod 2 bait,hours\na,1,plain,mix,5\n")
    assert found.layout.columns["fish"] == "leave out"
    assert found.missing == ("fish",)
    assert parse_layout(proposal_text(found), "x").columns["fish"] == "leave out"


def test_times_of_day_are_read_before_they_are_taken(tmp_path: Path) -> None:
    """Each form of time with its reading, and what cannot be read; without a date, what to do."""
    text = proposal_text(
        proposal(
            tmp_path,
            "Date,Bait,Time in,Time out,Fish\n2024-06-01,plain,1830,6.15am,0\n"
            "2024-06-08,plain,half six,7pm,0\n2024-06-15,plain,6pm,7am,0\n",
        )
    )
    for said in ("1830 is read as 18:30", "6.15am is read as 06:15", "half six cannot be read"):
        assert said in text
    text = proposal_text(
        proposal(tmp_path, "Trip,Bait,Time in,Time out,Fish\n1,plain,17:00,21:00,0\n")
    )
    assert "clock_on" in text


def test_empty_counts_of_rods_that_had_a_bait_are_counted(tmp_path: Path) -> None:
    """In a wide log a rod without a bait was not fished; one with a bait needs its count."""
    found = proposal(
        tmp_path,
        "Trip,Hours,Rod 1 bait,Rod 1 fish,Rod 2 bait,Rod 2 fish\n1,5,plain,,mix,0\n2,5,plain,1,,\n",
    )
    assert found.empty_counts == 1
    text = proposal_text(found).replace('# "" = "0"', '"" = "0"')
    assert parse_layout(text, "x").values["fish"] == {"": "0"}


def test_weights_beside_hours_without_a_column_of_stints(tmp_path: Path) -> None:
    """Where no column says which stint a row is of, nobody can tell whether hours repeat."""
    found = proposal(tmp_path, "Hrs,Date,,0\n" + "12,22lb 4oz,,\n" * 8)
    assert not found.fish_only
    assert "session" in found.missing


def test_a_column_called_like_our_own_mark_names_no_rod(tmp_path: Path) -> None:
    """{rod} stands for a rod in a layout; as the name of a column it is a name like any other."""
    assert not proposal(tmp_path, "Date,{rod},Bait\n12/04/2025,1,plain\n").layout.wide
