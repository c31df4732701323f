"""Home-made logs of several invented anglers, each read by its layout to the stints it means.

The expected stints are written beside each file, worked out by hand from what the angler would
say the rows mean.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from datetime import date, time
from pathlib import Path

import openpyxl
import pytest
from layout_logs import dates, made_from, read, stints, toml
from trip_logs import refused

from rodhours.cli.import_ import in_words
from rodhours.errors import UnusableFile
from rodhours.log.cells import CellFault
from rodhours.log.cells.cell import Units, cell_reader
from rodhours.log.frames import variants_frame
from rodhours.log.importing import import_paths
from rodhours.log.layout.layout import COLUMNS
from rodhours.log.layout.proposal_text import proposal_text
from rodhours.log.layout.propose import proposals_for
from rodhours.log.logbook import open_logbook

CLOCKS = "Date=date, Bait=variant, In=cast_in, Out=cast_out, Fish=fish"
ON_DATE = 'clock_on = "Date"'
WIDE = "rod {rod} bait=variant, rod {rod} fish=fish"
PLAIN = "Trip=session, Bait=variant, Hours=hours, Fish=fish"


@dataclass
class Case:
    """A log and its layout; the stints that are meant, and the cells that are refused."""

    log: str
    layout: str
    columns: str
    stints: list[tuple[object, ...]]
    problems: list[tuple[int, str]] = field(default_factory=list)


CASES = {
    # A title, `;`, decimal commas, hours as 36:30 and in words, date and water once a trip. The
    # two rows of 12 April are one trip; 8,5 h is eight and a half; 50 °F is 10 °C.
    "semicolons, commas, cells that mean as above": Case(
        "Hedda's book 2025;;;;;;\n\n"
        "Date;Water;Rod;On the hair;Hrs;Had;Temp F\n"
        "12/04/25;Wrenmoss Pit;1;20% pellet;36:30;1;50\n"
        ";;2;plain;1d 12h 30m;0;\n"
        "13.5.2025;Tarnbeck;1;plain;8,5;2;\n"
        "1 June 2025;Wrenmoss Pit;1;20 pct;5h;0;\n"
        "Total;;;;;3;\n",
        toml(
            "Date=date, Water=venue, Rod=rod, On the hair=variant, Hrs=hours, Had=fish, "
            "Temp F=water_temp_c",
            made_from("Date", "Water"),
            '[fill_down]\ncolumns = ["Date", "Water"]',
            '[units]\ndecimal = ","\nwater_temp_c = "F"',
            dates(),
            '[values.variant]\n"20% pellet" = "pellet-20"\n"20 pct" = "pellet-20"',
        ),
        "session venue rod variant hours fish water_temp_c",
        [
            ("2025-04-12, Wrenmoss Pit", "Wrenmoss Pit", "1", "pellet-20", 36.5, 1, 10.0),
            ("2025-04-12, Wrenmoss Pit", "Wrenmoss Pit", "2", "plain", 36.5, 0, 10.0),
            ("2025-05-13, Tarnbeck", "Tarnbeck", "1", "plain", 8.5, 2, None),
            ("2025-06-01, Wrenmoss Pit", "Wrenmoss Pit", "1", "pellet-20", 5.0, 0, None),
        ],
    ),
    # A refused cell says the file's own column name, row and cell.
    "cells that cannot be read": Case(
        "Trip,Bait,Hours,Fish\n1,plain,5:30,1\n2,plain,ages,0\n3,plain,4:00,-1\n4,,2:00,0\n",
        toml(PLAIN),
        "session hours fish",
        [("1", 5.5, 1)],
        [(3, "Hours"), (4, "Fish"), (5, "Bait")],
    ),
    # 18:30 to 06:30 is the next morning. In the night of 29 March 2025 the clocks in Berlin go
    # forward, so that it is 11 h. From Friday evening to Friday morning is a week less 12 h; 13
    # April was no Friday.
    "clock times past midnight": Case(
        "Date,Bait,In,Out,Fish\n28/03/2025,plain,18:30,06:30,0\n29/03/2025,plain,6.30pm,0630,1\n"
        "11/04/2025,plain,18:30,06:30 Fri,0\n13/04/2025,plain,Fri 6pm,10:00,0\n",
        toml(CLOCKS, made_from("Date"), dates(ON_DATE, 'zone = "Europe/Berlin"')),
        "cast_in cast_out hours fish",
        [
            ("2025-03-28T18:30", "2025-03-29T06:30", 12.0, 0),
            ("2025-03-29T18:30", "2025-03-30T06:30", 11.0, 1),
            ("2025-04-11T18:30", "2025-04-18T06:30", 156.0, 0),
        ],
        [(5, "In")],
    ),
    # A rod that is cast again goes on from when it came out, on the next day if need be.
    "times of a rod follow one another": Case(
        "Date,Rod,Bait,In,Out,Fish\n12/04/2025,1,plain,18:30,06:15,0\n"
        "12/04/2025,1,mix,06:30,12:00,1\n12/04/2025,2,mix,19:00,6am,0\n",
        toml(f"{CLOCKS}, Rod=rod", made_from("Date"), dates(ON_DATE, 'zone = "UTC"')),
        "cast_in cast_out hours",
        [
            ("2025-04-12T18:30", "2025-04-13T06:15", 11.75),
            ("2025-04-12T19:00", "2025-04-13T06:00", 11.0),
            ("2025-04-13T06:30", "2025-04-13T12:00", 5.5),
        ],
    ),
    # From 18:00 to 06:00 with 36 hours beside it ends not the next morning but the one after.
    "clock times of a long session follow its hours": Case(
        "Date,Bait,In,Out,Hrs,Fish\n12/04/2025,plain,18:00,06:00,36,0\n",
        toml(f"{CLOCKS}, Hrs=hours", made_from("Date"), dates(ON_DATE, 'zone = "UTC"')),
        "cast_out hours",
        [("2025-04-14T06:00", 36.0)],
    ),
    # A start that cannot be read is all that is said of its row; an end goes by a start that has
    # its own day too, whose row is at fault only where there is no start, or none that exists.
    "starts with and without their own day": Case(
        "Trip,Date,In,Out,Bait,Fish\n1,2024-06-01,half six,09:15,plain,0\n"
        "2,2024-06-03,,09:15,plain,0\n3,2024-06-09,2024-06-09T08:00,09:15,plain,1\n"
        "4,2024-06-11,2024-06-31T08:00,09:15,plain,1\n",
        toml(f"Trip=session, {CLOCKS}", dates(ON_DATE, 'zone = "UTC"', form="year-month-day")),
        "session cast_out hours",
        [("3", "2024-06-09T09:15", 1.25)],
        [(2, "In"), (3, "Out"), (5, "In")],
    ),
    # An empty cell of the fish is a blank where the layout says so, and so is a dash.
    "empty counts that are blanks": Case(
        "Trip,Bait,Hours,Fish\n1,plain,5,\n2,plain,6,-\n3,plain,7,2\n",
        toml(PLAIN, '[values.fish]\n"" = "0"\n"-" = 0'),
        "session hours fish",
        [("1", 5.0, 0), ("2", 6.0, 0), ("3", 7.0, 2)],
    ),
    # A rod without a bait was not fished, unless it has fish: then it is refused, and so is a row
    # without any rod. What is wrong with a cell that the rods share is said once.
    "one row a trip with columns for each rod": Case(
        "Trip,Day,Lake,Rod 1 bait,Rod 1 fish,Rod 2 bait,Rod 2 fish,Hours\n"
        "1,2025-04-12,Alder Mere,plain,1,pellet,0,24\n"
        "2,2025-04-19,Alder Mere,pellet,0,,0,12\n"
        "3,2025-04-26,Alder Mere,plain,0,,2,12\n"
        "4,2025-05-03,Alder Mere,,,,,0\n"
        "5,2025-31-02,Alder Mere,plain,0,pellet,0,-1\n",
        toml(f"Trip=session, Day=date, Lake=venue, Hours=hours, {WIDE}"),
        "session date venue rod variant hours fish",
        [
            ("1", "2025-04-12", "Alder Mere", "1", "plain", 24.0, 1),
            ("1", "2025-04-12", "Alder Mere", "2", "pellet", 24.0, 0),
            ("2", "2025-04-19", "Alder Mere", "1", "pellet", 12.0, 0),
        ],
        [(4, "Rod 2 bait"), (5, "Rod 1 bait"), (6, "Day"), (6, "Hours")],
    ),
    # A weighed fish beside baits of which none was out waits with its row, and that is said once.
    "a fish of no bait": Case(
        "Trip,Plain fish,Pellet fish,Weight,Hours\n1,1,0,9lb,12\n2,,,7lb,12\n",
        toml("Trip=session, Hours=hours, {bait} fish=fish, Weight=weight"),
        "session variant hours fish",
        [("1", "Pellet", 12.0, 0), ("1", "Plain", 12.0, 1)],
        [(3, "Plain fish")],
    ),
    # Hours of each rod; a sheet's own sums give 0 for a rod that was not fished. A row without
    # its date leaves the others alone, since each row is a trip of its own.
    "hours of each rod, and a date that never was": Case(
        "Date,rod 1 bait,rod 1 fish,rod 1 hrs,rod 2 bait,rod 2 fish,rod 2 hrs\n"
        "12/04/2025,a,0,5,,0,0\n31/04/2025,b,0,5,,,\n20/04/2025,a,1,5,b,0,6\n",
        toml(f"Date=date, {WIDE}, rod {{rod}} hrs=hours", made_from("Date"), dates()),
        "date rod variant hours fish",
        [
            ("2025-04-12", "1", "a", 5.0, 0),
            ("2025-04-20", "1", "a", 5.0, 1),
            ("2025-04-20", "2", "b", 6.0, 0),
        ],
        [(3, "Date")],
    ),
}


@pytest.mark.parametrize("case", CASES.values(), ids=CASES.keys())
def test_a_log_is_read_to_the_stints_that_it_means(tmp_path: Path, case: Case) -> None:
    """Each row by its layout; what is refused is named by the file's own row and column."""
    result = read(tmp_path, case.log, case.layout)
    assert stints(tmp_path, case.columns) == case.stints
    assert [(one.row, one.column) for one in result.problems] == case.problems


def test_what_is_said_of_a_refused_cell_and_row(tmp_path: Path) -> None:
    """What would be right in the layout's form; a row for each rod's stint waits."""
    case = CASES["cells that cannot be read"]
    says = [one.says for one in read(tmp_path, case.log, case.layout).problems]
    assert "36:30" in says[0]
    assert "[fill_down]" in says[2]
    (tmp_path / "logbook.sqlite").unlink()
    case = CASES["one row a trip with columns for each rod"]
    result = read(tmp_path, case.log, case.layout)
    assert "this rod has fish or hours" in result.problems[0].says
    assert "at least one rod" in result.problems[1].says
    waiting = refused(tmp_path / "logbook.sqlite")
    fish_and_rod = [tuple(json.loads(row.cells)[-2:]) for row in waiting]
    assert [row.row for row in waiting] == [4, 4, 5, 6, 6]
    assert fish_and_rod == [("0", "1"), ("2", "2"), ("", "1"), ("0", "1"), ("0", "2")]


def test_empty_cells_mean_as_above_only_where_the_layout_says_so(tmp_path: Path) -> None:
    """Without [fill_down] the row is refused, and told of it; nothing above stays refused.

    The trip above the empty cell waits with it: the row is likely to be a part of that trip.
    """
    log = "Date,Rod,Bait,Hours,Fish\n,1,plain,4,0\n2025-04-12,1,plain,5,1\n,2,pellet,5,0\n"
    layout = toml("Rod=rod, Bait=variant, Date=date, Hours=hours, Fish=fish", made_from("Date"))
    refused = read(tmp_path, log, layout)
    assert [(one.row, one.column) for one in refused.problems] == [(2, "Date"), (4, "Date")]
    assert all("[fill_down]" in one.says for one in refused.problems)
    assert (refused.rows_imported, refused.sessions) == (0, {"held back": 1})
    filled = read(tmp_path, log, layout + '[fill_down]\ncolumns = ["Date"]\n')
    assert [(one.row, one.column) for one in filled.problems] == [(2, "Date")]
    both = [("2025-04-12", "pellet", 5.0, 0), ("2025-04-12", "plain", 5.0, 1)]
    assert stints(tmp_path, "session variant hours fish") == both


DATED = toml(
    "Date=date, Water=venue, Rod=rod, Bait=variant, Hours=hours, Fish=fish",
    made_from("Date", "Water"),
    dates(),
)


@pytest.mark.parametrize(
    ("row", "imported"),
    [
        ("31/04/2025,Alder Mere,2,mix,12,1", 3),  # the second rod of the trip above
        ("31/04/2025,Alder Mere,1,mix,12,1", 4),  # that trip has its rod 1
        ("31/04/2025,Sallow Pit,2,mix,12,1", 4),  # another water
        ("NB the scales are broken,,,,,", 4),  # no stint at all
        ("31/04/2025,Alder Mere,,mix,12,1", 3),  # nobody knows which rod
    ],
)
def test_a_row_of_an_unknown_session_holds_back_the_one_above_if_it_may_be_of_it(
    tmp_path: Path, row: str, imported: int
) -> None:
    """A slip in a date must not let the rest of that trip in with a rod too few."""
    log = (
        "Date,Water,Rod,Bait,Hours,Fish\n01/04/2025,Alder Mere,1,plain,24,0\n"
        "12/04/2025,Alder Mere,1,plain,12,0\n"
        f"{row}\n20/04/2025,Alder Mere,1,plain,12,0\n28/04/2025,Alder Mere,1,plain,24,0\n"
    )
    result = read(tmp_path, log, DATED)
    assert result.rows_imported == imported
    assert result.sessions.get("held back", 0) == 4 - imported
    waits = [hint for hint in result.hints if "2025-04-12, Alder Mere above it" in hint]
    assert bool(waits) is (imported == 3)
    if imported == 4:
        return
    reasons = [row.reason for row in refused(tmp_path / "logbook.sqlite")]
    assert sum("may belong to this session" in reason for reason in reasons) == 1
    mended = log.replace(row, row.replace("31/04", "12/04").replace(",,", ",3,"))
    again = read(tmp_path, mended, DATED)
    assert (again.rows_imported, again.rows_already_there) == (2, 3)


def test_the_same_slip_in_many_rows_is_said_once(tmp_path: Path) -> None:
    """Thirty empty dates are one line with their number, and another slip still has its own."""
    rows = ["Date,Water,Rod,Bait,Hours,Fish", "12/04/2025,Alder Mere,1,plain,5,x"]
    rows += [f",Alder Mere,{rod},plain,5,0" for rod in range(2, 32)]
    said = in_words(read(tmp_path, "\n".join(rows) + "\n", DATED))
    assert said.count("[fill_down]") == 1
    for part in ("(and 29 further rows)", "found 'x'", "31 problems"):
        assert part in said


def test_typed_times_of_a_workbook(tmp_path: Path) -> None:
    """Real dates and times; a row without its date is refused once, and not for each time."""
    book = openpyxl.Workbook()
    for row in (
        ["Date", "Rod", "Bait", "In", "Out", "Fish"],
        [date(2025, 4, 12), 1, "plain", time(18, 30), time(6, 30), 1],
        [None, 1, "mix", time(18, 30), time(6, 30), 0],
    ):
        book.active.append(row)
    book.save(tmp_path / "book.xlsx")
    layout = tmp_path / "book.toml"
    clocks = dates(ON_DATE, 'zone = "UTC"', form="year-month-day")
    layout.write_text(toml(f"{CLOCKS}, Rod=rod", made_from("Date"), clocks))
    result = import_paths([tmp_path / "book.xlsx"], tmp_path / "logbook.sqlite", layouts=[layout])
    assert stints(tmp_path, "cast_in hours") == [("2025-04-12T18:30", 12.0)]
    assert [(one.row, one.column) for one in result.problems] == [(3, "Date")]


def test_the_end_has_the_day_of_its_own_column(tmp_path: Path) -> None:
    """Maud: dates and times of start and end in four columns; 17:00 to 09:30 two days on is 40.5 h.

    An end without its date is refused by the name of that column, a layout with the day of the
    end alone is told what is missing.
    """
    log = (
        "Date in,Time in,Date out,Time out,Bait,Rod,Fish\n"
        "10/05/2024,17:00,12/05/2024,09:30,plain,1,0\n"
        "20/05/2024,17:00,20/05/2024,21:00,plain,1,1\n"
        "30/05/2024,17:00,,09:30,plain,1,1\n"
        "8/6/2024,17:00,7/6/2024,09:30,plain,1,1\n"
    )
    (tmp_path / "trips.csv").write_text(log)
    (found,) = proposals_for([tmp_path / "trips.csv"])
    text = proposal_text(found)
    assert (found.layout.dates.clock_on, found.layout.dates.clock_end_on) == ("Date in", "Date out")
    result = read(tmp_path, log, text)
    assert stints(tmp_path, "cast_in cast_out hours") == [
        ("2024-05-10T17:00", "2024-05-12T09:30", 40.5),
        ("2024-05-20T17:00", "2024-05-20T21:00", 4.0),
    ]
    assert [(one.row, one.column) for one in result.problems] == [(4, "Time out"), (5, "Time out")]
    assert "no date of its end" in result.problems[0].says
    with pytest.raises(UnusableFile, match="clock_end_on"):
        read(tmp_path, log, text.replace('clock_on = "Date in"\n', ""))


FISH_ROWS = (
    "Date,Water,Rod,Bait,Weight{more}\n"
    "12/04/2025,Alder Mere,1,plain,22lb 4oz{a}\n"
    "12/04/2025,Alder Mere,1,plain,12lb 4oz{a}\n"
    "13/04/2025,Alder Mere,2,pellet,9lb{b}\n"
    "19/04/2025,Alder Mere,1,plain,14lb 2oz{b}\n"
    "20/04/2025,Alder Mere,2,pellet,11lb{b}\n"
)
OF_FISH = "Date=date, Water=venue, Rod=rod, Bait=variant"


@pytest.mark.parametrize(
    ("more", "a", "b", "columns"),
    [
        ("", "", "", OF_FISH),
        (",Hours", ",12", ",8", f"{OF_FISH}, Hours=hours"),
        (",Hours,Fish", ",12,1", ",8,1", f"{OF_FISH}, Hours=hours, Fish=fish"),
        (",Hours,Fish", ",,1", ",8,1", f"{OF_FISH}, Hours=hours, Fish=fish"),
    ],
    ids=["no hours", "hours of each trip", "one fish a row", "hours of some"],
)
def test_fish_without_the_hours_of_blanks_are_refused(
    tmp_path: Path, more: str, a: str, b: str, columns: str
) -> None:
    """One row a fish and none for blanks: no catch rate can come of it, and the reason is said."""
    log = FISH_ROWS.format(more=more, a=a, b=b)
    with pytest.raises(UnusableFile, match="hours that caught nothing"):
        read(tmp_path, log, toml(columns, made_from("Date", "Water"), dates()))
    assert not (tmp_path / "logbook.sqlite").exists()


def test_stints_with_one_fish_each_are_stints(tmp_path: Path) -> None:
    """A row with 0 makes the difference, and so do rods that stand in a trip but once.

    Each row has hours and a weight, as in a log of fish.
    """
    blank = FISH_ROWS.format(more=",Hours,Fish", a=",12,1", b=",8,1")
    blank = blank.replace("12lb 4oz,12,1", "12lb 4oz,11,1")
    rows = "".join(
        f"{day}/04/2025,Alder Mere,{rod},plain,{day}lb 4oz,12,1\n"
        for day in range(10, 16)
        for rod in (1, 2)
    )
    for log, imported in (
        (blank + "21/04/2025,Alder Mere,2,pellet,,6,0\n", 6),
        (f"Date,Water,Rod,Bait,Weight,Hours,Fish\n{rows}", 12),
    ):
        (tmp_path / "logbook.sqlite").unlink(missing_ok=True)
        assert read(tmp_path, log, DATED).rows_imported == imported


def test_columns_of_another_table_are_kept_and_said_to_be(tmp_path: Path) -> None:
    """A species belongs to a fish: in a table of stints it is no column, and is not lost either."""
    result = read(
        tmp_path,
        "Trip,Bait,Hours,Fish,Kind,Share\n1,plain,5,1,carp,20 %\n",
        toml(f"{PLAIN}, Kind=species, Share=pellet_pct"),
    )
    assert any("column Kind is kept as it is" in hint for hint in result.hints)
    assert stints(tmp_path, "Kind") == [("carp",)]
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        assert list(variants_frame(book)["pellet_pct"]) == [20.0]


def test_weights_in_a_column_of_ones_own_keep_their_noughts(tmp_path: Path) -> None:
    """22.10 may be 22 lb 10 oz, and 22.1 is not; in any other column they are one number."""
    log = "session,variant,hours,fish,Biggest lb,clarity\na,plain,5,1,22.10,0.50\n"
    log += "b,plain,5,1,some,murky\n"
    (tmp_path / "log.csv").write_text(log)
    import_paths([tmp_path / "log.csv"], tmp_path / "logbook.sqlite")
    assert stints(tmp_path, "clarity") == [("0.5",), ("murky",)]
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        assert '"Biggest lb":"22.10"' in str([tuple(row) for row in book.stints()])


# NIST Special Publication 811, appendix B.8, from memory: foot 3.048 E-01 m and yard 9.144 E-01 m
# (exact), inch of mercury, conventional 3.386 389 E+03 Pa, millimetre of mercury, conventional
# 1.333 224 E+02 Pa; t/°C = (t/°F - 32)/1.8.
@pytest.mark.parametrize(
    ("column", "unit", "text", "value"),
    [
        ("depth_m", "ft", "10", 3.048),
        ("range_m", "yd", "100", 91.44),
        ("range_m", "ft", "1.5", 0.4572),
        ("pressure_hpa", "inHg", "30", 1015.9167),
        ("pressure_hpa", "mmHg", "760", 1013.25024),
        ("water_temp_c", "F", "50", 10.0),
        ("air_temp_c", "F", "-40", -40.0),
        ("air_temp_c", "C", "-4.5", -4.5),
    ],
)
def test_measures_are_converted(column: str, unit: str, text: str, value: float) -> None:
    """Published factors, to the last digit that they are published with."""
    read_cell = cell_reader(COLUMNS[column], units=Units(measures={column: unit}))
    assert read_cell(text) == pytest.approx(value, rel=1e-12)
    if column == "pressure_hpa":
        with pytest.raises(CellFault):
            read_cell("1.7e308")  # beyond floating point in hectopascals


@pytest.mark.parametrize(
    ("workbook", "text", "value"),
    [(True, "36.5", 36.5), (True, "36,5", 36.5), (False, "36,5", 36.5), (False, "36.5", None)],
)
def test_numbers_that_a_workbook_keeps_with_a_point(
    workbook: bool, text: str, value: float | None
) -> None:
    """Beside decimal commas in the texts, 36.5 is a typed number of a workbook."""
    read_cell = cell_reader(COLUMNS["hours"], workbook=workbook, units=Units(decimal=","))
    if value is not None:
        assert read_cell(text) == value
        return
    with pytest.raises(CellFault, match="such as 36,5"):
        read_cell(text)
