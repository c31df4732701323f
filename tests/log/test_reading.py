"""Single cells: what is refused, where, and with which remedy."""

from __future__ import annotations

from pathlib import Path

import pytest
from trip_logs import write_text

from rodhours.errors import UnusableFile
from rodhours.log.importing import ImportResult, import_paths

GOOD = {
    "session": "A",
    "variant": "plain",
    "hours": "5.5",
    "fish": "0",
    "rod": "1",
    "depth_m": "2",
    "date": "2025-04-12",
    "wind_dir": "SW",
    "wind_force": "3",
    "latitude": "52.1",
    "pellet_pct": "10",
}


def import_flat(folder: Path, **cells: str) -> ImportResult:
    """A flat file of one good session and one with these cells."""
    names = list(dict.fromkeys([*GOOD, *cells]))
    rows = [GOOD, GOOD | {"session": "B", "variant": "other"} | cells]
    text = "\n".join(",".join(row.get(name, "") for name in names) for row in rows)
    path = write_text(folder / "log.csv", ",".join(names) + "\n" + text)
    return import_paths([path], folder / "logbook.sqlite", zone="Europe/London")


@pytest.mark.parametrize(
    ("column", "found", "remedy"),
    [
        ("fish", "", "a blank is written 0"),
        ("fish", "none", "such as 0"),
        ("fish", "-1", "from 0 to 1000"),
        ("fish", "1.5", "whole number"),
        ("hours", "0", "above 0"),
        ("hours", "-2", "above 0"),
        ("hours", "10 till 4", "36:30"),
        ("hours", "", "cast_in and cast_out"),
        ("session", "", "filled"),
        ("variant", " ", "filled"),
        ("lost", "two", "whole number"),
        ("depth_m", "-1", "0 or more"),
        ("date", "12/04/2025", "2025-04-12"),
        ("wind_dir", "southerly", "compass point"),
        ("wind_force", "13", "from 0 to 12"),
        ("latitude", "91", "from -90 to 90"),
        ("longitude", "181", "from -180 to 180"),
        ("pellet_pct", "120", "from 0 to 100"),
        ("boil_s", "-5", "0 or more"),
        ("cast_in", "12.4.2025 18:30", "2025-04-12T18:30"),
    ],
)
def test_a_bad_cell_is_named_with_its_address_and_remedy(
    tmp_path: Path, column: str, found: str, remedy: str
) -> None:
    """File, row, column, what was found and what would be right; the good session is taken.

    What no answer needs is left empty, and its session taken too.
    """
    result = import_flat(tmp_path, **{column: found})
    needed = column in {"session", "variant", "hours", "fish", "date", "cast_in"}
    (problem,) = result.problems if needed else result.unread
    assert problem.file == str(tmp_path / "log.csv")
    assert (problem.sheet, problem.row, problem.column) == (None, 3, column)
    assert problem.found == (found.strip() or None)
    assert remedy in problem.says
    assert (result.rows_read, result.rows_imported, result.rows_rejected) == (
        (2, 1, 1) if needed else (2, 2, 0)
    )


@pytest.mark.parametrize(
    "cells",
    [
        {"cast_in": "2025-04-12T18:00", "cast_out": "2025-04-13T06:00", "hours": "11"},
        {"cast_in": "2025-04-12T18:00", "cast_out": "2025-04-12T12:00", "hours": ""},
        {"cast_in": "2025-04-12T18:00", "hours": ""},
        {"start": "2025-04-13T18:00", "end": "2025-04-13T06:00", "date": "2025-04-13"},
        {"start": "2025-04-15T18:00"},
    ],
)
def test_cells_of_one_row_must_agree(tmp_path: Path, cells: dict[str, str]) -> None:
    """Hours with their times, times with each other, the date with the start."""
    result = import_flat(tmp_path, **cells)
    assert [problem.row for problem in result.problems] == [3]
    assert result.rows_rejected == 1


def test_hours_may_be_rounded_to_a_tenth(tmp_path: Path) -> None:
    """12 h 3 min written as 12.0 or 12.1 agrees with its times."""
    for hours in ("12.0", "12.1", ""):
        cells = {"cast_in": "2025-04-12T18:00", "cast_out": "2025-04-13T06:03", "hours": hours}
        assert import_flat(tmp_path, **cells).rows_rejected == 0
        (tmp_path / "logbook.sqlite").unlink()


@pytest.mark.parametrize("missing", ["session", "variant", "hours", "fish"])
def test_a_needed_column_that_is_missing(tmp_path: Path, missing: str) -> None:
    """Without a needed column no row can be taken: the file is unusable, and the column named."""
    names = [name for name in GOOD if name != missing]
    path = write_text(
        tmp_path / "log.csv", ",".join(names) + "\n" + ",".join(GOOD[name] for name in names)
    )
    with pytest.raises(UnusableFile, match=missing):
        import_paths([path], tmp_path / "logbook.sqlite")
    assert list(tmp_path.iterdir()) == [path]


def test_a_near_miss_of_another_column_is_kept_and_pointed_out(tmp_path: Path) -> None:
    """An unknown column is kept as it is; one that looks like a known one gets a hint."""
    result = import_flat(tmp_path, watertemp_c="9", moon="full")
    assert result.rows_imported == 2
    assert any("water_temp_c" in hint for hint in result.hints)
    assert not any("moon" in hint for hint in result.hints)


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("sessions.csv", "session,date\nA,2025-04-12", "no table of stints"),
        ("log.csv", "session,variant,hours,fish", "no stint"),
    ],
)
def test_a_file_without_stints_is_unusable(tmp_path: Path, name: str, text: str, says: str) -> None:
    """Sessions alone, or names of columns alone, are no log; nothing is written."""
    path = write_text(tmp_path / name, text)
    with pytest.raises(UnusableFile, match=says):
        import_paths([path], tmp_path / "logbook.sqlite")
    assert list(tmp_path.iterdir()) == [path]


def test_a_row_with_a_missing_comma_is_refused_not_shifted(tmp_path: Path) -> None:
    """A short row would put its cells under other names: it is refused and says so."""
    path = write_text(
        tmp_path / "log.csv", "session,variant,hours,fish,lost\nA,plain,50,1,2\nB,plain,51,2"
    )
    result = import_paths([path], tmp_path / "logbook.sqlite")
    (problem,) = result.problems
    assert problem.row == 3
    assert "comma" in problem.says
    assert result.rows_imported == 1
