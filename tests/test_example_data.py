"""The example season is what its script makes, and carries the trap that it promises."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from pathlib import Path

import pandas as pd
import pytest

EXAMPLE = Path(__file__).parents[1] / "example_data"
TABLES = ["stints", "sessions", "variants", "catches"]


@pytest.fixture(scope="module")
def stints() -> pd.DataFrame:
    return pd.read_csv(EXAMPLE / "stints.csv")


def test_the_script_makes_the_files(tmp_path):
    """Running the script gives the same CSV files, byte by byte, and the same workbook cells."""
    pytest.importorskip("openpyxl")
    subprocess.run([sys.executable, str(EXAMPLE / "make_season.py"), str(tmp_path)], check=True)
    made, kept = (
        pd.read_excel(folder / "season.xlsx", sheet_name=list(TABLES), engine="openpyxl")
        for folder in (tmp_path, EXAMPLE)
    )
    own = "own_spreadsheet.csv"
    assert (tmp_path / own).read_bytes() == (EXAMPLE / own).read_bytes()
    for table in TABLES:
        name = f"{table}.csv"
        assert (tmp_path / name).read_bytes() == (EXAMPLE / name).read_bytes(), name
        pd.testing.assert_frame_equal(made[table], kept[table])


def test_the_own_spreadsheet_is_the_same_season(tmp_path):
    """Read by its layout, it has the stints of the season, blanks included."""
    from rodhours.log.importing import import_paths
    from rodhours.log.logbook import open_logbook
    from rodhours.log.tables import STINT_DATA

    kept = EXAMPLE / "own_spreadsheet.csv"
    layout = EXAMPLE / "own_spreadsheet.layout.toml"
    result = import_paths([kept], tmp_path / "own.sqlite", layouts=[layout])
    assert result.complete
    wanted = ["rod", "variant", "hours", "fish", "lost"]
    season = pd.read_csv(EXAMPLE / "stints.csv").merge(pd.read_csv(EXAMPLE / "sessions.csv"))
    season["rod"] = season["rod"].astype(str)
    with open_logbook(tmp_path / "own.sqlite") as book:
        days = {row[0]: row[1] for row in book.sessions()}
        rows = [
            (days[row[1]], *(row[2 + STINT_DATA.index(name)] for name in wanted))
            for row in book.stints()
        ]
    labels = season["date"] + ", " + season["venue"]
    assert sorted(rows) == sorted(zip(labels, *(season[name] for name in wanted), strict=True))


def test_the_workbook_holds_the_same_tables():
    """Sheet by sheet the workbook says what the CSV files say."""
    for table in TABLES:
        sheet = pd.read_excel(EXAMPLE / "season.xlsx", sheet_name=table, engine="openpyxl")
        file = pd.read_csv(EXAMPLE / f"{table}.csv")
        for column in ("date", "time"):
            if column in file:
                file[column] = pd.to_datetime(file[column]).astype(sheet[column].dtype)
        pd.testing.assert_frame_equal(sheet, file, check_dtype=False)


def test_the_season_has_the_promised_shape(stints):
    """About 45 sessions, 2 or 3 rods, 60 to 110 fish, three variants and one dose change."""
    sessions = pd.read_csv(EXAMPLE / "sessions.csv")
    variants = pd.read_csv(EXAMPLE / "variants.csv").set_index("variant")
    assert sessions["session"].is_unique
    assert set(sessions["session"]) == set(stints["session"])
    assert 43 <= len(sessions) <= 47
    assert set(stints.groupby("session")["rod"].nunique()) == {2, 3}
    assert 60 <= stints["fish"].sum() <= 110
    assert set(variants.index) == set(stints["variant"])
    assert {"plain", "pellet-10", "pellet-20"} < set(variants.index)
    (dosed,) = set(variants.index) - {"plain", "pellet-10", "pellet-20"}
    differing = variants.loc[dosed] != variants.loc["pellet-20"]
    assert list(differing.index[differing]) == ["attractor_ml_per_egg"]


def test_catches_agree_with_stints(stints):
    """Landed and lost fish of the catches table, counted, are those of the stints."""
    catches = pd.read_csv(EXAMPLE / "catches.csv")
    counts = (
        catches.groupby(["session", "rod", "variant", "outcome"])
        .size()
        .unstack(fill_value=0)
        .reset_index()
    )
    counts = counts.rename(columns={"lost": "lost_in_catches"})
    both = stints.merge(counts, on=["session", "rod", "variant"], how="left").fillna(0)
    assert (both["fish"] == both["landed"]).all()
    assert (both["lost"] == both["lost_in_catches"]).all()
    assert len(catches) == stints["fish"].sum() + stints["lost"].sum()


def test_the_trap_is_there(stints):
    """The raw ratio flatters the favourite at least twofold over what the trips share.

    Within trips: the Mantel-Haenszel rate ratio (Rothman, Modern Epidemiology), session by session.
    """
    truth = tomllib.loads((EXAMPLE / "truth.toml").read_text(encoding="utf-8"))
    true_ratio = truth["fish"]["ratio_to_plain"]["pellet-20"]
    totals = stints.groupby("variant")[["fish", "hours"]].sum()
    rates = totals["fish"] / totals["hours"]
    raw = rates["pellet-20"] / rates["plain"]
    two = stints[stints["variant"].isin(["plain", "pellet-20"])]
    sums = two.groupby(["session", "variant"])[["fish", "hours"]].sum().unstack().dropna()
    hours = sums["hours"].sum(axis=1)
    within = (sums["fish"]["pellet-20"] * sums["hours"]["plain"] / hours).sum() / (
        sums["fish"]["plain"] * sums["hours"]["pellet-20"] / hours
    ).sum()
    assert len(sums) >= 25
    assert raw >= 2.0
    assert within == pytest.approx(true_ratio, rel=0.1)
    assert raw / within > 1.7


def test_one_red_letter_trip(stints):
    """One trip stands out with more than twice the fish of any other."""
    fish = stints.groupby("session")["fish"].sum().sort_values(ascending=False)
    truth = tomllib.loads((EXAMPLE / "truth.toml").read_text(encoding="utf-8"))
    assert fish.index[0] == f"T{truth['fish']['red_letter_trip']:02d}"
    assert fish.iloc[0] > 2 * fish.iloc[1]
    assert (fish == 0).sum() >= 5
