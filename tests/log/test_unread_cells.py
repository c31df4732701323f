"""Only what the answer needs holds a trip back: other cells are left empty and kept as written."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

import rodhours
from rodhours.log.export import export_logbook
from rodhours.log.importing import ImportResult, import_paths
from rodhours.log.logbook import open_logbook

STINTS = [
    "session,date,venue,swim,water_temp_c,wind_dir,pellet_pct,rod,variant,hours,fish,depth_m,notes",
    "t1,2025-04-01,Mere,A,cold,round,ten,1,plain,5,0,ten feet,windy",
    "t1,2025-04-01,Mere,B,cold,round,ten,2,other,5,1,2,calm",
    "t2,2025-04-02,Mere,A,9,N,,1,plain,6,0,3,",
    "t2,2025-04-02,Mere,A,9,N,,2,other,6,1,#REF!,",
]
CATCHES = ["session,rod,weight", "t1,2,22.4 lb", "t2,2,10 lb"]


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "logbook.sqlite"


def put(path: Path) -> ImportResult:
    files = []
    for name, rows in (("stints", STINTS), ("catches", CATCHES)):
        files.append(path.with_name(f"{name}.csv"))
        files[-1].write_text("\n".join(rows) + "\n")
    return import_paths(files, path, zone="UTC")


def test_no_such_cell_holds_a_trip_back(path: Path) -> None:
    """Both trips are in; every cell is named with its address, and empty in the numbers."""
    result = put(path)
    assert (result.complete, result.sessions) == (True, {"new": 2})
    named = {(one.column, one.found) for one in result.unread}
    assert named == {
        ("water_temp_c", "cold"),
        ("wind_dir", "round"),
        ("pellet_pct", "ten"),
        ("depth_m", "ten feet"),
        ("depth_m", "#REF!"),
        ("weight", "22.4 lb"),
    }
    stints = rodhours.question(path).stints
    assert stints["depth_m"].isna().tolist() == [True, False, False, True]
    assert stints["water_temp_c"].isna().tolist() == [True, True, False, False]
    assert not any("unread" in name for name in stints)


def test_they_are_kept_word_for_word_and_exported_as_they_were(path: Path) -> None:
    """The export has each text in its own column, and imports to the same log."""
    put(path)
    with open_logbook(path) as book:
        cells = {(label, column, text) for label, column, text in book.unread_cells()}
        export_logbook(book, path.with_name("out"))
        digest = book.content_sha256()
    assert ("t1", "weight", "22.4 lb") in cells
    assert ("t2", "depth_m", "#REF!") in cells
    again = path.with_name("again.sqlite")
    import_paths([path.with_name("out")], again, zone="UTC")
    with open_logbook(again) as copy:
        assert copy.content_sha256() == digest
    with (path.with_name("out") / "stints.csv").open(newline="", encoding="utf-8-sig") as file:
        rows = list(csv.DictReader(file))
    assert [row["depth_m"] for row in rows] == ["ten feet", "2", "3", "#REF!"]
    assert [row["water_temp_c"] for row in rows] == ["cold", "cold", "", ""]
    with (path.with_name("out") / "catches.csv").open(newline="", encoding="utf-8-sig") as file:
        assert next(csv.DictReader(file))["weight"] == "22.4 lb"


def test_a_mended_cell_fills_in(path: Path) -> None:
    """Without --replace, where nothing else differs; another change is a conflict as ever."""
    put(path)
    mended = [row.replace("cold", "8").replace("ten feet", "3") for row in STINTS]
    stints = path.with_name("stints.csv")
    catches = path.with_name("catches.csv")
    catches.write_text("session,rod,weight\nt1,2,22lb 4oz\nt2,2,10 lb\n")
    stints.write_text("\n".join(mended) + "\n")
    result = import_paths([stints, catches], path, zone="UTC")
    assert result.sessions == {"replaced": 1, "already there": 1}
    frame = rodhours.question(path).stints
    assert frame["depth_m"].tolist()[:2] == [3, 2]
    assert frame["water_temp_c"].tolist()[:2] == [8, 8]
    stints.write_text("\n".join(mended).replace("plain,5,0,3", "plain,6,0,3") + "\n")
    assert import_paths([stints, catches], path, zone="UTC").sessions["conflict"] == 1
    stints.write_text("\n".join(mended).replace("#REF!", "2").replace("6,1,", "6,0,") + "\n")
    assert "replaced" not in import_paths([stints, catches], path, zone="UTC").sessions


def test_what_differs_from_rod_to_rod_is_kept_by_stint(path: Path) -> None:
    """Swim and notes of trip 1 differ, those of trip 2 agree: each stint has its own."""
    put(path)
    stints = rodhours.question(path).stints
    assert stints["swim"].tolist() == ["A", "B", "A", "A"]
    assert stints["notes"].tolist()[:2] == ["windy", "calm"]
    with open_logbook(path) as book:
        assert [row["swim"] for row in book.sessions()] == [None, "A"]


def test_an_answer_that_uses_such_a_column_says_what_is_missing(path: Path) -> None:
    """One of two fish without a readable weight: the sizes say that it is missing."""
    put(path)
    codes = {note.code: note for note in rodhours.question(path).sizes().notes}
    assert codes["fish_not_weighed"].numbers["unweighed"] == 1


def test_the_import_and_the_list_say_them(command, path: Path) -> None:
    """Counted by column at import, and each shown by `waiting --cells`; the exit code is 0."""
    put(path)
    path.unlink()
    done = command("import", "stints.csv", "catches.csv")
    assert done.code == 0
    assert "2 cells of depth_m left empty in the numbers" in done.out
    assert "t1, weight: 22.4 lb" in command("waiting", "--cells").out
