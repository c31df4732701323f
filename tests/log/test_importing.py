"""One import as a whole: the counts, the same file again, conflicts, refusals, any corruption."""

from __future__ import annotations

import csv
import json
import random
from collections import Counter
from pathlib import Path

import openpyxl
import pytest
from trip_logs import Log, refused, season, write_csv, write_log, write_text

from rodhours.errors import UnusableFile
from rodhours.log.importing import import_paths
from rodhours.log.logbook import open_logbook


def digest(logbook: Path) -> str:
    with open_logbook(logbook) as book:
        return book.content_sha256()


def test_the_same_file_again_changes_nothing(tmp_path: Path) -> None:
    """Not one byte of the logbook changes, and every row is already there."""
    log, logbook = season(6), tmp_path / "logbook.sqlite"
    import_paths([*write_log(tmp_path / "log", log)], logbook)
    before = logbook.read_bytes()
    again = import_paths([tmp_path / "log"], logbook)
    assert again.rows_already_there == again.rows_read == sum(map(len, log.values()))
    assert logbook.read_bytes() == before


def test_row_order_and_file_form_do_not_matter(tmp_path: Path) -> None:
    """The same rows in another order, split over files or in a workbook are the same log."""
    log, logbook = season(6), tmp_path / "logbook.sqlite"
    import_paths(write_log(tmp_path / "log", log), logbook)
    before = digest(logbook)
    shuffled = {name: random.Random(3).sample(rows, len(rows)) for name, rows in log.items()}
    other = write_log(tmp_path / "shuffled", shuffled)
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in shuffled.items():
        sheet = book.create_sheet(name)
        sheet.append(list(rows[0]))
        for row in rows:
            # Numbers typed as numbers, as anybody's workbook has them.
            sheet.append([float(v) if v.replace(".", "").isdigit() else v for v in row.values()])
    book.save(tmp_path / "log.xlsx")
    for paths in (other, [tmp_path / "log.xlsx"]):
        again = import_paths(paths, logbook)
        assert again.rows_already_there == again.rows_read
        fresh = tmp_path / "fresh.sqlite"
        import_paths(paths, fresh)
        assert digest(fresh) == before
        fresh.unlink()


def changed_season() -> Log:
    """Trip 1: a count and a temperature changed; trip 2: a stint more; trip 3: one gone."""
    log = season(4)
    log["catches"] = []
    log["stints"][0]["fish"] = "1"
    log["sessions"][0]["water_temp_c"] = "11.5"
    log["stints"].append(dict(log["stints"][4], rod="4"))
    log["stints"] = [
        row for row in log["stints"] if (row["session"], row["rod"]) != ("trip 3", "2")
    ]
    return log


def without_catches(log: Log) -> Log:
    return {**log, "catches": []}


def test_a_session_without_stints_can_differ_too(tmp_path: Path) -> None:
    """The row of sessions that changed is the one that is named."""
    logbook = tmp_path / "logbook.sqlite"
    import_paths(write_log(tmp_path / "old", without_catches(season(2))), logbook)
    log = without_catches(season(2))
    log["stints"] = [row for row in log["stints"] if row["session"] == "trip 1"]
    log["sessions"][1]["venue"] = "Third Water"
    result = import_paths(write_log(tmp_path / "new", log), logbook)
    assert {Path(problem.file).stem for problem in result.problems} == {"sessions"}
    assert {problem.row for problem in result.problems} == {3}


def test_a_session_that_differs_is_a_conflict_named_row_by_row(tmp_path: Path) -> None:
    """What changed and what is gone; a file that only adds to a session is no conflict."""
    logbook = tmp_path / "logbook.sqlite"
    import_paths(write_log(tmp_path / "old", without_catches(season(4))), logbook)
    result = import_paths(write_log(tmp_path / "new", changed_season()), logbook)
    named = {
        (Path(p.file).stem, p.row, p.column, p.found, p.says.partition(" (session")[0])
        for p in result.problems
    }
    gone = "the logbook's version also has: variant pellet-10, hours 7.2, fish 0, rod 2, moon 2"
    assert named == {
        ("sessions", 2, "water_temp_c", "11.5", "the logbook has 8.5"),
        ("stints", 2, "fish", "1", "the logbook has 0"),
        ("sessions", 4, None, None, gone),
    }
    assert result.rows_rejected == (1 + 3) + (1 + 2)
    assert result.rows_imported == 1 + 4  # trip 2 has all that is held of it, and more


def test_replace_swaps_whole_sessions_and_undo_brings_them_back(tmp_path: Path) -> None:
    """--replace takes the file's version entirely; undo restores the logbook as it was."""
    logbook = tmp_path / "logbook.sqlite"
    import_paths(write_log(tmp_path / "old", without_catches(season(4))), logbook)
    before = digest(logbook)
    result = import_paths(write_log(tmp_path / "new", changed_season()), logbook, replace=True)
    assert result.complete
    assert result.rows_imported == (1 + 3) + (1 + 4) + (1 + 2)
    fresh = tmp_path / "fresh.sqlite"
    import_paths([tmp_path / "new"], fresh)
    assert digest(logbook) == digest(fresh)
    with open_logbook(logbook) as book:
        undone = book.undo()
        assert undone is not None
        assert (undone.sessions_removed, undone.sessions_restored) == (3, 3)
        assert book.content_sha256() == before
        assert book.undo() is not None
        assert book.counts().stints == 0
        assert book.undo() is None


def test_the_same_key_on_another_date_is_a_conflict_with_advice(tmp_path: Path) -> None:
    """A label used again for another trip is refused, and the way out is named."""
    logbook = tmp_path / "logbook.sqlite"
    text = "session,date,variant,hours,fish\n1,2025-04-12,plain,5,0"
    path = write_text(tmp_path / "log.csv", text)
    import_paths([path], logbook)
    write_text(path, text.replace("2025-04-12", "2026-04-11"))
    (problem,) = import_paths([path], logbook).problems
    assert (problem.column, problem.found) == ("date", "2026-04-11")
    assert "choose which columns make a session" in problem.says


def test_a_problem_in_a_workbook_names_its_sheet(tmp_path: Path) -> None:
    """The address is the one that the spreadsheet shows, below an empty row and a title row."""
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.title = "stints"
    for row, cells in (
        (3, ["session", "variant", "hours", "fish"]),
        (4, ["A", "plain", 5.5, 0]),
        (6, ["B", "plain", 6, 1.5]),
    ):
        for column, cell in enumerate(cells, start=2):
            sheet.cell(row, column, cell)
    book.save(tmp_path / "log.xlsx")
    result = import_paths([tmp_path / "log.xlsx"], tmp_path / "logbook.sqlite")
    (problem,) = result.problems
    assert (problem.sheet, problem.row, problem.column) == ("stints", 6, "fish")
    assert problem.found == "1.5"
    assert result.rows_imported == 1


def test_a_variant_row_that_differs_is_a_conflict(tmp_path: Path) -> None:
    """The held recipe stays until --replace; sessions are not held back by it."""
    logbook = tmp_path / "logbook.sqlite"
    log = season(2)
    import_paths(write_log(tmp_path / "log", log), logbook)
    log["variants"][2]["boil_s"] = "120"
    paths = write_log(tmp_path / "log", log)
    result = import_paths(paths, logbook)
    (problem,) = result.problems
    assert (problem.column, problem.found) == ("boil_s", "120")
    assert "the logbook has 90" in problem.says
    assert result.rows_rejected == 1
    assert import_paths(paths, logbook, replace=True).rows_imported == 1
    assert import_paths(paths, logbook).complete


def test_the_recipe_a_flat_file_carries_must_agree_with_the_held_one(tmp_path: Path) -> None:
    """A flat file has no row of its own for a variant: the conflict is named, stints are taken."""
    logbook = tmp_path / "logbook.sqlite"
    import_paths(write_log(tmp_path / "log", season(2)), logbook)
    flat = write_text(
        tmp_path / "flat.csv",
        "session,variant,hours,fish,pellet_pct\nnew,pellet-10,5,0,12\nnewer,plain,5,0,0",
    )
    result = import_paths([flat], logbook)
    (problem,) = result.problems
    assert (problem.row, problem.column, problem.found) == (2, "pellet_pct", "12")
    assert result.rows_imported == 2
    assert not result.complete


def test_dry_run_reports_the_same_and_writes_nothing(tmp_path: Path) -> None:
    """Same counts and problems, no logbook; nor a change to a held logbook."""
    log = season(4)
    log["stints"][0]["hours"] = "long"
    paths = write_log(tmp_path / "log", log)
    logbook = tmp_path / "logbook.sqlite"
    dry = import_paths(paths, logbook, dry_run=True)
    assert list(tmp_path.iterdir()) == [tmp_path / "log"]
    real = import_paths(paths, logbook)
    assert dry.to_dict() == real.to_dict()
    files = {path: path.read_bytes() for path in tmp_path.glob("*.*")}
    log["stints"][5]["fish"] = "5"
    changed = write_log(tmp_path / "log", log)
    assert import_paths(changed, logbook, dry_run=True).rows_rejected > dry.rows_rejected
    assert {path: path.read_bytes() for path in tmp_path.glob("*.*")} == files


def test_refused_rows_wait_as_they_were(tmp_path: Path) -> None:
    """Spaces, quotes, line breaks and unknown columns are kept, with the row's address."""
    cells = {
        "session": ' "A" ',
        "variant": "plain, soft",
        "hours": "5,5",
        "fish": "0",
        "what I saw": "one\ntwo",
        "file": "mine",
    }
    path = write_csv(tmp_path / "log.csv", [cells])
    import_paths([path], tmp_path / "logbook.sqlite")
    (row,) = refused(tmp_path / "logbook.sqlite")
    assert (row.file, row.sheet, row.of_table, row.row) == (str(path), None, "stints", 2)
    assert "such as 36.5" in row.reason
    assert json.loads(row.cells) == list(cells.values())


JUNK = ("", " ", "0", "-1", "x", "1e9", "trip 1", "plain", "2025-13-01", '"', ",", "\n", "é", "\0")


def mutate(path: Path, rng: random.Random) -> None:
    """One slip in a CSV file: characters, cells or lines lost, doubled, moved or replaced."""
    text = path.read_text(encoding="utf-8")
    lines = text.splitlines(keepends=True)
    kind = rng.randrange(7)
    if kind == 0:
        at = rng.randrange(len(text))
        text = text[:at] + text[at + 1 :]
    elif kind == 1:
        at = rng.randrange(len(text))
        text = text[:at] + rng.choice(JUNK) + text[at:]
    elif kind == 2:
        lines.insert(rng.randrange(1, len(lines) + 1), rng.choice(lines))
        text = "".join(lines)
    elif kind == 3:
        del lines[rng.randrange(len(lines))]
        text = "".join(lines)
    elif kind == 4:
        text = text[: rng.randrange(len(text))]
    else:
        row = rng.randrange(len(lines))
        cells = lines[row].rstrip("\n").split(",")
        if kind == 5:
            cells[rng.randrange(len(cells))] = rng.choice(JUNK)
        else:
            one, other = rng.randrange(len(cells)), rng.randrange(len(cells))
            cells[one], cells[other] = cells[other], cells[one]
        lines[row] = ",".join(cells) + "\n"
        text = "".join(lines)
    path.write_text(text, encoding="utf-8")


def check_mutation(folder: Path, seed: int) -> bool:
    """Whatever the slip: an unusable file and nothing written, or every row in one place."""
    rng = random.Random(seed)
    log = season(5)
    paths = write_log(folder / f"log {seed}", log)
    for _ in range(rng.choice((1, 1, 2, 5))):
        mutate(rng.choice(paths), rng)
    logbook = folder / f"{seed}.sqlite"
    try:
        result = import_paths(paths, logbook)
    except UnusableFile:
        assert not logbook.exists()
        return False
    assert (
        result.rows_read == result.rows_imported + result.rows_already_there + result.rows_rejected
    )
    waiting = refused(logbook) if logbook.exists() else []
    assert len(waiting) == result.rows_rejected
    assert all(row.reason for row in waiting)
    assert len({row.place for row in waiting}) == len(waiting)
    held: Counter[str] = Counter()
    if logbook.exists():
        with open_logbook(logbook) as book:
            labels = {row[0]: row[1] for row in book.sessions()}
            held.update(labels[row[1]] for row in book.stints())
            assert (
                len(book.stints()) + len(book.catches()) + len(book.variants()) + len(labels)
                >= result.rows_imported
            )
    # No session is half refused: what is held of a session is all that the file has of it.
    with (folder / f"log {seed}" / "stints.csv").open(newline="", encoding="utf-8") as file:
        in_file = Counter(
            (row.get("session") or "").strip()
            for row in csv.DictReader(file)
            if any((cell or "").strip() for cell in row.values() if not isinstance(cell, list))
        )
    for label, rows in held.items():
        assert rows == in_file[label], label
    for row in waiting:
        assert row.of_table == "variants" or row.trip not in held
    again = import_paths(paths, logbook)
    assert again.rows_already_there == result.rows_imported
    assert again.rows_rejected == result.rows_rejected
    assert again.problems == result.problems
    return True


def check_mutations(folder: Path, seeds: range) -> None:
    outcomes = Counter(check_mutation(folder, seed) for seed in seeds)
    # The slips must reach both ends, or the test would not see anything.
    assert outcomes[True] > outcomes[False] > 0


def test_any_slip_in_any_file_leaves_every_row_in_one_place(tmp_path: Path) -> None:
    """Some of the thousand slips of the full test."""
    check_mutations(tmp_path, range(18))


@pytest.mark.full
def test_a_thousand_slips(tmp_path: Path) -> None:
    """A thousand seeded slips: the counts add up and no session is taken by halves."""
    check_mutations(tmp_path, range(1000))
