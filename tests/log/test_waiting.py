"""Trips that wait: kept with their cells, said by every answer, gone when imported or dropped."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import rodhours
from rodhours.errors import UsageError
from rodhours.log.importing import import_paths
from rodhours.log.logbook import open_logbook
from rodhours.log.waiting import WaitingTrip

HEADER = "session,date,rod,variant,hours,fish"
GOOD = [
    f"t{n},2025-04-{n:02},{rod},{bait},{n}.5,0"
    for n in range(1, 6)
    for rod, bait in ((1, "plain"), (2, "other"))
]
OUTCOMES = ("landed", "lost", "landed")
BAD = ["t9,2025-04-20,1,plain,soon,2", "t9,2025-04-20,2,other,6,1"]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "logbook.sqlite"


def put(path: Path, *rows: str, name: str = "log.csv", **options: object) -> None:
    log = path.with_name(name)
    log.write_text("\n".join([HEADER, *rows]) + "\n")
    import_paths([log], path, **options)  # type: ignore[arg-type]


def waiting(path: Path) -> list[WaitingTrip]:
    with open_logbook(path) as book:
        return book.waiting()


def note_of(path: Path) -> rodhours.Note | None:
    notes = rodhours.question(path).compare("other", "plain").notes
    return next((note for note in notes if note.code == "trips_waiting"), None)


def test_a_refused_trip_waits_whole_with_its_cells(path: Path) -> None:
    """Both rows, the fish of both, the cells word for word, and the reason of each."""
    put(path, *GOOD, *BAD)
    (trip,) = waiting(path)
    assert (trip.session, trip.kind, trip.fish) == ("t9", "held back", 3)
    assert [json.loads(row.cells) for row in trip.rows] == [row.split(",") for row in BAD]
    assert [row.row for row in trip.rows] == [12, 13]
    assert "hours" in trip.rows[0].reason


def test_lost_fish_of_a_trip_that_waits_were_not_landed(path: Path) -> None:
    """Two of three catches of a trip without fish in its stints."""
    stints = ["session,date,rod,variant,hours", "t9,2025-04-20,1,plain,soon"]
    path.with_name("stints.csv").write_text("\n".join(stints) + "\n")
    catches = ["session,variant,rod,outcome", *(f"t9,plain,1,{one}" for one in OUTCOMES)]
    path.with_name("catches.csv").write_text("\n".join(catches) + "\n")
    import_paths([path.with_name(f"{one}.csv") for one in ("stints", "catches")], path)
    (trip,) = waiting(path)
    assert (len(trip.rows), trip.fish) == (4, 2)


def test_every_answer_says_what_waits(path: Path) -> None:
    """Serious with fish, or above 5 % of trips; then without a word once it is imported."""
    put(path, *GOOD, *BAD)
    note = note_of(path)
    assert note is not None
    assert (note.severity, note.numbers["absent"], note.numbers["fish"]) == ("serious", 1, 3)
    asked = rodhours.question(path)
    for result in (asked.summary(), asked.check()):
        assert "trips_waiting" in {one.code for one in result.notes}
    put(path, *GOOD, BAD[0].replace("soon", "6"), BAD[1])
    assert waiting(path) == []
    assert note_of(path) is None


def test_few_trips_without_a_fish_are_a_caution(path: Path) -> None:
    """One of 41 is under 5 %, one of 6 is not."""
    blank = "t99,2025-06-20,1,plain,soon,0"
    put(path, *GOOD, blank)
    assert note_of(path).severity == "serious"  # type: ignore[union-attr]
    many = [f"m{n},2025-05-{n % 28 + 1:02},1,plain,{n}.5,0" for n in range(40)]
    put(path, *many, name="more.csv")
    assert note_of(path).severity == "caution"  # type: ignore[union-attr]


def test_the_same_refusals_again_change_nothing(path: Path) -> None:
    """The same file again leaves the logbook as it is, byte for byte; a new reason replaces."""
    put(path, *GOOD, *BAD)
    held = path.read_bytes()
    put(path, *GOOD, *BAD)
    assert path.read_bytes() == held
    put(path, *GOOD, BAD[0].replace("soon", "later"), BAD[1])
    (trip,) = waiting(path)
    assert [json.loads(row.cells)[4] for row in trip.rows] == ["later", "6"]


def test_an_undo_takes_what_waits_with_it_and_brings_it_back(path: Path) -> None:
    """Undo the mending import and the rows wait again, the refusing one and nothing waits."""
    put(path, *GOOD, *BAD)
    put(path, *GOOD, BAD[0].replace("soon", "6"), BAD[1])
    with open_logbook(path) as book:
        assert book.undo().rows_waiting == 2  # type: ignore[union-attr]
        assert [trip.session for trip in book.waiting()] == ["t9"]
        assert book.undo().rows_waiting == -2  # type: ignore[union-attr]
        assert book.waiting() == []


def test_a_trip_is_dropped_with_a_reason_and_undone(path: Path) -> None:
    put(path, *GOOD, *BAD)
    with open_logbook(path) as book:
        with pytest.raises(UsageError, match="No trip 't8' waits"):
            book.drop_waiting("t8", None, "x")
        book.drop_waiting("t9", None, "a test cast")
        assert book.waiting() == []
        assert book.changes()[-1].details["because"] == "a test cast"
        book.undo()
        assert len(book.waiting()) == 1
    put(path, *GOOD, *BAD)
    assert len(waiting(path)) == 1


def test_a_row_whose_trip_cannot_be_read_waits_by_its_address(path: Path) -> None:
    """It leaves when that row of that file is mended, and not with another file's rows."""
    put(path, *GOOD, ",2025-04-20,1,plain,6,2")
    assert "row 12 of" in waiting(path)[-1].session
    put(path, *GOOD, "t9,2025-04-20,1,plain,6,2", name="other.csv")
    assert "row 12 of" in waiting(path)[-1].session
    put(path, *GOOD, "t8,2025-04-21,1,plain,6,2")
    assert waiting(path)
    put(path, *GOOD, "t7,2025-04-20,1,plain,6,2", as_new=True)
    assert waiting(path) == []


def test_an_import_of_refusals_alone_keeps_them(path: Path) -> None:
    """A logbook is begun for them, and answers say that nothing is there to ask of."""
    put(path, *BAD)
    assert len(waiting(path)) == 1
    with pytest.raises(UsageError, match="no stints yet"):
        rodhours.question(path)


def test_probable_doubles_wait_as_what_they_are(path: Path) -> None:
    """Left as they are they are no serious matter: their twins count; taken, they are gone."""
    put(path, *GOOD)
    again = [row.replace("t", "x", 1) for row in GOOD]
    put(path, *again, name="copy.csv")
    note = note_of(path)
    assert note is not None
    assert (note.severity, note.numbers["trips"], note.numbers["absent"]) == ("information", 5, 0)
    put(path, *again, name="copy.csv", as_new=True)
    assert waiting(path) == []


def test_a_friends_trip_in_conflict_waits_until_it_has_a_name(path: Path) -> None:
    """Importing one's own file again does not take it off; the friend's with --angler does."""
    put(path, *GOOD)
    friend = ["t1,2025-04-01,1,plain,9,2"]
    put(path, *friend, name="friend.csv")
    put(path, *GOOD)
    assert [trip.kind for trip in waiting(path)] == ["conflict"]
    put(path, *friend, name="friend.csv", angler="Ann")
    assert waiting(path) == []


def test_the_command_lists_drops_and_names_itself(command, tmp_path: Path) -> None:
    """After an import with refusals the next step named is `rodhours waiting`."""
    (tmp_path / "log.csv").write_text("\n".join([HEADER, *GOOD, *BAD]) + "\n")
    done = command("import", "log.csv")
    assert (done.code, "Next: rodhours waiting" in done.out) == (3, True)
    listed = command("waiting", "--cells").out
    assert "t9, held back" in listed
    assert "t9 | 2025-04-20 | 1 | plain | soon | 2" in listed
    (trip,) = json.loads(command("waiting", "--json").out)["trips"]
    assert (trip["session"], trip["fish"], len(trip["rows"])) == ("t9", 3, 2)
    assert "1 trip waits outside this answer, with 3 fish" in command("compare").out
    assert command("waiting", "--drop", "t9").code == 2
    assert "Nothing waits" in command("waiting", "--drop", "t9", "--because", "none").out
    assert "because: none" in command("history").out
