"""What anglers call their columns: common practice, no source; the units that names state.

Names are written plainly, as `plain_name` makes them. Under `strong` a name means this column
and hardly another; under `weak` it often does, and what the cells hold must agree.
"""

from __future__ import annotations

import re
from typing import NamedTuple


class Names(NamedTuple):
    """The names of one of our columns, separated by commas."""

    strong: str
    weak: str = ""


SYNONYMS: dict[str, Names] = {
    "session": Names(
        "session, session no, session number, session id, trip, trip no, trip number, trip id",
        "outing, visit, no, number, id",
    ),
    "angler": Names("angler, fished by, fisher, angler name", "who, name, person"),
    "variant": Names(
        "variant, bait, hookbait, hook bait, recipe, bait used, bait recipe, hookbait recipe, "
        "bait variant, bait on rod, hookbait used, bait on, baits used",
        "mix, baits, hookbaits, bait type, pop up, popup, boilie, wafter, bait mix, on the hair",
    ),
    "hours": Names(
        "hours, hrs, hour, rod hours, rod hrs, hours fished, hrs fished, time fished, "
        "hours per rod, hrs per rod, fishing hours, hours in water, hours in, fishing time, "
        "fished hours, hrs in, "
        "hours on bank, hours on the bank, time on bank, time on the bank, length of session, "
        "length of trip, session hours",
        "nights, nights fished, no of nights, number of nights, days fished, "
        "h, time in, duration, time, length, total hours, total hrs, session length, in water, "
        "time in water, how long",
    ),
    "cast_in": Names(
        "cast in, bait in, lines in, rods in, rod in, in at",
        "in, time in, start, started, on, start time, time on, time start, from, cast",
    ),
    "cast_out": Names(
        "cast out, bait out, lines out, rods out, rod out, out at",
        "out, time out, end, ended, "
        "off, end time, time off, time end, finish, finished, finish time, to, till, until, "
        "reeled in",
    ),
    "fish": Names(
        "fish, fish caught, fish landed, landed, caught, banked, no of fish, number of fish, "
        "number caught, number landed, no caught, total fish, fish banked",
        "takes, catch, catches, captures, result, results, count, total, runs, bites, carp, "
        "tench, bream, barbel",
    ),
    "lost": Names(
        "lost, fish lost, lost fish, dropped, dropped fish, fish dropped, losses, hook pulls, "
        "no lost, number lost",
        "hook pull, bumped off, bumped, dropped off, pulled",
    ),
    "rod": Names("rod, rod no, rod number, rod position, rod nr, which rod", "rods, no, position"),
    "batch": Names("batch, batch no, batch number, batch code, bait batch", "lot"),
    "rig": Names("rig, rig type, rig used", "setup, set up, presentation"),
    "hook_size": Names("hook size, hook, size of hook"),
    "spot": Names("spot, spot fished, fished spot", "area, mark, feature, where cast, cast to"),
    "depth_m": Names("depth, water depth, depth fished"),
    "range_m": Names("range, casting distance, distance, distance cast"),
    "date": Names(
        "date, date fished, session date, trip date, fishing date, date of trip",
        "day, when, dates, date in, date from, from date, start date, date started, date arrived",
    ),
    "start": Names("session start, arrived, arrival", "start"),
    "end": Names("session end, left, departed, departure, packed up, went home", "end"),
    "venue": Names(
        "venue, water, lake, fishery, lake name, water name, name of water, pond, waters",
        "river, location, place, where, pool, pit, canal, site",
    ),
    "swim": Names("swim, peg, pitch, swim no, peg no, swim number, peg number, swim name"),
    "water_temp_c": Names(
        "water temp, water temperature, lake temp, temp water, temperature water, water t",
        "temp, temperature",
    ),
    "air_temp_c": Names("air temp, air temperature, temp air, temperature air, air t"),
    "pressure_hpa": Names(
        "pressure, air pressure, barometer, barometric pressure, baro, atmospheric pressure",
        "mb, mbar, hpa",
    ),
    "wind_dir": Names("wind direction, wind dir, wind from", "wind"),
    "wind_force": Names("wind force, wind strength, beaufort, wind speed bft", "wind"),
    "latitude": Names("latitude, lat"),
    "longitude": Names("longitude, long, lon, lng"),
    "notes": Names("notes, note, comments, comment, remarks, remark", "other, memo"),
    "time": Names(
        "time caught, time of capture, capture time, caught at, bite time, time of bite", "time"
    ),
    "species": Names("species, fish species, type of fish", "fish, fish type, kind"),
    "weight": Names(
        "weight, wt, fish weight, weight of fish, weights, fish weights, weights of fish, lb oz, "
        "lbs oz",
        "size, lb, lbs, kg",
    ),
    "outcome": Names("outcome, result", "landed or lost"),
    "base_mix": Names("base mix, base"),
    "pellet_pct": Names("pellet pct, pellet percent, pellet share", "pellet"),
    "attractor_ml_per_egg": Names("attractor ml per egg, attractor per egg"),
    "albumen_g_per_kg": Names("albumen g per kg, egg white g per kg"),
    "cork_mm": Names("cork mm, cork size, cork ball, cork diameter", "cork"),
    "size_mm": Names("bait size, size mm, bait diameter, diameter"),
    "boil_s": Names("boil s, boiling time, boil time, boil seconds"),
}

END_DATES = (
    *("date out", "date to", "to date", "end date", "date ended"),
    *("finish date", "date finished", "date left"),
)
"""Columns with the day of the end, where the times stand in columns of their own."""

UNITS_IN_NAMES = {
    name: unit
    for unit, names in {
        "F": "f, °f, fahrenheit",
        "ft": "ft, feet",
        "yd": "yd, yds, yards",
        "inHg": "inhg",
        "mmHg": "mmhg",
        "days": "days",
        "lb": "lb, lbs",
        "lb.oz": "lb oz, lb.oz, lbs oz",
        "kg": "kg, kgs",
        "g": "g, grams",
    }.items()
    for name in names.split(", ")
}
"""What a column's name may say of its unit, in brackets or as its last word."""
_PLAIN_UNITS = ("c", "°c", "m", "metres", "meters", "h", "hrs", "hours", "hpa", "mb", "mbar", "mm")

_OF_QUESTIONS = {
    *("which", "what", "was", "were", "did", "do", "you", "your", "many", "the", "on", "is", "are"),
    "and",
}
"""Words of a name that is a question."""
_BRACKETS = re.compile(r"[(\[{]([^)\]}]*)[)\]}]")


def plain_name(name: str) -> str:
    """A column name without capitals, punctuation and units: `Water temp. (°C)` is water temp."""
    text = _BRACKETS.sub(" ", name.casefold()).replace("%", " pct ")
    words = re.sub(r"[^\w°]+|_", " ", text.replace("#", " no ")).split()
    while len(words) > 1 and words[-1] in {*UNITS_IN_NAMES, *_PLAIN_UNITS} - {"hrs", "hours", "h"}:
        if " ".join(words) in EVERY_NAME:
            break
        words.pop()
    return " ".join(words)


def words_in_name(name: str) -> str:
    """A name without the words of a question: `Which water?` is water."""
    words = plain_name(name).split()
    how = {"how"} if "many" in words else set()
    return " ".join(word for word in words if word not in _OF_QUESTIONS | how)


def unit_in_name(name: str) -> str | None:
    """The unit that a column's name states, as layouts call it; None where it states none."""
    text = name.casefold()
    said = [" ".join(part.replace("/", " ").split()) for part in _BRACKETS.findall(text)]
    words = re.sub(r"[^\w°]+|_", " ", _BRACKETS.sub(" ", text)).split()
    for part in [*said, " ".join(words[-2:]), *words[-1:]]:
        if part in UNITS_IN_NAMES:
            return UNITS_IN_NAMES[part]
    return None


EVERY_NAME = {
    name for names in SYNONYMS.values() for name in f"{names.strong}, {names.weak}".split(", ")
}
