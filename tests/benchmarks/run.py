"""Benchmarks, all or those named on the command line: one line a ratio.

Scope: two pieces of work in turn within one run, the median of their ratios and its range; bare
seconds belong to a machine, a ratio to the code. Each benchmark yields its lines.
"""

from __future__ import annotations

import csv
import io
import itertools
import random
import sqlite3
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import closing, redirect_stderr, redirect_stdout
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "lib"))

import numpy as np
import pandas as pd
import statsmodels.api as sm

import simulated_seasons as seasons
from odd_seasons import write
from rodhours.cli.main import run
from rodhours.evidence.compare import compare
from rodhours.log.importing import import_paths

EXAMPLE = Path(__file__).parents[2] / "example_data"
TABLES = [EXAMPLE / f"{name}.csv" for name in ("stints", "sessions", "variants", "catches")]
ROWS = 100_000
HEADER = ["session", "date", "venue", "rod", "variant", "hours", "fish"]
Work = Callable[[], object]


def seconds(work: Work) -> float:
    begin = time.perf_counter()
    work()
    return time.perf_counter() - begin


def ratio(name: str, work: Work, yardstick: Work, goal: float, pairs: int = 9) -> str:
    """Time the two in turn after one warm-up, and hold the median against the goal."""
    seconds(work), seconds(yardstick)
    found = [seconds(work) / seconds(yardstick) for _ in range(pairs)]
    median = statistics.median(found)
    verdict = "within" if median <= goal else "ABOVE"
    return (
        f"{name}: {median:.2f} x ({min(found):.2f} to {max(found):.2f}), {verdict} the goal of "
        f"{goal:g} x"
    )


def python(*arguments: object) -> None:
    """A process of its own, as a user starts one."""
    subprocess.run([sys.executable, *map(str, arguments)], check=True, capture_output=True)


def rodhours(*arguments: object) -> None:
    """A command in this process, in silence."""
    sys.argv = ["rodhours", *map(str, arguments)]
    with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
        try:
            run()
        except SystemExit as left:
            if left.code:
                raise


def commands(folder: Path) -> Iterator[str]:
    """Whole commands against the imports that they cannot do without."""
    yield ratio(
        "rodhours --help against 'import typer'",
        lambda: python("-m", "rodhours", "--help"),
        lambda: python("-c", "import typer"),
        2.0,
    )
    log = ("--logbook", folder / "logbook.sqlite")
    python("-m", "rodhours", "import", *TABLES, *log)
    yield ratio(
        "rodhours compare against 'import pandas, statsmodels.api'",
        lambda: python("-m", "rodhours", "compare", "pellet-20", "plain", *log),
        lambda: python("-c", "import pandas, statsmodels.api"),
        1.25,
    )


def season(trips: int, uneven: bool, seed: int = 0) -> pd.DataFrame:
    """A log of `trips` x 3 rods by mood; with `uneven`, no two stints have the same hours."""
    rng = np.random.default_rng(seed)
    frame = seasons.each_rod_by_mood(rng, 1.5, seasons.Season(trips=trips))
    return frame.assign(hours=rng.uniform(8.0, 30.0, len(frame))) if uneven else frame


def glm(frame: pd.DataFrame, clustered: bool, repeats: int) -> Work:
    """A bare Poisson fit of the same rows, `repeats` times; `clustered` with robust errors."""
    favourite = (frame["variant"] == seasons.FAVOURITE).to_numpy(dtype=float)
    design = np.column_stack((np.ones(len(frame)), favourite))
    model = {"family": sm.families.Poisson(), "exposure": frame["hours"].to_numpy()}
    groups = {"groups": pd.factorize(frame["session"])[0]}
    errors = {"cov_type": "cluster", "cov_kwds": groups} if clustered else {}
    fish = frame["fish"].to_numpy(dtype=float)
    return lambda: [sm.GLM(fish, design, **model).fit(**errors) for _ in range(repeats)]


def comparisons(_: Path) -> Iterator[str]:
    """A comparison against a bare fit, small and large; time a session as the log grows."""
    for trips, repeats, goal, pairs in ((40, 10, 5.0, 9), (ROWS // 3, 1, 60.0, 3)):
        for uneven in (False, True):
            frame = season(trips, uneven)
            yield ratio(
                f"{trips:,} sessions x 3 rods, uneven hours {uneven}, against {repeats} x GLM",
                lambda frame=frame: compare(frame, seasons.REFERENCE),
                glm(frame, clustered=trips > 40, repeats=repeats),
                goal,
                pairs,
            )
    times = {}
    for trips in (4_000, 8_000, 16_000, 32_000):
        frame = season(trips, uneven=True)
        times[trips] = seconds(lambda log=frame: compare(log, seasons.REFERENCE)) / trips
    growth = ", ".join(f"{trips:,}: {each / times[4_000]:.2f}" for trips, each in times.items())
    yield f"time a session against the smallest log (1 is linear growth): {growth}"


def imports(folder: Path) -> Iterator[str]:
    """A flat file of 100,000 stints into a new logbook, against csv and one executemany."""
    draw, log, number = random.Random(0), folder / "log.csv", itertools.count()
    with log.open("w", newline="", encoding="utf-8") as file:
        writer = csv.writer(file)
        writer.writerow(HEADER)
        for trip, rod in (divmod(row, 3) for row in range(ROWS)):
            date = f"{1920 + trip // 336}-{1 + trip // 28 % 12:02d}-{1 + trip % 28:02d}"
            variant = ("plain", "pellet-20")[draw.random() < 0.5]
            hours, fish = round(draw.uniform(6, 30), 2), int(draw.random() < 0.1)
            writer.writerow([f"T{trip:05d}", date, "North Pool", rod + 1, variant, hours, fish])

    def yardstick() -> None:
        with closing(sqlite3.connect(folder / f"{next(number)}.sqlite")) as connection:
            connection.execute(f"CREATE TABLE stints ({', '.join(HEADER)})")
            with log.open(newline="", encoding="utf-8") as file:
                marks = ", ".join("?" * len(HEADER))
                rows = itertools.islice(csv.reader(file), 1, None)
                connection.executemany(f"INSERT INTO stints VALUES ({marks})", rows)
            connection.commit()

    yield ratio(
        "import of 100,000 rows against csv and executemany",
        lambda: import_paths([log], folder / f"{next(number)}.sqlite"),
        yardstick,
        6.0,
        pairs=5,
    )


def reports(folder: Path) -> Iterator[str]:
    """The report of 400 trips on twelve waters against that of the example season."""
    work = []
    for name, files in (("long", write("400 trips", folder)), ("example", TABLES)):
        log = ("--logbook", folder / f"{name}.sqlite")
        rodhours("import", *files, *log)
        page = folder / f"{name}.html"
        work.append(lambda page=page, log=log: rodhours("report", "--out", page, *log))
    yield ratio("report of 400 trips against that of the example", *work, 2.0)


BENCHMARKS = {each.__name__: each for each in (commands, comparisons, imports, reports)}

if __name__ == "__main__":
    for chosen in sys.argv[1:] or list(BENCHMARKS):
        print(f"{chosen}:", flush=True)
        with tempfile.TemporaryDirectory() as temporary:
            for line in BENCHMARKS[chosen](Path(temporary)):
                print(f"  {line}", flush=True)
