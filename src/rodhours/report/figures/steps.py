"""Cumulative fish as corner points to draw, and each variant's totals to say."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd

MOST_STEPS = 600
"""Corners drawn of one line; a longer log is thinned to them, ends kept."""


def stairs(own: pd.DataFrame) -> tuple[np.ndarray, np.ndarray]:
    """Corner points of one variant's steps: along with the hours, then up by the trip's fish."""
    if len(own) > MOST_STEPS:
        own = own.iloc[np.unique(np.linspace(0, len(own) - 1, MOST_STEPS).astype(int))]
    xs = np.concatenate([[0.0], np.repeat(own["rod_hours_so_far"].to_numpy(float), 2)])
    ys = np.concatenate([[0.0, 0.0], np.repeat(own["fish_so_far"].to_numpy(float), 2)])[:-1]
    return xs, ys


def totals(steps: pd.DataFrame) -> list[dict[str, Any]]:
    """For each variant its fish, its rod-hours and its best trip."""
    return [
        {
            "variant": variant,
            "fish": int(own["fish"].sum()),
            "rod_hours": float(own["rod_hours"].sum()),
            "best_trip": int(own["fish"].max()),
        }
        for variant, own in steps.groupby("variant", sort=False)
    ]
