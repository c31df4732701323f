"""The history of a logbook: whatever is taken back, what stands is what the other changes say."""

from __future__ import annotations

import hashlib
import random
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from trip_logs import season, write_flat, write_log

from rodhours.errors import UsageError
from rodhours.log.importing import import_paths
from rodhours.log.logbook import open_logbook


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
        assert undone.sessions_removed == 3
        with pytest.raises(UsageError, match="taken back already"):
            book.undo(1)
        with pytest.raises(UsageError, match="from 1 to 2"):
            book.undo(7)
    assert state(path) == state(other)


def test_a_file_that_brings_nothing_says_its_sessions_too(tmp_path: Path) -> None:
    """Another file of the same trips keeps them when the first is taken back; the same does not."""
    path = tmp_path / "logbook.sqlite"
    first = part(tmp_path, "a.csv", range(4))
    assert import_paths([first], path).rows_imported == 12
    assert not import_paths([first], path).noted
    again = import_paths([part(tmp_path, "friend.csv", range(2))], path)
    assert (again.rows_imported, again.noted) == (0, True)
    with open_logbook(path) as book:
        assert [change.rows for change in book.changes()] == [12, 0]
        undone = book.undo(1)
        assert undone is not None
        assert undone.sessions_removed == 2
        assert {row["session"] for row in book.sessions()} == {"trip 1", "trip 2"}
        assert len(book.variants()) == 3


def test_a_dry_run_changes_nothing(tmp_path: Path) -> None:
    """What would be done is told, and the file keeps its content."""
    path = tmp_path / "logbook.sqlite"
    import_paths([part(tmp_path, "a.csv", range(3))], path)
    before = state(path)
    with open_logbook(path, dry_run=True) as book:
        undone = book.undo()
        assert undone is not None
        assert undone.sessions_removed == 3
        assert book.rename_variant("plain", "Plain").stints == 3
        assert len(book.changes()) == 1
    assert state(path) == before


@dataclass
class Made:
    """One change of a random history, and what it says."""

    sessions: dict[str, list[dict[str, str]]] = field(default_factory=dict)
    recipes: dict[str, dict[str, str]] = field(default_factory=dict)
    labels: dict[str, str] = field(default_factory=dict)
    codes: bool = False
    marks: dict[str, str | None] = field(default_factory=dict)
    batches: dict[str, bool] = field(default_factory=dict)
    stands: bool = True


SPELT = ("plain", "Plain", "plain bait", "kade")
"""Labels of one bait; the last is a code on a bag."""
KEY = {"KADE": "plain", "MOKU": "pellet-20"}
SEASON = season(6)


class Story:
    """A random history of a logbook, and what must hold by the rule alone.

    The rule: of a session its last version, of a recipe its last cells, of a label its last name,
    of a mark and a batch whether they are there: each as the last change says that stands.
    """

    def __init__(self, folder: Path, seed: int) -> None:
        folder.mkdir()
        self.folder, self.path = folder, folder / "logbook.sqlite"
        self.draw = random.Random(seed)
        self.made: list[Made] = []

    def standing(self) -> list[Made]:
        return [made for made in self.made if made.stands]

    def of(self, label: str) -> str:
        for made in self.standing():
            label = made.labels.get(label.upper() if made.codes else label, label)
        return label

    def relabelled(self, rows: list[dict[str, str]]) -> list[dict[str, str]]:
        return [row | {"variant": self.of(row["variant"])} for row in rows]

    def sessions(self) -> dict[str, list[dict[str, str]]]:
        held: dict[str, list[dict[str, str]]] = {}
        for made in self.standing():
            held |= made.sessions
        return {label: self.relabelled(rows) for label, rows in held.items()}

    def recipes(self) -> dict[str, dict[str, str]]:
        held: dict[str, dict[str, str]] = {}
        for made in self.standing():
            for label, cells in made.recipes.items():
                held[self.of(label)] = held.get(self.of(label), {}) | cells
        return held

    def left_out(self) -> list[tuple[str, str]]:
        marks: dict[str, str | None] = {}
        for made in self.standing():
            marks |= made.marks
        held = self.sessions()
        return sorted((s, why) for s, why in marks.items() if why is not None and s in held)

    def batches(self) -> set[str]:
        codes: dict[str, bool] = {}
        for made in self.standing():
            codes |= {code: codes.get(code, True) and is_in for code, is_in in made.batches.items()}
        return {code for code, is_in in codes.items() if is_in}

    def tell(self, steps: int) -> None:
        """Make so many changes."""
        self.bring()
        while len(self.made) < steps:
            self.draw.choice([self.bring, self.bring, self.rename, self.mark, self.other])()

    def bring(self) -> None:
        start, spelt = self.draw.randrange(5), self.draw.choice(SPELT)
        wanted = {f"trip {n + 1}" for n in range(start, start + self.draw.randint(1, 3))}
        moon, replace = self.draw.choice(["old", "new"]), self.draw.random() < 0.7
        columns = self.draw.choice([("pellet_pct", "boil_s"), ("pellet_pct",)])
        rows = [row | {"moon": moon} for row in SEASON["stints"] if row["session"] in wanted]
        cells = {
            row["variant"]: {name: row[name] for name in columns} for row in SEASON["variants"]
        }
        for row in rows:
            row["variant"] = spelt if row["variant"] == "plain" else row["variant"]
        cells[spelt] = cells["plain"]
        held, recipes = self.sessions(), self.recipes()
        made = Made()
        for label in sorted({row["session"] for row in rows}):
            own = [row for row in rows if row["session"] == label]
            if replace or held.get(label, self.relabelled(own)) == self.relabelled(own):
                made.sessions[label] = own
                for bait in {row["variant"] for row in own}:
                    known = recipes.get(self.of(bait), cells[bait])
                    if replace or cells[bait].items() <= known.items():
                        made.recipes[bait] = cells[bait]
        carried = [{"variant": label, **recipe} for label, recipe in cells.items()]
        log = {**SEASON, "stints": rows, "variants": carried}
        file = write_flat(self.folder / f"{len(self.made)}-{self.draw.random()}.csv", log)
        import_paths([file], self.path, replace=replace)
        with open_logbook(self.path, create=True) as book:
            count = len(book.changes()) if book.is_begun() else 0
        if count > len(self.made):
            self.made.append(made)
        else:
            earlier = [path for path in self.folder.glob("*.csv") if path != file]
            assert not made.sessions or file.read_bytes() in [p.read_bytes() for p in earlier]

    def rename(self) -> None:
        fished = {row["variant"] for rows in self.sessions().values() for row in rows}
        old = self.draw.choice(sorted(fished & set(SPELT)) or [""])
        new = self.draw.choice([label for label in SPELT[:3] if label != old])
        if old:
            with open_logbook(self.path) as book:
                book.rename_variant(old, new)
            self.made.append(Made(labels={old: new}))

    def mark(self) -> None:
        label = self.draw.choice(sorted(self.sessions()) or [""])
        out = label in dict(self.left_out())
        with open_logbook(self.path) as book:
            if out:
                book.take_back(label, None)
            elif label:
                book.leave_out(label, None, "guessed")
        if label:
            self.made.append(Made(marks={label: None if out else "guessed"}))

    def other(self) -> None:
        with open_logbook(self.path) as book:
            if not any(made.codes for made in self.made):
                book.open_key("MANO", KEY, 6)
                self.made.append(Made(labels=KEY, codes=True))
            elif self.batches() and self.draw.random() < 0.5:
                code = self.draw.choice(sorted(self.batches()))
                book.remove_batch(code)
                self.made.append(Made(batches={code: False}))
            else:
                code = book.add_batch({"variant": "pellet-10", "date": "2025-03-20"})
                assert all(code not in made.batches for made in self.made)
                self.made.append(Made(batches={code: True}))

    def check(self) -> None:
        """The logbook is that of files which say no more than what must hold."""
        sessions, recipes = self.sessions(), self.recipes()
        with open_logbook(self.path) as book:
            assert [(mark.session, mark.because) for mark in book.left_out()] == self.left_out()
            assert {batch["batch"] for batch in book.batches()} == self.batches()
            found, count = book.content_sha256(), book.counts().sessions
        assert count == len(sessions)
        if not sessions:
            return
        log = {
            "stints": [row for rows in sessions.values() for row in rows],
            "sessions": [row for row in SEASON["sessions"] if row["session"] in sessions],
            "variants": [{"variant": label, **cells} for label, cells in recipes.items()],
        }
        place = self.folder / f"what holds {self.draw.random()}"
        assert import_paths(write_log(place, log), place / "logbook.sqlite").complete
        with open_logbook(place / "logbook.sqlite") as book:
            assert book.content_sha256() == found

    def untell(self, checks: int) -> int:
        """Take every change back in a random order, checking after some; how many were."""
        order = list(range(len(self.made)))
        self.draw.shuffle(order)
        for place, at in enumerate(order):
            with open_logbook(self.path) as book:
                assert book.undo(at + 1) is not None
            self.made[at].stands = False
            if place < checks:
                self.check()
        self.check()
        return len(order)


def check_stories(folder: Path, seeds: range, steps: int, checks: int) -> int:
    """Random histories, checked as made and while they are taken back; how many undos."""
    undone = 0
    for seed in seeds:
        story = Story(folder / str(seed), seed)
        story.tell(steps)
        story.check()
        undone += story.untell(checks)
    return undone


def test_any_change_is_taken_back_in_any_order(tmp_path: Path) -> None:
    """What holds after each undo is written down by the rule and imported: the same digest."""
    assert check_stories(tmp_path, range(2), steps=7, checks=2) == 14


@pytest.mark.full
def test_any_change_of_many_histories_is_taken_back(tmp_path: Path) -> None:
    """The same over 100 histories of twelve changes, looked at after every undo."""
    undone = check_stories(tmp_path, range(100, 200), steps=12, checks=12)
    print(f"taken back {undone}, none refused")
    assert undone == 1200
