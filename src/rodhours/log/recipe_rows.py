"""What holds of each recipe: what the changes say of it, put together under its label now."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Callable, Mapping
from typing import Any

from rodhours.log.tables import VARIANT_DATA

Recipe = dict[str, Any]
"""The cells of VARIANT_DATA by name, and `extra`, the unknown columns as one JSON text."""
CELLS = (*VARIANT_DATA, "extra")


def held_recipes(run: sqlite3.Connection, now: Callable[[str], str]) -> dict[str, Recipe]:
    """Each bait's recipe by its label, in the order of the labels; `now` gives a label's own now.

    A whole row takes the place of what was said of the same label before, cells of a flat file
    that of those cells; an import with --replace speaks of the whole bait, whichever labels it
    had. Recipes that meet under one label are filled from each other, the label's own first.
    """
    said: dict[str, Recipe] = {}
    for row in run.execute(
        "SELECT v.*, c.details FROM variants v JOIN changes c ON c.id = v.change_id "
        "WHERE c.undone_at IS NULL ORDER BY v.change_id, v.id"
    ):
        names = row.keys()
        recipe = {name: row[name] if name in names else None for name in CELLS}
        label, whole = row["variant"], row["whole"]
        replaces = json.loads(row["details"]).get("replace")
        for other, earlier in list(said.items()) if replaces else ():
            # Take back what was said before of the same bait under its other labels.
            if earlier["change"] == row["change_id"] or now(other) != now(label):
                continue
            if whole:
                del said[other]
            else:
                earlier.update(dict.fromkeys(_filled(recipe)))
        if not whole:
            recipe = {**said.get(label, dict.fromkeys(CELLS)), **_filled(recipe)}
        said[label] = recipe | {"change": row["change_id"]}
    held: dict[str, Recipe] = {}
    for label in sorted(said, key=lambda label: (label != now(label), label)):
        recipe = {name: said[label][name] for name in CELLS}
        bait = now(label)
        held[bait] = joined(recipe, held[bait])[0] if bait in held else recipe
    return dict(sorted(held.items()))


def _filled(recipe: Mapping[str, Any]) -> Recipe:
    return {name: value for name, value in recipe.items() if value is not None}


def joined(other: Recipe, own: Recipe) -> tuple[Recipe, list[str]]:
    """Two recipes as one, and the columns that both fill and fill otherwise.

    An empty cell is not recorded, so it differs from nothing; where both are filled, `own` holds.
    """
    texts = [json.loads(recipe["extra"] or "{}") for recipe in (other, own)]
    filled = _filled(own)
    differing = [
        name for name in VARIANT_DATA if name in filled and other[name] not in (None, own[name])
    ]
    differing += sorted(n for n in texts[0].keys() & texts[1] if texts[0][n] != texts[1][n])
    return {**other, **filled, "extra": as_json({**texts[0], **texts[1]})}, differing


def as_json(extras: Mapping[str, str]) -> str | None:
    """Unknown columns as one text, always the same for the same cells; None without any."""
    if not extras:
        return None
    return json.dumps(extras, sort_keys=True, ensure_ascii=False, separators=(",", ":"))
