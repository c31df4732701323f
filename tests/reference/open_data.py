"""Open data sets as frames, one function a set; each CSV names its source and status on top.

Scope: reading only. The published results that belong to them are in `published`.
"""

from __future__ import annotations

from pathlib import Path

import pandas as pd

_FOLDER = Path(__file__).parent


def _read(name: str, **text_columns: type) -> pd.DataFrame:
    return pd.read_csv(_FOLDER / f"{name}.csv", comment="#", dtype=text_columns or None)


def doctors() -> pd.DataFrame:
    """age, smoker (0/1), deaths, person_years; 10 rows."""
    return _read("doctors")


def ships(with_service_only: bool = True) -> pd.DataFrame:
    """type, year, period (texts), service (months), incidents; 34 rows, 40 with empty service."""
    rows = _read("ships", type=str, year=str, period=str)
    return rows[rows["service"] > 0].reset_index(drop=True) if with_service_only else rows


def quine() -> pd.DataFrame:
    """Eth, Sex, Age, Lrn (texts), Days; 146 rows."""
    return _read("quine")


def insect_sprays() -> pd.DataFrame:
    """count, spray; 72 rows."""
    return _read("insectsprays")


def warp_breaks() -> pd.DataFrame:
    """breaks, wool, tension; 54 rows."""
    return _read("warpbreaks")


def mites() -> pd.DataFrame:
    """One row a leaf: mites; 150 rows."""
    table = _read("mites")
    repeated = table["mites"].repeat(table["leaves"])
    return repeated.reset_index(drop=True).to_frame()


def cholera() -> pd.DataFrame:
    """cases, households; households without a case left out."""
    return _read("cholera")


def gall_fly() -> pd.DataFrame:
    """eggs, heads; heads without eggs left out."""
    return _read("gall_fly")


def garwood_limits() -> pd.DataFrame:
    """n, lo90, hi90, lo95, hi95, lo99, hi99, onesided_hi95."""
    return _read("garwood_limits")


def conditional_critical_counts() -> pd.DataFrame:
    """total, min_larger_count_onesided05, min_larger_count_twosided05 (missing: none)."""
    return _read("conditional_critical_counts")


def benjamini_hochberg() -> pd.DataFrame:
    """p and five adjustments of it."""
    return _read("benjamini_hochberg")


def blood_counts() -> pd.DataFrame:
    """The rows of Dunnett 1955."""
    return _read("blood_counts")


def dunnett_two_sided() -> pd.DataFrame:
    """Two-sided 5 % points, computed."""
    return _read("dunnett_two_sided")


def ergo_stool() -> pd.DataFrame:
    """subject, type (texts), effort; 36 rows, every subject on every type once."""
    return _read("ergo_stool", subject=str, type=str)


def bait_lift() -> pd.DataFrame:
    """core_mm, diameter_mm, cork_kg_m3, paste_kg_m3, volumes, masses, net lift; 132 rows."""
    return _read("bait_lift")


def williams_sequences() -> dict[int, list[tuple[int, ...]]]:
    """Number of variants to the sequences of Williams, variants counted from 1."""
    table = _read("williams", sequence=str)
    return {
        int(n): [tuple(map(int, text.split())) for text in group["sequence"]]
        for n, group in table.groupby("n")
    }
