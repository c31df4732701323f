"""The frames that the logbook hands on, and the contract they keep."""

from __future__ import annotations

from pathlib import Path

import pandas as pd
import pytest
from trip_logs import season, write_log, write_text

from rodhours.log.frames import CORE, KEY, catches_frame, stint_frame, variants_frame
from rodhours.log.importing import import_paths
from rodhours.log.logbook import open_logbook


def frame_of(folder: Path, **tables: str) -> pd.DataFrame:
    paths = [write_text(folder / f"{name}.csv", text) for name, text in tables.items()]
    import_paths(paths, folder / "logbook.sqlite", zone="UTC")
    with open_logbook(folder / "logbook.sqlite") as book:
        return stint_frame(book)


def test_the_frame_holds_the_rows_of_the_log(tmp_path: Path) -> None:
    """One row a stint with its session joined: the same as joining the files by hand."""
    log = season(8)
    import_paths(write_log(tmp_path, log), tmp_path / "logbook.sqlite")
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        frame = stint_frame(book)
    sessions = {row["session"]: row for row in log["sessions"]}
    expected = {
        (
            row["session"],
            row["rod"],
            row["variant"],
            float(row["hours"]),
            int(row["fish"]),
            pd.Timestamp(sessions[row["session"]]["date"]),
            sessions[row["session"]]["venue"],
            float(sessions[row["session"]]["water_temp_c"]),
            float(row["moon"]),
        )
        for row in log["stints"]
    }
    columns = ["session", "rod", "variant", "hours", "fish", "date", "venue", "water_temp_c"]
    found = set(frame[[*columns, "moon"]].itertuples(index=False, name=None))
    assert found == expected
    assert len(frame) == len(log["stints"])


def test_the_contract_of_the_core_columns(tmp_path: Path) -> None:
    """Every core column is there with its type, filled or not."""
    frame = frame_of(tmp_path, log="session,variant,hours,fish\nA,plain,5,0\nB,plain,6.5,2")
    assert list(frame.columns) == list(CORE)
    assert frame["hours"].dtype == "float64"
    assert frame["fish"].dtype == "int64"
    assert str(frame["lost"].dtype) == "Int64"
    assert pd.api.types.is_datetime64_dtype(frame["date"])
    assert frame[["angler", "venue", "rod", "batch", "lost", "date"]].isna().all(axis=None)


def test_further_columns_are_numbers_where_every_filled_cell_is_one(tmp_path: Path) -> None:
    """An empty cell does not make a text of a number; a word does, and nan is a word."""
    frame = frame_of(
        tmp_path,
        log="""session,variant,hours,fish,depth_m,moon,mood,word
        A,plain,5,0,1.5,0.25,good,nan
        B,plain,5,0,,,3,1
        C,plain,5,0,2,1e1,4,2""",
    )
    assert frame["moon"].tolist()[::2] == [0.25, 10.0]
    assert frame["moon"].isna().tolist() == [False, True, False]
    assert frame["depth_m"].dtype == "float64"
    assert frame["mood"].tolist() == ["good", "3", "4"]
    assert frame["word"].tolist() == ["nan", "1", "2"]


def test_a_column_of_stints_and_sessions_is_filled_from_both(tmp_path: Path) -> None:
    """Where stints leaves a cell empty the session's own value stands; hours never mix."""
    frame = frame_of(
        tmp_path,
        stints="session,variant,hours,fish,light\nA,plain,5,0,dim\nA,other,6,0,",
        sessions="session,light,hours\nA,bright,99",
    ).set_index("variant")
    assert frame["light"].to_dict() == {"plain": "dim", "other": "bright"}
    assert frame["hours"].to_dict() == {"plain": 5.0, "other": 6.0}


@pytest.mark.parametrize(
    ("columns", "values", "date"),
    [
        ("date,start", "2025-04-12,2025-04-12T18:00", "2025-04-12"),
        ("start", "2025-04-13T18:00", "2025-04-13"),
        ("cast_in,cast_out", "2025-04-14T18:00,2025-04-14T23:00", "2025-04-14"),
    ],
)
def test_the_date_of_a_session(tmp_path: Path, columns: str, values: str, date: str) -> None:
    """The date as given, else the day of the start, else of the first cast."""
    frame = frame_of(tmp_path, log=f"session,variant,hours,fish,{columns}\nA,plain,5,0,{values}")
    assert frame["date"].tolist() == [pd.Timestamp(date)]


def test_catches_and_variants(tmp_path: Path) -> None:
    """Fish in kilograms with the variant that had them; ingredients as numbers."""
    import_paths(write_log(tmp_path, season(8)), tmp_path / "logbook.sqlite")
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        catches, variants = catches_frame(book), variants_frame(book)
    expected = [
        (row["session"], row["rod"], row["variant"])
        for row in season(8)["stints"]
        for _ in range(int(row["fish"]))
    ]
    found = catches[["session", "rod", "variant"]].itertuples(index=False, name=None)
    assert sorted(found) == sorted(expected)
    # 22 lb 4 oz by the definition of the pound.
    assert catches["weight"].to_list() == pytest.approx([22.25 * 0.45359237] * len(expected))
    assert set(catches["outcome"]) == {"landed"}
    assert dict(zip(variants["variant"], variants["pellet_pct"], strict=True)) == {
        "plain": 0.0,
        "pellet-10": 10.0,
        "pellet-20": 20.0,
    }


def test_an_empty_logbook_gives_empty_frames(tmp_path: Path) -> None:
    """After everything is undone there are no rows, and the core columns are still there."""
    import_paths(write_log(tmp_path, season(2)), tmp_path / "logbook.sqlite")
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        book.undo()
        assert list(stint_frame(book).columns) == list(CORE)
        assert len(stint_frame(book)) == len(catches_frame(book)) == len(variants_frame(book)) == 0


def test_stints_have_a_key_that_their_fish_name(tmp_path: Path) -> None:
    """Joining catches to stints by the key gives each fish its rod, variant and session back."""
    log = season(12)
    import_paths(write_log(tmp_path, log), tmp_path / "logbook.sqlite")
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        stints, catches = stint_frame(book), catches_frame(book)
    assert stints.index.name == KEY == "stint"
    assert stints.index.is_unique
    assert str(catches[KEY].dtype) == "Int64"
    joined = catches.join(stints.add_suffix("_of_stint"), on=KEY)
    for name in ("session", "rod", "variant"):
        assert (joined[name] == joined[f"{name}_of_stint"]).all()
    counted = catches.groupby(KEY).size().reindex(stints.index).fillna(0)
    assert (counted == stints["fish"]).all()
    assert len(catches) == len(log["catches"]) > 5


def test_the_key_is_no_column_of_the_log(tmp_path: Path) -> None:
    """A column `stint` of the angler's own stays theirs, to adjust for like any other."""
    frame = frame_of(
        tmp_path, log="session,variant,hours,fish,stint\nA,plain,5,0,first\nA,plain,6.5,2,second"
    )
    assert frame["stint"].tolist() == ["first", "second"]
    assert set(frame.columns) == {*CORE, "stint"}


def test_a_fish_of_two_possible_stints_has_no_key(tmp_path: Path) -> None:
    """Only its rod and variant are known where the rod fished the variant twice without times."""
    paths = [
        write_text(
            tmp_path / "stints.csv",
            "session,rod,variant,hours,fish\nA,1,plain,5,1\nA,1,pellet-20,5,0\nA,1,plain,6,0",
        ),
        write_text(tmp_path / "catches.csv", "session,rod,variant,weight\nA,1,plain,20lb"),
    ]
    import_paths(paths, tmp_path / "logbook.sqlite", zone="UTC")
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        catches = catches_frame(book)
    assert catches[KEY].isna().all()
    assert catches["variant"].tolist() == ["plain"]


def test_a_stint_that_no_fish_names_is_a_blank(tmp_path: Path) -> None:
    """Where the fish are counted from the catches; the lost one is not counted."""
    frame = frame_of(
        tmp_path,
        stints="session,rod,variant,hours\nA,1,plain,5\nA,2,other,5\nB,1,plain,5",
        catches="session,rod,variant,outcome\nA,1,plain,landed\nB,1,plain,lost",
    )
    assert frame["fish"].tolist() == [1, 0, 0]


def test_an_empty_cell_of_a_trip_says_nothing(tmp_path: Path) -> None:
    """The swim of one rod is that of the trip where no other rod says another."""
    frame = frame_of(
        tmp_path,
        log="session,rod,variant,hours,fish,swim\nA,1,plain,5,0,reeds\nA,2,other,5,0,\n"
        "B,1,plain,5,0,reeds\nB,2,other,5,0,point\nB,3,other,5,0,",
    )
    assert frame["swim"].fillna("").tolist() == ["reeds", "reeds", "reeds", "point", ""]
