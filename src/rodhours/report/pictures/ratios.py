"""Rate ratios against the reference as a forest plot: whole, headline answers alone, by season."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import groupby

import pandas as pd
from matplotlib.axes import Axes

from rodhours.evidence.results import Comparison, ComparisonResult, RateRow, RatioRow
from rodhours.evidence.season_by_season import OneSeason, SeasonBySeason
from rodhours.report.pictures.picture import Picture, drawn
from rodhours.report.pictures.rows import (
    Group,
    Limited,
    Row,
    interval,
    level_ratios,
    ratio_ends,
    rows_figure,
    shaded,
    times_as_fast,
)
from rodhours.report.pictures.style import INK, LINE, SOFT
from rodhours.report.pictures.variant_style import Styles, VariantStyle
from rodhours.report.tables import rates_table, ratios_table
from rodhours.words import report as words
from rodhours.words import season_by_season as season_words
from rodhours.words.answer import verdict_words
from rodhours.words.numbers import limits_short, ratio, ratio_label


def rate_ratios(result: ComparisonResult, styles: Styles) -> Picture:
    """Forest plot: the same-trip ratio beside the all-trips one."""
    rows = (row for row in result.rows if row.basis != "poisson")
    return _forest("ratios", rows, result, styles, words.ratios_caption(result))


def headline_ratios(result: ComparisonResult, styles: Styles) -> Picture:
    """The interval of each headline answer alone, for the top of the page."""
    rows = (row for row in result.rows if row.verdict is not None)
    return _forest("answer", rows, result, styles, words.answer_caption(result))


def _forest(
    name: str, unsorted: Iterable[RatioRow], result: ComparisonResult, styles: Styles, caption: str
) -> Picture:
    """Rate ratios on a log axis, grouped by variant."""
    margin = result.margin
    place, both = list(styles), name != "answer"
    rows = sorted(unsorted, key=lambda row: place.index(row.variant))
    groups = []
    for variant, several in groupby(rows, key=lambda row: row.variant):
        own = list(several)
        shown = [
            _row(row, styles[variant], row.verdict is not None, row.basis if both else "", margin)
            for row in own
        ]
        groups.append(Group(variant, shown, "" if both else verdict_words(own[0].verdict or "")))
    ends = forest_ends(map(_limited, rows))

    def scale(axes: Axes) -> None:
        level_ratios(axes, ends)
        shaded(axes, ends, margin)

    return drawn(
        name,
        words.ratios_alt(result.reference, rows, margin),
        caption,
        ratios_table(rows, margin, result.confidence),
        lambda: rows_figure(groups, times_as_fast(result.reference), scale, 16),
    )


def _row(
    row: RatioRow | Comparison,
    style: VariantStyle,
    leads: bool,
    label: str,
    margin: float | None = None,
    colour: str = INK,
) -> Row:
    """A ratio with its interval, strongest where it leads."""
    shown = _limited(row)
    style = replace(style, weight=2.6 if leads else 1.3, size=6.5 if leads else 5.0)
    return Row(
        ratio_label(*shown, margin),
        lambda axes, y: interval(axes, y, shown, style),
        label,
        colour,
        LINE + 15.0 if label else 15.0,
    )


def _limited(row: RatioRow | Comparison) -> Limited:
    return row.rate_ratio, row.conf_low, row.conf_high


def forest_ends(rows: Iterator[Limited]) -> tuple[float, float]:
    """The ends of the axis; a line that is open on one side gets some length before its arrow."""
    values: list[float | None] = []
    for estimate, low, high in rows:
        values += [estimate, low, high]
        if high and not low:
            values.append(high / 3)
        if low and high is None:
            values.append(low * 3)
    return ratio_ends(values, 0.06)


def ratios_by_season(result: SeasonBySeason, styles: Styles) -> Picture:
    """Forest plot: each variant's ratio in each season that had it beside the reference."""
    place = {name: number for number, name in enumerate(styles)}
    answered = sorted(
        ((answer.variant, one.season, answer) for one, _, answer in _by_season(result) if answer),
        key=lambda row: (place.get(row[0], len(place)), row[1]),
    )
    groups = []
    for variant, own in groupby(answered, key=lambda row: row[0]):
        rows = []
        for _, season, answer in own:
            last = season == result.seasons[-1].season
            style, colour = styles.get(variant, VariantStyle()), INK if last else SOFT
            rows.append(_row(answer, style, last, season, colour=colour))
        groups.append(Group(variant, rows))
    ends = forest_ends(_limited(one) for _, _, one in answered)
    return drawn(
        "seasons",
        season_words.alt(result.reference, [(season, answer) for _, season, answer in answered]),
        season_words.caption(result),
        seasons_table(result),
        lambda: rows_figure(
            groups, times_as_fast(result.reference), lambda axes: level_ratios(axes, ends), 16
        ),
    )


def _by_season(result: SeasonBySeason) -> Iterator[tuple[OneSeason, RateRow, Comparison | None]]:
    """Each season's variants with their rate, and their answer where there is one."""
    for one in result.seasons:
        answers = {answer.variant: answer for answer in one.comparisons}
        for row in one.rates:
            yield one, row, answers.get(row.group)


def seasons_table(result: SeasonBySeason) -> pd.DataFrame:
    """Seasons and variants as a table to be shown, rates and ratios beside each other."""
    rows = list(_by_season(result))
    answers = [answer for _, _, answer in rows]
    rates = rates_table([row for _, row, _ in rows]).iloc[:, :6]
    rates.insert(0, "Season", [one.season for one, _, _ in rows])
    return rates.assign(
        Basis=["" if one is None else one.basis for one in answers],
        Ratio=["" if one is None else ratio(one.rate_ratio) for one in answers],
        Limits=[
            "" if one is None else limits_short(one.conf_low, one.conf_high) for one in answers
        ],
    )
