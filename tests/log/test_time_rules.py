"""Times between rows: one rod in one stint at a time, stints within their session."""

from __future__ import annotations

from datetime import datetime, timedelta
from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from trip_logs import write_text

from rodhours.log.importing import ImportResult, import_paths

DAY = datetime(2025, 4, 12)
HEADER = "session,angler,rod,variant,cast_in,cast_out,fish\n"


def tried(folder: Path, text: str, zone: str = "UTC") -> ImportResult:
    """One flat log, read without being written."""
    log = write_text(folder / "log.csv", text)
    return import_paths([log], folder / "logbook.sqlite", zone=zone, dry_run=True)


def stint(session: str, rod: str, began: int, ended: int, angler: str = "") -> str:
    """A row; times are hours after midnight of 12 April."""
    times = [(DAY + timedelta(hours=hour)).isoformat(timespec="minutes") for hour in (began, ended)]
    return f"{session},{angler},{rod},plain,{times[0]},{times[1]},0\n"


def test_one_rod_is_in_one_stint_at_a_time(tmp_path: Path) -> None:
    """The later row is named with the stint that had the rod; one that follows on is fine."""
    rows = stint("A", "1", 18, 22) + stint("A", "1", 21, 30) + stint("A", "2", 18, 30)
    (problem,) = tried(tmp_path, HEADER + rows).problems
    assert (problem.row, problem.column) == (3, "cast_in")
    assert "row 2 of" in problem.says
    assert "2025-04-12T18:00 to 2025-04-12T22:00" in problem.says
    followed = stint("A", "1", 18, 22) + stint("A", "1", 22, 30) + stint("A", "2", 18, 30)
    assert not tried(tmp_path, HEADER + followed).problems


def test_one_rod_of_one_angler_across_sessions(tmp_path: Path) -> None:
    """Two sessions at once are both named; with another angler, or without a rod, all is well."""
    both = stint("A", "1", 18, 30) + stint("B", "1", 20, 28)
    found = tried(tmp_path, HEADER + both).problems
    assert [problem.row for problem in found] == [2, 3]
    assert all("name them in the column angler" in problem.says for problem in found)
    two = stint("A", "1", 18, 30, "Ann") + stint("B", "1", 20, 28, "Bob")
    assert not tried(tmp_path, HEADER + two).problems
    unnamed = stint("A", "", 18, 30) + stint("B", "", 20, 28)
    assert not tried(tmp_path, HEADER + unnamed).problems


@settings(max_examples=25)
@given(
    st.lists(
        st.tuples(
            st.sampled_from("AB"), st.sampled_from("12"), st.integers(0, 40), st.integers(1, 12)
        ),
        min_size=2,
        max_size=5,
        unique_by=lambda row: row[1:3],
    )
)
def test_overlaps_are_found_as_every_pair_of_rows_says(tmp_path_factory, rows) -> None:
    """Each stint that begins while its rod is in is named, and none that shares no moment."""
    stints = [(session, rod, began, began + lasts) for session, rod, began, lasts in rows]
    numbered = sorted(
        (rod, began, ended, row) for row, (_, rod, began, ended) in enumerate(stints, 2)
    )
    clashes = [
        (one[3], other[3])
        for one, other in combinations(numbered, 2)
        if one[0] == other[0] and other[1] < one[2]
    ]
    text = HEADER + "".join(stint(*one) for one in stints)
    named = {problem.row for problem in tried(tmp_path_factory.getbasetemp(), text).problems}
    assert {later for _, later in clashes} <= named <= {row for pair in clashes for row in pair}


@pytest.mark.parametrize(
    ("start", "end", "columns"),
    [
        ("2025-04-12T17:00", "2025-04-13T09:00", []),
        ("2025-04-12T18:00", "2025-04-13T08:00", []),
        ("2025-04-12T18:30", "", ["cast_in"]),
        ("", "2025-04-13T07:00", ["cast_out"]),
        ("2025-04-12T19:00", "2025-04-13T07:00", ["cast_in", "cast_out"]),
        # The same moments with their offsets: Berlin was two hours ahead of UTC.
        ("2025-04-12T20:00+02:00", "2025-04-13T10:00+02:00", []),
        ("2025-04-12T20:01+02:00", "", ["cast_in"]),
    ],
)
def test_a_stint_lies_within_its_session(
    tmp_path: Path, start: str, end: str, columns: list[str]
) -> None:
    """Where the session says when it began or ended."""
    text = (
        "session,start,end,rod,variant,cast_in,cast_out,fish\n"
        f"A,{start},{end},1,plain,2025-04-12T18:00,2025-04-13T08:00,0\n"
    )
    assert [problem.column for problem in tried(tmp_path, text).problems] == columns


@pytest.mark.parametrize(
    ("date", "agrees"),
    [
        ("2025-04-10", False),
        ("2025-04-11", True),
        ("2025-04-12", True),
        ("2025-04-13", True),
        ("2025-04-14", False),
        ("2025-05-12", False),
    ],
)
def test_a_date_agrees_with_the_casts(tmp_path: Path, date: str, agrees: bool) -> None:
    """The days fished, or the evening before; with an untimed stint nothing can be said."""
    text = (
        "session,date,rod,variant,hours,cast_in,cast_out,fish\n"
        f"A,{date},1,plain,,2025-04-12T01:00,2025-04-13T08:00,0\n"
    )
    assert [p.column for p in tried(tmp_path, text).problems] == ([] if agrees else ["date"])
    untimed = f"A,{date},2,plain,5,,,0\n"
    assert not tried(tmp_path, text + untimed).problems


def test_a_session_cannot_begin_at_a_time_that_never_was(tmp_path: Path) -> None:
    """British clocks went from 01:00 to 02:00 on 30 March 2025 (gov.uk); 01:30 twice is no harm."""
    text = "session,start,end,rod,variant,hours,fish\nA,{},{},1,plain,5,0\n"
    never = text.format("2025-03-30T01:30", "2025-03-30T09:00")
    (problem,) = tried(tmp_path, never, "Europe/London").problems
    assert problem.column == "start"
    twice = text.format("2025-10-26T01:30", "2025-10-26T09:00")
    assert not tried(tmp_path, twice, "Europe/London").problems


def test_hours_beside_times_must_agree(tmp_path: Path) -> None:
    """Real hours: over the night that had 25 of them, 24 written down are wrong."""
    text = "session,rod,variant,hours,cast_in,cast_out,fish\n"
    row = "A,1,plain,{},2025-10-25T12:00,2025-10-26T12:00,0\n"
    assert not tried(tmp_path, text + row.format("25"), "Europe/London").problems
    (problem,) = tried(tmp_path, text + row.format("24"), "Europe/London").problems
    assert (problem.column, "25 h apart" in problem.says) == ("hours", True)
