"""A comparison drawn on the axes of a Python user's own figure."""

from __future__ import annotations

from matplotlib.axes import Axes

from rodhours.errors import UsageError
from rodhours.evidence.results import ComparisonResult
from rodhours.report.figures.marks import marks
from rodhours.report.figures.parts import interval, ratio_ticks
from rodhours.report.figures.ratios import ratio_ends
from rodhours.report.figures.style import BAND, INK
from rodhours.wording.numbers import confidence_level


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
    estimates = [(one.rate_ratio, one.conf_low, one.conf_high) for one in result.comparisons]
    start, stop = ratio_ends(
        [dict(zip(("estimate", "conf_low", "conf_high"), one, strict=True)) for one in estimates]
    )
    ax.set_xscale("log")
    ax.set_xlim(start, stop)
    ax.set_ylim(len(variants) - 0.5, -0.5)
    ax.axvspan(max(start, 1 / result.margin), min(stop, result.margin), color=BAND, zorder=0)
    ax.axvline(1, color=INK, lw=0.8, zorder=1)
    look = marks(variants, result.reference)
    for place, (variant, limits) in enumerate(zip(variants, estimates, strict=True)):
        interval(ax, place, *limits, look[variant], (start, stop), zero_is_open=True)
    ax.set_yticks(range(len(variants)), variants)
    ratio_ticks(ax, start, stop, ax.get_window_extent().width * 72 / ax.figure.dpi)
    level = confidence_level(result.confidence)
    ax.set_xlabel(f"times as fast as {result.reference}, with {level} intervals")
    return ax
