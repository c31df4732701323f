"""A small invented season for the tests of the logbook, as tables of texts, and its files.

Every value is written down here by hand or by a plain rule, so that expected totals can be
counted from the rows themselves.
"""

from __future__ import annotations

import csv
from datetime import date, timedelta
from pathlib import Path

from rodhours.log.logbook import open_logbook
from rodhours.log.waiting import WaitingRow

Table = list[dict[str, str]]
Log = dict[str, Table]

VENUES = ("Alder Mere", "Old Brickpit")
BAITS = ("plain", "pellet-10", "pellet-20")


def season(sessions: int = 6) -> Log:
    """Three rods a session, one variant each; a catch row for each fish."""
    log: Log = {"stints": [], "sessions": [], "catches": [], "variants": []}
    for number in range(sessions):
        label = f"trip {number + 1}"
        log["sessions"].append(
            {
                "session": label,
                "date": (date(2025, 4, 1) + timedelta(days=number)).isoformat(),
                "venue": VENUES[number % 2],
                "water_temp_c": f"{8 + number % 9}.5",
            }
        )
        for rod, bait in enumerate(BAITS, start=1):
            fish = (number * 3 + rod) % 7 // 5
            log["stints"].append(
                {
                    "session": label,
                    "variant": bait,
                    "hours": f"{5 + rod}.{number % 10}",
                    "fish": str(fish),
                    "rod": str(rod),
                    "moon": f"{number % 4}",
                }
            )
            log["catches"].extend(
                {"session": label, "rod": str(rod), "species": "carp", "weight": "22lb 4oz"}
                for _ in range(fish)
            )
    log["variants"] = [
        {"variant": "plain", "pellet_pct": "0", "boil_s": "90"},
        {"variant": "pellet-10", "pellet_pct": "10", "boil_s": "90"},
        {"variant": "pellet-20", "pellet_pct": "20", "boil_s": "90"},
    ]
    return log


def write_csv(path: Path, table: Table) -> Path:
    """One table as CSV, with the columns of all its rows."""
    names = list(dict.fromkeys(name for row in table for name in row))
    with path.open("w", newline="", encoding="utf-8") as out:
        writer = csv.DictWriter(out, names, restval="")
        writer.writeheader()
        writer.writerows(table)
    return path


def write_log(folder: Path, log: Log) -> list[Path]:
    """Every table that has rows as a CSV file of its name."""
    folder.mkdir(parents=True, exist_ok=True)
    return [write_csv(folder / f"{name}.csv", table) for name, table in log.items() if table]


def write_flat(path: Path, log: Log) -> Path:
    """Stints with the columns of their session and variant, as one flat file."""
    sessions = {row["session"]: row for row in log["sessions"]}
    variants = {row["variant"]: row for row in log["variants"]}
    return write_csv(
        path,
        [row | sessions[row["session"]] | variants[row["variant"]] for row in log["stints"]],
    )


def write_text(path: Path, text: str) -> Path:
    """A CSV written down in a test, without its common indentation."""
    lines = [line.strip() for line in text.strip().splitlines()]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def refused(logbook: Path) -> list[WaitingRow]:
    """The rows that wait in a logbook, in the order of their files."""
    with open_logbook(logbook) as book:
        return list(book.waiting_rows().values())
