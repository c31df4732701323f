"""Import of 100,000 rows against reading them with csv and one executemany."""

from __future__ import annotations

import csv
import itertools
import random
import sqlite3
import tempfile
from collections.abc import Iterator
from pathlib import Path

from timing import ratio

from rodhours.logbook.importing import import_paths

ROWS = 100_000
HEADER = ["session", "date", "venue", "rod", "variant", "hours", "fish"]


def write_log(path: Path) -> None:
    draw = random.Random(0)
    with path.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(HEADER)
        for number in range(ROWS):
            trip, rod = divmod(number, 3)
            month, day = 1 + trip // 28 % 12, 1 + trip % 28
            writer.writerow(
                [
                    f"T{trip:05d}",
                    f"{2000 + trip // 336}-{month:02d}-{day:02d}",
                    ("North Pool", "South Pool")[trip % 2],
                    rod + 1,
                    ("plain", "pellet-20")[draw.random() < 0.5],
                    round(draw.uniform(6, 30), 2),
                    int(draw.random() < 0.1),
                ]
            )


def run() -> Iterator[str]:
    """A flat file of 100,000 stints of 33,334 sessions, into a new logbook each time."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        log = folder / "log.csv"
        write_log(log)
        number = itertools.count()

        def ours() -> None:
            result = import_paths(
                [log], folder / f"{next(number)}.sqlite", dry_run=False, replace=False, zone=None
            )
            assert result.rows_imported == ROWS

        def yardstick() -> None:
            connection = sqlite3.connect(folder / f"{next(number)}.sqlite")
            columns = ", ".join(HEADER)
            connection.execute(f"CREATE TABLE stints ({columns})")
            with log.open(newline="", encoding="utf-8") as file:
                rows = csv.reader(file)
                next(rows)
                marks = ", ".join("?" * len(HEADER))
                connection.executemany(f"INSERT INTO stints VALUES ({marks})", rows)
            connection.commit()
            connection.close()

        yield str(
            ratio(
                "import of 100,000 rows against csv and executemany", ours, yardstick, 6.0, pairs=5
            )
        )
