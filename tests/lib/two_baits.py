"""Twenty trips of the example season as tables of texts, cut down so that answers come quickly."""

from __future__ import annotations

from pathlib import Path

import pandas as pd

EXAMPLE = Path(__file__).parents[2] / "example_data"
TABLES = ("stints", "sessions", "variants", "catches")


def as_logged() -> dict[str, pd.DataFrame]:
    """Two baits, plain and pellet-20; every other fish a tench."""
    read = {name: pd.read_csv(EXAMPLE / f"{name}.csv", dtype=str) for name in TABLES}
    baits = {name: "plain" if name == "plain" else "pellet-20" for name in read["variants"].variant}
    read["variants"] = read["variants"][read["variants"]["variant"].isin(baits.values())]
    for name in ("stints", "sessions", "catches"):
        read[name] = read[name][read[name]["session"] <= "T20"].reset_index(drop=True)
        if name != "sessions":
            read[name]["variant"] = read[name]["variant"].map(baits)
    read["catches"].loc[::2, "species"] = "tench"
    return read


def written(files: dict[str, pd.DataFrame], folder: Path) -> list[Path]:
    """The tables as CSV files of a folder; their paths."""
    paths = [folder / f"{name}.csv" for name in files]
    for path, table in zip(paths, files.values(), strict=True):
        table.to_csv(path, index=False)
    return paths
