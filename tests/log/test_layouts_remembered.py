"""Layouts that a logbook remembers: when, for which files, and when it asks instead."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import openpyxl
import pytest
from layout_logs import read, stints, toml

from rodhours.errors import LayoutNeeded
from rodhours.log.export import export_logbook
from rodhours.log.importing import import_paths
from rodhours.log.layout.layout import Layout
from rodhours.log.layout.proposal_text import proposal_text
from rodhours.log.layout.propose import proposals_for
from rodhours.log.layout.use import header_key, recall, remember
from rodhours.log.logbook import open_logbook
from rodhours.log.table import FileTable

LAYOUT = toml("Trip=session, Bait=variant, Hrs=hours, Caught=fish")
LOG = "Trip,Bait,Hrs,Caught\n1,plain,5,0\n"


def test_a_layout_is_remembered_for_files_of_the_same_columns(tmp_path: Path) -> None:
    """The next file needs no --layout, says by what it was read, and new labels pass through.

    Capitals and the order of the columns do not matter; another column does. Without it an
    unknown header is an error that names what is needed, and nothing else happens.
    """
    (tmp_path / "trips.csv").write_text(LOG)
    logbook = tmp_path / "logbook.sqlite"
    with pytest.raises(LayoutNeeded, match="session, variant, hours, fish"):
        import_paths([tmp_path / "trips.csv"], logbook)
    assert not logbook.exists()
    read(tmp_path, LOG + "2,20 pct,5,0\n", LAYOUT + '[values.variant]\n"20 pct" = "pellet-20"\n')
    (tmp_path / "next.csv").write_text("trip,caught,bait,HRS\n3,1,20 Pct,6\n4,0,20 pct,7\n")
    result = import_paths([tmp_path / "next.csv"], logbook)
    assert any("trips.toml" in hint and "--no-layout" in hint for hint in result.hints)
    assert stints(tmp_path, "session variant hours fish") == [
        ("1", "plain", 5.0, 0),
        ("2", "pellet-20", 5.0, 0),
        ("3", "20 Pct", 6.0, 1),
        ("4", "pellet-20", 7.0, 0),
    ]
    with pytest.raises(LayoutNeeded):
        import_paths([tmp_path / "next.csv"], logbook, remembered=False)
    (tmp_path / "other.csv").write_text("trip,caught,bait,HRS,moon\n5,1,plain,6,full\n")
    with pytest.raises(LayoutNeeded):
        import_paths([tmp_path / "other.csv"], logbook)


def test_a_layout_that_did_not_work_is_not_remembered(tmp_path: Path) -> None:
    """Where every row was refused the layout may be at fault."""
    assert read(tmp_path, LOG.replace("5", "ages"), LAYOUT).rows_rejected == 1
    with pytest.raises(LayoutNeeded):
        import_paths([tmp_path / "trips.csv"], tmp_path / "logbook.sqlite")


def test_the_same_file_again_leaves_the_logbook_as_it_is(tmp_path: Path) -> None:
    """By a layout given or remembered, not one byte changes where nothing is new."""
    read(tmp_path, LOG, LAYOUT)
    logbook = tmp_path / "logbook.sqlite"
    before = logbook.read_bytes()
    assert read(tmp_path, LOG, LAYOUT).rows_already_there == 1
    assert import_paths([tmp_path / "trips.csv"], logbook).rows_already_there == 1
    assert logbook.read_bytes() == before


def test_a_layout_beside_one_that_is_remembered(tmp_path: Path) -> None:
    """Two of the angler's files, one known already, one by the layout that is given now."""
    read(tmp_path, LOG, LAYOUT)
    (tmp_path / "old.csv").write_text("Nr,Mix,Stunden,Fish\n7,plain,5,2\n")
    (tmp_path / "old.toml").write_text(toml("Nr=session, Mix=variant, Stunden=hours, Fish=fish"))
    (tmp_path / "trips.csv").write_text(LOG + "2,plain,6,1\n")
    files = [tmp_path / "trips.csv", tmp_path / "old.csv"]
    layouts = [tmp_path / "old.toml"]
    result = import_paths(files, tmp_path / "logbook.sqlite", layouts=layouts)
    assert (result.rows_read, result.rows_imported, result.rows_already_there) == (3, 2, 1)


def test_a_sheet_among_others(tmp_path: Path) -> None:
    """Nothing tells which sheet is the log: a layout is needed, which states it, and is known
    again the next time; the other sheet is named as left aside each time."""
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in {
        "Tackle": [["What", "Where"], ["reel", "shed"]],
        "My trips": [["Trip", "Bait", "Hrs", "Caught"], ["1", "plain", 5, 0]],
    }.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(tmp_path / "book.xlsx")
    files, logbook = [tmp_path / "book.xlsx"], tmp_path / "logbook.sqlite"
    with pytest.raises(LayoutNeeded, match="Tackle, My trips"):
        import_paths(files, logbook)
    (proposal,) = proposals_for(files)
    assert proposal.raw.sheet == "My trips"
    layout = tmp_path / "book.toml"
    layout.write_text(proposal_text(proposal))
    for layouts, imported in (([layout], 1), ([], 0)):
        result = import_paths(files, logbook, layouts=layouts)
        assert (result.rows_read, result.rows_imported) == (1, imported)
        assert any("Tackle" in hint for hint in result.hints)


def test_a_layout_for_the_logs_own_names_is_given_each_time(tmp_path: Path) -> None:
    """What is written 36,30 in the angler's own file is 36.3 in an export of it.

    A file of these columns could be meant either way, so that no layout is remembered for it.
    """
    logbook = tmp_path / "logbook.sqlite"
    log = 'session,variant,hours,fish\na,plain,"36,30",0\na,mix,"236,5",1\n'
    read(tmp_path, log, '[units]\ndecimal = ","\n')
    with open_logbook(logbook) as book:
        export_logbook(book, tmp_path / "export")
    again = import_paths([tmp_path / "export"], logbook)
    assert (again.rows_imported, again.rows_rejected) == (0, 0)
    assert import_paths([tmp_path / "trips.csv"], logbook).rows_rejected == 2
    own = import_paths([tmp_path / "trips.csv"], logbook, layouts=[tmp_path / "trips.toml"])
    assert (own.rows_already_there, own.rows_rejected) == (2, 0)


def test_the_day_is_that_on_which_a_layout_was_given_first() -> None:
    """The same layout again keeps its day; a corrected one has the day of the correction."""

    class Notebook(dict[str, str]):
        """Settings as a dictionary."""

        setting = dict.get
        set_setting = dict.__setitem__

    table = FileTable("a.csv", None, "stints", False, ("Bait",), 1, (["plain"],), [2], {})
    notebook, key = Notebook(), header_key(table)
    layout = Layout(columns={"Bait": "variant"}, name="a.toml")
    corrected = replace(layout, session_from=("Date",))
    for given, day, on in (
        (layout, date(2025, 4, 12), "2025-04-12"),
        (layout, date(2025, 5, 3), "2025-04-12"),
        (corrected, date(2025, 6, 1), "2025-06-01"),
    ):
        remember(notebook, {key: given}, day)
        found = recall(notebook, table)
        assert found is not None
        assert found == (given, on)
