"""Is a variant known from one batch only? Then the recipe cannot be told from that batch."""

from __future__ import annotations

import numpy as np
import pandas as pd

from rodhours.evidence.checks.allocation import coded
from rodhours.evidence.result import INFORMATION, Note

LOGGED_SHARE = 0.5
"""Batches of a variant are counted where at least this share of its rod-hours names one."""


def one_batch_each(stints: pd.DataFrame, reference: str, variant: str) -> list[Note]:
    """A note where the variant or the reference was fished from a single batch.

    Numbers: `batches` and `reference_batches`, how many each was fished from; None where its
    batches are not logged for at least half of its rod-hours. Silent where no batch is logged.
    """
    if "batch" not in stints.columns:
        return []
    rows = coded(stints)
    batch = stints["batch"].to_numpy(dtype=object)
    logged = ~pd.isna(batch)
    counts = [
        _batches(rows.variant == rows.code(one), batch, logged, rows.hours)
        for one in (variant, reference)
    ]
    if 1 not in counts or variant == reference:
        return []
    return [
        Note(
            "one_batch_each",
            variant,
            INFORMATION,
            {"batches": counts[0], "reference_batches": counts[1]},
        )
    ]


def _batches(
    mine: np.ndarray, batch: np.ndarray, logged: np.ndarray, hours: np.ndarray
) -> int | None:
    known = mine & logged
    if hours[known].sum() < LOGGED_SHARE * hours[mine].sum() or not known.any():
        return None
    return len({str(one) for one in batch[known]})
