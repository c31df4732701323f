"""One call of compare against one bare fit of a Poisson GLM on the same rows."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pandas as pd
import statsmodels.api as sm
from timing import Ratio, ratio, seconds

import simulated_seasons as seasons
from rodhours.evidence.compare import compare

PEAK = """
import resource, sys
sys.path[:0] = {paths!r}
import comparisons
from rodhours.evidence.compare import compare
compare(comparisons.season(33_333, uneven={uneven}), "plain")
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""


def season(trips: int, *, mood: bool = True, uneven: bool = False, seed: int = 0) -> pd.DataFrame:
    """A log of `trips` x 3 rods; with `uneven`, no two stints have the same hours."""
    rng = np.random.default_rng(seed)
    make = seasons.each_rod_by_mood if mood else seasons.both_on_every_trip
    frame = make(rng, 1.5, seasons.Season(trips=trips))
    return frame.assign(hours=rng.uniform(8.0, 30.0, len(frame))) if uneven else frame


def arrays(frame: pd.DataFrame) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    indicator = (frame["variant"] == seasons.FAVOURITE).to_numpy(dtype=float)
    design = np.column_stack((np.ones(len(frame)), indicator))
    session = pd.factorize(frame["session"])[0]
    return frame["fish"].to_numpy(dtype=float), design, frame["hours"].to_numpy(), session


def glm(frame: pd.DataFrame, *, clustered: bool):
    fish, design, hours, session = arrays(frame)
    options = {"cov_type": "cluster", "cov_kwds": {"groups": session}} if clustered else {}
    family = sm.families.Poisson()
    return lambda: sm.GLM(fish, design, family=family, exposure=hours).fit(**options)


def small_logs() -> Iterator[Ratio]:
    for mood in (False, True):
        for uneven in (False, True):
            for seed in (0, 1, 2):
                frame = season(40, mood=mood, uneven=uneven, seed=seed)
                yield ratio(
                    f"40 sessions x 3 rods, by mood {mood}, uneven hours {uneven}, seed {seed}",
                    lambda frame=frame: compare(frame, seasons.REFERENCE),
                    glm(frame, clustered=False),
                    50.0,
                    yardstick_repeats=10,
                )


def run() -> Iterator[str]:
    """Both bases, limits and p, on a season and on 100,000 stints; growth and memory."""
    found = list(small_logs())
    yield from (str(one) for one in found)
    yield f"40 sessions x 3 rods, mean of all: {np.mean([one.median for one in found]):.1f} x"
    for uneven in (False, True):
        frame = season(33_333, uneven=uneven)
        yield str(
            ratio(
                f"100,000 stints of 33,333 sessions, uneven hours {uneven}, against the GLM "
                "with cluster-robust errors",
                lambda frame=frame: compare(frame, seasons.REFERENCE),
                glm(frame, clustered=True),
                60.0,
                pairs=3,
            )
        )
    sizes = (4_000, 8_000, 16_000, 32_000)
    logs = [season(trips, uneven=True) for trips in sizes]
    times = [
        min(seconds(lambda log=log: compare(log, seasons.REFERENCE)) for _ in range(2))
        for log in logs
    ]
    per_session = [
        time / trips * sizes[0] / times[0] for time, trips in zip(times, sizes, strict=True)
    ]
    told = ", ".join(f"{trips:,}: {one:.2f}" for trips, one in zip(sizes, per_session, strict=True))
    yield f"time a session against the smallest log (1 is linear growth): {told}"
    here = Path(__file__).parent
    for uneven in (False, True):
        script = PEAK.format(paths=[str(here), str(here.parent)], uneven=uneven)
        peak = subprocess.run(
            [sys.executable, "-c", script], check=True, capture_output=True, text=True
        ).stdout.strip()
        yield f"peak memory of 100,000 stints, uneven hours {uneven}: {float(peak):.0f} MiB"
