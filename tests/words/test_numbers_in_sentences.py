"""Every number in a sentence is one of its result, rounded as shown: no sentence tells another.

A text is taken apart without the program's own rounding: names and set phrases are taken out, and
each figure that is left must lie within half a unit of its last digit of a value of the result, or
of one worked out from it in a way stated here. Results of other kinds join by a line in `RESULTS`.
"""

from __future__ import annotations

import calendar
import math
import re
from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass, replace
from functools import cache
from itertools import count
from math import isfinite
from typing import Any

import pandas as pd
import pytest
from statsmodels.stats.proportion import proportion_confint

import odd_seasons
import rodhours
from note_examples import DERIVED, EXAMPLES
from rodhours.errors import UsageError
from rodhours.evidence.result import Note, Result
from rodhours.evidence.results import Comparison, ComparisonResult, RateSummary
from rodhours.evidence.season_by_season import season_by_season
from rodhours.kitchen.batch import BAITS, Asked, Batch, make_batch
from rodhours.kitchen.compare import RecipesCompared, compare_recipes, off_recipe
from rodhours.kitchen.ledger import Ledger, ledger
from rodhours.kitchen.lift import Lift, lift_asked
from rodhours.kitchen.recipe import recipe_of
from rodhours.kitchen.sheet import MixingSheet, mixing_sheet
from rodhours.simulate.hours import HoursPlan
from rodhours.simulate.rehearse import ArmResult, RehearsalResult
from rodhours.words import answer, kitchen, planning_hours, rehearsal, report
from rodhours.words import ledger as ledger_words
from rodhours.words import summary as rates
from rodhours.words.notes import TOGETHER, gathered, says
from rodhours.words.recipes import pair_says
from rodhours.words.shown import sentences

PHRASES = (
    "per 100 rod-hours",  # the unit of a rate
    "answer to 1",  # where a limit says nothing any more
    "Write 0",
    "0 where none was lost",
    "no more than 5 % may",
    "line at 1 is",
    "fewer than 5 fish",  # before there is a running interval
    planning_hours.FORMULA_ALONE,  # how far the formula is off, as measured once
    "3 rods for 24 h",  # the stand-in trip, as the options have it
    "over 20,000",  # more trips than are looked for
    "fish per 100",
    "per 100;",
    kitchen.LEGEND,
    "weigh 20 finished baits (--weight-of-20",
)
NAMED = 4
"""Of more in a row so many are named, then how many there are beside."""
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


def without_rest(text: str, many: int) -> str:
    """A text without how many there are beside those named."""
    return text.replace(f" and {many - NAMED} more", "")


def untrue(one: Said) -> list[str]:
    """The figures of a text that no value accounts for."""
    text = one.text
    for phrase in PHRASES:
        text = text.replace(phrase, "")
    text = re.sub(r" (chances in|of|in) 100\b", " %", text)
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
        text = without_rest(answer.rest_on(result), len(told))
        yield said(text, result.reference, names, derived=sums)
    family = [len(result.comparisons)]
    names = [one.variant for one in result.comparisons]
    for text in (
        without_rest(answer.question(result), len(result.comparisons)),
        report.ratios_heading(result),
        report.ratios_caption(result),
        report.answer_caption(result),
        report.together(len(result.comparisons)),
    ):
        yield said(text, *known, names, derived=family)
    own = [replace(one, alone=None, poisson=None, p_value=None) for one in result.comparisons]
    told = [(note.numbers.get("session"), note.numbers.get("level")) for note in result.notes]
    for numbers in (True, False):
        yield said(answer.tally(result, numbers), *known, own, told, derived=family)


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
    yield said(rates.rates_heading(summary.total), summary.total, derived=every)


def _rehearsed(result: RehearsalResult) -> Iterator[Said]:
    """Each arm from its own counts, the rest from what all seasons have in common."""
    lines = rehearsal.rehearsal_lines(result)
    arms = (*result.ladder, *result.arms)
    for text, arm in zip([text for text, item in lines if item], arms, strict=True):
        yield said(text, arm.ratio, arm.median_width, result.variant, derived=_shares(arm))
    own = (replace(result, own=replace(result.own, held=0, poisson_held=0, ahead=0),
                   ladder=(), arms=()))  # fmt: skip
    law = [1 / result.rate, math.exp(result.session_sd)]
    others = [float(arm.seasons) for arm in arms]
    derived = [*law, min(others), max(others), *_shares(result.own)]
    twice = next(arm for arm in result.ladder if arm.ratio == 2)
    yield said(rehearsal.heading(result), derived=_shares(twice))
    for text in (*(text for text, item in lines if not item), rehearsal.picture_caption(result)):
        yield said(text, own, derived=[*derived, 100 * result.confidence])
    every = [one for arm in (result.own, *arms) for one in _shares(arm)]
    left = list(range(1, 9))  # further parts, counted where there is no room for them
    yield said(rehearsal.picture_alt(result), result, derived=[*every, *left])


def _shares(arm: ArmResult) -> list[float]:
    """The shares of an arm's seasons as they are said, with Wilson's limits by statsmodels."""
    found = []
    for seasons in (
        arm.held,
        arm.poisson_held,
        arm.ahead,
        arm.no_limit,
        arm.seasons - arm.same_trips,
    ):
        if arm.seasons:
            low, high = proportion_confint(seasons, arm.seasons, 0.05, "wilson")
            share = seasons / arm.seasons
            if arm.seasons < rehearsal.ENOUGH_SEASONS:
                found += [seasons, arm.seasons, 100 * low, high]
                continue
            said_as = share if share in (0, 1) else min(max(share, 0.01), 0.99)
            found += [said_as, max(1.0, 50 * (high - low))]
    return found


def _planned(plan: HoursPlan) -> Iterator[Said]:
    """Rows of the table from their own design; the sentences speak of both."""
    for one, row in zip(plan.designs, planning_hours.table_rows(plan)[1:], strict=True):
        trips, power = one.trips_error or 0, one.monte_carlo_error or 0
        off = [max(1, math.ceil(2 * trips)), max(0.01, 2 * power)]
        yield said(", ".join(row), one, derived=[*off, 100 * (one.simulated_power or 0)])
    together, apart, grounds = plan.together, plan.apart, plan.grounds
    derived = [100 / grounds.per_100, math.exp(grounds.session_sd), plan.variants]
    if together.trips and apart.trips:
        derived.append(apart.trips / together.trips)
    for text in (*planning_hours.plan_lines(plan), *planning_hours.foot_lines(plan)):
        yield said(text, plan, derived=derived)


def _mixed(sheet: MixingSheet) -> Iterator[Said]:
    for one in sheet.quantities:
        yield said(kitchen.what(one, sheet.batch), one, sheet.batch.recipe, sheet.batch.egg)
        yield said(kitchen.amount(one.amount, one.unit), one)
    for text in (kitchen.title(sheet), kitchen.subtitle(sheet), *kitchen.explained(sheet.batch)):
        yield said(text, sheet.batch, derived=_dosed(sheet.batch))
    yield from _lifted(sheet.lift)


def _dosed(batch: Batch) -> list[float]:
    """Doses in other ways, worked out from the recipe: a kilogram of dry mix, a bait, on top."""
    recipe, egg = batch.recipe, batch.egg
    doses = {one.column: one.dose for one in recipe.ingredients}
    dose, pellet = (doses.get(name, 0.0) for name in ("attractor_ml_per_egg", "pellet_pct"))
    skin_cm3 = math.pi / 6 * (recipe.size_mm.value**3 - recipe.cork_mm.value**3) / 1000
    paste_g = egg.dry_g.value + egg.contents_g.value + dose  # a millilitre is taken as a gram
    bait_g = skin_cm3 * batch.paste_density.value / 1000
    baits = paste_g / bait_g  # waste is of paste with its attractor in it
    on_top = 100 * pellet / (100 - pellet)
    doses = [1000 * dose / egg.dry_g.value, float(f"{dose / baits:.2g}")]
    shares = [pellet / 100, on_top / 100, pellet / (100 + pellet), batch.waste_pct / 100]
    return [*doses, 10 * on_top, *shares]


def _lifted(found: Lift) -> Iterator[Said]:
    """Lifts that must not be too high are rounded down; natural cork is 120 to 240 kg/m³, tungsten
    19,300 (CRC Handbook, from memory)."""
    least = (found.lift_g.low, found.holds_in_water_g, found.holds_putty_in_air_g)
    down = [math.floor(100 * value + 1e-9) / 100 for value in least]
    for text in kitchen.lift_sentences(found):
        yield said(text, replace(found, holds_in_water_g=0, holds_putty_in_air_g=0),
                   derived=[*down, 120, 170, 240, 0.5, 19300, 20])  # fmt: skip


def _compared_recipes(recipes: RecipesCompared) -> Iterator[Said]:
    for pair in recipes.pairs:
        yield said(pair_says(pair), pair)


def _recorded(book: Ledger) -> Iterator[Said]:
    for text in ledger_words.sentences(book):
        yield said(text, book.variants)
    recipe = {"pellet_pct": 10.0, "boil_s": 90.0}
    for one in book.batches:
        label = ledger_words.bag_label(one.batch, one.variant, one.date, 44)
        yield said(label, one.batch, one.variant, one.date, 44)
        off = off_recipe(vars(one), recipe)
        says_off = ledger_words.off_recipe_says(one.batch, one.variant, off)
        shares = [100 * (one.pellet_g or 0) / (one.dry_g or 1)]
        yield said(says_off, one.batch, one.variant, recipe, one.boil_s, derived=shares)


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
                derive = DERIVED.get(code, lambda _: [])
                for many in range(NAMED + 1, len(alike) + 1):
                    text = without_rest(text, many)
                yield said(text, *known, derived=[x for one in alike for x in derive(one.numbers)])


def all_said(result: Result) -> Iterator[Said]:
    """The texts of a result of any kind: those stated above, or its sentences from all of it."""
    yield from _noted(result.notes)
    if isinstance(result, ComparisonResult):
        yield from _compared(result)
    elif type(result) in TOLD:
        yield from TOLD[type(result)](result)
    else:
        for text in sentences(result):
            counts = Counter(note.severity for note in result.notes)
            yield said(text, result, derived=list(counts.values()))


TOLD: dict[type, Callable[[Any], Iterator[Said]]] = {
    RateSummary: _summarised,
    RehearsalResult: _rehearsed,
    HoursPlan: _planned,
    MixingSheet: _mixed,
    Lift: _lifted,
    RecipesCompared: _compared_recipes,
    Ledger: _recorded,
}


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


@cache
def rehearsed(name: str) -> RehearsalResult:
    return rodhours.rehearse(stints_of(name), seasons=1)


def many_rehearsed(name: str) -> RehearsalResult:
    """As if 150 seasons of each kind had come, with counts that differ from kind to kind."""
    result, kinds = rehearsed(name), count(1)

    def several(arm: ArmResult) -> ArmResult:
        at = next(kinds)
        return replace(arm, asked=300, seasons=150, held=149 - 3 * at, poisson_held=97 - 7 * at,
                       ahead=11 * at, no_limit=2 * at, same_trips=150 - at)  # fmt: skip

    ladder, arms = (tuple(map(several, kind)) for kind in (result.ladder, result.arms))
    return replace(result, own=several(result.own), ladder=ladder, arms=arms)


def planned(name: str, *asked: Any, **options: Any) -> HoursPlan:
    return rodhours.plan_hours(stints_of(name), *asked, quick=True, **options)


def simulated(name: str) -> HoursPlan:
    """A plan with figures as simulated seasons would give them."""
    plan = planned(name, None, 1.6, 30)
    errors = {"monte_carlo_error": 0.031, "trips_error": 2.36, "season_power_error": 0.027}
    designs = tuple(replace(one, simulated_power=0.814, **errors) for one in plan.designs)
    return replace(plan, quick=False, seasons=300, designs=designs)


def mixed(name: str) -> MixingSheet:
    """The last recipe of a season as 55 baits over a cork of 9.7 mm."""
    recipe = recipe_of(recipes_of(name).iloc[-1].to_dict(), cork_mm=9.7)
    batch = make_batch(recipe, Asked(BAITS, 55))
    return mixing_sheet(batch, lift_asked(recipe.size_mm.value, 9.7, wanted_g=0.43))


def ledger_of(name: str) -> Ledger:
    """A batch of each bait of a season, two of the first; each recorded as an angler might."""
    baits = recipes_of(name)["variant"].tolist()
    blank = ("baits", "egg_g", "attractor_ml", "albumen_g", "paste_g", "drying_days", "notes",
             "weight_of_20", "lift_g", "lift_after_h", "paste_lot", "paste_date")  # fmt: skip
    rows = [
        {"batch": f"B{at}", "variant": bait, "date": pd.Timestamp("2024-02-20"),
         "dry_g": 1250.0 + at, "pellet_g": 130.0 * at, "eggs": 17.0, "boil_s": 1100.0 + 7 * at,
         "diameters_mm": (15.0, 15.5 + at), **dict.fromkeys(blank)}
        for at, bait in enumerate([baits[0], *baits])
    ]  # fmt: skip
    return ledger(pd.DataFrame(rows), dated(name).assign(batch=None))


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
    ("rehearsal", rehearsed),
    ("rehearsal, many seasons", many_rehearsed),
    ("hours", lambda name: planned(name, "plain", 0.5)),
    ("hours, three", lambda name: planned(name, None, 1.4, 30, family=3)),
    ("hours, season", lambda name: planned(name, None, None, 25)),
    ("hours, simulated", simulated),
    ("mixing sheet", mixed),
    ("lift", lambda name: mixed(name).lift),
    ("recipes", lambda name: compare_recipes(recipes_of(name), None, "plain")),
    ("ledger", ledger_of),
]
MAY_BE_REFUSED = {
    "rehearsal",
    "rehearsal, many seasons",
    "mixing sheet",
    "lift",
    "recipes",
    "ledger",
    "response",
    "running",
    "sizes",
    "next season",
    "season by season",
}
ALWAYS = ("one trip", "no fish at all", "a script tag")
LONG_WORK = {"running": ALWAYS[:2], "rehearsal": ALWAYS[:1], "rehearsal, many seasons": ALWAYS[:1]}


def cases() -> Iterator[Any]:
    """Each kind over three seasons that turn most sentences; all seasons at full size."""
    for name in odd_seasons.SEASONS:
        for kind, make in RESULTS:
            marks = () if name in LONG_WORK.get(kind, ALWAYS) else pytest.mark.full
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
    assert texts or (kind in ("running", "recipes") and name == "one variant")
    for one in texts:
        assert untrue(one) == [], one.text


@pytest.mark.parametrize(("example", "_"), EXAMPLES, ids=lambda one: getattr(one, "code", ""))
def test_every_number_in_a_note_is_one_of_its_own(example, _) -> None:
    """Each turn that a text can take."""
    for one in _noted((example,)):
        assert untrue(one) == [], one.text


def falsified(text: str) -> Iterator[str]:
    """The text with one figure changed by three units of its last digit, each figure in turn."""
    for found in _FIGURE.finditer(text):
        figure = found.group()
        decimals = len(figure.partition(".")[2])
        other = float(figure.replace(",", "")) + 3 * 10.0**-decimals
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


@pytest.mark.parametrize(
    ("kind", "name"),
    [
        ("rehearsal, many seasons", "no dates, no waters"),
        ("hours, three", "no fish at all"),
        ("hours, simulated", "no dates, no waters"),
        ("mixing sheet", "other scripts"),
        ("lift", "other scripts"),
        ("recipes", "other scripts"),
        ("ledger", "other scripts"),
    ],
)
def test_a_falsified_number_of_a_plan_or_of_the_kitchen_is_seen(kind, name) -> None:
    """Of all figures said, changed one by one, at least four in five are caught."""
    told = list(all_said(dict(RESULTS)[kind](name)))
    false = [replace(one, text=text) for one in told for text in falsified(one.text)]
    seen = [bool(untrue(one)) for one in false]
    assert seen
    assert sum(seen) >= 0.8 * len(seen), [one.text for one in false if not untrue(one)]


def test_names_and_set_phrases_are_no_numbers() -> None:
    """A bait called pellet-20 accounts for no 20."""
    assert untrue(said("pellet-20 caught 20 fish per 100 rod-hours", "pellet-20")) == ["20"]
    assert untrue(said("in July 2025", "2025-07")) == []
    assert untrue(said("31 % of them", 0.31, 0.5)) == []
