"""Rules between rows: sessions, what must agree, twins, fish and their stints, labels."""

from __future__ import annotations

from pathlib import Path

import pytest
from trip_logs import season, write_flat, write_log, write_text

from rodhours.errors import UnusableFile
from rodhours.log.frames import stint_frame
from rodhours.log.importing import ImportResult, import_paths
from rodhours.log.logbook import open_logbook


def import_texts(folder: Path, **tables: str) -> ImportResult:
    """Tables written down in the test, imported together."""
    paths = [write_text(folder / f"{name}.csv", text) for name, text in tables.items()]
    return import_paths(paths, folder / "logbook.sqlite", zone="UTC")


def held_sessions(folder: Path) -> set[tuple[str | None, str]]:
    with open_logbook(folder / "logbook.sqlite") as book:
        return {(row[2], row[1]) for row in book.sessions()}


COUNTED = "session,rod,variant,hours,fish\nA,1,plain,5,1\nA,2,plain,6,2\nB,1,plain,5,0"
OF_FISH = "session,rod,variant,outcome\n"
LOG_IN_A_FILE = "session,variant,hours,fish\nA,plain,5,0"
# Totals that agree are not enough: rod 1 had one fish and rod 2 had two.
CATCHES = [
    ("A,1,,landed\nA,2,,landed\nA,2,,", []),
    ("A,1,plain,landed\nA,2,,landed\nA,2,,\nA,1,,lost", []),
    ("A,1,,landed\nA,2,,landed\nA,2,,lost", [(3, "fish")]),
    ("A,1,,landed\nA,1,,landed\nA,2,,landed", [(2, "fish"), (3, "fish")]),
    ("A,1,,landed\nA,2,,landed\nA,2,,\nA,3,,", [(5, "rod")]),
    ("A,1,,landed\nA,2,,landed\nA,2,,\nA,1,other,", [(5, "rod")]),
]
CASES: list[tuple[dict[str, str], list[tuple[int, str | None]], list[str]]] = [
    *(
        (
            {"stints": COUNTED, "catches": OF_FISH + fish},
            problems,
            ["B"] if problems else ["A", "B"],
        )
        for fish, problems in CATCHES
    ),
    # Rows of a variant that differ are both refused, as nobody can say which is right.
    (
        {
            "stints": "session,variant,hours,fish\nA,plain,5,0",
            "variants": "variant,boil_s\nplain,90\nplain,120\nother,60\nother,60",
        },
        [(2, "variant"), (3, "variant"), (5, "variant")],
        ["A"],
    ),
    # In a flat file the row that differs from the others is refused, with its session.
    (
        {"log": "session,variant,pellet_pct,hours,fish\nA,mix,10,5,0\nB,mix,12,5,1\nC,mix,10,5,0"},
        [(3, "pellet_pct")],
        ["A", "C"],
    ),
    # A second row of one session.
    (
        {
            "stints": "session,variant,hours,fish\nA,plain,5,0\nB,plain,5,0\nC,plain,5,0",
            "sessions": "session,date\nA,2025-04-12\nA,2025-05-12\nB,2025-04-13\nB,2025-04-13",
        },
        [(3, "session"), (5, "session")],
        ["C"],
    ),
    # The same rod twice is refused unless told apart; rows without a rod may repeat.
    (
        {
            "stints": """session,rod,variant,hours,fish,cast
            A,1,plain,5,0,
            A,1,plain,5,0,
            B,,plain,5,0,
            B,,plain,5,0,
            C,1,plain,5,0,first
            C,1,plain,5,0,second"""
        },
        [(3, "rod")],
        ["B", "C"],
    ),
    # The same rows in two files of one import.
    ({"one": LOG_IN_A_FILE, "two": LOG_IN_A_FILE}, [(2, None)], []),
    # A session is known by angler and label together.
    (
        {
            "stints": "session,angler,variant,hours,fish\n1,Ann,plain,5,0\n1,Bob,plain,6,1",
            "sessions": "session,angler,date\n1,Ann,2025-04-12\n1,Bob,2025-05-01",
        },
        [],
        ["1 of Ann", "1 of Bob"],
    ),
    # Where a label has one angler in the log, tables without that column follow.
    (
        {
            "stints": "session,variant,hours,rod\n1,plain,5,1\n2,plain,5,1",
            "sessions": "session,angler,date\n1,Ann,2025-04-12\n2,Bob,2025-05-01",
            "catches": "session,rod\n1,1",
        },
        [],
        ["1 of Ann", "2 of Bob"],
    ),
    # A fish of session 1 without its angler, where two used that label, holds back both.
    (
        {
            "stints": "session,angler,variant,hours,rod\n1,Ann,plain,5,1\n1,Bob,plain,6,1\n"
            "2,Bob,plain,6,1",
            "catches": "session,angler,rod\n1,,1",
        },
        [(2, "angler")],
        ["2 of Bob"],
    ),
    # A fish whose weight or rod cannot be read was caught: the count beside it is not wrong.
    (
        {
            "stints": "session,rod,variant,hours,fish\nA,1,plain,5,1\nB,1,plain,5,2\nC,1,plain,5,1",
            "catches": "session,rod,weight\nA,1,heavy\nB,1,20lb\nC,2,20lb",
        },
        [(3, "fish"), (4, "rod")],
        ["A"],
    ),
    # Without a variant or a time that tells which stint had a fish, nothing is guessed.
    (
        {
            "stints": "session,rod,variant,hours\nA,1,plain,5\nA,1,other,6\n"
            "B,1,plain,5\nB,1,plain,6",
            "catches": "session,rod\nA,1\nB,1",
        },
        [(2, "variant"), (3, "time")],
        [],
    ),
]


@pytest.mark.parametrize(("tables", "problems", "held"), CASES)
def test_what_must_agree_between_rows(
    tmp_path: Path,
    tables: dict[str, str],
    problems: list[tuple[int, str | None]],
    held: list[str],
) -> None:
    """Each row at fault is named once, its session waits whole, and the others are taken."""
    result = import_texts(tmp_path, **tables)
    assert [(one.row, one.column) for one in result.problems] == problems
    assert result.complete is (not problems)
    if result.rows_imported:
        found = held_sessions(tmp_path)
        assert sorted(f"{label} of {who}" if who else label for who, label in found) == held
    else:
        assert held == []
    advice = [one for one in result.problems if "choose which columns" in one.says]
    assert [one.row for one in advice] == ([3] if (5, "session") in problems else [])


def test_a_flat_file_moves_columns_to_their_tables(tmp_path: Path) -> None:
    """A flat file and the same log as tables give the same logbook, and are already there."""
    log = season(5)
    log["catches"] = []
    flat = write_flat(tmp_path / "season 2025.csv", log)
    result = import_paths([flat], tmp_path / "flat.sqlite")
    assert (result.rows_read, result.rows_imported) == (15, 15)
    tables = write_log(tmp_path / "tables", log)
    import_paths(tables, tmp_path / "tables.sqlite")
    with open_logbook(tmp_path / "flat.sqlite") as a, open_logbook(tmp_path / "tables.sqlite") as b:
        assert a.content_sha256() == b.content_sha256()
    again = import_paths(tables, tmp_path / "flat.sqlite")
    assert again.rows_already_there == again.rows_read == 15 + 5 + 3


def test_a_session_must_agree_wherever_it_repeats(tmp_path: Path) -> None:
    """The same key with another water is refused, with the advice that helps."""
    log = season(2)
    log["catches"] = []
    flat = [row | log["sessions"][0 if row["session"] == "trip 1" else 1] for row in log["stints"]]
    flat[1] = flat[1] | {"venue": "Third Water"}
    log["stints"], log["sessions"] = flat, []
    result = import_paths(write_log(tmp_path, log), tmp_path / "logbook.sqlite")
    (problem,) = result.problems
    assert (problem.row, problem.column, problem.found) == (3, "venue", "Third Water")
    assert "choose which columns make a session" in problem.says
    assert held_sessions(tmp_path) == {(None, "trip 2")}


def test_empty_cells_are_not_recorded_and_contradict_nothing(tmp_path: Path) -> None:
    """The date may stand on the first row of a session alone."""
    result = import_texts(
        tmp_path,
        log="session,date,variant,hours,fish\nA,2025-04-12,plain,5,0\nA,,other,5,1\nB,,plain,5,0",
    )
    assert result.complete
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        frame = stint_frame(book)
    dates = set(zip(frame["session"], frame["date"].astype("string").fillna(""), strict=True))
    assert dates == {("A", "2025-04-12"), ("B", "")}


def test_fish_come_from_catches_where_stints_has_none(tmp_path: Path) -> None:
    """By session and rod, by variant where one rod fished several, by time where one repeats."""
    result = import_texts(
        tmp_path,
        stints="""session,rod,variant,cast_in,cast_out
        A,1,plain,2025-04-12T18:00,2025-04-12T22:00
        A,1,plain,2025-04-13T06:00,2025-04-13T10:00
        A,2,plain,2025-04-12T18:00,2025-04-12T22:00
        A,2,other,2025-04-12T22:00,2025-04-13T10:00
        B,1,plain,2025-05-12T18:00,2025-05-12T22:00""",
        catches="""session,rod,variant,time,outcome
        A,1,,2025-04-13T07:15,
        A,1,,2025-04-13T07:30,landed
        A,2,other,,
        A,2,plain,,lost""",
    )
    assert result.complete
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        frame = stint_frame(book)
        assert book.counts().fish == 3
    fish = {
        (row.session, row.rod, row.variant, row.cast_in[8:13]): row.fish
        for row in frame.itertuples()
    }
    assert fish == {
        ("A", "1", "plain", "12T18"): 0,
        ("A", "1", "plain", "13T06"): 2,
        ("A", "2", "plain", "12T18"): 0,
        ("A", "2", "other", "12T22"): 1,
        ("B", "1", "plain", "12T18"): 0,
    }


def test_labels_that_look_alike_are_pointed_out_never_merged(tmp_path: Path) -> None:
    """Pellet 20, pellet-20 and PELLET20 are probably one; 1.5 and 15 are not."""
    result = import_texts(
        tmp_path,
        stints="""session,variant,hours,fish
        A,Pellet 20,5,0
        A,pellet-20,5,0
        A,mix 1.5,5,0
        A,mix 15,5,0""",
    )
    assert result.complete
    (hint,) = result.hints
    assert "Pellet 20" in hint
    assert "pellet-20" in hint
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        assert book.counts().variants == 4


def test_labels_that_look_like_held_ones_are_pointed_out(tmp_path: Path) -> None:
    """The same slip is seen against what the logbook already holds."""
    import_texts(tmp_path, one="session,variant,hours,fish\nA,pellet-20,5,0")
    result = import_texts(tmp_path, two="session,variant,hours,fish\nB,Pellet-20,5,0")
    assert any("pellet-20" in hint and "Pellet-20" in hint for hint in result.hints)


def test_an_unusable_file_stops_the_import_of_all(tmp_path: Path) -> None:
    """With several files, one that is no table means that nothing is taken of any."""
    good = write_text(tmp_path / "good.csv", "session,variant,hours,fish\nA,plain,5,0")
    bad = tmp_path / "bad.csv"
    bad.write_bytes(b"\x00")
    with pytest.raises(UnusableFile, match=r"bad\.csv"):
        import_paths([good, bad], tmp_path / "logbook.sqlite")
    assert sorted(tmp_path.iterdir()) == [bad, good]
