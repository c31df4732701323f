"""Sheets as hobbyists keep them go in by questions alone, at a pseudo-terminal."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pandas as pd
import pytest

from rodhours.log.frames import catches_frame, stint_frame
from rodhours.log.logbook import open_logbook
from terminal import at_a_terminal

YES = "\n"
"""Enter takes the first answer."""

SHEETS = {
    # Wide by rod, blanks as dashes and empty cells, a spelling in two ways, totals.
    "wide": (
        "Date,Lake,Hours,Rod 1 bait,Rod 1 fish,Rod 2 bait,Rod 2 fish,Comments\n"
        "05/04/2025,Alder Mere,24,Plain,1,Pellet,,windy\n"
        "26/04/2025,Reed Pit,12,plain,-,-,,\n"
        "Total,,36,,1,,0,\n",
        YES * 2,
        [
            ("2025-04-05", "Alder Mere", "1", "Plain", 24.0, 1),
            ("2025-04-05", "Alder Mere", "2", "Pellet", 24.0, 0),
            ("2025-04-26", "Reed Pit", "1", "Plain", 12.0, 0),
        ],
    ),
    # One row a trip with lists; nothing is undecided.
    "lists": (
        "Trip date,Water,Hours,Baits,Caught\n"
        'Sat 5 April 2025,Alder Mere,24,"plain, pellet","2, 1"\n'
        'Sun 13 April 2025,Reed Pit,12,"pellet, plain, plain",0\n'
        'Sun 20 April 2025,Reed Pit,6,"pellet, plain","0, 1"\n',
        "",
        [
            ("2025-04-05", "Alder Mere", "1", "plain", 24.0, 2),
            ("2025-04-05", "Alder Mere", "2", "pellet", 24.0, 1),
            ("2025-04-13", "Reed Pit", "1", "pellet", 12.0, 0),
            ("2025-04-13", "Reed Pit", "2", "plain", 12.0, 0),
            ("2025-04-13", "Reed Pit", "3", "plain", 12.0, 0),
            ("2025-04-20", "Reed Pit", "1", "pellet", 6.0, 0),
            ("2025-04-20", "Reed Pit", "2", "plain", 6.0, 1),
        ],
    ),
    # A diary over New Year: no years, month titles, remark rows, several weights in a cell.
    "diary": (
        "Date,Where,Bait,Hours,Fish,Weights,Remarks\n"
        "November,,,,,,\n"
        "9 Nov,Alder Mere,plain,10,1,22lb 4oz,cold\n"
        '9 Nov,Alder Mere,pellet,10,3,"18lb, 19lb 2oz",\n'
        "14 Dec,Alder Mere,plain,8,blank,,\n"
        "Lake frozen until the new year\n"
        "4 Jan,Reed Pit,pellet,6,1,9lb,\n",
        "2024\n" + YES,
        [
            ("2024-11-09", "Alder Mere", None, "plain", 10.0, 1),
            ("2024-11-09", "Alder Mere", None, "pellet", 10.0, 3),
            ("2024-12-14", "Alder Mere", None, "plain", 8.0, 0),
            ("2025-01-04", "Reed Pit", None, "pellet", 6.0, 1),
        ],
    ),
    # Semicolons and decimal commas; dashes.
    "commas": (
        "Datum;Water;Rod;Bait;Hrs;Caught;Lost;Water temp\n"
        "05.04.2025;Alder Mere;1;plain;12,5;1;-;9,5\n"
        "05.04.2025;Alder Mere;2;pellet;12,5;-;1;9,5\n",
        YES,
        [
            ("2025-04-05", "Alder Mere", "1", "plain", 12.5, 1),
            ("2025-04-05", "Alder Mere", "2", "pellet", 12.5, 0),
        ],
    ),
    # Row numbers called ID, times without dates over midnight.
    "numbered": (
        "ID,Day,Venue,Rod,Hookbait,In,Out,Fish\n"
        "1,2025-04-12,Alder Mere,1,plain,18:30,06:15,0\n"
        "2,2025-04-12,Alder Mere,2,pellet,18:30,06:15,\n",
        YES,
        [
            ("2025-04-12", "Alder Mere", "1", "plain", 11.75, 0),
            ("2025-04-12", "Alder Mere", "2", "pellet", 11.75, 0),
        ],
    ),
    # A title, two rows of names, a remark between the trips, sums without a word below them.
    "two rows of names": (
        "My fishing,,,,,,,\n,,Rod 1,,,Rod 2,,\n"
        "Date,Lake,Bait,Hours,Fish,Bait,Hours,Fish\n"
        "01/05/2025,Alder Mere,plain,24,1,pellet,24,0\n"
        "no trip this week,,,,,,,\n"
        "22/05/2025,Reed Pit,pellet,12,,plain,12,2\n"
        ",,,36,1,,36,2\n",
        YES,
        [
            ("2025-05-01", "Alder Mere", "1", "plain", 24.0, 1),
            ("2025-05-01", "Alder Mere", "2", "pellet", 24.0, 0),
            ("2025-05-22", "Reed Pit", "1", "pellet", 12.0, 0),
            ("2025-05-22", "Reed Pit", "2", "plain", 12.0, 2),
        ],
    ),
    # A row a fish: the last two rows are one stint; rows without a weight are asked about.
    "a row a fish": (
        "No,Date,Lake,Rod,Hookbait,In,Out,Weight,Comments\n"
        "1,15/04/2025,Alder Mere,1,plain,18:00,08:00,22lb 4oz,cold\n"
        "2,15/04/2025,Alder Mere,2,pellet,18:00,08:00,,\n"
        "3,26/04/2025,Reed Pit,1,pellet,18:00,07:00,,\n"
        "4,26/04/2025,Reed Pit,2,plain,18:00,07:00,15lb 2oz,\n"
        "5,26/04/2025,Reed Pit,2,plain,18:00,07:00,19lb 8oz,windy\n",
        YES * 2,
        [
            ("2025-04-15", "Alder Mere", "1", "plain", 14.0, 1),
            ("2025-04-15", "Alder Mere", "2", "pellet", 14.0, 0),
            ("2025-04-26", "Reed Pit", "1", "pellet", 13.0, 0),
            ("2025-04-26", "Reed Pit", "2", "plain", 13.0, 2),
        ],
    ),
    # The same with hours alone, where two rows may be two stints.
    "a row a fish, hours alone": (
        "Date,Lake,Bait,Hours,Weight\n15/04/2025,Alder Mere,plain,14,22lb 4oz\n"
        "15/04/2025,Alder Mere,plain,14,19lb\n15/04/2025,Alder Mere,pellet,14,\n",
        YES * 2,
        [
            ("2025-04-15", "Alder Mere", None, "plain", 14.0, 2),
            ("2025-04-15", "Alder Mere", None, "pellet", 14.0, 0),
        ],
    ),
    # Blocks under titles that say trip, day and water, each with its heading.
    "blocks": (
        "Session 1 - 12/4/25 Alder Mere,,,,\nRod,Bait,Hours,Fish,Notes\n1,plain,12,1,\n"
        "2,pellet,12,0,bream\n,,,,\nSession 2 - 19-21 April 2025 Reed Pit,,,,\n"
        "Rod,Bait,Hours,Fish,Notes\n1,pellet,24,0,\n2,plain,24,2,\n",
        YES,
        [
            ("2025-04-12", "Alder Mere", "1", "plain", 12.0, 1),
            ("2025-04-12", "Alder Mere", "2", "pellet", 12.0, 0),
            ("2025-04-19", "Reed Pit", "1", "pellet", 24.0, 0),
            ("2025-04-19", "Reed Pit", "2", "plain", 24.0, 2),
        ],
    ),
    # Days of a month whose name, and once the year, stand in titles; New Year between.
    "days under months": (
        "Day,Water,Bait,Hrs,Fish\nDecember 2024,,,,\n5,Alder Mere,plain,12,1\n"
        "12th,Alder Mere,pellet,12,0\nJanuary,,,,\n3,Reed Pit,plain,24,0\n",
        "",
        [
            ("2024-12-05", "Alder Mere", None, "plain", 12.0, 1),
            ("2024-12-12", "Alder Mere", None, "pellet", 12.0, 0),
            ("2025-01-03", "Reed Pit", None, "plain", 24.0, 0),
        ],
    ),
    # How many rods were out beside one bait: the hours are of each.
    "rods counted": (
        "Date,Water,Rods,Bait,Hours,Fish\n15/04/2025,Alder Mere,3,plain,12,1\n"
        "19/04/2025,Reed Pit,2,pellet,10,0\n",
        YES,
        [
            ("2025-04-15", "Alder Mere", None, "plain", 36.0, 1),
            ("2025-04-19", "Reed Pit", None, "pellet", 20.0, 0),
        ],
    ),
    # Eight things are undecided; the two that weigh least are taken as they most likely are.
    "more than six": (
        "Date,Lake,Session,Rod,Bait,Hrs,Caught,Weight,Remarks\n"
        "5/4,Alder Mere,night,1,plain,9,-,,wet\n,,night,2,Pellet,9,1,22.4,\n"
        "6/4,Alder Mere,day,1,Plain,9,,,\n12/4,alder mere,night,1,pellet,9,2,18,cold\n"
        ",,night,2,plain,9,x,,\n",
        YES + "2025\n" + YES * 4,
        [
            ("2025-04-05", "Alder Mere", "1", "plain", 9.0, 0),
            ("2025-04-05", "Alder Mere", "2", "Pellet", 9.0, 1),
            ("2025-04-06", "Alder Mere", "1", "plain", 9.0, 0),
            ("2025-04-12", "Alder Mere", "1", "Pellet", 9.0, 2),
            ("2025-04-12", "Alder Mere", "2", "plain", 9.0, 0),
        ],
    ),
}


@pytest.mark.parametrize("name", SHEETS)
def test_a_hobbyists_sheet_goes_in_by_questions(tmp_path: Path, name: str) -> None:
    """Every stint is as worked out by hand; not more is asked than is answered here."""
    log, answers, wanted = SHEETS[name]
    (tmp_path / "log.csv").write_text(log)
    code, said = at_a_terminal(tmp_path, answers, "import", "log.csv")
    assert code == 0, said
    assert len(re.findall(r"^(?:1 to \d )?\S*\[1\]:", said, re.M)) <= 6
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        frame, catches = stint_frame(book).reset_index(drop=True), catches_frame(book)
    frame["date"] = frame["date"].dt.strftime("%Y-%m-%d")
    frame = frame[["date", "venue", "rod", "variant", "hours", "fish"]].astype(object)
    rows = frame.where(pd.notna(frame), None).itertuples(index=False, name=None)
    assert sorted(rows, key=str) == sorted(wanted, key=str)
    if name == "diary":
        pounds = sorted(round(kg / 0.45359237, 6) for kg in catches["weight"].dropna())
        # 22 lb 4 oz is 22 4/16 lb, 19 lb 2 oz 19 2/16 lb; one fish of the five was not weighed.
        assert pounds == [9, 18, 19.125, 22.25]
        assert len(catches) == 5
    assert tomllib.loads((tmp_path / "log.csv.layout.toml").read_text())["columns"]


def test_without_a_terminal_the_questions_stand_with_their_lines(command, tmp_path: Path) -> None:
    """The line of the answer put into the layout that is printed gives the same import."""
    log, _, wanted = SHEETS["diary"]
    (tmp_path / "my log.csv").write_text(log)
    done = command("import", "my log.csv")
    assert done.code == 4
    for part in (
        "Which year is the first date, 9 Nov?",
        "[dates] year = 2024",
        "trip or to its rod",
    ):
        assert part in " ".join(done.err.split()), done.err
    assert "rodhours import 'my log.csv' --layout my.layout.toml" in done.err
    # The years that are offered go with the calendar; the line takes any.
    (tmp_path / "my.toml").write_text(re.sub(r"# year = \d+", "year = 2024", done.out, count=1))
    assert command("import", "my log.csv", "--layout", "my.toml").code == 0
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        assert len(stint_frame(book)) == len(wanted)


def test_a_label_over_several_days_is_asked_about(command, tmp_path: Path) -> None:
    """day and night are no trips, nor is a number of each row; what is the same of a trip stays."""
    rows = "12/04/2025,Alder Mere,night,1,plain,9,0,N\n12/04/2025,Alder Mere,night,2,mix,9,1,S\n"
    rows += "13/04/2025,Alder Mere,day,1,plain,9,0,W\n20/04/2025,Alder Mere,night,1,mix,9,0,W\n"
    (tmp_path / "log.csv").write_text(f"Date,Lake,Session,Rod,Bait,Hrs,Fish,Wind\n{rows}")
    code, said = at_a_terminal(tmp_path, "\n", "import", "log.csv")
    assert code == 0, said
    assert "Date, Lake and Session together: 3 trips" in said
    assert re.search(r"Wind +\(kept as it is\)", said)
    assert "4 rows imported (3 sessions)" in said


def test_what_is_beyond_sense_is_asked_about_once(command, tmp_path: Path) -> None:
    """120 fish in 12 hours, a day to come, 20 days, 30 hours of a trip of 12: asked, remembered."""
    head = "session,date,start,end,rod,variant,hours,fish\n"
    rows = (
        "fine,2025-04-01,2025-04-01T06:00,2025-04-01T18:00,1,plain,12,19\n"
        "many,2025-04-12,,,1,plain,12,120\n"
        "ahead,2150-04-12,,,1,plain,12,1\n"
        "long,2025-05-12,,,1,plain,480,1\n"
        "more,2025-06-12,2025-06-12T06:00,2025-06-12T18:00,1,plain,30,1\n"
    )
    (tmp_path / "log.csv").write_text(head + rows)
    done = command("import", "log.csv")
    assert done.code == 3
    assert "1 row imported (1 session)" in done.out.replace("  ", "")
    for part in (
        "120 fish in 12 hours",
        "lies in the future",
        "20 days",
        "30 hours of a trip of 12",
    ):
        assert part in done.out
    assert done.out.count("--sure") == 4
    code, said = at_a_terminal(tmp_path, "2\n", "import", "log.csv")
    assert (code, "4 rows imported (4 sessions)" in said) == (0, True), said
    assert command("import", "log.csv").code == 0
    assert command("export", "out").code == 0
    for hours, fish in (("1e308", "0"), ("5e-324", "0"), ("12", "1001")):
        (tmp_path / "log.csv").write_text(f"session,variant,hours,fish\nx,plain,{hours},{fish}\n")
        assert command("import", "log.csv", "--sure").code == 3


def test_what_can_only_mean_one_thing_is_read(command, tmp_path: Path) -> None:
    """The trip log's own names with decimal commas, and with times of day beside the date."""
    (tmp_path / "log.csv").write_text(
        "session;date;rod;variant;hours;fish;cast_in;cast_out;water_temp_c\n"
        "a;2025-04-12;1;plain;11,75;0;18:30;06:15;9,5\nb;2025-04-14;1;plain;5,5;1;;;10\n"
    )
    done = command("import", "log.csv", "--zone", "UTC")
    assert done.code == 0, done.out
    assert done.err.count("8,5 is read as 8.5") == 1
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        frame = stint_frame(book)
    assert list(frame["hours"]) == [11.75, 5.5]
    assert str(frame["cast_out"].iloc[0])[:16] in ("2025-04-13 06:15", "2025-04-13T06:15")
    # A comma before three digits may stand for thousands, and is no decimal comma by itself.
    (tmp_path / "log.csv").write_text("session;variant;hours;fish\nc;plain;1,234;0\n")
    assert command("import", "log.csv").code == 3
