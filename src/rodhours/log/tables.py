"""The tables of the trip log and of the kitchen, declared once, and those of the logbook's file.

The reader, the logbook and the stint frame all follow from this file: a new column of the trip
log is one line here.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum


class Kind(Enum):
    """What a cell may hold; `units` turns each kind into one canonical value."""

    TEXT = "text"
    ROD = "rod"
    WHOLE = "whole number"
    NUMBER = "number"
    DATE = "date"
    MOMENT = "local date and time"
    WEIGHT = "weight"
    COMPASS = "compass point"
    OUTCOME = "outcome"

    @property
    def sql(self) -> str:
        """The column type in the logbook."""
        if self in (Kind.NUMBER, Kind.WEIGHT):
            return "REAL"
        return "INTEGER" if self is Kind.WHOLE else "TEXT"

    @property
    def numeric(self) -> bool:
        """Whether the canonical value is a number."""
        return self.sql != "TEXT"


COMPASS_POINTS = (
    *("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE"),
    *("S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"),
)


@dataclass(frozen=True)
class Column:
    """One column: its bounds are inclusive, but for `above`, which the value must exceed."""

    name: str
    kind: Kind
    holds: str
    needed: bool = False
    low: float | None = None
    high: float | None = None
    above: float | None = None


@dataclass(frozen=True)
class Table:
    """One table; `row_is` says what one row of it stands for."""

    name: str
    row_is: str
    columns: tuple[Column, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The declared column names, in order."""
        return tuple(column.name for column in self.columns)

    def column(self, name: str) -> Column:
        """The declared column of that name; KeyError where there is none."""
        for column in self.columns:
            if column.name == name:
                return column
        raise KeyError(name)


SESSION = Column("session", Kind.TEXT, "the label that the rows of one trip share", needed=True)
ANGLER = Column("angler", Kind.TEXT, "who fished, where two people use the same session labels")

STINTS = Table(
    "stints",
    "one rod fishing one hookbait variant for an unbroken stretch",
    (
        SESSION,
        ANGLER,
        Column("variant", Kind.TEXT, "the recipe's label", needed=True),
        Column("hours", Kind.NUMBER, "decimal hours in the water", above=0, low=0.01, high=10_000),
        Column("cast_in", Kind.MOMENT, "when the bait went in"),
        Column("cast_out", Kind.MOMENT, "when the bait came out"),
        Column("fish", Kind.WHOLE, "fish landed; a blank is written 0", low=0, high=1000),
        Column("lost", Kind.WHOLE, "fish hooked and lost", low=0),
        Column("rod", Kind.ROD, "rod position: 1, 2, 3 from the left, or a text"),
        Column("batch", Kind.TEXT, "which batch of baits the hookbaits came from"),
        Column("rig", Kind.TEXT, "the rig, as fished"),
        Column("hook_size", Kind.TEXT, "the hook size, as fished"),
        Column("spot", Kind.TEXT, "the spot fished"),
        Column("depth_m", Kind.NUMBER, "depth, metres", low=0),
        Column("range_m", Kind.NUMBER, "casting distance, metres", low=0),
    ),
)

SESSIONS = Table(
    "sessions",
    "one stay at one water",
    (
        SESSION,
        Column("date", Kind.DATE, "the day of the session"),
        Column("start", Kind.MOMENT, "when the session began"),
        Column("end", Kind.MOMENT, "when the session ended"),
        Column("venue", Kind.TEXT, "the water"),
        Column("swim", Kind.TEXT, "the swim"),
        ANGLER,
        Column("water_temp_c", Kind.NUMBER, "water temperature, °C", low=-5, high=45),
        Column("air_temp_c", Kind.NUMBER, "air temperature, °C", low=-60, high=60),
        Column("pressure_hpa", Kind.NUMBER, "air pressure, hPa", low=800, high=1100),
        Column("wind_dir", Kind.COMPASS, "where the wind comes from, compass point"),
        Column("wind_force", Kind.WHOLE, "wind force, Beaufort number", low=0, high=12),
        Column("latitude", Kind.NUMBER, "latitude, decimal degrees", low=-90, high=90),
        Column("longitude", Kind.NUMBER, "longitude, decimal degrees", low=-180, high=180),
        Column("notes", Kind.TEXT, "anything else"),
    ),
)

CATCHES = Table(
    "catches",
    "one fish",
    (
        SESSION,
        ANGLER,
        Column("rod", Kind.ROD, "the rod that had it", needed=True),
        Column("variant", Kind.TEXT, "the variant that had it, where one rod fished several"),
        Column("time", Kind.MOMENT, "when it was landed or lost"),
        Column("species", Kind.TEXT, "the species"),
        Column("weight", Kind.WEIGHT, "its weight with the unit; kept in kilograms", above=0),
        Column("outcome", Kind.OUTCOME, "landed (the default) or lost"),
    ),
)

VARIANTS = Table(
    "variants",
    "one hookbait made to one recipe",
    (
        Column("variant", Kind.TEXT, "the label used in stints", needed=True),
        Column("base_mix", Kind.TEXT, "the base mix"),
        Column("pellet_pct", Kind.NUMBER, "ground pellet, % of dry weight", low=0, high=100),
        Column("attractor_ml_per_egg", Kind.NUMBER, "liquid attractor, ml for each egg", low=0),
        Column("albumen_g_per_kg", Kind.NUMBER, "dried egg white, g per kg of dry mix", low=0),
        Column("cork_mm", Kind.NUMBER, "diameter of the cork ball, mm; 0 is none", low=0),
        Column("size_mm", Kind.NUMBER, "diameter of the finished bait, mm", above=0),
        Column("boil_s", Kind.NUMBER, "boiling time, seconds", low=0),
    ),
)

BATCHES = Table(
    "batches",
    "one lot of hookbaits mixed, rolled and boiled together",
    (
        Column("batch", Kind.TEXT, "the code on the bag, to be logged in stints", needed=True),
        Column("variant", Kind.TEXT, "the recipe's label", needed=True),
        Column("date", Kind.DATE, "the day it was made", needed=True),
        Column("baits", Kind.WHOLE, "how many baits it gave", low=1),
        Column("dry_g", Kind.NUMBER, "dry mix as weighed, pellet and egg white in it, g", above=0),
        Column("pellet_g", Kind.NUMBER, "ground pellet in that dry mix, g", low=0),
        Column("eggs", Kind.NUMBER, "how many eggs", above=0),
        Column("egg_g", Kind.NUMBER, "those eggs without their shells, g", above=0),
        Column("attractor_ml", Kind.NUMBER, "liquid attractor, ml", low=0),
        Column("albumen_g", Kind.NUMBER, "dried egg white, g", low=0),
        Column("paste_g", Kind.NUMBER, "the paste it gave, g", above=0),
        Column("boil_s", Kind.NUMBER, "boiling time, seconds", low=0),
        Column("drying_days", Kind.NUMBER, "days of drying", low=0),
        Column("weight_of_20", Kind.NUMBER, "what 20 finished baits weigh together, g", above=0),
        Column("lift_g", Kind.NUMBER, "what a bait lifts in a glass of water, g"),
        Column("lift_after_h", Kind.NUMBER, "hours in the water before that", low=0),
        Column("paste_lot", Kind.TEXT, "the lot of paste that it was rolled from"),
        Column("paste_date", Kind.DATE, "the day that lot was made"),
        Column("notes", Kind.TEXT, "anything else"),
    ),
)
"""The kitchen's own table: kept by `rodhours batch`, never read from a trip log's files."""

ESSENTIAL = frozenset(
    {
        *("session", "angler", "variant", "hours", "cast_in", "cast_out", "fish", "rod"),
        *("date", "start", "end", "venue", "outcome"),
    }
)
"""Columns that an answer needs: where a cell of one cannot be read, its whole trip waits."""
UNREAD = "unread:"
"""Before a column's name: the cells of it that could not be read, word for word."""

TABLES: dict[str, Table] = {table.name: table for table in (STINTS, SESSIONS, CATCHES, VARIANTS)}

APPLICATION_ID = 0x526F6448
"""`RodH`, in the header of every logbook."""
VERSION = 8
"""The layout of the logbook; a file of another one is refused, not guessed at.

A further column in `tables` is no new layout: a file begun before it is read without it, and
gains it with its next change.
"""
SESSION_DATA = tuple(name for name in SESSIONS.names if name not in ("session", "angler"))
STINT_DATA = tuple(name for name in STINTS.names if name not in ("session", "angler"))
CATCH_DATA = tuple(name for name in CATCHES.names if name not in ("session", "angler"))
VARIANT_DATA = tuple(name for name in VARIANTS.names if name != "variant")
BATCH_DATA = tuple(name for name in BATCHES.names if name != "batch")

DECLARED: dict[str, tuple[Table, tuple[str, ...]]] = {
    "sessions": (SESSIONS, SESSION_DATA),
    "stints": (STINTS, STINT_DATA),
    "catches": (CATCHES, CATCH_DATA),
    "variants": (VARIANTS, VARIANT_DATA),
    "batches": (BATCHES, BATCH_DATA),
}
"""The tables whose columns `tables` declares, beside the keys that each has of its own."""


def quoted(names: Iterable[str]) -> str:
    """Column names as a list in SQL."""
    return ", ".join(f'"{name}"' for name in names)


def field(table: Table, name: str) -> str:
    """The definition of a declared column."""
    return f'"{name}" {table.column(name).kind.sql}'


def _fields(name: str) -> str:
    table, names = DECLARED[name]
    return ", ".join(field(table, column) for column in names)


IS_SET_UP = "SELECT 1 FROM sqlite_master WHERE name = 'changes'"
SCHEMA = (
    "CREATE TABLE settings (name TEXT PRIMARY KEY, value TEXT NOT NULL)",
    "CREATE TABLE changes (id INTEGER PRIMARY KEY, kind TEXT NOT NULL, made_at TEXT NOT NULL, "
    "undone_at TEXT, zone TEXT, files TEXT NOT NULL, rows INTEGER NOT NULL, "
    "sessions INTEGER NOT NULL, details TEXT NOT NULL, rows_sha256 TEXT)",
    # Of all that each change brought: see `logbook_file`.
    "CREATE TABLE digests (change_id INTEGER PRIMARY KEY, sha256 TEXT NOT NULL)",
    # A version of a session with its stints and catches, as a file had it: never changed.
    "CREATE TABLE sessions (id INTEGER PRIMARY KEY, change_id INTEGER NOT NULL, "
    f"session TEXT NOT NULL, angler TEXT, {_fields('sessions')}, extra TEXT)",
    f"CREATE TABLE stints (id INTEGER PRIMARY KEY, session_id INTEGER NOT NULL, "
    f"{_fields('stints')}, extra TEXT)",
    "CREATE TABLE catches (session_id INTEGER NOT NULL, "
    f"stint_id INTEGER, {_fields('catches')}, extra TEXT)",
    "CREATE TABLE said_again (session_id INTEGER NOT NULL, change_id INTEGER NOT NULL, "
    "PRIMARY KEY (change_id, session_id)) WITHOUT ROWID",
    "CREATE VIEW session_says AS SELECT id AS session_id, change_id FROM sessions "
    "UNION ALL SELECT session_id, change_id FROM said_again",
    # What an import says of a recipe: the whole row, or the cells that a flat file carries.
    "CREATE TABLE variants (id INTEGER PRIMARY KEY, change_id INTEGER NOT NULL, "
    f"whole INTEGER NOT NULL, variant TEXT NOT NULL, {_fields('variants')}, extra TEXT)",
    "CREATE TABLE batches (id INTEGER PRIMARY KEY, change_id INTEGER NOT NULL, "
    f"batch TEXT NOT NULL UNIQUE, {_fields('batches')})",
    "CREATE TABLE diameters (batch_id INTEGER NOT NULL, bait INTEGER NOT NULL, "
    "diameter_mm REAL NOT NULL, PRIMARY KEY (batch_id, bait))",
    # Rows that an import refused, and the changes that have done with them.
    "CREATE TABLE waiting (id INTEGER PRIMARY KEY, change_id INTEGER NOT NULL, trip TEXT NOT NULL, "
    "angler TEXT, kind TEXT NOT NULL, file TEXT NOT NULL, sheet TEXT, of_table TEXT NOT NULL, "
    "row INTEGER NOT NULL, reason TEXT NOT NULL, cells TEXT NOT NULL, fish INTEGER NOT NULL)",
    "CREATE TABLE waiting_done (waiting_id INTEGER NOT NULL, change_id INTEGER NOT NULL, "
    "PRIMARY KEY (waiting_id, change_id)) WITHOUT ROWID",
    "CREATE VIEW waits AS SELECT * FROM waiting "
    "WHERE change_id IN (SELECT id FROM changes WHERE undone_at IS NULL) "
    "AND id NOT IN (SELECT waiting_id FROM waiting_done "
    "WHERE change_id IN (SELECT id FROM changes WHERE undone_at IS NULL))",
    # Of each session the version that the last change still standing speaks of.
    "CREATE VIEW current AS SELECT s.id AS id, max(y.change_id) AS change_id "
    "FROM session_says y JOIN sessions s ON s.id = y.session_id "
    "WHERE y.change_id IN (SELECT id FROM changes WHERE undone_at IS NULL) "
    "GROUP BY s.session, ifnull(s.angler, '')",
    f"PRAGMA application_id = {APPLICATION_ID}",
    f"PRAGMA user_version = {VERSION}",
)
"""The statements that begin a logbook."""
