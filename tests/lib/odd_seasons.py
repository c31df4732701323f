"""Invented seasons that are long or odd, as the files that an angler would import.

Each is a pair of tables, stints and sessions, and mostly catches and recipes. Names are made up.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pandas as pd

FOUR = ("plain", "pellet-10", "pellet-20", "double-dose")
TWELVE = ("plain", *(f"mix {letter}" for letter in "ABCDEFGHIJK"))
MERES = ("Ash", "Birch", "Cedar", "Dale", "Elm", "Fen")
PITS = ("Gorse", "Hazel", "Iris", "Juniper", "Kale", "Larch")
TWELVE_WATERS = (*(f"{name} Mere" for name in MERES), *(f"{name} Pit" for name in PITS))
EIGHTY = (
    "plain",
    "pellet-20 of the second batch rolled thin over 14 mm cork and boiled for ninety s",
    "pellet-20_of_the_third_batch_rolled_thick_over_12_mm_cork_and_boiled_for_110_sec",
)
LONG_WATER = "The Old Gravel Workings behind the Upper Weir Meadow, northern half with the reed"
SCRIPTS = ("plain", "μείγμα-20", "тесто с жмыхом", "عجينة الحبوب", "小麦粉とペレット")
SCRIPT_WATERS = ("Λίμνη της Ελιάς", "Тихий омут", "بحيرة القصب", "柳の池")
HOSTILE = "<script>alert('x')</script> & \"quotes\""


def season(
    variants: Sequence[str] = FOUR,
    trips: int = 45,
    waters: Sequence[str] = ("Alder Mere", "Long Pit", "Quarry Water"),
    days: int = 200,
    rate: float = 0.03,
    seed: int = 11,
) -> dict[str, pd.DataFrame]:
    """Stints, sessions, catches and recipes of a season with three rods a trip."""
    rng = np.random.default_rng(seed)
    rods = 3
    trip = np.repeat(np.arange(trips), rods)
    names = np.array([f"T{i + 1:03d}" for i in range(trips)])
    # Each trip has the reference on one rod, so that there are same trips to compare.
    picks = rng.integers(0, len(variants), trips * rods)
    picks[::rods] = np.where(rng.random(trips) < 0.8, 0, picks[::rods])
    hours = np.round(rng.uniform(8, 30, trips * rods) * 4) / 4
    luck = np.exp(rng.normal(-0.5, 1.0, trips))[trip]
    fish = rng.poisson(rate * hours * luck)
    stints = pd.DataFrame(
        {
            "session": names[trip],
            "rod": np.tile([1, 2, 3], trips),
            "variant": np.array(variants)[picks],
            "hours": hours,
            "fish": fish,
            "lost": rng.poisson(0.3 * rate * hours * luck),
        }
    )
    start = pd.Timestamp("2024-03-01")
    after = np.linspace(0, days, trips).round() if trips > 1 else np.zeros(1)
    sessions = pd.DataFrame(
        {
            "session": names,
            "date": [f"{start + pd.Timedelta(days=day):%Y-%m-%d}" for day in after],
            "venue": np.array(waters)[np.arange(trips) % len(waters)],
        }
    )
    each = np.repeat(np.arange(len(stints)), fish)
    ounces = rng.integers(120, 500, len(each))
    catches = stints.loc[each, ["session", "rod", "variant"]].assign(
        weight=[f"{one // 16}lb {one % 16}oz" for one in ounces], outcome="landed"
    )
    recipes = pd.DataFrame(
        {
            "variant": list(variants),
            "pellet_pct": [min(10 * i, 60) for i in range(len(variants))],
            "size_mm": [14 + 2 * (i % 2) for i in range(len(variants))],
        }
    )
    return {"stints": stints, "sessions": sessions, "catches": catches, "variants": recipes}


def _undated() -> dict[str, pd.DataFrame]:
    tables = season(trips=30, waters=TWELVE_WATERS)
    undated = tables["sessions"].index % 3 == 0
    tables["sessions"].loc[undated, "date"] = None
    tables["sessions"].loc[tables["sessions"].index % 5 == 0, "venue"] = None
    return tables


def _hostile() -> dict[str, pd.DataFrame]:
    """Markup wherever a text of the angler's can stand: bait, water, angler, session, notes; and
    a bait and a water with a long name beside it."""
    tables = season(("plain", HOSTILE, EIGHTY[2]), waters=(HOSTILE, LONG_WATER))
    sessions = tables["sessions"]
    renamed = {name: f"{HOSTILE} {name}" for name in sessions["session"]}
    for name in ("stints", "sessions", "catches"):
        tables[name]["session"] = tables[name]["session"].map(renamed)
    sessions["angler"] = np.where(sessions.index % 3 == 0, "Wren", HOSTILE)
    who = dict(zip(sessions["session"], sessions["angler"], strict=True))
    for name in ("stints", "catches"):
        tables[name]["angler"] = tables[name]["session"].map(who)
    sessions["notes"] = HOSTILE
    return tables


def _bare() -> dict[str, pd.DataFrame]:
    return {"stints": season(trips=20)["stints"].drop(columns="lost")}


SEASONS = {
    "one variant": lambda: season(("plain",)),
    "twelve variants": lambda: season(TWELVE, trips=80),
    "one trip": lambda: season(trips=1),
    "400 trips": lambda: season(trips=400, days=1500, waters=TWELVE_WATERS),
    "no fish at all": lambda: season(rate=0.0),
    "names of 80 characters": lambda: season(EIGHTY, waters=(LONG_WATER, "Long Pit")),
    "other scripts": lambda: season(SCRIPTS, waters=SCRIPT_WATERS),
    "a script tag": _hostile,
    "no dates, no waters": _bare,
    "twelve waters, some trips undated": _undated,
}


def write(name: str, folder: Path) -> list[Path]:
    """The files of one of SEASONS in that folder, ready to be imported."""
    files = []
    for table, frame in SEASONS[name]().items():
        if len(frame):
            files.append(folder / f"{table}.csv")
            frame.to_csv(files[-1], index=False)
    return files
