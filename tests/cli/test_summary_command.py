"""`rodhours summary` as a user meets it: the table, the JSON, which rows, exit codes."""

from __future__ import annotations

import json
import shutil

import numpy as np
import pandas as pd
import pytest

import rodhours
import simulated_seasons as seasons
from rodhours.log.importing import import_paths
from simulated_seasons import Season


@pytest.fixture(scope="module")
def imported(tmp_path_factory):
    """Twelve dated trips at two waters, imported once; the rows as pandas has them."""
    rows = seasons.each_rod_by_mood(np.random.default_rng(4), 1.5, Season(trips=12))
    number = rows["session"].astype(int)
    date = pd.Timestamp("2025-04-01") + pd.to_timedelta(number * 9, unit="D")
    rows = rows.assign(
        date=date.dt.strftime("%Y-%m-%d"),
        venue=np.where(number % 4 == 0, "Alder Mere", "Old Brickpit"),
    )
    folder = tmp_path_factory.mktemp("season")
    rows.to_csv(folder / "log.csv", index=False)
    import_paths([folder / "log.csv"], folder / "logbook.sqlite")
    return rows, folder / "logbook.sqlite"


@pytest.fixture
def log(imported, tmp_path):
    """The rows; a copy of the logbook stands where the commands look for one."""
    shutil.copyfile(imported[1], tmp_path / "logbook.sqlite")
    return imported[0]


@pytest.mark.parametrize("by", ["venue", "month"])
def test_json_is_the_answer_of_python(command, log, by):
    """schema 1, by, rows and total, the same as from Python on the same rows."""
    done = command("summary", "--by", by, "--json")
    assert (done.code, done.err) == (0, "")
    frame = log.assign(date=pd.to_datetime(log["date"]))
    machine = json.loads(done.out)
    assert machine == rodhours.summarise(frame, by=by).to_dict()
    assert machine["total"]["fish"] == log["fish"].sum()
    assert machine["total"]["rod_hours"] == log["hours"].sum()


def test_rows_are_chosen_by_date_and_water(command, log):
    """--since, --until and --venue choose rows, both days included."""
    options = ("--since", "2025-04-10", "--until", "2025-06-12", "--venue", "Old Brickpit")
    machine = json.loads(command("summary", *options, "--json").out)
    kept = log[
        (log["date"] >= "2025-04-10")
        & (log["date"] <= "2025-06-12")
        & (log["venue"] == "Old Brickpit")
    ]
    assert machine["total"]["stints"] == len(kept)
    assert machine["total"]["sessions"] == kept["session"].nunique() == 6


def test_the_table_has_the_counts(command, log):
    """By variant, each one's trips, blanks and fish stand in its row, the total last."""
    done = command("summary")
    assert (done.code, done.err) == (0, "")
    machine = json.loads(command("summary", "--json").out)
    assert (machine["by"], len(machine["rows"])) == ("variant", 2)
    lines = done.out.splitlines()
    for row in machine["rows"]:
        (line,) = [one for one in lines if one.startswith(row["group"] + " ")]
        for value in (row["sessions"], row["blanks"], row["fish"]):
            assert f" {value} " in line
    assert any(line.startswith("all ") and f" {log['fish'].sum()} " in line for line in lines)
    blank = log.groupby("session")["fish"].sum() == 0
    assert machine["total"]["blanks"] == blank.sum() > 0


def test_a_grouping_that_was_never_recorded(command, tmp_path):
    """No dates, waters or rods in the log: each says that it is not available."""
    (tmp_path / "log.csv").write_text("session,variant,hours,fish\na,plain,5,0\nb,plain,6,1\n")
    command("import", "log.csv")
    for by in ("month", "venue", "rod"):
        done = command("summary", "--by", by)
        assert (done.code, done.out) == (2, "")
        assert f"by {by}" in done.err
    assert command("summary").code == 0


def test_by_any_column(command, tmp_path):
    """Columns of stints, sessions and variants, batch, planned and season; rods that came out and
    went in again are two stints."""
    (tmp_path / "stints.csv").write_text(
        "session,rod,variant,batch,planned,hours,fish,depth_m\n"
        "a,1,plain,P-1,plain,5,1,3\na,1,plain,P-1,plain,6,0,3\na,2,pellet,,plain,5,2,12\n"
        "b,1,plain,P-2,plain,5,0,\nb,2,pellet,,pellet,5,1,12\n"
    )
    (tmp_path / "sessions.csv").write_text("session,date,wind\na,2025-03-30,W\nb,2025-04-02,SW\n")
    (tmp_path / "variants.csv").write_text("variant,pellet_pct\nplain,0\npellet,20\n")
    assert command("import", "stints.csv", "sessions.csv", "variants.csv").code == 0
    for options, groups in {
        ("planned",): {"pellet": (1, 1), "plain": (4, 3)},
        ("depth_m",): {"3": (2, 1), "12": (2, 3), "not recorded": (1, 0)},
        ("pellet_pct",): {"0": (3, 1), "20": (2, 3)},
        ("date",): {"2025-03-30": (3, 3), "2025-04-02": (2, 1)},
        ("season",): {"2025": (5, 4)},
        ("season", "--season-starts", "04-01"): {"2024/25": (3, 3), "2025/26": (2, 1)},
    }.items():
        rows = json.loads(command("summary", "--json", "--by", *options).out)["rows"]
        assert {row["group"]: (row["stints"], row["fish"]) for row in rows} == groups, options
        assert [row["group"] for row in rows] == list(groups)
    assert command("summary", "--by", "season").out.splitlines()[1].startswith("2025 ")
    done = command("summary", "--by", "dept_m")
    assert (done.code, "Did you mean 'depth_m'?" in done.err) == (2, True)


def test_a_year_or_a_month_is_all_of_its_days(command, tmp_path):
    """From the first day of --since to the last of --until, by the calendar (2024 leaps)."""
    days = ("2023-12-31", "2024-01-01", "2024-02-29", "2024-03-01", "2024-12-31", "2025-01-01")
    rows = "".join(f"{day},{day},plain,5,0\n" for day in days)
    (tmp_path / "log.csv").write_text(f"session,date,variant,hours,fish\n{rows}")
    command("import", "log.csv")
    for options, trips in (
        (("--since", "2024", "--until", "2024"), 4),
        (("--since", "2024-02", "--until", "2024-02"), 1),
        (("--since", "2024-03"), 3),
        (("--until", "2024-02"), 3),
    ):
        done = command("summary", "--json", *options)
        assert json.loads(done.out)["total"]["sessions"] == trips, options
    assert command("summary", "--since", "2024-13").code == 2
