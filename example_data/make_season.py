"""Makes the example season from the truth in truth.toml: CSV files and one workbook.

Scope: an invented angler on invented waters. The same seed gives the same CSV files and the same
cells of the workbook; run `python example_data/make_season.py` after a change of the truth and
commit what it writes.

The trap is in `choose_variants`: the angler feels how good a trip is before casting (the hidden
factor of the trip, which no column holds) and puts the favourite on more rods when it is good.
"""

from __future__ import annotations

import csv
import datetime as dt
import math
import sys
import tomllib
from pathlib import Path
from typing import Any

import numpy as np

HERE = Path(__file__).resolve().parent
Row = dict[str, Any]
Tables = dict[str, list[Row]]


def normal_chance(x: float) -> float:
    """The normal distribution function."""
    return 0.5 * math.erfc(-x / math.sqrt(2.0))


def plan_trips(truth: Row, rng: np.random.Generator) -> list[Row]:
    """Dates, waters, lengths, rods and the hidden factor of every trip."""
    calendar = truth["calendar"]
    first, last = calendar["first_day"], calendar["last_day"]
    days = np.sort(rng.choice(np.arange(0, (last - first).days, 3), calendar["trips"], False))
    trips = []
    for number, day in enumerate(days, start=1):
        red_letter = number == truth["fish"]["red_letter_trip"]
        trips.append(
            {
                "session": f"T{number:02d}",
                "start": dt.datetime.combine(first + dt.timedelta(days=int(day)), dt.time(15)),
                "venue": str(rng.choice(truth["waters"]["names"], p=truth["waters"]["shares"])),
                "length": 48 if red_letter else int(rng.choice([24, 36, 48], p=[0.6, 0.2, 0.2])),
                "rods": 3 if red_letter or rng.random() < calendar["three_rods"] else 2,
                "z": truth["fish"]["red_letter_z"] if red_letter else rng.standard_normal(),
            }
        )
    return trips


def choose_variants(truth: Row, rng: np.random.Generator, trip: Row) -> list[str]:
    """One variant a rod: the favourite by the mood, else mostly plain."""
    choice = truth["choice"]
    others = [name for name in choice["others"] if trip["start"].date() >= choice["since"][name]]
    shares = np.array([choice["others"][name] for name in others])
    chance = normal_chance(choice["mood"] * trip["z"])
    chosen = [
        choice["favourite"]
        if rng.random() < chance
        else str(rng.choice(others, p=shares / shares.sum()))
        for _ in range(trip["rods"])
    ]
    # One rod often stays on plain as a check; which one, the angler draws.
    if "plain" not in chosen and rng.random() < choice["keeps_a_plain_rod"]:
        chosen[int(rng.integers(trip["rods"]))] = "plain"
    return chosen


def weight_text(rng: np.random.Generator) -> str:
    """A weight as it is written on the bank: pounds and ounces."""
    ounces = round(16 * float(np.clip(rng.lognormal(math.log(17), 0.28), 6, 45)))
    return f"{ounces // 16}lb {ounces % 16}oz"


def weather(rng: np.random.Generator, day: dt.date) -> Row:
    """What the angler wrote down; none of it knows the hidden factor."""
    season = math.sin(2 * math.pi * (day.timetuple().tm_yday - 115) / 365)
    water = 12.5 + 8.0 * season + rng.normal(0, 1.2)
    return {
        "water_temp_c": round(water, 1),
        "air_temp_c": round(water + 1.5 + rng.normal(0, 2.5), 1),
        "pressure_hpa": round(1013 + rng.normal(0, 9)),
        "wind_dir": str(rng.choice(["SW", "W", "S", "NW", "N", "NE", "E", "SE"])),
        "wind_force": int(rng.integers(1, 6)),
    }


def make(truth: Row) -> Tables:
    """All four tables, from the truth alone."""
    rng = np.random.default_rng(truth["seed"])
    fish_truth = truth["fish"]
    s = fish_truth["session_sd"]
    stints: list[Row] = []
    sessions: list[Row] = []
    catches: list[Row] = []
    for trip in plan_trips(truth, rng):
        swims = truth["waters"]["swims"][trip["venue"]]
        swim = str(rng.choice(list(swims)))
        spots = [str(spot) for spot in rng.permutation(swims[swim])]
        blank = True
        for rod, variant in enumerate(choose_variants(truth, rng, trip), start=1):
            # The bait is out of the water while fish are played, rods re-tied and spots fed.
            hours = round(4 * (trip["length"] - rng.uniform(0.5, 4.0))) / 4
            rate = fish_truth["rate_of_plain"] * fish_truth["ratio_to_plain"][variant]
            factor = math.exp(s * trip["z"] - s * s / 2)
            fish = int(rng.poisson(hours * rate * factor))
            lost = int(rng.binomial(fish + 1, 0.12))
            blank = blank and fish == 0
            rod_of_trip = {"session": trip["session"], "rod": rod, "variant": variant}
            stints.append(
                {
                    **rod_of_trip,
                    "batch": batch_of(variant, trip["start"].date()),
                    "hours": hours,
                    "fish": fish,
                    "lost": lost,
                    "spot": spots[rod - 1],
                }
            )
            for outcome in ["landed"] * fish + ["lost"] * lost:
                time = trip["start"] + dt.timedelta(minutes=int(rng.uniform(20, 60 * hours)))
                catches.append(
                    {
                        **rod_of_trip,
                        "time": time.isoformat(timespec="minutes"),
                        "species": "carp" if outcome == "landed" else "",
                        "weight": weight_text(rng) if outcome == "landed" else "",
                        "outcome": outcome,
                    }
                )
        red_letter = trip["session"] == f"T{fish_truth['red_letter_trip']:02d}"
        sessions.append(
            {
                "session": trip["session"],
                "date": trip["start"].date().isoformat(),
                "venue": trip["venue"],
                "swim": swim,
                **weather(rng, trip["start"].date()),
                "notes": "never seen it like this" if red_letter else "blank" if blank else "",
            }
        )
    catches.sort(key=lambda row: (row["session"], row["time"], row["rod"]))
    return {
        "stints": stints,
        "sessions": sessions,
        "variants": [{"variant": name, **recipe} for name, recipe in truth["recipes"].items()],
        "catches": catches,
    }


def batch_of(variant: str, day: dt.date) -> str:
    """A fresh batch of every variant each quarter of the year."""
    return f"{variant}-{'ABCD'[(day.month - 1) // 3]}"


def write_csv(folder: Path, tables: Tables) -> None:
    for name, rows in tables.items():
        with (folder / f"{name}.csv").open("w", newline="", encoding="utf-8") as file:
            writer = csv.DictWriter(file, list(rows[0]), lineterminator="\n")
            writer.writeheader()
            writer.writerows(rows)


def write_own_spreadsheet(path: Path, tables: Tables) -> None:
    """The same season as an angler keeps it who never heard of the format.

    Semicolons and a title above, days first, date and water once a trip, hours as 44:45, own
    names for columns and baits, an empty cell for a blank, and a total at the bottom.
    """
    names = {"plain": "Plain", "pellet-10": "10% pellet", "pellet-20": "20% pellet"}
    names["pellet-20-attractor-6"] = "20% pellet + triple dip"
    sessions = {row["session"]: row for row in tables["sessions"]}
    lines = [
        ["My season at three waters"],
        [],
        ["Date", "Water", "Peg", "Water temp (C)", "Rod", "Bait", "Time fished", "Landed", "Lost"],
    ]
    last = None
    for row in tables["stints"]:
        session = sessions[row["session"]]
        year, month, day = session["date"].split("-")
        first = [f"{day}/{month}/{year}", *(session[name] for name in ("venue", "swim"))]
        first.append(session["water_temp_c"])
        minutes = round(float(row["hours"]) * 60)
        lines.append(
            [
                *([""] * 4 if row["session"] == last else first),
                row["rod"],
                names[row["variant"]],
                f"{minutes // 60}:{minutes % 60:02d}",
                row["fish"] or "",
                row["lost"],
            ]
        )
        last = row["session"]
    total = [sum(int(row[name]) for row in tables["stints"]) for name in ("fish", "lost")]
    lines.append(["Total", "", "", "", "", "", "", *total])
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file, delimiter=";", lineterminator="\n").writerows(lines)


def write_workbook(path: Path, tables: Tables) -> None:
    """The same four tables as sheets; dates and numbers are real ones, empty cells are empty."""
    from openpyxl import Workbook

    workbook = Workbook()
    workbook.remove(workbook.active)
    for name, rows in tables.items():
        sheet = workbook.create_sheet(name)
        sheet.append(list(rows[0]))
        for row in rows:
            sheet.append([cell(column, value) for column, value in row.items()])
        sheet.freeze_panes = "A2"
    workbook.save(path)


def cell(column: str, value: Any) -> Any:
    """What a spreadsheet would hold for a value of a CSV file."""
    if value == "":
        return None
    if column == "date":
        return dt.date.fromisoformat(value)
    if column == "time":
        return dt.datetime.fromisoformat(value)
    return value


def main(folder: Path = HERE) -> None:
    truth = tomllib.loads((HERE / "truth.toml").read_text(encoding="utf-8"))
    tables = make(truth)
    write_csv(folder, tables)
    write_workbook(folder / "season.xlsx", tables)
    write_own_spreadsheet(folder / "own_spreadsheet.csv", tables)


if __name__ == "__main__":
    main(*map(Path, sys.argv[1:2]))
