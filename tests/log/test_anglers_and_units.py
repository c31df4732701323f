"""Whose log it is, the unit its weights are shown in, and hints on cells that were read."""

from __future__ import annotations

from pathlib import Path

from trip_logs import write_text

from rodhours.log.importing import import_paths
from rodhours.log.logbook import open_logbook
from rodhours.log.weight_unit import WEIGHT_UNIT, unit_to_show


def weights(folder: Path, session: str, *cells: str) -> list[Path]:
    """A log of one session with these weights."""
    rows = "".join(f"{session},1,{cell}\n" for cell in cells)
    return [
        write_text(folder / "stints.csv", f"session,variant,rod,hours\n{session},plain,1,5\n"),
        write_text(folder / "catches.csv", f"session,rod,weight\n{rows}"),
    ]


def test_the_logs_own_weight_unit(tmp_path: Path) -> None:
    """What most weights were written in is remembered; asking for the other shows the other."""
    book = tmp_path / "logbook.sqlite"
    for session, cells, expected in (
        ("A", ("10.1 kg", "8 kg", "12lb 4oz"), "kg"),
        ("B", ("22lb 4oz", "12lb"), "kg"),
        ("C", ("8lb", "12lb", "13lb", "9lb", "8oz", "7lb 2oz"), "lb"),
    ):
        assert import_paths(weights(tmp_path, session, *cells), book).complete
        with open_logbook(book) as held:
            assert held.setting(WEIGHT_UNIT) == unit_to_show(held) == expected
            assert unit_to_show(held, "kg") == "kg"


def test_a_log_without_weights_is_shown_in_pounds(tmp_path: Path) -> None:
    """Nothing is remembered then, and the trade's own unit is shown."""
    log = write_text(tmp_path / "log.csv", "session,variant,hours,fish\n1,plain,5,0\n")
    import_paths([log], tmp_path / "logbook.sqlite")
    with open_logbook(tmp_path / "logbook.sqlite") as held:
        assert held.setting(WEIGHT_UNIT) is None
        assert unit_to_show(held) == "lb"


def test_pounds_written_out_in_kilograms_stay_pounds(tmp_path: Path) -> None:
    """22 lb 4 oz to the last decimal of a kilogram (22.25 x 0.45359237) was weighed in pounds."""
    import_paths(weights(tmp_path, "A", "10.0924302325 kg"), tmp_path / "logbook.sqlite")
    with open_logbook(tmp_path / "logbook.sqlite") as held:
        assert held.setting(WEIGHT_UNIT) == "lb"


def test_a_weight_kept_to_the_milligram_is_the_same_weight(tmp_path: Path) -> None:
    """Older logbooks rounded 10.0924302325 kg to 10.09243: the same file changes nothing there."""
    book = tmp_path / "logbook.sqlite"
    import_paths(weights(tmp_path, "A", "10.09243 kg"), book)
    again = import_paths(weights(tmp_path, "A", "22lb 4oz"), book)
    assert again.rows_already_there == again.rows_read
    other = import_paths(weights(tmp_path, "A", "22lb 5oz"), book)
    assert other.sessions == {"conflict": 1}


def test_each_reading_of_hours_is_shown(tmp_path: Path) -> None:
    """Hours in words are taken and said again as decimals; decimal hours need no word."""
    text = "session,variant,hours,fish\nA,plain,36h,0\nB,plain,1d 12h,0\nC,plain,5.5,0\n"
    result = import_paths([write_text(tmp_path / "log.csv", text)], tmp_path / "logbook.sqlite")
    assert result.complete
    (hint,) = result.hints
    assert "36h as 36 h, 1d 12h as 36 h" in hint
    assert "5.5" not in hint


def test_errors_of_formulas_are_named(tmp_path: Path) -> None:
    """In a column of the format they refuse the row, in one of the angler's own they are empty."""
    text = "session,variant,hours,fish,my average\nA,plain,5,#N/A,1\nB,plain,5,0,#DIV/0!\n"
    result = import_paths([write_text(tmp_path / "log.csv", text)], tmp_path / "logbook.sqlite")
    (problem,) = result.problems
    assert (problem.row, problem.column, problem.found) == (2, "fish", "#N/A")
    assert "error of a formula" in problem.says
    (hint,) = result.hints
    assert "my average" in hint
    assert "#DIV/0!" in hint
    with open_logbook(tmp_path / "logbook.sqlite") as held:
        assert [row[-1] for row in held.stints()] == [None]
