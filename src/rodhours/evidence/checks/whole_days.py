"""Were hours written as whole or half days? A bait fished ten hours and written 24 loses rate."""

from __future__ import annotations

import numpy as np
import pandas as pd

from rodhours.evidence.result import CAUTION, Note

NEARLY_ALL, FEWEST_STINTS = 0.95, 20
STEPS = (24, 12)


def whole_days(stints: pd.DataFrame) -> list[Note]:
    """A note where at least 95 % of the stints have hours that are multiples of 24, or of 12.

    Stints with `cast_in` and `cast_out` are not looked at, since their hours are measured; of the
    others there must be 20. Numbers: `step` (24 or 12), `share` and `stints` looked at.
    """
    hours = stints["hours"].to_numpy(dtype=np.float64)
    if {"cast_in", "cast_out"} <= set(stints.columns):
        hours = hours[stints["cast_in"].isna() | stints["cast_out"].isna()]
    if len(hours) < FEWEST_STINTS:
        return []
    for step in STEPS:
        share = float(np.mean(hours % step == 0))
        if share >= NEARLY_ALL:
            numbers = {"step": step, "share": share, "stints": len(hours)}
            return [Note("whole_days", None, CAUTION, numbers)]
    return []
