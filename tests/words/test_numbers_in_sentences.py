"""Every number in a sentence is one of its result, rounded as shown: no sentence tells another.

A text is taken apart without the program's own rounding: names and set phrases are taken out, and
each figure that is left must lie within half a unit of its last digit of a value of the result, or
of one worked out from it in a way stated here. Results of other kinds join by a line in `RESULTS`.
"""

from __future__ import annotations

import calendar
import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cache
from math import isfinite
from typing import Any

import pandas as pd
import pytest

import odd_seasons
import rodhours
from note_examples import DERIVED, EXAMPLES
from rodhours.errors import UsageError
from rodhours.evidence.result import Note, Result
from rodhours.evidence.results import Comparison, ComparisonResult
from rodhours.evidence.season_by_season import season_by_season
from rodhours.words import answer, first_screen, report
from rodhours.words import summary as rates
from rodhours.words.notes import TOGETHER, gathered, says
from rodhours.words.shown import sentences

PHRASES = (
    "per 100 rod-hours",  # the unit of a rate
    "answer to 1",  # where a limit says nothing any more
    "Write 0",
    "0 where none was lost",
    "no more than 5 % may",
    "line at 1 is",
    "needs 5 fish",  # before there is a running interval
)
_FIGURE = re.compile(r"(?<![\w.,])\d[\d,]*(?:\.\d+)?(?:(?= %))?(?!\w)")


@dataclass(frozen=True)
class Said:
    """A text with the values it may tell of and the names that may stand in it."""

    text: str
    values: tuple[float, ...]
    names: tuple[str, ...]


def parts_of(thing: Any) -> Iterator[float | str]:
    """Every number and every text in a result, a note, a frozen part or a mapping."""
    if isinstance(thing, bool) or thing is None:
        return
    if isinstance(thing, int | float | str):
        yield thing
    elif is_dataclass(thing) and not isinstance(thing, type):
        for one in fields(thing):
            yield from parts_of(getattr(thing, one.name))
    elif isinstance(thing, Mapping):
        for key, value in thing.items():
            yield from parts_of(key)
            yield from parts_of(value)
    elif isinstance(thing, list | tuple):
        for one in thing:
            yield from parts_of(one)


def said(text: str, *sources: Any, derived: list[float] | None = None) -> Said:
    """A text and all that its sources hold."""
    found = [one for source in sources for one in parts_of(source)]
    names = [one for one in found if isinstance(one, str)]
    months = [one for one in names if re.match(r"\d{4}-\d\d", one)]
    names += [f"{calendar.month_name[int(one[5:7])]} {one[:4]}" for one in months]
    values = [float(one) for one in found if not isinstance(one, str) and isfinite(one)]
    return Said(text, (*values, *(derived or [])), tuple(names))


def untrue(one: Said) -> list[str]:
    """The figures of a text that no value accounts for."""
    text = one.text.replace(" chances in 100", " %")
    for phrase in PHRASES:
        text = text.replace(phrase, "")
    for name in sorted(one.names, key=len, reverse=True):
        text = re.sub(rf"(?<!\w){re.escape(name)}(?!\w)", "", text)
    return [
        found.group()
        for found in _FIGURE.finditer(text)
        if not _accounted_for(found.group(), text[found.end() :].startswith(" %"), one.values)
    ]


def _accounted_for(figure: str, is_percent: bool, values: tuple[float, ...]) -> bool:
    shown = float(figure.replace(",", ""))
    decimals = len(figure.partition(".")[2])
    near = 0.5 * 10.0**-decimals * (1 + 1e-9) + 1e-12
    scale = 100.0 if is_percent else 1.0
    return any(abs(abs(scale * value) - shown) <= near for value in values)


# What each kind of result says, and from what.


def _comparison(one: Comparison, result: ComparisonResult) -> Iterator[Said]:
    turned = [1 / value for value in (one.rate_ratio, one.conf_low, one.conf_high) if value]
    together = [one.fish + one.reference_fish]
    # The limits without the family's adjustment and those of fish by themselves stand in tables.
    own = replace(one, alone=None, poisson=None, p_value=None, all_trips=None)
    known = (own, result.reference, result.confidence, result.margin)
    text = answer.headline(one, result)
    first, beside, second = text.partition(" Over all ")
    yield said(first, *known, derived=[*turned, *together])
    yield said(beside + second, one.variant, one.all_trips, *known[1:3])
    yield said(answer.rests_on(one, result.reference), *known)
    yield said(answer.reference_row(one, result.reference), *known)


def _compared(result: ComparisonResult) -> Iterator[Said]:
    known = (result.reference, result.confidence, result.margin)
    for one in result.comparisons:
        yield from _comparison(one, result)
    if len(result.comparisons) > 1:
        same = [one for one in result.comparisons if one.basis != "all trips"]
        told = same or result.comparisons
        sums = [
            told[0].reference_fish + sum(one.fish for one in told),
            told[0].reference_rod_hours + sum(one.rod_hours for one in told),
            told[0].sessions,
            *(one.shared_sessions for one in told),
        ]
        names = [one.variant for one in result.comparisons]
        yield said(first_screen.rest_on(result), result.reference, names, derived=sums)
    family = [len(result.comparisons)]
    names = [one.variant for one in result.comparisons]
    for text in (
        answer.tally(result),
        first_screen.question(result),
        first_screen.finding(result) if names else "",
        report.ratios_heading(result),
        report.ratios_caption(result),
        report.answer_caption(result),
        report.together(result.confidence, len(result.comparisons)),
    ):
        yield said(text, *known, names, derived=family)


def _summarised(summary: Any) -> Iterator[Said]:
    rows = [*summary.rows, summary.total]
    for row in rows:
        told = (row.per_100_rod_hours, row.model_per_100_rod_hours)
        every = [100 / rate for rate in told if rate]
        yield said(rates.rates_row(row), row)
        yield said(rates.uneven_rate(row) or "", row, derived=every)
        yield said(rates.rates_alt([row]), row)
    every = [100 / row.per_100_rod_hours for row in rows if row.per_100_rod_hours]
    yield said(rates.fished_text(summary.total), summary.total, derived=every[-1:])
    yield said(rates.rates_heading(summary.rows), derived=every)


def _noted(notes: tuple[Note, ...]) -> Iterator[Said]:
    """Each note from its own numbers, and several of one code from theirs together."""
    for one in notes:
        derive = DERIVED.get(one.code)
        derived = derive(one.numbers) if derive else []
        yield said(says(one), one.variant, one.numbers, derived=derived)
    for code in TOGETHER:
        alike = [one for one in notes if one.code == code]
        if len(alike) > 1:
            for _, text in gathered(alike):
                known = [(one.variant, one.numbers) for one in alike]
                yield said(text, *known, derived=[4] if code == "not_same_trips" else None)


def all_said(result: Result) -> Iterator[Said]:
    """The texts of a result of any kind: those stated above, or its sentences from all of it."""
    yield from _noted(result.notes)
    if isinstance(result, ComparisonResult):
        yield from _compared(result)
    elif isinstance(result, rodhours.evidence.results.RateSummary):
        yield from _summarised(result)
    else:
        for text in sentences(result):
            counts = Counter(note.severity for note in result.notes)
            yield said(text, result, derived=list(counts.values()))


@cache
def stints_of(name: str) -> pd.DataFrame:
    """The stint frame of an odd season, with the columns that its sessions have."""
    tables = odd_seasons.SEASONS[name]()
    stints = tables["stints"]
    if "sessions" in tables:
        stints = stints.merge(tables["sessions"], how="left", on="session")
        stints = stints.drop(columns=[one for one in stints if one.endswith("_y")])
        stints = stints.rename(columns={"angler_x": "angler"})
        stints["date"] = pd.to_datetime(stints["date"])
    return stints


def dated(name: str) -> pd.DataFrame:
    """Its stints, with a date that is missing where the log has none."""
    stints = stints_of(name)
    return stints if "date" in stints else stints.assign(date=pd.NaT)


def catches_of(name: str) -> pd.DataFrame:
    """Its fish with their weights in kilograms (the international pound is 0.45359237 kg)."""
    catches = odd_seasons.SEASONS[name]().get("catches", pd.DataFrame())
    if catches.empty:
        raise UsageError("no fish")
    parts = catches["weight"].str.extract(r"(\d+)lb (\d+)oz").astype(float)
    return catches.assign(weight=(parts[0] + parts[1] / 16) * 0.45359237)


def recipes_of(name: str) -> pd.DataFrame:
    recipes = odd_seasons.SEASONS[name]().get("variants")
    if recipes is None:
        raise UsageError("no recipes")
    return recipes


RESULTS: list[tuple[str, Callable[[str], Result]]] = [
    # A kind, and how it is made of an odd season; UsageError where a season cannot have it.
    ("compare", lambda name: rodhours.compare(stints_of(name), "plain")),
    ("compare, no reference", lambda name: rodhours.compare(stints_of(name), adjust=["rod"])),
    ("compare, 90 %", lambda name: rodhours.compare(stints_of(name), "plain", None, (), 0.9)),
    ("check", lambda name: rodhours.check(stints_of(name), "plain")),
    ("summary", lambda name: rodhours.summarise(stints_of(name))),
    ("summary by rod", lambda name: rodhours.summarise(stints_of(name), "rod", 0.8)),
    ("response", lambda name: rodhours.respond(stints_of(name), recipes_of(name), "pellet_pct")),
    ("running", lambda name: rodhours.running_looks(stints_of(name), "plain")),
    ("sizes", lambda name: rodhours.sizes(catches_of(name), "plain")),
    ("next season", lambda name: rodhours.next_season(stints_of(name), "plain")),
    ("season by season", lambda name: season_by_season(dated(name), "plain")),
]
MAY_BE_REFUSED = {"response", "running", "sizes", "next season", "season by season"}
LONG = {"twelve variants", "400 trips"}
SHORT = {"one trip", "no fish at all", "one variant"}


def cases() -> Iterator[Any]:
    """Each kind over each season; long seasons, and looks after every trip, at full size alone."""
    for name in odd_seasons.SEASONS:
        for kind, make in RESULTS:
            full = name in LONG or (kind == "running" and name not in SHORT)
            marks = pytest.mark.full if full else ()
            yield pytest.param(name, kind, make, id=f"{name}-{kind}", marks=marks)


@pytest.mark.parametrize(("name", "kind", "make"), list(cases()))
def test_every_number_said_is_a_number_of_the_result(name, kind, make) -> None:
    """Over odd seasons: one trip, no fish, many baits, names of 80 letters, other scripts."""
    try:
        result = make(name)
    except UsageError:
        assert kind in MAY_BE_REFUSED
        return
    texts = list(all_said(result))
    assert texts or (kind, name) == ("running", "one variant")
    for one in texts:
        assert untrue(one) == [], one.text


@pytest.mark.parametrize(("example", "_"), EXAMPLES, ids=lambda one: getattr(one, "code", ""))
def test_every_number_in_a_note_is_one_of_its_own(example, _) -> None:
    """Each turn that a text can take."""
    for one in _noted((example,)):
        assert untrue(one) == [], one.text


def falsified(text: str) -> Iterator[str]:
    """The text with one figure changed by two units of its last digit, each figure in turn."""
    for found in _FIGURE.finditer(text):
        figure = found.group()
        decimals = len(figure.partition(".")[2])
        other = float(figure.replace(",", "")) + 2 * 10.0**-decimals
        yield f"{text[: found.start()]}{other:,.{decimals}f}{text[found.end() :]}"


def test_a_falsified_number_is_seen() -> None:
    """The rule can fail: of all figures of an answer and its notes, changed one by one, nearly
    all are caught; none of those of an opening sentence slips through."""
    log = stints_of("twelve waters, some trips undated")
    result = rodhours.compare(log, "plain", "pellet-20")
    (one,) = result.comparisons
    opening, *others = _comparison(one, result)
    assert opening.text in answer.headline(one, result)
    changed = [Said(text, opening.values, opening.names) for text in falsified(opening.text)]
    assert len(changed) >= 4
    assert [false.text for false in changed if not untrue(false)] == []
    notes = [note_said for example, _ in EXAMPLES for note_said in _noted((example,))]
    seen = [
        bool(untrue(Said(text, told.values, told.names)))
        for told in (*others, *notes)
        for text in falsified(told.text)
    ]
    assert len(seen) > 60
    assert sum(seen) > 0.9 * len(seen)


def test_names_and_set_phrases_are_no_numbers() -> None:
    """A bait called pellet-20 accounts for no 20."""
    assert untrue(said("pellet-20 caught 20 fish per 100 rod-hours", "pellet-20")) == ["20"]
    assert untrue(said("in July 2025", "2025-07")) == []
    assert untrue(said("31 % of them", 0.31, 0.5)) == []
