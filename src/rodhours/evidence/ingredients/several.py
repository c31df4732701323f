"""An answer for each number of the recipe that differs between the variants fished."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import pandas as pd

from rodhours.errors import UsageError
from rodhours.evidence.ingredients.recipes import columns_that_differ
from rodhours.evidence.ingredients.respond import respond
from rodhours.evidence.ingredients.results import ResponseResult

MOST = 3


@dataclass(frozen=True)
class SeveralResponses:
    """The answers, in the order of the recipe's columns, and the columns past the first few."""

    responses: tuple[ResponseResult, ...] = ()
    further: tuple[str, ...] = ()


def respond_to_several(
    stints: pd.DataFrame,
    recipes: pd.DataFrame,
    adjust: Sequence[str] = (),
    confidence: float = 0.95,
    most: int = MOST,
) -> SeveralResponses:
    """`respond` for each number of the recipe that differs between the variants of these stints.

    `recipes` has one row a variant. At most `most` are answered; a column that cannot be (recipes
    that say too little of it) is passed over.
    """
    if "variant" not in recipes.columns:
        return SeveralResponses()
    fished = recipes[recipes["variant"].isin(stints["variant"].unique())]
    found: list[ResponseResult] = []
    further: list[str] = []
    for column in columns_that_differ(fished):
        if len(found) == most:
            further.append(column)
            continue
        try:
            found.append(respond(stints, recipes, column, adjust=adjust, confidence=confidence))
        except UsageError:
            continue
    return SeveralResponses(tuple(found), tuple(further))
