"""The history of a logbook, and taking one change back: what stands is what the others say."""

from __future__ import annotations

import hashlib
import random
from collections.abc import Callable
from pathlib import Path

import pytest
from trip_logs import season, write_flat, write_log

from rodhours.errors import RefusedRows, UsageError
from rodhours.logbook.importing import import_paths
from rodhours.logbook.logbook import Logbook, open_logbook


def state(path: Path) -> tuple[str, list[tuple[str, str]]]:
    """What an answer rests on: the log, and the sessions left out of it."""
    with open_logbook(path) as book:
        return book.content_sha256(), [(one.session, one.because) for one in book.left_out()]


def part(folder: Path, name: str, sessions: range, moon: str | None = None) -> Path:
    """Some sessions of the season as one flat file, with another moon where one is given."""
    log = season(sessions.stop)
    wanted = {f"trip {number + 1}" for number in sessions}
    log["stints"] = [row for row in log["stints"] if row["session"] in wanted]
    if moon is not None:
        for row in log["stints"]:
            row["moon"] = moon
    return write_flat(folder / name, log)


def test_history_lists_imports_with_the_digests_of_their_files(tmp_path: Path) -> None:
    """What, when, in which zone, how much, and SHA-256 as Python's hashlib gives it."""
    first = part(tmp_path, "april.csv", range(3))
    folder = write_log(tmp_path / "log", season(5))
    path = tmp_path / "logbook.sqlite"
    import_paths([first], path, zone="Europe/Berlin")
    import_paths([first], path)
    import_paths([tmp_path / "log"], path, replace=True)
    with open_logbook(path) as book:
        one, two = book.changes()
        assert (one.id, one.kind, one.zone) == (1, "import", "Europe/Berlin")
        assert (one.rows, one.sessions, one.undone_at) == (9, 3, None)
        assert [(read.file, read.sha256) for read in one.files] == [
            (str(first), hashlib.sha256(first.read_bytes()).hexdigest())
        ]
        assert {read.sha256 for read in two.files} == {
            hashlib.sha256(file.read_bytes()).hexdigest() for file in folder
        }
        book.undo()
        assert [change.undone_at is None for change in book.changes()] == [True, False]


def test_an_earlier_change_is_taken_back_alone(tmp_path: Path) -> None:
    """The first import goes, the second stays, as if the first had never been."""
    path, other = tmp_path / "logbook.sqlite", tmp_path / "other.sqlite"
    first, second = part(tmp_path, "a.csv", range(3)), part(tmp_path, "b.csv", range(3, 6))
    import_paths([first], path)
    import_paths([second], path)
    import_paths([second], other)
    with open_logbook(path) as book:
        undone = book.undo(1)
        assert undone is not None
        assert (undone.sessions_removed, undone.variants_kept) == (3, 3)
        with pytest.raises(UsageError, match="taken back already"):
            book.undo(1)
        with pytest.raises(UsageError, match="from 1 to 2"):
            book.undo(7)
    assert state(path) == state(other)


def test_later_changes_are_named_where_they_are_in_the_way(tmp_path: Path) -> None:
    """A session replaced, renamed or left out later: refused with change and session."""
    path = tmp_path / "logbook.sqlite"
    import_paths([part(tmp_path, "a.csv", range(3))], path)
    import_paths([part(tmp_path, "b.csv", range(1), moon="new")], path, replace=True)
    with open_logbook(path) as book:
        book.leave_out("trip 3", None, "guessed")
        before = book.content_sha256()
        with pytest.raises(RefusedRows) as refused:
            book.undo(1)
        assert book.content_sha256() == before
    assert "change 2 (import): trip 1" in str(refused.value)
    assert "change 3 (leave-out): trip 3" in str(refused.value)
    assert "rodhours undo 3, rodhours undo 2" in str(refused.value)


def test_a_dry_run_changes_nothing(tmp_path: Path) -> None:
    """What would be done is told, and the file keeps its content."""
    path = tmp_path / "logbook.sqlite"
    import_paths([part(tmp_path, "a.csv", range(3))], path)
    before = state(path)
    with open_logbook(path) as book:
        undone = book.undo(dry_run=True)
        assert undone is not None
        assert undone.sessions_removed == 3
        assert book.rename_variant("plain", "Plain", dry_run=True).stints == 3
        assert len(book.changes()) == 1
    assert state(path) == before


Step = Callable[[Path], None]


def in_logbook(change: Callable[[Logbook], object]) -> Step:
    def step(path: Path) -> None:
        with open_logbook(path) as book:
            change(book)

    return step


def random_steps(folder: Path, rng: random.Random, count: int) -> list[Step]:
    """Imports of overlapping files, two versions of them, renames, sessions left out."""
    steps: list[Step] = []
    for number in range(count):
        kind = rng.choice(["import", "import", "import", "rename", "leave out"])
        if kind == "import" or not number:
            start = rng.randrange(4)
            moon = rng.choice([None, "old", "new"])
            file = part(folder, f"{number}.csv", range(start, start + rng.randint(1, 3)), moon)
            steps.append(lambda path, file=file: import_paths([file], path, replace=True))
        elif kind == "rename":
            # Within the batch of plain baits alone, so that recipes agree.
            old, new = rng.sample(["plain", "Plain", "plain bait"], 2)
            steps.append(in_logbook(lambda book, o=old, n=new: book.rename_variant(o, n)))
        else:
            label = f"trip {rng.randint(1, 6)}"
            steps.append(in_logbook(lambda book, s=label: book.leave_out(s, None, "guessed")))
    return steps


def check_taking_back(folder: Path, seeds: range) -> tuple[int, int]:
    """Take each change of random histories back: refused, or as if it had never been made."""
    taken = refused = 0
    for seed in seeds:
        place = folder / str(seed)
        place.mkdir()
        rng = random.Random(seed)
        made: list[Step] = []
        path = place / "whole.sqlite"
        for step in random_steps(place, rng, 5):
            held = len(made)
            try:
                step(path)
            except UsageError:
                continue
            with open_logbook(path) as book:
                held = len(book.changes())
            if held > len(made):
                made.append(step)
        for number in range(1, len(made) + 1):
            copy = place / f"without {number}.sqlite"
            copy.write_bytes(path.read_bytes())
            with open_logbook(copy) as book:
                try:
                    book.undo(number)
                except RefusedRows:
                    refused += 1
                    continue
            taken += 1
            never = place / f"never {number}.sqlite"
            for step in made[: number - 1] + made[number:]:
                step(never)
            if never.exists():
                assert state(copy) == state(never), f"seed {seed}, change {number}"
            else:
                assert len(made) == 1
    return taken, refused


def test_without_a_change_the_log_is_what_the_others_make(tmp_path: Path) -> None:
    """Random histories: after undo N, digest and marks are those of a logbook without change N."""
    taken, refused = check_taking_back(tmp_path, range(3))
    assert taken > 3
    assert refused > 1


@pytest.mark.full
def test_without_a_change_in_many_histories(tmp_path: Path) -> None:
    """The same over 300 random histories."""
    taken, refused = check_taking_back(tmp_path, range(100, 400))
    print(f"taken back {taken}, refused {refused}")
    assert taken > 300
    assert refused > 150
