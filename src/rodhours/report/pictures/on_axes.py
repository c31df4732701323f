"""A comparison drawn on the axes of a Python user's own figure."""

from __future__ import annotations

from matplotlib.axes import Axes

from rodhours.errors import UsageError
from rodhours.evidence.results import ComparisonResult
from rodhours.report.pictures.ratios import forest_ends
from rodhours.report.pictures.rows import interval, level_ratios, shaded, times_as_fast
from rodhours.report.pictures.variant_style import variant_styles
from rodhours.words.numbers import confidence_level


def plot(result: ComparisonResult, ax: Axes | None = None) -> Axes:
    """The headline rate ratios with their intervals, a row a variant, on a log axis.

    The line at 1 is the reference, the band around it what counts as level. An arrow means that
    the interval goes on, or has no limit on that side. Without `ax` a new figure gets one.
    Returns the axes. UsageError for a result without a comparison.
    """
    if not result.comparisons:
        raise UsageError("There is no comparison to draw.")
    if ax is None:
        from matplotlib import pyplot

        _, ax = pyplot.subplots(layout="constrained")
    variants = [one.variant for one in result.comparisons]
    rows = [(one.rate_ratio, one.conf_low, one.conf_high) for one in result.comparisons]
    ends = forest_ends(iter(rows))
    ax.set_ylim(len(variants) - 0.5, -0.5)
    level_ratios(ax, ends)
    shaded(ax, ends, result.margin)
    styles = variant_styles(variants, result.reference, result.settled)
    for place, (variant, limits) in enumerate(zip(variants, rows, strict=True)):
        interval(ax, place, limits, styles[variant])
    ax.set_yticks(range(len(variants)), variants)
    level = confidence_level(result.confidence)
    ax.set_xlabel(f"{times_as_fast(result.reference)}, with {level} intervals")
    return ax
