"""Results -> pictures: an SVG with its alt text, its caption and its numbers as a table.

The only folder that draws. A picture is the same bytes for the same input, asks for no font and
no address, follows the colours of the page, and can be read in grey: every variant has a marker
and a label, the reference is in ink.
"""

from rodhours.report.pictures.calendar import season_calendar
from rodhours.report.pictures.growth import evidence_growth
from rodhours.report.pictures.picture import Picture
from rodhours.report.pictures.rates import catch_rates
from rodhours.report.pictures.ratios import headline_ratios, rate_ratios

__all__ = [
    "Picture",
    "catch_rates",
    "evidence_growth",
    "headline_ratios",
    "rate_ratios",
    "season_calendar",
]
