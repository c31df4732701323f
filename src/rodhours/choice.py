"""Which stints and fish of a logbook are asked about: read at one moment, every choice checked."""

from __future__ import annotations

import re
from calendar import monthrange
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from rodhours.errors import UsageError

if TYPE_CHECKING:
    import pandas as pd

    from rodhours.evidence.result import Note
    from rodhours.log.aliases import Labels, OpenedEarly
    from rodhours.log.logbook import Logbook
    from rodhours.log.waiting import WaitingTrip

LOGGED, STAYS = "logged", "stays"
"""What a trip is: what the log calls a session, or days in a row on one water."""
WAITING_SHARE = 0.05
"""More trips than this share that wait are a serious matter."""
LEFT_OUT = "left_out"
"""The code of the note, and the name of the filter, on sessions left out."""


@dataclass(frozen=True, eq=False)
class LogContent:
    """What is read of a logbook, all of one moment.

    `stints`, `catches` and `recipes` are the frames of the sessions that count; `everything`
    has the stints of sessions left out too, for what is in the log is no gap in it. `labels`
    are what labels stand for after renames and opened keys; `waiting` are the trips whose rows
    were refused, `opened_early` the keys of blind bags opened before the last trip,
    `taken_as_new` label and angler of those known to be no doubles; `reference` is the bait that
    the logbook keeps; `zone` names the time zone of the latest import.
    """

    path: Path
    stints: pd.DataFrame
    everything: pd.DataFrame
    catches: pd.DataFrame
    recipes: pd.DataFrame
    batches: pd.DataFrame
    left_out: tuple[Mapping[str, Any], ...]
    waiting: tuple[WaitingTrip, ...]
    opened_early: tuple[OpenedEarly, ...]
    taken_as_new: frozenset[tuple[str, str | None]]
    reference: str | None
    weight_unit: str
    labels: Labels
    sha256: str
    zone: str | None

    @cached_property
    def warnings(self) -> tuple[Note, ...]:
        """What is amiss with what is counted, whichever rows are chosen: doubles, trips that wait.

        Those are serious where they are more than 5 % of trips, or have fish. A probable double is
        in the log already, and a trip in conflict in another version.
        """
        from rodhours.evidence.checks.doubles import doubles
        from rodhours.evidence.checks.plan import rods_unfished
        from rodhours.evidence.result import CAUTION, INFORMATION, SERIOUS, Note

        found = doubles(self.stints, self.taken_as_new)
        trips = [trip for trip in self.waiting if trip.rows[0].of_table != "variants"]
        if trips:
            there = len(self.stints[["session", "angler"]].drop_duplicates())
            kinds = [trip.kind for trip in trips]
            absent = len(kinds) - kinds.count("probable double")
            fish = sum(trip.fish for trip in trips if trip.kind == "held back")
            serious = fish > 0 or absent > WAITING_SHARE * (there + absent)
            weight = SERIOUS if serious else CAUTION if absent else INFORMATION
            numbers = {"trips": len(trips), "absent": absent, "counted": there, "fish": fish}
            found.append(Note("trips_waiting", None, weight, numbers))
        for key in self.opened_early:
            early: dict[str, Any] = {
                "plan": key.plan,
                "opened_on": key.opened_at[:10],
                "blind": key.blind,
                "planned": key.trips_planned,
                "after": len(key.after),
            }
            weight = CAUTION if key.after else INFORMATION
            found.append(Note("opened_early", None, weight, early))
        return (*found, *rods_unfished(self.stints, self._empty_rods))

    @property
    def _empty_rods(self) -> Counter[str]:
        """The rods of trips that wait of which nothing is said, by the bait planned."""
        from rodhours.log.unfished import planned_of_empty

        reasons = [row.reason for trip in self.waiting for row in trip.rows]
        found: Counter[str] = Counter()
        for bait, many in planned_of_empty(reasons).items():
            found[self.labels.of(bait)] += many
        return found

    def variant_meant(self, name: str | None) -> str | None:
        """The bait that a name typed by a user stands for: one known now, else what it became."""
        known = {*self.everything["variant"], *self.recipes["variant"]}
        return None if name is None else self.labels.meant(name, known)


@dataclass(frozen=True, eq=False, repr=False)
class Chosen:
    """The stints and fish chosen of a logbook.

    `filters` is the choice as every answer's machine form has it, `notes` are what it left out
    of the evidence, `remarks` what it passed over.
    """

    log: LogContent
    stints: pd.DataFrame
    filters: Mapping[str, Any]
    notes: tuple[Note, ...] = ()
    remarks: tuple[str, ...] = ()

    def __repr__(self) -> str:
        chosen = ", ".join(f"{name} {value}" for name, value in self.filters.items())
        kind = type(self).__name__
        return f"<{kind}: {len(self.stints)} stints of {self.log.path}; {chosen or 'all rows'}>"

    def catches_of(self, species: str | None) -> pd.DataFrame:
        """The fish of the sessions chosen, of one species where it is named.

        UsageError for a species that no fish of the logbook has.
        """
        import pandas as pd

        catches, trip = self.log.catches, ["session", "angler"]
        stints = self.log.stints.loc[self.stints.index, trip]
        sessions = pd.MultiIndex.from_frame(stints.fillna("").drop_duplicates())
        kept = pd.MultiIndex.from_frame(catches[trip].fillna("")).isin(sessions)
        if species is not None:
            check_names("species", [species], catches)
            kept &= (catches["species"] == species).to_numpy(dtype=bool)
        return catches[kept]


@dataclass(frozen=True)
class Choice:
    """What `rodhours.question` is asked for: `dates` are since and until, `names` those of
    waters, anglers and batches."""

    dates: Mapping[str, str | date | None]
    names: Mapping[str, str | Sequence[str]]
    species: str | None
    min_weight: str | None
    outcome: str
    trips_are: str
    at: str | None


def choose(log: LogContent, choice: Choice) -> Chosen:
    """The stints and fish chosen; UsageError for what is not there, and where nothing is left."""
    rows = _chosen_rows(
        log,
        {name: _date(f"--{name}", one) for name, one in choice.dates.items()},
        {name: [one] if isinstance(one, str) else list(one) for name, one in choice.names.items()},
    )
    if log.left_out:
        from rodhours.evidence.result import CAUTION, Note

        aside = list(log.left_out)
        note = Note(LEFT_OUT, None, CAUTION, {"sessions": aside})
        rows = replace(rows, filters={**rows.filters, LEFT_OUT: aside}, notes=(note,))
    rows = replace(rows, notes=(*rows.notes, *log.warnings))
    if (choice.species, choice.min_weight, choice.outcome) != (None, None, "landed"):
        rows = _chosen_fish(rows, choice)
    return _as_fished(rows, choice.trips_are, choice.at)


def _as_fished(chosen: Chosen, trips_are: str, at: str | None) -> Chosen:
    """The same choice with the share of darkness of each stint, and with stays for trips where
    that is asked for."""
    from rodhours.evidence.checks.stays import as_stays
    from rodhours.evidence.darkness import with_night

    if trips_are not in (LOGGED, STAYS):
        raise UsageError(f"--trips-are is {LOGGED} or {STAYS}, not '{trips_are}'.")
    stints = with_night(chosen.stints, _zone(chosen.log.zone), None if at is None else _place(at))
    filters = dict(chosen.filters)
    if at is not None:
        filters["at"] = at
    if trips_are == STAYS:
        stints, filters["trips_are"] = as_stays(stints), STAYS
    return replace(chosen, stints=stints, filters=filters)


def _zone(name: str | None) -> ZoneInfo | None:
    """The zone of a name; None (this machine's) for one that this machine called its own."""
    return None if name is None or " " in name else ZoneInfo(name)


def _place(text: str) -> tuple[float, float]:
    """Latitude and longitude of `52.5,-1.5`."""
    try:
        latitude, longitude = (float(one) for one in text.split(","))
    except ValueError:
        latitude, longitude = 100.0, 0.0
    if not (abs(latitude) <= 90 and abs(longitude) <= 180):
        raise UsageError(
            f"--at takes latitude and longitude in degrees, north and east, such as 52.5,-1.5, "
            f"not '{text}'."
        )
    return latitude, longitude


def read_log(logbook: str | Path | Logbook) -> LogContent:
    """The content of a logbook; UsageError where every session is left out."""
    from rodhours.log.frames import batches_frame, catches_frame, stint_frame, variants_frame
    from rodhours.log.logbook import open_logbook
    from rodhours.log.weight_unit import unit_to_show

    if isinstance(logbook, str | Path):
        with open_logbook(logbook) as book:
            return read_log(book)
    with logbook.snapshot():
        stints, left_out = stint_frame(logbook), logbook.left_out()
        if stints.empty and left_out:
            raise UsageError(
                "Every session with a stint is left out, so there is nothing to answer from. "
                "rodhours leave-out SESSION --take-back counts one again."
            )
        return LogContent(
            path=logbook.path,
            stints=stints,
            everything=stint_frame(logbook, with_left_out=True) if left_out else stints,
            catches=catches_frame(logbook),
            recipes=variants_frame(logbook),
            batches=batches_frame(logbook),
            left_out=tuple(
                {"session": one.session, "angler": one.angler, "because": one.because}
                for one in left_out
            ),
            waiting=tuple(logbook.waiting()),
            opened_early=tuple(logbook.opened_early()),
            taken_as_new=logbook.taken_as_new(),
            reference=logbook.reference(),
            weight_unit=unit_to_show(logbook),
            labels=logbook.labels(),
            sha256=logbook.content_sha256(),
            zone=next(
                (one.zone for one in logbook.changes()[::-1] if one.zone and not one.undone_at),
                None,
            ),
        )


def _chosen_rows(
    log: LogContent, dates: Mapping[str, date | None], names: Mapping[str, Sequence[str]]
) -> Chosen:
    """The stints between two dates, at these venues, by these anglers; of a bait of which batches
    are named, those of these batches."""
    stints = log.stints
    bounds = {name: bound.isoformat() for name, bound in dates.items() if bound is not None}
    chosen = {column: list(some) for column, some in names.items() if some}
    kept = stints["session"].notna()
    day = stints["date"].dt.normalize()
    for name, bound in bounds.items():
        kept &= (day >= bound) if name == "since" else (day <= bound)
    undated = int(day.isna().sum()) if bounds else 0
    remarks = (f"{undated} stints have no date and are left out.",) if undated else ()
    for column, some in chosen.items():
        check_names(column, some, stints)
        one_of_them = stints[column].isin(some)
        if column == "batch":
            one_of_them |= ~stints["variant"].isin(stints["variant"][one_of_them])
        kept &= one_of_them
    filters = {**bounds, **chosen}
    if not kept.any():
        nothing = (
            "No stint is left by that choice of dates, waters, anglers and batches."
            if filters
            else "The logbook holds no stints yet. Start with: rodhours import FILE"
        )
        raise UsageError("\n".join((*remarks, nothing)))
    return Chosen(log, stints[kept], filters, remarks=remarks)


def _chosen_fish(asked: Chosen, choice: Choice) -> Chosen:
    """The same stints, counting only fish of the species, weight and outcome asked for."""
    from rodhours.evidence.fish_counted import wanted_fish

    weight, catches = choice.min_weight, asked.log.catches
    least = None if weight is None else _weight("--min-weight", str(weight))
    stints, found = wanted_fish(asked.stints, catches, choice.species, least, choice.outcome)
    if stints.empty:
        raise UsageError("No stint is left: none of those chosen has a count of lost fish.")
    return replace(
        asked,
        stints=stints,
        filters={**asked.filters, **found.choice},
        notes=(*asked.notes, *found.notes),
    )


def check_names(column: str, names: Sequence[str], frame: pd.DataFrame) -> None:
    """UsageError for a name that a column does not have."""
    from rodhours.near import unknown_name

    known = set(frame[column].dropna())
    for name in names:
        if name not in known:
            raise UsageError(unknown_name(column, name, known))


def _date(option: str, given: str | date | None) -> date | None:
    """A date; a month or a year stands for its first day, with `--until` for its last."""
    if given is None:
        return None
    text = str(given)
    last = option == "--until"
    try:
        if re.fullmatch(r"\d{4}", text, re.ASCII):
            text += "-12" if last else "-01"
        if re.fullmatch(r"\d{4}-\d\d", text, re.ASCII):
            days = monthrange(int(text[:4]), int(text[5:]))[1]
            text += f"-{days}" if last else "-01"
        return date.fromisoformat(text)
    except ValueError:
        raise UsageError(
            f"{option} takes a date such as 2025-04-01, a month or a year, not '{given}'."
        ) from None


def _weight(option: str, text: str) -> float:
    """Kilograms of a weight with its unit; UsageError for what is none or may be two."""
    from rodhours.log.cells import CellFault
    from rodhours.log.cells.weights import KG_PER_LB, read_weight, weight_readings

    try:
        weight = read_weight(text.strip())
    except CellFault:
        decimal = dict(weight_readings(text.strip())).get("decimal lb")
        if decimal is not None and text.strip()[-1:].isalpha():
            raise UsageError(
                f"{option}: the digits behind the point of '{text}' may be ounces or decimals of "
                f"a pound. Write '20lb 8oz' with its ounces, or three decimals: "
                f"{decimal / KG_PER_LB:.3f}lb."
            ) from None
        weight = 0.0
    if weight <= 0:
        raise UsageError(
            f"{option} takes a weight with its unit, such as 20lb, '20lb 8oz' or 9.5kg, "
            f"not '{text}'."
        )
    return weight
