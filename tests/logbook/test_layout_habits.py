"""Home-made logs of several invented anglers, each read by its layout to the stints it means.

The expected stints are written beside each file, worked out by hand from what the angler would
say the rows mean.
"""

from __future__ import annotations

import csv
from datetime import date, time
from pathlib import Path

import openpyxl
import pytest

from rodhours.cli.importing import in_words
from rodhours.errors import LayoutNeeded, UnusableFile
from rodhours.logbook.export import export_logbook
from rodhours.logbook.importing import ImportResult, import_paths
from rodhours.logbook.layout.proposal_text import proposal_text
from rodhours.logbook.layout.propose import proposals_for
from rodhours.logbook.logbook import CATCH_DATA, STINT_DATA, open_logbook
from rodhours.logbook.tables import SESSIONS

SESSION_DATA = ("session", "angler", *(n for n in SESSIONS.names if n not in ("session", "angler")))
WANTED = ("session", "date", "venue", "rod", "variant", "hours", "fish")


def stints(logbook: Path, wanted: tuple[str, ...] = WANTED) -> list[tuple[object, ...]]:
    """The stints in the logbook, these columns of each, sorted."""
    with open_logbook(logbook) as book:
        sessions = {
            row[0]: dict(zip(SESSION_DATA, row[1:], strict=False)) for row in book.sessions()
        }
        rows = [
            sessions[row[1]] | dict(zip(STINT_DATA, row[2:], strict=False)) for row in book.stints()
        ]
    return sorted((tuple(row[name] for name in wanted) for row in rows), key=str)


def read(
    folder: Path, log: str, layout: str, name: str = "trips.csv", encoding: str = "utf-8"
) -> ImportResult:
    """Import a log by a layout, both as written in the test."""
    (folder / name).write_text(log, encoding=encoding)
    (folder / "trips.toml").write_text(layout, encoding="utf-8")
    result = import_paths(
        [folder / name], folder / "logbook.sqlite", layouts=[folder / "trips.toml"]
    )
    assert result.rows_read == (
        result.rows_imported + result.rows_already_there + result.rows_rejected
    )
    return result


def test_semicolons_commas_and_cells_that_mean_as_above(tmp_path: Path) -> None:
    """Hedda: a title, `;`, decimal commas, hours as 36:30 and in words, date and water once a trip.

    The two rows of 12 April are one trip; 8,5 h is eight and a half; 50 °F is 10 °C.
    """
    result = read(
        tmp_path,
        "Hedda's book 2025;;;;;;\n\n"
        "Date;Water;Rod;On the hair;Hrs;Had;Temp F\n"
        "12/04/25;Wrenmoss Pit;1;20% pellet;36:30;1;50\n"
        ";;2;plain;1d 12h 30m;0;\n"
        "13.5.2025;Tarnbeck;1;plain;8,5;2;\n"
        "1 June 2025;Wrenmoss Pit;1;20 pct;5h;0;\n"
        "Total;;;;;3;\n",
        """
        [columns]
        Date = "date"
        Water = "venue"
        Rod = "rod"
        "On the hair" = "variant"
        Hrs = "hours"
        Had = "fish"
        "Temp F" = "water_temp_c"
        [session]
        from = ["Date", "Water"]
        [fill_down]
        columns = ["Date", "Water"]
        [units]
        hours = ["decimal", "clock", "spelt"]
        decimal = ","
        water_temp_c = "F"
        [dates]
        form = "day-month-year"
        [values.variant]
        "20% pellet" = "pellet-20"
        "20 pct" = "pellet-20"
        """,
    )
    assert result.complete
    assert result.rows_read == 4
    first, last = "2025-04-12, Wrenmoss Pit", "2025-06-01, Wrenmoss Pit"
    assert stints(tmp_path / "logbook.sqlite") == [
        (first, "2025-04-12", "Wrenmoss Pit", "1", "pellet-20", 36.5, 1),
        (first, "2025-04-12", "Wrenmoss Pit", "2", "plain", 36.5, 0),
        ("2025-05-13, Tarnbeck", "2025-05-13", "Tarnbeck", "1", "plain", 8.5, 2),
        (last, "2025-06-01", "Wrenmoss Pit", "1", "pellet-20", 5.0, 0),
    ]
    temperatures = {t for (t,) in stints(tmp_path / "logbook.sqlite", ("water_temp_c",))}
    assert temperatures == {10.0, None}


def test_one_row_a_trip_with_columns_for_each_rod(tmp_path: Path) -> None:
    """Bram: a wide log; a rod without a bait was not fished, unless it has fish: then refused.

    Two rows are taken with three stints in all; the row with a fish on no bait and the row with
    no rod at all are refused, each once, as they were.
    """
    log = (
        "Trip,Day,Lake,Rod 1 bait,Rod 1 fish,Rod 2 bait,Rod 2 fish,Hours\n"
        "1,2025-04-12,Alder Mere,plain,1,pellet,0,24\n"
        "2,2025-04-19,Alder Mere,pellet,0,,0,12\n"
        "3,2025-04-26,Alder Mere,plain,0,,2,12\n"
        "4,2025-05-03,Alder Mere,,,,,12\n"
    )
    layout = """
        [columns]
        Trip = "session"
        Day = "date"
        Lake = "venue"
        Hours = "hours"
        [wide]
        variant = "rod {rod} bait"
        fish = "rod {rod} fish"
        """
    result = read(tmp_path, log, layout)
    assert stints(tmp_path / "logbook.sqlite") == [
        ("1", "2025-04-12", "Alder Mere", "1", "plain", 24.0, 1),
        ("1", "2025-04-12", "Alder Mere", "2", "pellet", 24.0, 0),
        ("2", "2025-04-19", "Alder Mere", "1", "pellet", 12.0, 0),
    ]
    assert (result.rows_read, result.rows_imported, result.rows_rejected) == (4, 2, 2)
    assert [(one.row, one.column) for one in result.problems] == [
        (4, "Rod 2 bait"),
        (5, "Rod 1 bait"),
    ]
    assert "this rod has fish or hours" in result.problems[0].says
    assert "at least one rod" in result.problems[1].says
    with Path(result.rejects_file or "").open(newline="", encoding="utf-8-sig") as file:
        rejects = list(csv.DictReader(file))
    assert [one["row"] for one in rejects] == ["4", "5"]
    assert [one["Rod 2 fish"] for one in rejects] == ["2", ""]
    again = read(tmp_path, log, layout)
    assert (again.rows_imported, again.rows_already_there, again.rows_rejected) == (0, 2, 2)


def test_a_wrong_cell_holds_back_the_whole_row_of_rods(tmp_path: Path) -> None:
    """A wide row with an unreadable date is one refused row with one problem, whatever its rods."""
    result = read(
        tmp_path,
        "Day,Lake,Bait 1,Fish 1,Bait 2,Fish 2,Hours\n"
        "31/02/2025,Alder Mere,plain,1,pellet,0,24\n"
        "01/03/2025,Alder Mere,plain,0,pellet,0,24\n",
        """
        [columns]
        Day = "date"
        Lake = "venue"
        Hours = "hours"
        [session]
        from = ["Day", "Lake"]
        [wide]
        variant = "bait {rod}"
        fish = "fish {rod}"
        [dates]
        form = "day-month-year"
        """,
    )
    assert (result.rows_read, result.rows_imported, result.rows_rejected) == (2, 1, 1)
    (problem,) = result.problems
    assert (problem.row, problem.column, problem.found) == (2, "Day", "31/02/2025")
    assert len(stints(tmp_path / "logbook.sqlite")) == 2


def test_cells_that_cannot_be_read_are_named_as_the_angler_knows_them(tmp_path: Path) -> None:
    """A refused row says the file's own column name, row and cell, and what would be right."""
    result = read(
        tmp_path,
        "Trip,Bait,Time fished,Landed\n"
        "1,plain,5:30,1\n2,plain,ages,0\n3,plain,4:00,-1\n4,,2:00,0\n",
        """
        [columns]
        Trip = "session"
        Bait = "variant"
        "Time fished" = "hours"
        Landed = "fish"
        [units]
        hours = "clock"
        """,
    )
    assert (result.rows_imported, result.rows_rejected) == (1, 3)
    assert [(one.row, one.column, one.found) for one in result.problems] == [
        (3, "Time fished", "ages"),
        (4, "Landed", "-1"),
        (5, "Bait", None),
    ]
    assert "36:30" in result.problems[0].says
    assert "[fill_down]" in result.problems[2].says


def test_empty_cells_mean_as_above_only_where_the_layout_says_so(tmp_path: Path) -> None:
    """Without [fill_down] the row is refused, and told of it; nothing above stays refused.

    The trip above the empty cell waits with it: the row is likely to be a part of that trip.
    """
    log = "Date,Rod,Bait,Hours,Fish\n,1,plain,4,0\n2025-04-12,1,plain,5,1\n,2,pellet,5,0\n"
    layout = (
        '[columns]\nRod = "rod"\nBait = "variant"\nDate = "date"\nHours = "hours"\nFish = "fish"\n'
    )
    layout += '[session]\nfrom = ["Date"]\n'
    refused = read(tmp_path, log, layout)
    assert [(one.row, one.column) for one in refused.problems] == [(2, "Date"), (4, "Date")]
    assert all("[fill_down]" in one.says for one in refused.problems)
    assert (refused.rows_imported, refused.sessions) == (0, {"held back": 1})
    filled = read(tmp_path, log, layout + '[fill_down]\ncolumns = ["Date"]\n')
    assert [(one.row, one.column) for one in filled.problems] == [(2, "Date")]
    assert stints(tmp_path / "logbook.sqlite", ("session", "variant", "hours", "fish")) == [
        ("2025-04-12", "pellet", 5.0, 0),
        ("2025-04-12", "plain", 5.0, 1),
    ]


def test_clock_times_on_their_day_and_past_midnight(tmp_path: Path) -> None:
    """Ines: when the rods went in and came out, without a date; hours are real elapsed ones.

    18:30 to 06:30 is the next morning: 12 h. On 29 March 2025 the clocks in Berlin go forward
    in the night, so 18:30 to 06:30 is 11 h.
    """
    result = read(
        tmp_path,
        "Date,Bait,In,Out,Fish\n28/03/2025,plain,18:30,06:30,0\n29/03/2025,plain,6.30pm,0630,1\n",
        """
        [columns]
        Date = "date"
        Bait = "variant"
        In = "cast_in"
        Out = "cast_out"
        Fish = "fish"
        [session]
        from = ["Date"]
        [dates]
        form = "day-month-year"
        clock_on = "Date"
        zone = "Europe/Berlin"
        """,
    )
    assert result.complete
    assert stints(tmp_path / "logbook.sqlite", ("cast_in", "cast_out", "hours", "fish")) == [
        ("2025-03-28T18:30", "2025-03-29T06:30", 12.0, 0),
        ("2025-03-29T18:30", "2025-03-30T06:30", 11.0, 1),
    ]


def test_clock_times_of_a_long_session_follow_its_hours(tmp_path: Path) -> None:
    """From 18:00 to 06:00 with 36 hours beside it ends not the next morning but the one after."""
    read(
        tmp_path,
        "Date,Bait,In,Out,Hrs,Fish\n12/04/2025,plain,18:00,06:00,36,0\n",
        """
        [columns]
        Date = "date"
        Bait = "variant"
        In = "cast_in"
        Out = "cast_out"
        Hrs = "hours"
        Fish = "fish"
        [session]
        from = ["Date"]
        [dates]
        form = "day-month-year"
        clock_on = "Date"
        zone = "UTC"
        """,
    )
    assert stints(tmp_path / "logbook.sqlite", ("cast_out", "hours")) == [("2025-04-14T06:00", 36)]


def test_empty_counts_are_blanks_only_where_the_layout_says_so(tmp_path: Path) -> None:
    """Joss leaves the fish cell empty for a blank and writes a dash now and then."""
    log = "Trip,Bait,Hours,Fish\n1,plain,5,\n2,plain,6,-\n3,plain,7,2\n"
    layout = '[columns]\nTrip = "session"\nBait = "variant"\nHours = "hours"\nFish = "fish"\n'
    assert read(tmp_path, log, layout).rows_rejected == 2
    (tmp_path / "logbook.sqlite").unlink()
    said = layout + '[values.fish]\n"" = "0"\n"-" = 0\n'
    assert read(tmp_path, log, said).complete
    assert stints(tmp_path / "logbook.sqlite", ("session", "hours", "fish")) == [
        ("1", 5.0, 0),
        ("2", 6.0, 0),
        ("3", 7.0, 2),
    ]


def test_a_sheet_a_month_and_a_sheet_of_fish(tmp_path: Path) -> None:
    """Maud: a workbook with a sheet a month; her fish, in pounds and ounces, in a second file.

    22.4 under lb.oz is 22 lb 4 oz: 22.25 x 0.45359237 kg (NIST SP 811: the pound, exact).
    """
    book = openpyxl.Workbook()
    book.remove(book.active)
    for month, rows in {
        "April": [("12.4.25", "Alder Mere", "L", "plain", 10, 0)],
        "May": [("3.5.25", "Alder Mere", "L", "plain", 12.5, 1)],
    }.items():
        sheet = book.create_sheet(month)
        sheet.append(["Date", "Water", "Rod", "Bait", "Hours", "Fish"])
        for row in rows:
            sheet.append(row)
    book.save(tmp_path / "book.xlsx")
    (tmp_path / "catches.csv").write_text(
        "Date,Water,Rod,Fish,Lb\n03.05.2025,Alder Mere,L,tench,22.4\n", encoding="utf-8"
    )
    (tmp_path / "book.toml").write_text(
        '[columns]\nDate = "date"\nWater = "venue"\nBait = "variant"\nRod = "rod"\n'
        'Hours = "hours"\nFish = "fish"\n'
        '[session]\nfrom = ["Date", "Water"]\n[dates]\nform = "day-month-year"\n'
    )
    (tmp_path / "fish.toml").write_text(
        '[columns]\nLb = "weight"\nRod = "rod"\nFish = "species"\nDate = "date"\nWater = "venue"\n'
        '[session]\nfrom = ["Date", "Water"]\n[units]\nweight = "lb.oz"\n'
        '[dates]\nform = "day-month-year"\n'
    )
    logbook = tmp_path / "logbook.sqlite"
    files = [tmp_path / "book.xlsx", tmp_path / "catches.csv"]
    result = import_paths(files, logbook, layouts=[tmp_path / "book.toml", tmp_path / "fish.toml"])
    assert result.complete
    assert result.rows_read == result.rows_imported == 3
    assert stints(logbook) == [
        ("2025-04-12, Alder Mere", "2025-04-12", "Alder Mere", "L", "plain", 10.0, 0),
        ("2025-05-03, Alder Mere", "2025-05-03", "Alder Mere", "L", "plain", 12.5, 1),
    ]
    with open_logbook(logbook) as held:
        (fish,) = (dict(zip(CATCH_DATA, row[2:], strict=False)) for row in held.catches())
    assert fish["species"] == "tench"
    assert fish["weight"] == pytest.approx(22.25 * 0.45359237, abs=1e-9)


def test_windows_text_and_thousands(tmp_path: Path) -> None:
    """Özgür's old export: Windows-1252, tabs, 1.250,5 for a long season's single row."""
    result = read(
        tmp_path,
        "Fahrt\tKöder\tStunden\tFische\nA\tplain\t1.250,5\t3\n",
        """
        [columns]
        Fahrt = "session"
        "Köder" = "variant"
        Stunden = "hours"
        Fische = "fish"
        [units]
        decimal = ","
        thousands = "."
        [file]
        encoding = "windows-1252"
        separator = "\\t"
        """,
        encoding="windows-1252",
    )
    assert result.complete
    assert stints(tmp_path / "logbook.sqlite", ("session", "hours")) == [("A", 1250.5)]


FISH_ROWS = (
    "Date,Water,Rod,Bait,Weight{more}\n"
    "12/04/2025,Alder Mere,1,plain,22lb 4oz{a}\n"
    "12/04/2025,Alder Mere,1,plain,12lb 4oz{a}\n"
    "13/04/2025,Alder Mere,2,pellet,9lb{b}\n"
    "19/04/2025,Alder Mere,1,plain,14lb 2oz{b}\n"
    "20/04/2025,Alder Mere,2,pellet,11lb{b}\n"
)
FISH_LAYOUT = (
    '[columns]\nDate = "date"\nWater = "venue"\nRod = "rod"\nBait = "variant"\n'
    '[session]\nfrom = ["Date", "Water"]\n[dates]\nform = "day-month-year"\n'
)


@pytest.mark.parametrize(
    ("more", "a", "b", "extra"),
    [
        ("", "", "", ""),
        (",Hours", ",12", ",8", 'Hours = "hours"\n'),
        (",Hours,Fish", ",12,1", ",8,1", 'Hours = "hours"\nFish = "fish"\n'),
        (",Hours,Fish", ",,1", ",8,1", 'Hours = "hours"\nFish = "fish"\n'),
    ],
    ids=["no hours", "hours of each trip", "one fish a row", "hours of some"],
)
def test_fish_without_the_hours_of_blanks_are_refused(
    tmp_path: Path, more: str, a: str, b: str, extra: str
) -> None:
    """One row a fish and none for blanks: no catch rate can come of it, and the reason is said."""
    log = FISH_ROWS.format(more=more, a=a, b=b)
    layout = FISH_LAYOUT.replace("[session]", extra + "[session]")
    with pytest.raises(UnusableFile, match="hours that caught nothing"):
        read(tmp_path, log, layout)
    assert not (tmp_path / "logbook.sqlite").exists()


def test_stints_with_one_fish_each_are_stints(tmp_path: Path) -> None:
    """A log whose stints happen to have one fish each is read where a blank is in it.

    Each row has hours and a weight, as in a log of fish; the row with 0 makes the difference,
    and so do rows whose hours differ within a trip and rod.
    """
    extra = 'Hours = "hours"\nFish = "fish"\n[session]'
    layout = FISH_LAYOUT.replace("[session]", extra)
    blank = FISH_ROWS.format(more=",Hours,Fish", a=",12,1", b=",8,1")
    blank += "21/04/2025,Alder Mere,2,pellet,,6,0\n"
    result = read(tmp_path, blank.replace("12lb 4oz,12,1", "12lb 4oz,11,1"), layout)
    assert (result.rows_read, result.rows_imported) == (6, 6)


def test_stints_with_one_fish_each_and_no_blank_are_stints(tmp_path: Path) -> None:
    """Without a blank too, where no rod of a trip stands twice: nothing is repeated by fish."""
    extra = 'Hours = "hours"\nFish = "fish"\n[session]'
    rows = "".join(
        f"{day}/04/2025,Alder Mere,{rod},plain,{day}lb 4oz,12,1\n"
        for day in range(10, 16)
        for rod in (1, 2)
    )
    log = f"Date,Water,Rod,Bait,Weight,Hours,Fish\n{rows}"
    result = read(tmp_path, log, FISH_LAYOUT.replace("[session]", extra))
    assert (result.rows_read, result.rows_imported) == (12, 12)


def test_only_their_own_columns_are_asked_for(tmp_path: Path) -> None:
    """Without a layout an unknown header is an error that names what is needed, and nothing else
    happens."""
    (tmp_path / "trips.csv").write_text("Trip,Bait,Hrs,Caught\n1,plain,5,0\n")
    with pytest.raises(LayoutNeeded, match="session, variant, hours, fish"):
        import_paths([tmp_path / "trips.csv"], tmp_path / "logbook.sqlite")
    assert not (tmp_path / "logbook.sqlite").exists()


def test_a_layout_is_remembered_for_files_of_the_same_columns(tmp_path: Path) -> None:
    """The next file needs no --layout, says by what it was read, and new labels pass through.

    Capitals and the order of the columns do not matter; another column does.
    """
    layout = (
        '[columns]\nTrip = "session"\nBait = "variant"\nHrs = "hours"\nCaught = "fish"\n'
        '[values.variant]\n"20 pct" = "pellet-20"\n'
    )
    read(tmp_path, "Trip,Bait,Hrs,Caught\n1,plain,5,0\n2,20 pct,5,0\n", layout)
    logbook = tmp_path / "logbook.sqlite"
    (tmp_path / "next.csv").write_text("trip,caught,bait,HRS\n3,1,20 Pct,6\n4,0,20 pct,7\n")
    result = import_paths([tmp_path / "next.csv"], logbook)
    assert any("trips.toml" in hint and "--no-layout" in hint for hint in result.hints)
    assert any('"20 Pct"' in hint and "pellet-20" in hint for hint in result.hints)
    assert stints(logbook, ("session", "variant", "hours", "fish")) == [
        ("1", "plain", 5.0, 0),
        ("2", "pellet-20", 5.0, 0),
        ("3", "20 Pct", 6.0, 1),
        ("4", "pellet-20", 7.0, 0),
    ]
    with pytest.raises(LayoutNeeded):
        import_paths([tmp_path / "next.csv"], logbook, remembered=False)
    (tmp_path / "other.csv").write_text("trip,caught,bait,HRS,moon\n5,1,plain,6,full\n")
    with pytest.raises(LayoutNeeded):
        import_paths([tmp_path / "other.csv"], logbook)


def test_a_layout_that_did_not_work_is_not_remembered(tmp_path: Path) -> None:
    """Where every row was refused the layout may be at fault."""
    layout = '[columns]\nTrip = "session"\nBait = "variant"\nHrs = "hours"\nCaught = "fish"\n'
    log = "Trip,Bait,Hrs,Caught\n1,plain,5h,0\n"
    assert read(tmp_path, log, layout).rows_rejected == 1
    with pytest.raises(LayoutNeeded):
        import_paths([tmp_path / "trips.csv"], tmp_path / "logbook.sqlite")


def test_the_same_file_again_leaves_the_logbook_as_it_is(tmp_path: Path) -> None:
    """By a layout given or remembered, not one byte changes where nothing is new."""
    layout = '[columns]\nTrip = "session"\nBait = "variant"\nHrs = "hours"\nCaught = "fish"\n'
    log = "Trip,Bait,Hrs,Caught\n1,plain,5,0\n"
    read(tmp_path, log, layout)
    logbook = tmp_path / "logbook.sqlite"
    before = logbook.read_bytes()
    assert read(tmp_path, log, layout).rows_already_there == 1
    assert import_paths([tmp_path / "trips.csv"], logbook).rows_already_there == 1
    assert logbook.read_bytes() == before


def test_what_a_layout_says_of_the_file_is_remembered_too(tmp_path: Path) -> None:
    """The header row that only the layout knows is found again without --layout."""
    layout = (
        '[file]\nheader_row = 2\n[columns]\nTrip = "session"\nBait = "variant"\n'
        'Hrs = "hours"\nCaught = "fish"\n'
    )
    log = "a,b,c,d\nTrip,Bait,Hrs,Caught\n1,plain,5,0\n"
    assert read(tmp_path, log, layout).rows_imported == 1
    (tmp_path / "trips.csv").write_text(log + "2,plain,6,1\n")
    again = import_paths([tmp_path / "trips.csv"], tmp_path / "logbook.sqlite")
    assert (again.rows_read, again.rows_imported, again.rows_already_there) == (2, 1, 1)


def test_a_layout_beside_one_that_is_remembered(tmp_path: Path) -> None:
    """Two of the angler's files, one known already, one by the layout that is given now."""
    log = "Trip,Bait,Hrs,Caught\n1,plain,5,0\n"
    layout = '[columns]\nTrip = "session"\nBait = "variant"\nHrs = "hours"\nCaught = "fish"\n'
    read(tmp_path, log, layout)
    (tmp_path / "old.csv").write_text("Nr,Mix,Stunden,Fish\n7,plain,5,2\n")
    (tmp_path / "old.toml").write_text(
        '[columns]\nNr = "session"\nMix = "variant"\nStunden = "hours"\nFish = "fish"\n'
    )
    (tmp_path / "trips.csv").write_text(log + "2,plain,6,1\n")
    result = import_paths(
        [tmp_path / "trips.csv", tmp_path / "old.csv"],
        tmp_path / "logbook.sqlite",
        layouts=[tmp_path / "old.toml"],
    )
    assert (result.rows_read, result.rows_imported, result.rows_already_there) == (3, 2, 1)


def test_columns_of_another_table_are_kept_and_said_to_be(tmp_path: Path) -> None:
    """A weight belongs to a fish: in a table of stints it is no column, and is not lost either."""
    result = read(
        tmp_path,
        "Trip,Bait,Hrs,Caught,Lb,Share\n1,plain,5,1,22lb 4oz,20 %\n",
        '[columns]\nTrip = "session"\nBait = "variant"\nHrs = "hours"\nCaught = "fish"\n'
        'Lb = "weight"\nShare = "pellet_pct"\n',
    )
    assert any("column Lb is kept as it is" in hint for hint in result.hints)
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        assert '"Lb":"22lb 4oz"' in book.stints()[0]["extra"]
        (recipe,) = book.variants()
    assert (recipe["variant"], recipe["pellet_pct"]) == ("plain", 20.0)


def test_a_sheet_among_others(tmp_path: Path) -> None:
    """Nothing tells which sheet is the log: a layout is needed, which states it, and is known
    again the next time; the other sheet is named as left aside each time."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in {
        "Tackle": [["What", "Where"], ["reel", "shed"]],
        "My trips": [["Trip", "Bait", "Hrs", "Caught"], ["1", "plain", 5, 0]],
    }.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(tmp_path / "book.xlsx")
    files, logbook = [tmp_path / "book.xlsx"], tmp_path / "logbook.sqlite"
    with pytest.raises(LayoutNeeded, match="Tackle, My trips"):
        import_paths(files, logbook)
    (proposal,) = proposals_for(files)
    assert proposal.sheet == "My trips"
    layout = tmp_path / "book.toml"
    layout.write_text(proposal_text(proposal))
    for layouts, imported in (([layout], 1), ([], 0)):
        result = import_paths(files, logbook, layouts=layouts)
        assert (result.rows_read, result.rows_imported) == (1, imported)
        assert any("Tackle" in hint for hint in result.hints)


def test_typed_times_of_a_workbook(tmp_path: Path) -> None:
    """Real dates and times; a row without its date is refused once, and not for each time."""
    book = openpyxl.Workbook()
    sheet = book.active
    for row in (
        ["Date", "Rod", "Bait", "In", "Out", "Fish"],
        [date(2025, 4, 12), 1, "plain", time(18, 30), time(6, 30), 1],
        [None, 1, "mix", time(18, 30), time(6, 30), 0],
    ):
        sheet.append(row)
    book.save(tmp_path / "book.xlsx")
    layout = tmp_path / "book.toml"
    layout.write_text(
        '[columns]\nDate = "date"\nBait = "variant"\nIn = "cast_in"\nOut = "cast_out"\n'
        'Fish = "fish"\nRod = "rod"\n[session]\nfrom = ["Date"]\n[dates]\nclock_on = "Date"\n'
        'zone = "UTC"\n'
    )
    result = import_paths([tmp_path / "book.xlsx"], tmp_path / "x.sqlite", layouts=[layout])
    assert stints(tmp_path / "x.sqlite", ("cast_in", "hours")) == [("2025-04-12T18:30", 12.0)]
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
    result = read(tmp_path, log, text + 'zone = "UTC"\n' if text.endswith("]\n") else text)
    assert stints(tmp_path / "logbook.sqlite", ("cast_in", "cast_out", "hours")) == [
        ("2024-05-10T17:00", "2024-05-12T09:30", 40.5),
        ("2024-05-20T17:00", "2024-05-20T21:00", 4.0),
    ]
    assert [(one.row, one.column) for one in result.problems] == [(4, "Time out"), (5, "Time out")]
    assert "'Date out'" in result.problems[0].says
    with pytest.raises(UnusableFile, match="clock_end_on"):
        read(tmp_path, log, text.replace('clock_on = "Date in"\n', ""))


def test_a_start_that_cannot_be_read_is_all_that_is_said(tmp_path: Path) -> None:
    """Nothing is wrong with the end beside it; an end goes by a start that has its own day too."""
    log = (
        "Trip,Date,In,Out,Bait,Fish\n"
        "1,2024-06-01,half six,09:15,plain,0\n"
        "2,2024-06-03,,09:15,plain,0\n"
        "3,2024-06-05,2024-06-06T20:00,09:15,plain,1\n"
        "4,2024-06-09,2024-06-09T08:00,09:15,plain,1\n"
    )
    result = read(
        tmp_path,
        log,
        '[columns]\nTrip = "session"\nDate = "date"\nIn = "cast_in"\nOut = "cast_out"\n'
        'Bait = "variant"\nFish = "fish"\n[dates]\nclock_on = "Date"\nzone = "UTC"\n',
    )
    assert [(one.row, one.column) for one in result.problems if one.row == 2] == [(2, "In")]
    assert any(one.row == 3 and "the time of the start" in one.says for one in result.problems)
    assert ("4", "2024-06-09T09:15", 1.25) in stints(
        tmp_path / "logbook.sqlite", ("session", "cast_out", "hours")
    )


DATED = (
    '[columns]\nDate = "date"\nWater = "venue"\nRod = "rod"\nBait = "variant"\nHours = "hours"\n'
    'Fish = "fish"\n[session]\nfrom = ["Date", "Water"]\n[dates]\nform = "day-month-year"\n'
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
    reasons = Path(str(result.rejects_file)).read_text(encoding="utf-8-sig")
    assert reasons.count("may belong to this session") == 1
    mended = read(
        tmp_path, log.replace(row, row.replace("31/04", "12/04").replace(",,", ",3,")), DATED
    )
    assert (mended.rows_imported, mended.rows_already_there) == (2, 3)


def test_a_wide_row_without_its_date_leaves_the_others_alone(tmp_path: Path) -> None:
    """Each row of a wide log is a trip of its own."""
    log = "Date,rod 1 bait,rod 1 fish,rod 1 hrs\n"
    log += "12/04/2025,a,0,5\n31/04/2025,b,0,5\n20/04/2025,a,1,5\n"
    layout = (
        '[columns]\nDate = "date"\n[session]\nfrom = ["Date"]\n[dates]\nform = "day-month-year"\n'
        '[wide]\nvariant = "rod {rod} bait"\nfish = "rod {rod} fish"\nhours = "rod {rod} hrs"\n'
    )
    assert read(tmp_path, log, layout).rows_imported == 2


def test_weights_in_a_column_of_ones_own_keep_their_noughts(tmp_path: Path) -> None:
    """22.10 may be 22 lb 10 oz, and 22.1 is not; in any other column they are one number."""
    log = "session,variant,hours,fish,Biggest lb,clarity\na,plain,5,1,22.10,0.50\n"
    (tmp_path / "log.csv").write_text(log)
    import_paths([tmp_path / "log.csv"], tmp_path / "x.sqlite")
    with open_logbook(tmp_path / "x.sqlite") as book:
        assert book.stints()[0][-1] == '{"Biggest lb":"22.10","clarity":"0.5"}'
    (found,) = proposals_for([tmp_path / "log.csv"])
    assert "write 22lb 10oz" in proposal_text(found)


def test_a_zone_that_nobody_stated_is_said(tmp_path: Path) -> None:
    """Times are read in this machine's zone, and that is said; not where it was stated."""
    log = tmp_path / "log.csv"
    log.write_text(
        "session,variant,cast_in,cast_out,fish\na,plain,2025-04-12T18:30,2025-04-13T06:30,0\n"
    )
    said = [
        any(
            "--zone" in hint for hint in import_paths([log], tmp_path / "x.sqlite", zone=zone).hints
        )
        for zone in (None, "Europe/London")
    ]
    assert said == [True, False]
    log.write_text("session,variant,hours,fish\nb,plain,12,0\n")
    assert not any("--zone" in hint for hint in import_paths([log], tmp_path / "x.sqlite").hints)


def test_an_export_is_not_read_by_the_layout_of_a_log_with_the_same_columns(
    tmp_path: Path,
) -> None:
    """What is written 1.236,5 in the angler's own file is 1236.5 in an export of it.

    1.125 would be one hour and an eighth in the one, and 1125 hours in the other, so a file of
    these columns is asked about, and --layout or --no-layout answers.
    """
    logbook = tmp_path / "logbook.sqlite"
    log = 'session,variant,hours,fish\na,plain,"36,30",0\na,mix,"1.236,5",1\n'
    layout = '[units]\ndecimal = ","\nthousands = "."\n'
    read(tmp_path, log, layout)
    with open_logbook(logbook) as book:
        export_logbook(book, tmp_path / "export")
    for file in ("export/stints.csv", "trips.csv"):
        with pytest.raises(UnusableFile, match=r"--layout .*trips.toml, or with --no-layout"):
            import_paths([tmp_path / file], logbook)
    again = import_paths([tmp_path / "export"], logbook, remembered=False)
    assert (again.rows_imported, again.rows_rejected) == (0, 0)
    own = import_paths([tmp_path / "trips.csv"], logbook, layouts=[tmp_path / "trips.toml"])
    assert (own.rows_already_there, own.rows_rejected) == (2, 0)
    # A layout that says nothing of forms reads both alike, and is used as ever.
    (tmp_path / "trips.toml").write_text('[columns]\nmoon = "keep"\n')
    names = tmp_path / "names.csv"
    names.write_text("session,variant,hours,fish,moon\nb,plain,1.125,0,full\n")
    import_paths([names], logbook, layouts=[tmp_path / "trips.toml"])
    assert import_paths([names], logbook).complete
    assert ("b", 1.125) in stints(logbook, ("session", "hours"))


def test_many_sheets_are_counted_and_not_named_again_and_again(tmp_path: Path) -> None:
    """A sheet a month over some years: each sheet is named once, in what was read as one log."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for month in range(1, 6):
        sheet = book.create_sheet(f"Month {month}")
        for row in (["My log"], ["session", "variant", "hours", "fish"], [month, "plain", 5, 0]):
            sheet.append(row)
    book.save(tmp_path / "log.xlsx")
    result = import_paths([tmp_path / "log.xlsx"], tmp_path / "x.sqlite")
    assert sum("Month 3" in hint for hint in result.hints) == 1
    assert any("sheets Month 1 to Month 5 (5 of them): the columns" in one for one in result.hints)
    assert "Read 5 rows of stints" in in_words(result)
    assert "Month 3" not in in_words(result)


def test_the_same_slip_in_many_rows_is_said_once(tmp_path: Path) -> None:
    """Thirty empty dates are one line with their number, and another slip still has its own."""
    rows = ["Date,Water,Rod,Bait,Hours,Fish", "12/04/2025,Alder Mere,1,plain,5,x"]
    rows += [f",Alder Mere,{rod},plain,5,0" for rod in range(2, 32)]
    result = read(tmp_path, "\n".join(rows) + "\n", DATED)
    said = in_words(result)
    assert said.count("[fill_down]") == 1
    assert "(and 29 further rows)" in said
    assert "found 'x'" in said
    assert "31 problems" in said
