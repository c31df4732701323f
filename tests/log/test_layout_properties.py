"""Layouts of any table and of any angler: proposals for whatever stands in a spreadsheet, and a
good log in any columns and forms that is the plain log again.

The writer of the forms is here, in plain arithmetic and strings, and knows nothing of the
reader's code. The log has quarter hours, so that every form says them exactly.
"""

from __future__ import annotations

import calendar
import csv
import tempfile
from collections.abc import Iterable
from datetime import date, timedelta
from json import dumps as quoted
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from rodhours.errors import RodhoursError
from rodhours.log.importing import import_paths
from rodhours.log.layout.proposal_text import proposal_text
from rodhours.log.layout.propose import proposals_for
from rodhours.log.layout.toml import parse_layout
from rodhours.log.logbook import open_logbook
from rodhours.report.layout_text import layout_text

ANY_NAMES = (
    """
Date|Day|Water|Lake|Rod|Bait|Hookbait|Hrs|Time in|Time out|Landed|Takes|Fish|Lost|Weight (lb)
Temp °F|Trip|Moon|session|fish|Rod 1 bait|Rod 1 fish|Rod 2 bait|Rod 2 fish|hours|variant
a"b\\c|[x]|#
""".strip()
    .replace("\n", "|")
    .split("|")
)
ANY_CELLS = (
    """
| |0|1|2.5|2,5|36:30|1d 12h|5h|12/04/2025|4/12/25|31/2/25|2025-04-12|12 April|plain|Plain
20% pellet|22lb 4oz|22.4|-|1 + 1 lost|18:30|6pm|#REF!|nan|=A1|"|# x|Total|Alder Mere|alder mere
45759|1.234|1.234,5
""".strip("\n")
    .replace("\n", "|")
    .split("|")
)


@st.composite
def tables(draw: st.DrawFn) -> list[list[str]]:
    """A header of an angler's names and rows of anything that may stand below."""
    names = st.one_of(st.sampled_from(ANY_NAMES), st.text(st.characters(codec="utf-8"), max_size=6))
    header = draw(st.lists(names, min_size=2, max_size=9, unique=True))
    cells = [
        draw(st.lists(st.sampled_from(ANY_CELLS), min_size=1, max_size=3, unique=True))
        for _ in header
    ]
    count = draw(st.integers(1, 8))
    return [header, *([draw(st.sampled_from(column)) for column in cells] for _ in range(count))]


def write_rows(file: Path, rows: Iterable[Iterable[str]], separator: str = ",") -> Path:
    """A CSV file of these rows."""
    with file.open("w", newline="", encoding="utf-8") as out:
        csv.writer(out, delimiter=separator).writerows(rows)
    return file


def check_proposal(table: list[list[str]]) -> bool:
    """Whether the proposal was complete; all that was done with it is checked here."""
    with tempfile.TemporaryDirectory() as place:
        file, layout = write_rows(Path(place) / "any.csv", table), Path(place) / "any.toml"
        try:
            (proposal,) = proposals_for([file])
        except RodhoursError:
            return False
        text = proposal_text(proposal)
        layout.write_text(text, encoding="utf-8")
        read = parse_layout(text, str(layout))
        for part in ("columns", "units", "dates", "session_from", "baits"):
            assert getattr(read, part) == getattr(proposal.layout, part)
        assert layout_text(proposal, 80)
        try:
            result = import_paths([file], Path(place) / "x.sqlite", layouts=[layout])
        except RodhoursError:
            return False
        assert result.rows_read == (
            result.rows_imported + result.rows_already_there + result.rows_rejected
        )
        assert proposal.complete
        return True


@settings(max_examples=5)
@given(tables())
def test_a_proposal_for_any_table(table: list[list[str]]) -> None:
    """No traceback, a file that says what the proposal says, and rows that add up."""
    check_proposal(table)


@pytest.mark.full
@settings(max_examples=3000)
@given(tables())
def test_a_proposal_for_many_tables(table: list[list[str]]) -> None:
    """The same at full size."""
    check_proposal(table)


Row = dict[str, str]
BAITS = {"plain": ("Plain", "no pellet"), "pellet-20": ("20% pellet", "P20")}
NAMES = {
    "date": ("Date", "Day fished", "when"),
    "venue": ("Water", "Lake", "Name of water"),
    "rod": ("Rod", "rod no."),
    "variant": ("Bait", "Hookbait", "On the hair"),
    "hours": ("Hrs", "Time fished (h)", "How long"),
    "fish": ("Landed", "Caught"),
    "lost": ("Dropped", "Lost"),
    "water_temp_c": ("Temp", "Water temp °C"),
    "depth_m": ("Depth", "How deep"),
}


def plain_log(seed: int, trips: int) -> list[list[Row]]:
    """Rows of trips in the format's own form; a rod or two each, one date and water a trip."""
    log = []
    for trip in range(trips):
        number = seed * 31 + trip * 17
        day = date(2024, 1, 3) + timedelta(days=trip * 9 + seed % 5)
        venue = ("Alder Mere", "Old Brickpit")[number % 2]
        quarters = 8 + number % 150
        log.append(
            [
                {
                    "session": f"{day.isoformat()}, {venue}",
                    "date": day.isoformat(),
                    "venue": venue,
                    "rod": str(rod),
                    "variant": ("plain", "pellet-20")[(number + rod) % 2],
                    "hours": f"{quarters // 4}.{['00', '25', '50', '75'][quarters % 4]}",
                    "fish": str((number + rod) % 5 // 3),
                    "lost": str((number + rod) % 7 // 6),
                    "water_temp_c": f"{5 + number % 15}.{number % 2 * 5}",
                    "depth_m": f"{1 + (number + rod) % 4}.5",
                }
                for rod in (1, 2)[: 1 + number % 2]
            ]
        )
    return log


def as_date(iso: str, form: str) -> str:
    year, month, day = iso.split("-")
    return {
        "iso": iso,
        "slashes": f"{day}/{month}/{year}",
        "dots": f"{int(day)}.{int(month)}.{year[2:]}",
        "words": f"{int(day)} {calendar.month_name[int(month)]} {year}",
    }[form]


def as_hours(decimal: str, form: str, comma: bool) -> str:
    whole, _, part = decimal.partition(".")
    minutes = int(part) * 60 // 100
    if form == "clock":
        return f"{whole}:{minutes:02d}"
    if form == "spelt":
        days, hours = divmod(int(whole), 24)
        return f"{days}d {hours}h {minutes}m" if days else f"{hours}h {minutes}m"
    return decimal.replace(".", ",") if comma else decimal


@st.composite
def anglers(draw: st.DrawFn) -> dict[str, object]:
    """How one angler keeps the log."""
    return {
        "names": {ours: draw(st.sampled_from(theirs)) for ours, theirs in NAMES.items()},
        "order": draw(st.permutations(list(NAMES))),
        "date": draw(st.sampled_from(["iso", "slashes", "dots", "words"])),
        "hours": draw(st.sampled_from(["decimal", "clock", "spelt"])),
        "comma": draw(st.booleans()),
        "bait": draw(st.sampled_from([None, 0, 1])),
        "above": draw(st.booleans()),
        "wide": draw(st.booleans()),
        "title": draw(st.booleans()),
    }


OF_ROD = ("variant", "fish", "lost", "depth_m")


def write(folder: Path, log: list[list[Row]], how: dict) -> tuple[Path, Path]:
    """The log as this angler keeps it, and the layout that says so."""
    names, mark = how["names"], ";" if how["comma"] else ","

    def theirs(row: Row) -> Row:
        cells = dict(row)
        cells["date"] = as_date(row["date"], how["date"])
        cells["hours"] = as_hours(row["hours"], how["hours"], how["comma"])
        for number in ("water_temp_c", "depth_m"):
            cells[number] = row[number].replace(".", ",") if how["comma"] else row[number]
        if how["bait"] is not None:
            cells["variant"] = BAITS[row["variant"]][how["bait"]]
        return cells

    shared = [ours for ours in how["order"] if not how["wide"] or ours not in (*OF_ROD, "rod")]
    header = [names[ours] for ours in shared]
    if how["wide"]:
        header += [f"{names[ours]} R{rod}" for rod in (1, 2) for ours in OF_ROD]
    table = [["My fishing", *[""] * (len(header) - 1)]] if how["title"] else []
    table.append(header)
    for trip in log:
        for number, row in enumerate(map(theirs, trip)):
            line = [
                "" if how["above"] and number and ours in ("date", "venue") else row[ours]
                for ours in shared
            ]
            if not how["wide"]:
                table.append(line)
            elif number == 0:
                rods = [theirs(one) for one in trip]
                for place in (0, 1):
                    line += [rods[place][o] if place < len(rods) else "" for o in OF_ROD]
                table.append(line)
    file = write_rows(folder / "kept.csv", table, mark)
    lines = ["[columns]", *(f"{quoted(names[ours])} = {quoted(ours)}" for ours in shared)]
    if how["wide"]:
        lines += [f"{quoted(names[ours] + ' R{rod}')} = {quoted(ours)}" for ours in OF_ROD]
    lines += ["[session]", f"from = [{quoted(names['date'])}, {quoted(names['venue'])}]"]
    if how["above"]:
        lines += ["[fill_down]", f"columns = [{quoted(names['venue'])}, {quoted(names['date'])}]"]
    lines += ["[units]", f'decimal = "{"," if how["comma"] else "."}"']
    if how["date"] != "iso":
        lines += ["[dates]", 'form = "day-month-year"']
    if how["bait"] is not None:
        lines += ["[values.variant]"]
        lines += [f"{quoted(texts[how['bait']])} = {quoted(o)}" for o, texts in BAITS.items()]
    layout = folder / "kept.toml"
    layout.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return file, layout


def digest(logbook: Path) -> str:
    with open_logbook(logbook) as book:
        return book.content_sha256()


def check_round_trip(how: dict, seed: int, trips: int) -> None:
    """The kept log by its layout, and the plain one as it stands, are one content."""
    log = plain_log(seed, trips)
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        rows = [row for trip in log for row in trip]
        plain = write_rows(folder / "plain.csv", [rows[0], *(row.values() for row in rows)])
        wanted = import_paths([plain], folder / "plain.sqlite")
        file, layout = write(folder, log, how)
        found = import_paths([file], folder / "kept.sqlite", layouts=[layout])
        assert wanted.complete
        assert found.complete, found.problems
        assert found.rows_read == sum(map(len, log))
        assert digest(folder / "kept.sqlite") == digest(folder / "plain.sqlite")


@settings(max_examples=4)
@given(anglers(), st.integers(0, 200), st.integers(1, 5))
def test_any_anglers_columns_and_forms_are_the_plain_log_again(
    how: dict, seed: int, trips: int
) -> None:
    """Renamed columns, forms of dates, hours and numbers, labels, gaps, titles, rods in columns."""
    check_round_trip(how, seed, trips)


@pytest.mark.full
@settings(max_examples=500)
@given(anglers(), st.integers(0, 2000), st.integers(1, 20))
def test_many_anglers_columns_and_forms_are_the_plain_log_again(
    how: dict, seed: int, trips: int
) -> None:
    """The same at full size."""
    check_round_trip(how, seed, trips)
