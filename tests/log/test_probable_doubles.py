"""A trip is counted once, whatever label, file or angler it comes under again."""

from __future__ import annotations

from pathlib import Path

import pytest
from trip_logs import refused

import rodhours
from rodhours.errors import UnusableFile
from rodhours.log.importing import import_paths
from rodhours.log.logbook import open_logbook

EXAMPLE = Path(__file__).parents[2] / "example_data"
OWN = [EXAMPLE / "own_spreadsheet.csv"]
LAYOUT = [EXAMPLE / "own_spreadsheet.layout.toml"]


def trips(logbook: Path) -> int:
    with open_logbook(logbook) as book:
        return book.counts().sessions


@pytest.fixture
def logbook(tmp_path: Path) -> Path:
    path = tmp_path / "logbook.sqlite"
    assert import_paths([EXAMPLE / "season.xlsx"], path).complete
    return path


def write(folder: Path, name: str, *rows: str) -> Path:
    path = folder / name
    path.write_text("\n".join(rows) + "\n")
    return path


def test_the_season_from_another_of_its_files_counts_once(logbook: Path) -> None:
    """45 trips stay 45, each named beside its twin with both files, and the log stays."""
    with open_logbook(logbook) as book:
        before = book.content_sha256()
    result = import_paths(OWN, logbook, layouts=LAYOUT)
    assert result.sessions == {"probable double": 45}
    assert len(result.problems) == 45
    assert all("season.xlsx" in problem.says for problem in result.problems)
    assert result.problems[0].file.endswith("own_spreadsheet.csv")
    assert "is a probable double of session T01" in result.problems[0].says
    assert trips(logbook) == 45
    with open_logbook(logbook) as book:
        assert book.content_sha256() == before


@pytest.mark.parametrize("angler", ["Ida", None])
def test_the_same_season_with_and_without_an_angler_counts_once(
    tmp_path: Path, angler: str | None
) -> None:
    """Be the bytes the same (undo first) or others (probable doubles)."""
    path, other = tmp_path / "logbook.sqlite", {"Ida": None, None: "Ida"}[angler]
    assert import_paths([EXAMPLE / "season.xlsx"], path, angler=angler).complete
    with pytest.raises(UnusableFile, match="rodhours undo 1"):
        import_paths([EXAMPLE / "season.xlsx"], path, angler=other)
    result = import_paths(OWN, path, layouts=LAYOUT, angler=other)
    assert result.sessions == {"probable double": 45}
    assert trips(path) == 45


def test_two_trips_that_are_alike_are_taken_and_known_from_then_on(logbook: Path) -> None:
    """`as_new` takes them; no answer calls them doubles. Without it, in a log that has them, one
    does."""
    assert import_paths(OWN, logbook, layouts=LAYOUT, as_new=True).complete
    assert trips(logbook) == 90
    asked = rodhours.question(logbook)
    assert "doubles" not in {note.code for note in asked.notes}
    with open_logbook(logbook) as book, book.transaction() as run:
        run.execute("UPDATE changes SET details = '{}'")
    (note,) = [one for one in rodhours.question(logbook).notes if one.code == "doubles"]
    assert (note.severity, len(note.numbers["pairs"])) == ("serious", 45)


def test_a_corrected_layout_needs_the_import_undone_first(tmp_path: Path) -> None:
    """Another session label or date form for the same bytes: refused, and taken after the undo."""
    log = write(
        tmp_path,
        "own.csv",
        "When,Trip,Bait,Hours,Fish",
        *(f"0{day}/04/2025,t{day},plain,{day}.5,0" for day in range(1, 9)),
    )
    columns = (
        "[columns]\nWhen = 'date'\nBait = 'variant'\nHours = 'hours'\nFish = 'fish'\n"
        "[session]\nfrom = {}\n[dates]\nform = '{}'\n"
    )
    first = write(tmp_path, "a.toml", columns.format("['When']", "month-day-year"))
    second = write(tmp_path, "b.toml", columns.format("['When']", "day-month-year"))
    third = write(tmp_path, "c.toml", columns.format("['Trip']", "month-day-year"))
    path = tmp_path / "logbook.sqlite"
    assert import_paths([log], path, layouts=[first]).complete
    for corrected in (second, third):
        with pytest.raises(UnusableFile, match="rodhours undo 1, then import again"):
            import_paths([log], path, layouts=[corrected])
    assert trips(path) == 8
    # Other bytes with the corrected layout: the whole log is like the one before.
    log.write_text(log.read_text() + "09/04/2025,t9,plain,30,1\n")
    result = import_paths([log], path, layouts=[second])
    assert result.sessions == {"probable double": 7, "already there": 1, "new": 1}  # 04/04
    with open_logbook(path) as book:
        book.undo()
        book.undo()
    assert import_paths([log], path, layouts=[second]).complete
    assert trips(path) == 9


def test_a_name_answers_for_a_double_that_waits(tmp_path: Path) -> None:
    """A friend's trip waits beside its twin without a name; named, both count and stay two."""
    path, row = tmp_path / "logbook.sqlite", "a,2025-04-12,plain,5,1"
    header = "session,date,variant,hours,fish"
    import_paths([write(tmp_path, "mine.csv", header, row)], path)
    friends = write(tmp_path, "friend.csv", header, row.replace("a", "b", 1))
    assert not import_paths([friends], path).complete
    assert import_paths([friends], path, angler="Ann").complete
    assert (trips(path), refused(path)) == (2, [])
    assert "doubles" not in {note.code for note in rodhours.question(path).summary().notes}


def test_one_import_holds_back_what_it_says_twice(tmp_path: Path) -> None:
    """The later of two trips of a day, alike but in label, waits; one of other hours does not."""
    log = write(
        tmp_path,
        "log.csv",
        "session,date,variant,hours,fish",
        "a,2025-04-12,plain,5,1",
        "b,2025-04-12,plain,5,1",
        "c,2025-04-12,plain,6,1",
        "d,2025-04-13,plain,5,1",
    )
    result = import_paths([log], tmp_path / "logbook.sqlite")
    assert [problem.row for problem in result.problems] == [3]
    assert trips(tmp_path / "logbook.sqlite") == 3


def test_the_casts_tell_the_day_of_a_trip_without_a_date(tmp_path: Path) -> None:
    """Five hours from ten in the morning on the day that another trip has as its date."""
    log = write(
        tmp_path,
        "log.csv",
        "session,date,variant,hours,fish,cast_in,cast_out",
        "a,2025-04-12,plain,5,1,,",
        "b,,plain,,1,2025-04-12T10:00,2025-04-12T15:00",
        "c,,plain,,1,2025-04-13T10:00,2025-04-13T15:00",
    )
    result = import_paths([log], tmp_path / "logbook.sqlite", zone="UTC")
    assert [problem.row for problem in result.problems] == [3]


def test_two_undated_files_with_one_label_are_not_merged(tmp_path: Path) -> None:
    """Trip 1 of two files is two people's or one person's: nobody says, so neither goes in."""
    files = [
        write(tmp_path, f"{name}.csv", "session,variant,hours,fish", f"1,{name},5,0")
        for name in ("plain", "other")
    ]
    result = import_paths(files, tmp_path / "logbook.sqlite")
    assert result.rows_imported == 0
    assert "--angler NAME" in result.problems[0].says
    for name in ("plain", "other"):
        write(
            tmp_path, f"{name}.csv", "session,date,variant,hours,fish", f"1,2025-04-12,{name},5,0"
        )
    assert import_paths(files, tmp_path / "logbook.sqlite").complete


def test_an_angler_on_the_first_row_of_a_trip_splits_no_trip(tmp_path: Path) -> None:
    """Refused row by row, and no part of the trip goes in, nor another person's of that label."""
    log = write(
        tmp_path,
        "log.csv",
        "session,angler,variant,hours,fish",
        "1,Ann,plain,5,0",
        "1,,other,5,1",
        "2,Bob,plain,5,0",
        "1,Bob,plain,7,0",
    )
    result = import_paths([log], tmp_path / "logbook.sqlite")
    assert [(one.row, one.column) for one in result.problems] == [(3, "angler")]
    assert trips(tmp_path / "logbook.sqlite") == 1


def test_a_friends_conflict_names_the_angler_first(tmp_path: Path) -> None:
    """A friend's trip 1 beside one's own: --angler stands before --replace."""
    path = tmp_path / "logbook.sqlite"
    import_paths([write(tmp_path, "a.csv", "session,variant,hours,fish", "1,plain,5,0")], path)
    friend = write(tmp_path, "b.csv", "session,variant,hours,fish", "1,plain,8,2")
    import_paths([friend], path)
    (row,) = refused(path)
    assert -1 < row.reason.index("--angler NAME") < row.reason.index("--replace")
    assert import_paths([friend], path, angler="Ann").complete
