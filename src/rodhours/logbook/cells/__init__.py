"""Cells to canonical values: numbers, hours, weights, dates, times and their zones.

Nothing is guessed: a text that is not in a stated form raises `CellFault`, whose text says what
would be right. Every function here is pure.
"""

from rodhours.logbook.cells.cells import cell_parser
from rodhours.logbook.cells.dates import (
    DATE_FORMS,
    DAY_FIRST,
    MONTH_FIRST,
    PIVOT,
    YEAR_FIRST,
    ambiguous,
    date_forms,
    iso_date,
    read_date,
    read_date_and_time,
)
from rodhours.logbook.cells.error_cells import is_error_cell
from rodhours.logbook.cells.faults import CellFault
from rodhours.logbook.cells.hours import (
    HOURS_FORMS,
    hours,
    hours_readings,
    hours_were_read,
    read_hours,
)
from rodhours.logbook.cells.moments import moment
from rodhours.logbook.cells.numbers import (
    MAX_WHOLE,
    NUMBER_FORMS,
    PLAIN,
    NumberForm,
    number,
    number_readings,
    read_number,
    read_whole,
    whole,
)
from rodhours.logbook.cells.texts import compass, extra, label, outcome, rod
from rodhours.logbook.cells.times import TIME_FORMS, at_time, clock_text, read_time, span
from rodhours.logbook.cells.weights import (
    KG_PER_LB,
    OZ_PER_LB,
    WEIGHT_FORMS,
    WEIGHT_UNITS,
    plain_weight,
    read_weight,
    weight_family,
    weight_kg,
    weight_readings,
)
from rodhours.logbook.cells.zones import (
    elapsed_hours,
    instant,
    machine_zone,
    possible_instants,
    zone_label,
)
from rodhours.wording.cells import TIME_NEVER_CAME, names_no_value

__all__ = [
    "DATE_FORMS",
    "DAY_FIRST",
    "HOURS_FORMS",
    "KG_PER_LB",
    "MAX_WHOLE",
    "MONTH_FIRST",
    "NUMBER_FORMS",
    "OZ_PER_LB",
    "PIVOT",
    "PLAIN",
    "TIME_FORMS",
    "TIME_NEVER_CAME",
    "WEIGHT_FORMS",
    "WEIGHT_UNITS",
    "YEAR_FIRST",
    "CellFault",
    "NumberForm",
    "ambiguous",
    "at_time",
    "cell_parser",
    "clock_text",
    "compass",
    "date_forms",
    "elapsed_hours",
    "extra",
    "hours",
    "hours_readings",
    "hours_were_read",
    "instant",
    "is_error_cell",
    "iso_date",
    "label",
    "machine_zone",
    "moment",
    "names_no_value",
    "number",
    "number_readings",
    "outcome",
    "plain_weight",
    "possible_instants",
    "read_date",
    "read_date_and_time",
    "read_hours",
    "read_number",
    "read_time",
    "read_weight",
    "read_whole",
    "rod",
    "span",
    "weight_family",
    "weight_kg",
    "weight_readings",
    "whole",
    "zone_label",
]
