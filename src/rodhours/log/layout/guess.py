"""Which of their columns is which of ours: by name, by the trade's other names, by contents.

One column for each of ours. Where several are equally likely, none is taken and all are named.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from types import MappingProxyType

from rodhours.log.layout.contents import Contents, filled_down
from rodhours.log.layout.names import (
    EVERY_NAME,
    STRONG_NAMES,
    WEAK_NAMES,
    plain_name,
    words_in_name,
)
from rodhours.log.table import known_columns
from rodhours.log.tables import SESSIONS
from rodhours.near import near_names

EXACT, STRONG, WEAK, BY_A_WORD = 4, 3, 2, 1
LONGEST_NAME = 200
"""Nobody names a column by more characters."""
_BY_A_WORD = ("date", "hours", "fish", "lost", "weight")
ALIKE = 0.8
"""How alike a name must be to ours to be taken for a slip of it."""
_RUNNING = re.compile(r"\b(?:totals?|running|so far|season|cumulative|tally|count)\b")
_OF_A_TRIP = re.compile(r"^(?:session|trip|outing|visit) ")
"""The title over the columns of a trip: `Session Lake`."""


@dataclass
class Guesses:
    """`found`: their column to ours; `ties`: ours to the columns that are equally likely.

    `row_numbers`: the column that is called a session's and has another text in every row, though
    day and water repeat.
    """

    found: dict[str, str] = field(default_factory=dict)
    ties: dict[str, list[str]] = field(default_factory=dict)
    row_numbers: str | None = None

    @property
    def ours(self) -> set[str]:
        """Our columns that have one of theirs."""
        return {*self.found.values()}


def guess_columns(
    contents: Mapping[str, Contents],
    table: str,
    stated: Mapping[str, str] = MappingProxyType({}),
    of_rods: Collection[str] | None = None,
) -> Guesses:
    """The likeliest match for each column of a table, by their names and their contents.

    `stated` has those of their columns of which it is known; `of_rods` those that say a thing of
    each rod, where a row is of several: a count of them all cannot be shared out.
    """
    guesses = Guesses(dict(stated))
    left = {name: held for name, held in contents.items() if name not in stated}
    candidates: list[tuple[int, str, str]] = []
    for ours in (*known_columns(table), *(("weight",) if table == "stints" else ())):
        for theirs, held in left.items():
            if ours in ("rod", "fish", "lost") and theirs not in (of_rods or left):
                continue
            fit = rank(theirs, ours)
            if ours == "hours" and fit == WEAK and held.clock_times and not says_hours(theirs):
                # 18:30 under `Time` may be when, or for how long.
                continue
            no_hours = ours in ("hours", "fish") and counts_on(theirs, held, fit)
            if no_hours or (held.periods and ours != "hours"):
                continue
            if fit and (theirs == ours or held.could_be(ours)):
                candidates.append((fit, theirs, ours))
    _take(guesses, candidates)
    of = {ours: theirs for theirs, ours in guesses.found.items()}
    arrived = left.get(of.get("start", ""))
    days = arrived is not None and arrived.dates and not arrived.mostly(lambda text: ":" in text)
    if "date" not in of and days:
        guesses.found[of["start"]] = "date"
    _by_contents(guesses, left, table)
    _times_rather_than_hours(guesses, left)
    _without_row_numbers(guesses, left)
    return guesses


def _without_row_numbers(guesses: Guesses, left: Mapping[str, Contents]) -> None:
    """A column with another text in every row is no session where day and water repeat."""
    of = {ours: theirs for theirs, ours in guesses.found.items()}
    named = of.get("session", "")
    if named not in left or "date" not in of:
        return
    cells = [cell.strip() for cell in left[named].cells]
    days = [filled_down(left[of[one]].cells) for one in ("date", "venue") if of.get(one) in left]
    if days and len(set(cells)) == len(cells) > len(set(zip(*days, strict=True))):
        guesses.row_numbers = named
        del guesses.found[named]


def counts_on(theirs: str, held: Contents, fit: int = WEAK) -> bool:
    """Whether numbers go on from row to row: those of the trips, or a running total."""
    running = _RUNNING.search(theirs.casefold()) is not None and min(held.steps, default=0) > 0
    return running or (held.steps == {1} and fit <= WEAK)


def says_hours(theirs: str) -> bool:
    return bool(re.search(r"\b(h|hrs?|hours?|duration|length|total|long)\b", theirs.casefold()))


@lru_cache(maxsize=10_000)
def rank(theirs: str, ours: str) -> int:
    """How well a name fits one of our columns: EXACT, STRONG, WEAK, BY_A_WORD or 0."""
    if len(theirs) > LONGEST_NAME:
        return 0
    name, asked = plain_name(theirs), words_in_name(theirs)
    if ours in SESSIONS.names and asked not in EVERY_NAME:
        asked = _OF_A_TRIP.sub("", asked)
    if theirs == ours or "_".join(name.split()) == ours:
        return EXACT
    for one in (name, asked):
        for fit, known in ((STRONG, STRONG_NAMES), (WEAK, WEAK_NAMES)):
            if one in known.get(ours, ()):
                return fit
    if name not in EVERY_NAME and near_names(name, [ours], 1, ALIKE):
        return WEAK
    if asked == name or ours not in _BY_A_WORD:
        return 0
    # A question that speaks of it: `What date did you fish?`
    told = says_hours(theirs) if ours == "hours" else ours in asked.split()
    return BY_A_WORD if told else 0


def _take(guesses: Guesses, candidates: list[tuple[int, str, str]]) -> None:
    """The best first; equals for one of ours are a tie, as is one column that fits several."""
    ties: dict[str, list[str]] = {}
    for fit in (EXACT, STRONG, WEAK, BY_A_WORD):
        while free := [
            (theirs, ours)
            for r, theirs, ours in candidates
            if r == fit
            and theirs not in guesses.found
            and ours not in guesses.found.values()
            and ours not in ties
        ]:
            alone = [
                (theirs, ours)
                for theirs, ours in free
                if sum(o == ours for _, o in free) == 1 and sum(t == theirs for t, _ in free) == 1
            ]
            if alone:
                guesses.found.update(alone)
                continue
            # One column for several of ours: the first of them in the order of the format.
            ours = free[0][1]
            several = [theirs for theirs, o in free if o == ours]
            if len(several) == 1:
                guesses.found[several[0]] = ours
            else:
                ties[ours] = several
    rest = {ours: [n for n in names if n not in guesses.found] for ours, names in ties.items()}
    guesses.ties = {ours: names for ours, names in rest.items() if len(names) > 1}
    for ours, names in ties.items():
        left = [name for name in names if name not in guesses.found]
        if len(left) == 1 and ours not in guesses.found.values():
            guesses.found[left[0]] = ours


def _by_contents(guesses: Guesses, left: Mapping[str, Contents], table: str) -> None:
    """Dates, periods and weights with their unit: a lone column of them is nothing else."""
    free = {name: held for name, held in left.items() if name not in guesses.found}
    alike = {
        "date": [name for name, held in free.items() if held.dates and not held.numbers],
        "weight": [name for name, held in free.items() if held.named_weights],
        "hours": [name for name, held in free.items() if held.periods],
    }
    for ours, names in alike.items():
        names = [name for name in names if name not in guesses.found]
        # In place of their number fish may be told one by one, with their weights.
        wanted = ours in known_columns(table) or (table == "stints" and "fish" not in guesses.ours)
        if not wanted or ours in guesses.ours or ours in guesses.ties:
            continue
        if len(names) == 1:
            guesses.found[names[0]] = ours
        elif names:
            guesses.ties[ours] = names


def _times_rather_than_hours(guesses: Guesses, left: Mapping[str, Contents]) -> None:
    """`Time in` beside `Time out`, `Start` beside `Finish`: when the rods were in the water."""
    of = {ours: theirs for theirs, ours in guesses.found.items()}
    if of.get("hours") in left and "cast_out" in of and "cast_in" not in of:
        named = of["hours"]
        if rank(named, "cast_in") and left[named].could_be("cast_in"):
            guesses.found[named] = "cast_in"
            return
    if "hours" in of or {"cast_in", "cast_out"} <= set(of):
        return
    if "start" in of and ("end" in of or "cast_out" in of):
        guesses.found[of["start"]] = "cast_in"
        if "cast_out" not in of:
            guesses.found[of["end"]] = "cast_out"
