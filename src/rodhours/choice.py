"""Which stints and fish of a logbook are asked about: read at one moment, every choice checked."""

from __future__ import annotations

import re
from calendar import monthrange
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
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
        from rodhours.evidence.checks.as_logged import doubles
        from rodhours.evidence.checks.plan import rods_unfished
        from rodhours.evidence.result import CAUTION, INFORMATION, SERIOUS, Note
        from rodhours.log.unfished import planned_of_empty

        found = doubles(self.stints, self.taken_as_new)
        trips = [trip for trip in self.waiting if trip.rows[0].of_table != "variants"]
        if trips:
            there = len(self.stints[["session", "angler"]].drop_duplicates())
            absent = sum(trip.kind != "probable double" for trip in trips)
            fish = sum(trip.fish for trip in trips if trip.kind == "held back")
            serious = fish > 0 or absent > WAITING_SHARE * (there + absent)
            weight = SERIOUS if serious else CAUTION if absent else INFORMATION
            numbers = {"trips": len(trips), "absent": absent, "counted": there, "fish": fish}
            found.append(Note("trips_waiting", None, weight, numbers))
        for key in self.opened_early:
            early = {
                "plan": key.plan,
                "opened_on": key.opened_at[:10],
                "blind": key.blind,
                "planned": key.trips_planned,
                "after": len(key.after),
            }
            weight = CAUTION if key.after else INFORMATION
            found.append(Note("opened_early", None, weight, early))
        # The rods of trips that wait of which nothing is said, by the bait planned.
        empty: Counter[str] = Counter()
        reasons = [row.reason for trip in self.waiting for row in trip.rows]
        for bait, many in planned_of_empty(reasons).items():
            empty[self.labels.of(bait)] += many
        return (*found, *rods_unfished(self.stints, empty))

    def variant_meant(self, name: str | None) -> str | None:
        """The bait that a name typed by a user stands for: one known now, else what it became."""
        known = {*self.everything["variant"], *self.recipes["variant"]}
        return None if name is None else self.labels.meant(name, known)


def choose(
    log: LogContent,
    dates: Mapping[str, str | date | None],
    names: Mapping[str, str | Sequence[str]],
    fish: tuple[str | None, str | None, str],
    trips_are: str,
    at: str | None,
) -> tuple[pd.DataFrame, dict[str, Any], tuple[Note, ...], tuple[str, ...]]:
    """The stints chosen, the choice, what it left out of the evidence, and what it passed over.

    `dates` are since and until, `names` those of waters, anglers and batches, `fish` the species,
    the least weight and the outcome. Stints have their share of darkness, and stays for trips
    where that is asked for. UsageError for what is not there, and where nothing is left.
    """
    from rodhours.evidence.checks.as_logged import as_stays
    from rodhours.evidence.darkness import with_night
    from rodhours.evidence.result import CAUTION, Note

    if trips_are not in (LOGGED, STAYS):
        raise UsageError(f"--trips-are is {LOGGED} or {STAYS}, not '{trips_are}'.")
    stints, filters, remarks = _rows(log.stints, dates, names)
    notes = list(log.warnings)
    if log.left_out:
        filters[LEFT_OUT] = aside = list(log.left_out)
        notes.insert(0, Note(LEFT_OUT, None, CAUTION, {"sessions": aside}))
    if fish != (None, None, "landed"):
        from rodhours.evidence.fish_counted import wanted_fish

        species, weight, outcome = fish
        least = None if weight is None else _weight("--min-weight", str(weight))
        stints, chosen, left = wanted_fish(stints, log.catches, species, least, outcome)
        if stints.empty:
            raise UsageError("No stint is left: none of those chosen has a count of lost fish.")
        filters |= chosen
        notes += left
    # A machine's own zone has no name that others know.
    zone = None if log.zone is None or " " in log.zone else ZoneInfo(log.zone)
    stints = with_night(stints, zone, None if at is None else place_of(at))
    if at is not None:
        filters["at"] = at
    if trips_are == STAYS:
        stints, filters["trips_are"] = as_stays(stints), STAYS
    return stints, filters, tuple(notes), remarks


def _rows(
    stints: pd.DataFrame,
    dates: Mapping[str, str | date | None],
    names: Mapping[str, str | Sequence[str]],
) -> tuple[pd.DataFrame, dict[str, Any], tuple[str, ...]]:
    """The stints between two dates, at these venues, by these anglers; of a bait of which batches
    are named, those of these batches."""
    filters: dict[str, Any] = {}
    remarks: tuple[str, ...] = ()
    kept = stints["session"].notna()
    day = stints["date"].dt.normalize()
    for name, given in dates.items():
        if given is not None:
            filters[name] = bound = _date(f"--{name}", given).isoformat()
            kept &= (day >= bound) if name == "since" else (day <= bound)
    if filters and (undated := int(day.isna().sum())):
        remarks = (f"{undated} stints have no date and are left out.",)
    for column, some in names.items():
        if not some:
            continue
        filters[column] = chosen = [some] if isinstance(some, str) else list(some)
        check_names(column, chosen, stints)
        one_of_them = stints[column].isin(chosen)
        if column == "batch":
            one_of_them |= ~stints["variant"].isin(stints["variant"][one_of_them])
        kept &= one_of_them
    if not kept.any():
        nothing = (
            "No stint is left by that choice of dates, waters, anglers and batches."
            if filters
            else "The logbook holds no stints yet. Start with: rodhours import FILE"
        )
        raise UsageError("\n".join((*remarks, nothing)))
    return stints[kept], filters, remarks


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


def check_names(column: str, names: Sequence[str], frame: pd.DataFrame) -> None:
    """UsageError for a name that a column does not have."""
    from rodhours.near import unknown_name

    known = set(frame[column].dropna())
    for name in names:
        if name not in known:
            raise UsageError(unknown_name(column, name, known))


def place_of(text: str) -> tuple[float, float]:
    """Latitude and longitude of `52.5,-1.5`."""
    try:
        latitude, longitude = (float(one) for one in text.split(","))
        if abs(latitude) <= 90 and abs(longitude) <= 180:
            return latitude, longitude
    except ValueError:
        pass
    raise UsageError(
        f"--at takes latitude and longitude in degrees, north and east, such as 52.5,-1.5, "
        f"not '{text}'."
    )


def _date(option: str, given: str | date) -> date:
    """A date; a month or a year stands for its first day, with `--until` for its last."""
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
    """Kilograms of a weight with its unit; UsageError for what is none, or may be two."""
    from contextlib import suppress

    from rodhours.log.cells import CellFault
    from rodhours.log.cells.weights import read_weight

    with suppress(CellFault):
        weight = read_weight(text.strip())
        if weight > 0:
            return weight
    raise UsageError(
        f"{option} takes a weight with its unit, such as 20lb, '20lb 8oz', 20.500lb or 9.5kg, "
        f"not '{text}'."
    )
