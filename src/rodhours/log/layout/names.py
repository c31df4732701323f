"""What anglers call their columns: common practice, no source; the units that names state.

Names are written plainly, as `plain_name` makes them. A strong name means this column and hardly
another; a weak one, behind a question mark, often does, and what the cells hold must agree.
"""

from __future__ import annotations

import re

_NAMES = """
session: session, session no, session number, session id, trip, trip no, trip number, trip id
session?: outing, visit, no, number, id
angler: angler, fished by, fisher, angler name
angler?: who, name, person
variant: variant, bait, hookbait, hook bait, recipe, bait used, bait recipe, hookbait recipe
variant: bait variant, bait on rod, hookbait used, bait on, baits used
variant?: mix, baits, hookbaits, bait type, pop up, popup, boilie, wafter, bait mix, on the hair
hours: hours, hrs, hour, rod hours, rod hrs, hours fished, hrs fished, time fished, hours per rod
hours: hrs per rod, fishing hours, hours in water, hours in, fishing time, fished hours, hrs in
hours: hours on bank, hours on the bank, time on bank, time on the bank, length of session
hours: length of trip, session hours
hours?: nights, nights fished, no of nights, number of nights, days fished, h, time in, duration
hours?: time, length, total hours, total hrs, session length, in water, time in water, how long
cast_in: cast in, bait in, lines in, rods in, rod in, in at
cast_in?: in, time in, start, started, on, start time, time on, time start, from, cast
cast_out: cast out, bait out, lines out, rods out, rod out, out at
cast_out?: out, time out, end, ended, off, end time, time off, time end, finish, finished
cast_out?: finish time, to, till, until, reeled in
fish: fish, fish caught, fish landed, landed, caught, banked, no of fish, number of fish
fish: number caught, number landed, no caught, total fish, fish banked
fish?: takes, catch, catches, captures, result, results, count, total, runs, bites, carp, tench
fish?: bream, barbel
lost: lost, fish lost, lost fish, dropped, dropped fish, fish dropped, losses, hook pulls, no lost
lost: number lost
lost?: hook pull, bumped off, bumped, dropped off, pulled
rod: rod, rod no, rod number, rod position, rod nr, which rod
rod?: rods, no, position
batch: batch, batch no, batch number, batch code, bait batch
batch?: lot
rig: rig, rig type, rig used
rig?: setup, set up, presentation
hook_size: hook size, hook, size of hook
spot: spot, spot fished, fished spot
spot?: area, mark, feature, where cast, cast to
depth_m: depth, water depth, depth fished
range_m: range, casting distance, distance, distance cast
date: date, date fished, session date, trip date, fishing date, date of trip
date?: day, when, dates, date in, date from, from date, start date, date started, date arrived
start: session start, arrived, arrival
start?: start
end: session end, left, departed, departure, packed up, went home
end?: end
venue: venue, water, lake, fishery, lake name, water name, name of water, pond, waters
venue?: river, location, place, where, pool, pit, canal, site
swim: swim, peg, pitch, swim no, peg no, swim number, peg number, swim name
water_temp_c: water temp, water temperature, lake temp, temp water, temperature water, water t
water_temp_c?: temp, temperature
air_temp_c: air temp, air temperature, temp air, temperature air, air t
pressure_hpa: pressure, air pressure, barometer, barometric pressure, baro, atmospheric pressure
pressure_hpa?: mb, mbar, hpa
wind_dir: wind direction, wind dir, wind from
wind_dir?: wind
wind_force: wind force, wind strength, beaufort, wind speed bft
wind_force?: wind
latitude: latitude, lat
longitude: longitude, long, lon, lng
notes: notes, note, comments, comment, remarks, remark
notes?: other, memo
time: time caught, time of capture, capture time, caught at, bite time, time of bite
time?: time
species: species, fish species, type of fish
species?: fish, fish type, kind
weight: weight, wt, fish weight, weight of fish, weights, fish weights, weights of fish, lb oz
weight: lbs oz
weight?: size, lb, lbs, kg
outcome: outcome, result
outcome?: landed or lost
base_mix: base mix, base
pellet_pct: pellet pct, pellet percent, pellet share
pellet_pct?: pellet
attractor_ml_per_egg: attractor ml per egg, attractor per egg
albumen_g_per_kg: albumen g per kg, egg white g per kg
cork_mm: cork mm, cork size, cork ball, cork diameter
cork_mm?: cork
size_mm: bait size, size mm, bait diameter, diameter
boil_s: boil s, boiling time, boil time, boil seconds
"""


def _read(weak: bool) -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for line in _NAMES.strip().splitlines():
        ours, _, names = line.partition(": ")
        if weak == ours.endswith("?"):
            found.setdefault(ours.rstrip("?"), set()).update(names.split(", "))
    return found


STRONG_NAMES, WEAK_NAMES = _read(weak=False), _read(weak=True)
"""What our columns are called by others: our column to names."""
EVERY_NAME = set[str]().union(*STRONG_NAMES.values(), *WEAK_NAMES.values())

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
