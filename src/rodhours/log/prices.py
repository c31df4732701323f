"""The table of prices: what an ingredient costs, and for how much of it."""

from __future__ import annotations

import csv
import re
from pathlib import Path

from rodhours.errors import UnusableFile

PRICES = "prices.csv"
"""Looked for beside the logbook."""
COLUMNS = ("ingredient", "price", "for")
UNITS = {
    "g": ("g", 1.0),
    "kg": ("g", 1000.0),
    "ml": ("ml", 1.0),
    "l": ("ml", 1000.0),
    "egg": ("eggs", 1.0),
    "eggs": ("eggs", 1.0),
    "cork": ("corks", 1.0),
    "corks": ("corks", 1.0),
    "drop": ("drops", 1.0),
    "drops": ("drops", 1.0),
}


def read_prices(path: Path) -> dict[tuple[str, str], float]:
    """The price of one unit (g, ml, eggs, corks, drops) by ingredient and unit.

    `ingredient` is named as in the recipe's column (pellet, krill), or base mix, eggs, cork balls;
    `price` is a number in any currency, `for` an amount such as `500 g`. UnusableFile names the
    row that cannot be read.
    """
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            rows = list(csv.DictReader(file))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise UnusableFile(f"{path}: the prices cannot be read ({error}).") from None
    found = {}
    for number, row in enumerate(rows, start=2):
        cells = [(row.get(name) or "").strip() for name in COLUMNS]
        amount = re.fullmatch(r"(\d+(?:\.\d+)?)\s*([a-z]+)", cells[2].lower())
        price = re.fullmatch(r"\d+(?:\.\d+)?", cells[1])
        if not (cells[0] and price and amount and amount[2] in UNITS and float(amount[1]) > 0):
            raise UnusableFile(
                f"{path}, row {number}: a price is ingredient, price, for: such as pellet, 4.50, "
                f"500 g. Found {', '.join(cells)}."
            )
        unit, of = UNITS[amount[2]]
        found[cells[0].lower(), unit] = float(price[0]) / (float(amount[1]) * of)
    return found
