"""Notes as text: read as they were meant, asked about where they may not be, written and read back.

Expected values are counted by hand from the lines that stand beside them.
"""

from __future__ import annotations

import random
import re
from contextlib import suppress
from datetime import datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from trip_logs import season, write_log

from rodhours.errors import UnusableFile
from rodhours.log.export import export_logbook
from rodhours.log.importing import ImportResult, import_paths
from rodhours.log.logbook import open_logbook
from rodhours.log.notes import grammar
from rodhours.log.notes.read import is_notes, read_notes
from rodhours.log.reading import read_log
from rodhours.log.rules import check_log

README = Path(__file__).parents[2] / "README.md"
TEXTS = ["plain", "pellet-20", "a, b", 'the "old" one', "Ann’s", "en–dash", "2 x", "rod 3", "blank",
         "in season", "fish", "x=1", "a:b", "#1", "“curled”", "müsli", "at 3:10", "lb",
         "plain in 5", "- x", "not blank"]  # fmt: skip


def read(folder: Path, text: str, **options: object) -> ImportResult:
    notes = folder / "notes.txt"
    notes.write_text(text, encoding="utf-8")
    options = {"zone": "Europe/London", **options}
    return import_paths([notes], folder / "logbook.sqlite", **options)  # type: ignore[arg-type]


def rows(folder: Path, table: str, *names: str) -> list[tuple[object, ...]]:
    with open_logbook(folder / "logbook.sqlite") as book:
        found = getattr(book, table)()
    return sorted((tuple(row[name] for name in names) for row in found), key=str)


def test_a_trip_as_a_phone_writes_it(tmp_path: Path) -> None:
    """Capitals, curly quotes, long dashes, 6.30pm, 18.30 and 1830, a night, a year at the head."""
    done = read(
        tmp_path,
        "# my own notes\n"
        "Notes 2026\n"
        "Trip Sat 11 April, 6.30pm, Water Quernhollow Mere, Swim “The Point, left”\n"
        "1 plain, In 1835, out 6.15, fish carp 22lb 4oz at 3:10am, fish tench 5 lb, Lost one\n"
        "Rod 2: pellet–20, in 18.40, out 6:20, BLANK\n"
        "1 pellet-20, in 6:30, out 11am, 1 fish\n"
        "3 plain, not fished\n"
        "trip Ann’s, 18 Apr\n"
        "note wind all night, angler Ann\n"
        "1 plain, hours 12.5, 2 fish, moon: full\n",
    )
    assert done.complete, done.problems
    assert rows(tmp_path, "stints", "variant", "cast_in", "cast_out", "hours", "fish", "lost") == [
        ("pellet-20", "2026-04-11T18:40", "2026-04-12T06:20", pytest.approx(11 + 2 / 3), 0, None),
        ("pellet-20", "2026-04-12T06:30", "2026-04-12T11:00", 4.5, 1, None),
        ("plain", "2026-04-11T18:35", "2026-04-12T06:15", pytest.approx(11 + 2 / 3), 2, 1),
        ("plain", None, None, 12.5, 2, None),
    ]
    # A pound is 0.45359237 kg, an ounce a sixteenth of it (exact by definition).
    assert rows(tmp_path, "catches", "rod", "species", "weight", "time") == [
        ("1", "carp", pytest.approx(22.25 * 0.45359237), "2026-04-12T03:10"),
        ("1", "tench", pytest.approx(5 * 0.45359237), None),
        ("1", None, None, None),
    ]
    assert rows(tmp_path, "sessions", "session", "angler", "date", "swim", "notes") == [
        ("Ann's", "Ann", "2026-04-18", None, "wind all night"),
        ("2026-04-11", None, "2026-04-11", "The Point, left", None),
    ]
    assert any("rod 3 of 2026-04-11" in hint for hint in done.hints)


FAULTS = {
    "1 plain, in 18:30, blank": "its times: in 18:30, out 6:15",
    "1 plain, in 18:30, out 6:15": "its fish: blank, or fish 2",
    "1 plain, in 18:30, out 6:15, fish": "its fish: blank, or fish 2",
    "1 plain, in 18:30, out 18:30, blank": "two different times",
    "1 plain, in late, out 6:15, blank": "a time of day such as 18:30",
    "1 plain, in 18:30, out 6:15, blank, fish 2": "said once in a line",
    "1 plain, in 18:30, out 6:15, fish 2, fish 20lb": "not both",
    "1 plain, in 18:30, out 6:15, fish 20": "",
    "1 plain, in 18:30, out 6:15, fish at 7:00": "while its rod was in",
    "1 plain, in 18:30, out 6:15, blank, windy": "parts between commas",
    "1 plain, in 18:30, out 6:15, blank, not fished": "not both",
    "1 plain": "what was fished",
    "1, in 18:30, out 6:15, blank": "a rod and its bait",
    "left plain, in 18:30, out 6:15, blank": "a trip's line",
    "bait plain, in 18:30, out 6:15, fish 20lb": "a rod before its bait",
}


@pytest.mark.parametrize("line", FAULTS)
def test_what_is_not_said_is_asked_about_by_its_line(tmp_path: Path, line: str) -> None:
    """Each fault is named with its line and what would be right, and its trip waits whole."""
    done = read(tmp_path, f"notes 2026\ntrip 11 Apr\n2 plain, hours 5, blank\n{line}\n")
    if not FAULTS[line]:
        assert done.complete
        return
    assert done.rows_imported == 0
    assert [one.row for one in done.problems] == [4], done.problems
    assert FAULTS[line] in done.problems[0].says
    assert "line 4" in done.problems[0].place


@pytest.mark.parametrize(
    ("head", "says"),
    [
        ("trip 12/04", "2026-04-12 or 2026-12-04"),
        ("trip Sun 11 Apr", "2026-04-11 was a Saturday"),
        ("trip 31 Apr", "date that exists"),
        ("trip A, quernhollow mere", "parts between commas"),
        ("trip A, 11 Apr, 12 Apr", "said once"),
    ],
)
def test_a_trip_that_cannot_be_placed_is_asked_about(tmp_path: Path, head: str, says: str) -> None:
    """One fault, at the trip's line: its rods say nothing more."""
    done = read(tmp_path, f"notes 2026\n{head}\n1 plain, in 18:30, out 6:15, blank\n")
    assert done.rows_imported == 0
    assert [one.row for one in done.problems] == [2], done.problems
    assert says in done.problems[0].says


@pytest.mark.parametrize("fish", ["22.4 lb", "carp 20"])
def test_a_weight_of_two_meanings_leaves_the_fish(tmp_path: Path, fish: str) -> None:
    """The fish counts; its weight is left empty, kept as written, and named by its line."""
    done = read(tmp_path, f"trip 12 Apr 2026\n1 plain, in 18:30, out 6:15, fish {fish}\n")
    assert done.complete
    assert [(one.row, one.column) for one in done.unread] == [(2, "weight")]
    assert rows(tmp_path, "catches", "weight") == [(None,)]


def test_a_day_without_its_year(tmp_path: Path) -> None:
    """The head says it; without that it is asked for. A day in January follows one in December."""
    line = "1 plain, in 31 Dec 18:30, out 2 Jan 6:15, blank\n"
    done = read(tmp_path, f"trip 31 Dec\n{line}")
    assert "with its year" in done.problems[0].says
    assert read(tmp_path, f"notes 2025\ntrip 31 Dec\n{line}").complete
    assert rows(tmp_path, "stints", "cast_in", "cast_out") == [
        ("2025-12-31T18:30", "2026-01-02T06:15")
    ]


def test_a_night_in_which_the_clocks_go_back(tmp_path: Path) -> None:
    """01:30 came twice in London on 25 October 2026: asked about, and taken with its offset."""
    head = "trip 24 Oct 2026, 20:00\n"
    done = read(tmp_path, f"{head}1 plain, in 20:00, out 1:30, blank\n")
    assert "+01:00" in done.problems[0].says
    assert read(tmp_path, f"{head}1 plain, in 20:00, out 1:30+00:00, blank\n").complete
    assert rows(tmp_path, "stints", "hours") == [(6.5,)]


def test_a_time_with_the_day_of_its_week(tmp_path: Path) -> None:
    """10 April 2026 was a Friday: Sunday is two days on; a first cast on a Monday is a slip."""
    line = "trip 10 Apr 2026\n1 plain, in {}, out Sun 10:00, blank\n"
    assert "own day" in read(tmp_path, line.format("Mon 18:30")).problems[0].says
    assert read(tmp_path, line.format("18:30")).complete
    assert rows(tmp_path, "stints", "cast_out", "hours") == [("2026-04-12T10:00", 39.5)]


def test_commas_that_were_forgotten(tmp_path: Path) -> None:
    """Before a word and its figure they are meant; elsewhere a text stays whole."""
    assert read(
        tmp_path,
        "Trip 12 Apr 2026\n"
        "Rod 1 plain in 18:30 out 6:15 fish 2\n"
        "Rod 2 – pellet-20 hours 11.5 lost 1 blank\n"
        "3: in season, in 18:30, out 6:15, spot far bank blank\n",
    ).complete
    assert rows(tmp_path, "stints", "rod", "variant", "hours", "fish", "lost", "spot") == [
        ("1", "plain", 11.75, 2, None, None),
        ("2", "pellet-20", 11.5, 0, 1, None),
        ("3", "in season", 11.75, 0, None, "far bank"),
    ]


def test_a_table_about_trips_is_no_note() -> None:
    """A first column called trip makes a table; a trip's line and a rod's make notes."""
    assert not is_notes("trip,date,hours,fish,notes\n1,2026-04-11,12,0,in the reeds\n")
    assert not is_notes("Trip number,bait,hours\n1,plain,12\n")
    assert is_notes("trip 11 Apr\n1 plain, in 18:30\n")
    assert not is_notes("session,variant,hours,fish\nA,plain,5,0\n")


@settings(max_examples=60)
@given(st.text(alphabet=' ,"“”’—-:=#a1?', max_size=8) | st.sampled_from(TEXTS))
def test_a_quoted_text_is_read_to_the_letter(text: str) -> None:
    """Any text without a line's end comes back, whatever stands behind it in the line."""
    line = f"1 {grammar.quoted(text, always=True)}, in 18:30"
    first, *rest = grammar.split(line)
    assert grammar.value(grammar.first_text(first)[1]) == text
    assert rest == ["in 18:30"]


PIECES = ["trip", "notes 2026", "1", "rod", "bait", "plain", "in", "out", "at", "fish", "lost", "²",
          "blank", "not fished", "planned", "hours", "18:30", "6.15", "1:30+99:99", "2026-02-30",
          "12 Apr", "12 Apr 99999", "99999999999999999999", "x:", "fish:", "till", "note", "?", ",",
          "\n", '"', "“", "”", "22lb 4oz", "24:00", "47:59", "2199-12-31 23:59", "date:", "rod:",
          "session:", "start: 1", "end: x", "#", "-", ".", "angler",
          "Ann", "\x1b", "part"]  # fmt: skip


@settings(max_examples=50)
@given(st.lists(st.sampled_from(PIECES), max_size=25), st.booleans())
def test_any_text_is_read_or_refused_in_words(pieces: list[str], listed: bool) -> None:
    """No text of these words, however it is put together, ends in anything but an answer."""
    text = "notes 2026\ntrip 12 Apr\n1 a, in 18:30, out 6:15, " + ("fish ?" if listed else "blank")
    text += "\n" + " ".join(pieces)
    with suppress(UnusableFile):
        tables, _ = read_notes("notes.txt", text)
        log = read_log(tables)
        check_log(log, ZoneInfo("Europe/London"))


def odd_log(rng: random.Random) -> dict[str, list[dict[str, str]]]:
    """Trips with odd names, nights, several stints a rod, fish with and without particulars."""
    log: dict[str, list[dict[str, str]]] = {"stints": [], "sessions": [], "catches": []}
    for number in range(rng.randrange(1, 5)):
        label = rng.choice(TEXTS) + f" {number}" if rng.random() < 0.5 else f"2026-05-0{number + 1}"
        day = datetime(2026, 5, 1, rng.randrange(24), rng.randrange(60))
        day += timedelta(days=20 * number)
        log["sessions"].append(
            {
                "session": label,
                "date": rng.choice([day.date().isoformat(), ""]),
                "venue": rng.choice(TEXTS),
                "notes": rng.choice(TEXTS),
                "water_temp_c": rng.choice(["", "-0.5", "11.25"]),
                "wind_dir": rng.choice(["", "SSW"]),
                "own column": rng.choice(["", *TEXTS]),
            }
        )
        listed = rng.random() < 0.6
        for rod in ("1", "2", "left bank"):
            at = day + timedelta(minutes=rng.randrange(200))
            for bait in rng.sample(TEXTS, rng.randrange(1, 3)):
                out = at + timedelta(minutes=rng.randrange(1, 4000))
                fish = rng.choice([0, 0, 1, 3])
                timed = rng.random() < 0.7
                log["stints"].append(
                    {
                        "session": label,
                        "rod": rod,
                        "variant": bait,
                        "cast_in": at.isoformat()[:16] if timed else "",
                        "cast_out": out.isoformat()[:16] if timed else "",
                        "hours": "" if timed else repr(rng.uniform(0.01, 60)),
                        "fish": str(fish),
                        "lost": rng.choice(["", "0", "2"]),
                        "spot": rng.choice(TEXTS),
                        "planned": rng.choice([bait, *TEXTS, ""]),
                        "moon": rng.choice(["", "full", "½"]),
                    }
                )
                for _ in range(fish if listed else 0):
                    caught = at + (out - at) * rng.random()
                    log["catches"].append(
                        {
                            "session": label,
                            "rod": rod,
                            "variant": bait,
                            "species": rng.choice(["", "carp", "mirror carp", *TEXTS]),
                            "weight": rng.choice(["", "22lb 4oz", f"{rng.uniform(1, 30)} kg"]),
                            "time": caught.isoformat()[:16] if timed and rng.random() < 0.8 else "",
                        }
                    )
                at = out + timedelta(minutes=rng.randrange(1, 3000))
        for row in log["sessions"][-1:]:
            row["fish_listed"] = "" if listed else "no"
    return log


def check_round_trip(folder: Path, log: dict[str, list[dict[str, str]]]) -> None:
    """A log, its notes, and the log that these give: the same rows in every table."""
    made, again = folder / "made.sqlite", folder / "again.sqlite"
    first = import_paths(write_log(folder / "log", log), made, zone="Europe/London")
    assert first.complete, first.problems
    with open_logbook(made) as book:
        export_logbook(book, folder / "log.txt")
    text = (folder / "log.txt").read_text(encoding="utf-8")
    second = import_paths([folder / "log.txt"], again, zone="Europe/London")
    assert second.complete, second.problems
    with open_logbook(made) as book, open_logbook(again) as copy:
        assert copy.counts() == book.counts()
        for table in ("stints", "sessions", "catches"):
            found, wanted = (
                sorted(
                    (
                        [v for k, v in dict(row).items() if not k.endswith("id")]
                        for row in getattr(one, table)()
                    ),
                    key=str,
                )
                for one in (copy, book)
            )
            assert found == wanted, text


def test_what_is_exported_as_notes_is_the_same_log(tmp_path: Path) -> None:
    """Two random logs with every odd name: stints, sessions and catches come back to the digit."""
    for seed in range(2):
        (tmp_path / str(seed)).mkdir()
        check_round_trip(tmp_path / str(seed), odd_log(random.Random(seed)))


@pytest.mark.full
def test_many_exports_as_notes_are_the_same_log(tmp_path: Path) -> None:
    """The same for 300 random logs."""
    for seed in range(300):
        (tmp_path / str(seed)).mkdir()
        check_round_trip(tmp_path / str(seed), odd_log(random.Random(1000 + seed)))


def test_what_notes_cannot_hold_is_said(tmp_path: Path) -> None:
    """Recipes and columns of one's own in catches are named."""
    log = season(3)
    for row in log["catches"]:
        row["leader"] = "long"
    path = tmp_path / "logbook.sqlite"
    assert import_paths(write_log(tmp_path / "log", log), path).complete
    with open_logbook(path) as book:
        done = export_logbook(book, tmp_path / "log.txt")
    assert done.no_place == ("the recipes", "the column leader of catches")


def test_the_readme_has_the_whole_grammar(tmp_path: Path) -> None:
    """Every word stands in its tables with what it holds, in no other way; its example imports."""
    text = README.read_text(encoding="utf-8").partition("### Notes")[2].partition("\n### ")[0]
    found = dict(re.findall(r"^\| `([^`]+)` \| (.+) \|$", text, re.MULTILINE))
    wanted = {
        f"{word.says} {word.example}".strip(): word.holds
        for word in (*grammar.OF_TRIP, *grammar.OF_ROD)
    }
    assert found == wanted
    example = text.split("```\n")[1]
    assert read(tmp_path, example).complete
    assert rows(tmp_path, "stints", "rod", "variant", "fish", "lost") == [
        ("1", "pellet-20", 2, None),
        ("1", "plain", 2, 1),
        ("2", "pellet-20", 0, None),
    ]
