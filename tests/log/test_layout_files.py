"""Layout files: every wrong entry is named, and what is written is read as the same layout."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rodhours.errors import UnusableFile
from rodhours.log.cells.cell import Dates, Units
from rodhours.log.importing import import_paths
from rodhours.log.layout.contents import one_line
from rodhours.log.layout.layout import Layout
from rodhours.log.layout.toml import (
    layout_text,
    load_layout,
    parse_layout,
    toml_value,
)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('[colums]\nBait = "variant"\n', ["[colums]", '"columns"']),
        ('[columns]\nBait = "varient"\n', ["Bait", '"varient"', 'mean "variant"']),
        ("[columns]\nBait = 3\n", ["Bait", "found 3", '"variant"']),
        ('[columns]\nA = "lost"\nB = "lost"\n', ['"A" is lost already']),
        ('[columns]\nfish = "keep"\n', ["fish", "leave out"]),
        ('columns = "Bait"\n', ["columns", "a section"]),
        ('[units]\nhours = "minutes"\n', ["hours", '"minutes"', '"days"']),
        ('[units]\nweight = "stone"\n', ["weight", '"stone"', '"lb.oz"']),
        ('[units]\ndecimal = ";"\n', ['","']),
        ('[units]\ndepth_m = "fathoms"\n', ["depth_m", '"ft"']),
        ('[units]\nhour = "days"\n', ["hour", 'mean "hours"']),
        ('[dates]\nform = "day first"\n', ["form", '"day-month-year"']),
        ("[dates]\nyear = 3025\n", ["year", "3025", "such as 2025"]),
        ("[dates]\nyear = true\n", ["year", "such as 2025"]),
        ('[dates]\nzone = "Nowhere/Atoll"\n', ["zone", "Nowhere/Atoll", "Europe/Berlin"]),
        ('[dates]\n"form" = 2\n', ["form"]),
        ("[session]\nfrom = [1]\n", ["from", "names of columns"]),
        ('[session]\nfrom = ["Date", "Date"]\n', ["from", "each once"]),
        ('[columns]\nT = "session"\n[session]\nfrom = ["Date"]\n', ['"T" = "session"']),
        ('[session]\ncolumns = ["Date"]\n', ["[session] columns", '"from"']),
        ('[fill_down]\ncolumns = "  "\n', ["fill_down", "names of columns"]),
        ('[columns]\n"fish {rod}" = "fish"\n', ["another name with {rod}", '"variant"']),
        ('[columns]\n"{bait} h" = "hours"\n', ["another name with {bait}", '"fish"']),
        ('[columns]\n"lake {rod}" = "venue"\n', ["lake {rod}", "of its own"]),
        ('[columns]\nF = "fish"\n"b {rod}" = "variant"\n', ["shared out"]),
        ('[columns]\nT = "fish"\n"{bait}" = "fish"\n', ["T", "shared out"]),
        ('[values]\nvariant = "plain"\n', ["variant", "[values.variant]"]),
        ('[values.bait]\na = "b"\n', ["bait", '"variant"']),
        ("[values.variant]\na = [1]\n", ["a", "quotation marks"]),
        ('[values.fish]\n"-" = "none"\n', ["-", '"none"', "whole number"]),
        ('[values.wind_dir]\n"left" = "X"\n', ["left", "compass point"]),
        ('[file]\ntable = "fish"\n', ["table", '"catches"']),
        ("[file]\nskip = 2\n", ["skip", '"sheets"']),
        ("[columns]\nBait : variant\n", ["TOML"]),
        ('[columns]\nA = "fish"\nA = "lost"\n', ["TOML"]),
    ],
)
def test_a_wrong_entry_is_named(text: str, says: list[str]) -> None:
    """The file, the entry, what was found and what would be right; the line where it is known."""
    with pytest.raises(UnusableFile) as error:
        parse_layout(text, "my.layout.toml")
    for part in ("my.layout.toml", *says):
        assert part in str(error.value)
    assert "Traceback" not in str(error.value)


def test_what_is_no_layout_at_all(tmp_path: Path) -> None:
    """A missing file, a folder, bytes that are no text and nested brackets are plain errors."""
    (tmp_path / "bytes.toml").write_bytes(b"\xff\xfe\x00")
    (tmp_path / "deep.toml").write_text("a = " + "[" * 5000)
    for name in ("none.toml", ".", "bytes.toml", "deep.toml"):
        with pytest.raises(UnusableFile):
            load_layout(tmp_path / name)


TRIPS = "Trip,Bait,Stay,Landed\n1,plain,5,0\n"


@pytest.mark.parametrize(
    ("log", "layout", "says"),
    [
        # A column that the file has not, with those that it may be meant for.
        (TRIPS, '[columns]\nBaitt = "variant"\n', ['"Baitt"', "'Bait'", "Trip, Bait, Stay"]),
        (TRIPS, '[session]\nfrom = ["Tripp"]\n', ['"Tripp"', "'Trip'"]),
        (TRIPS, '[fill_down]\ncolumns = ["Watre"]\n', ['"Watre"']),
        (TRIPS, '[columns]\n"rod {rod} bait" = "variant"\n', ['"rod {rod} bait"']),
        # A needed column that the layout leaves out.
        (
            TRIPS,
            '[columns]\nTrip = "session"\nBait = "variant"\nLanded = "fish"\nStay = "keep"\n',
            ["hours", "Trip, Bait, Stay, Landed"],
        ),
        # A column that bears our own name beside another that the layout gives that name.
        (
            "session,variant,hours,fish,Landed\n1,plain,5,0,1\n",
            '[columns]\nLanded = "fish"\n',
            ['"fish" and "Landed"'],
        ),
    ],
)
def test_a_layout_that_does_not_fit_the_file(
    tmp_path: Path, log: str, layout: str, says: list[str]
) -> None:
    """File, layout and column are named, and nothing is imported."""
    (tmp_path / "trips.csv").write_text(log)
    (tmp_path / "my.toml").write_text(layout)
    with pytest.raises(UnusableFile) as error:
        import_paths(
            [tmp_path / "trips.csv"], tmp_path / "x.sqlite", layouts=[tmp_path / "my.toml"]
        )
    for part in ("my.toml", "trips.csv", *says):
        assert part in str(error.value)
    assert not (tmp_path / "x.sqlite").exists()


texts = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)


@settings(max_examples=60)
@given(texts)
def test_any_text_is_written_as_toml(text: str) -> None:
    """Python's own TOML reader gives back any text, as a value, as a key and after a comment."""
    line = f"# {one_line(text)}\n{toml_value(text)} = {toml_value([text, text])}\n"
    assert tomllib.loads(line) == {text: [text, text]}


def test_a_written_layout_is_read_as_itself() -> None:
    """All that a layout can say comes back from its file."""
    layout = Layout(
        columns={'The "lake"': "venue", "Moon\\": "keep", "X": "leave out"}
        | {"rod {rod} bait": "variant", "rod {rod} fish": "fish", "rod {rod} h": "hours"},
        values={"variant": {"20 %": "pellet-20", "": "plain"}, "venue": {"the pit": "Alder Mere"}},
        units=Units("days", "lb.oz", ",", {"depth_m": "ft"}),
        dates=Dates("day-month-year", "Europe/Berlin", "Date", "Date out", 2025),
        session_from=("Date", "Water"),
        fill_down=("Date",),
        baits=("Plain", "20 %"),
        sheets=("May", "June"),
        table="catches",
        name="my.toml",
    )
    assert parse_layout(layout_text(layout), "my.toml") == layout
