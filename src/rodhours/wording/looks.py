"""Looking after every trip: the running interval in words, beside the fixed one.

Works from the machine form of a running result. What the running interval holds is measured on
simulated seasons and is no theorem for this model, and the words say so.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from rodhours.wording.numbers import (
    MISSING,
    confidence_level,
    count,
    exists,
    has_lower,
    limits,
    limits_short,
    listed,
    ratio,
    the_count,
    times,
    word,
)

TITLE = "The two intervals, and what each is for:"
LIMITS_TITLE = "What limits the answer limits both intervals as well:"
NO_LIMITS = "has no limit on either side yet"
WHY_MISSING = {
    "few_fish": "fewer than 5 fish on the two, or none on one",
    "few_trips": "too few trips",
    "no_fit": "no fit",
    "no_same_trips": "no same-trip answer",
}


def running_lines(running: Mapping[str, Any]) -> list[tuple[str, bool]]:
    """The whole in paragraphs and items of lists (True): what was found, then how to use it."""
    lines = [(found(one, running), False) for one in running["comparisons"]]
    if not lines:
        return []
    return [*lines, *((text, True) for text in how_to_use(running))]


def found(comparison: Mapping[str, Any], running: Mapping[str, Any]) -> str:
    """What the looks at one variant show, in a few sentences."""
    variant, reference = comparison["variant"], running["reference"]
    shown = [look for look in comparison["looks"] if look["cutoff"] is not None]
    if not shown:
        return (
            f"{variant} against {reference}: no running interval yet. "
            f"{_why_none(comparison, running)}"
        )
    last, margin = shown[-1], running["margin"]
    sure = f"With {confidence_level(running['confidence'])} confidence"
    since = shown[0]["trip"]
    low, high = last["conf_low"], last["conf_high"]
    bounded = f"is {limits(low, high, margin)}" if has_lower(low) or exists(high) else NO_LIMITS
    text = (
        f"After trip {comparison['looks'][-1]['trip']:,} {variant} caught "
        f"{times(last['rate_ratio'])} as fast as {reference}, {_where(comparison)}. {sure} the "
        f"running interval {bounded}, the fixed one is "
        f"{limits(last['fixed_low'], last['fixed_high'], margin)}."
    )
    if since > 1 and running["every_trip"]:
        text += f" There has been an interval since trip {since:,}."
    return f"{text} {_one(comparison, running, last)}"


def _where(comparison: Mapping[str, Any]) -> str:
    return f"{'on the' if comparison['basis'] == 'same trips' else 'over'} {comparison['basis']}"


def _why_none(comparison: Mapping[str, Any], running: Mapping[str, Any]) -> str:
    last = comparison["looks"][-1]
    if last["missing"] == "no_same_trips":
        return "There is no same-trip answer for it, and the same trips were asked for."
    if last["missing"] == "few_trips":
        return f"{count(last['sessions'], 'trip').capitalize()} on this basis are too few for one."
    if last["missing"] == "no_fit":
        return "The model could not be fitted to these trips."
    return (
        f"It needs 5 fish on the two together and at least one on each; so far there are "
        f"{last['fish']:,} on {comparison['variant']} and {last['reference_fish']:,} on "
        f"{running['reference']}."
    )


def _one(comparison: Mapping[str, Any], running: Mapping[str, Any], last: Mapping[str, Any]) -> str:
    """Whether and since when the running interval has left out 1, and where it went back."""
    since = comparison["excluded_one_since"]
    low, high = comparison["low_so_far"], comparison["high_so_far"]
    reference = running["reference"]
    if since is None:
        seen = "at none of the looks" if running["every_trip"] else "at none of the looks taken"
        return f"The running interval has left out 1 {seen}: nothing is settled by it yet."
    by = "since" if running["every_trip"] else "by the look after"
    text = f"The running interval has excluded 1 {by} trip {since:,}"
    if exists(low) and exists(high) and low > high:
        return (
            f"{text}, but the intervals of this season contradict each other: something changed "
            "while it lasted, and no one ratio fits it."
        )
    way = "faster" if exists(low) and low > 1 else "slower"
    text += f": {comparison['variant']} is the {way} of the two"
    if _holds_one(last):
        return (
            f"{text}. It has come to hold 1 again, which happens by luck and also when baits or "
            f"waters change: fish on beside {reference} before you rely on it."
        )
    return f"{text}."


def _holds_one(look: Mapping[str, Any]) -> bool:
    low, high = look["conf_low"], look["conf_high"]
    return not (exists(low) and low > 1) and not (exists(high) and high < 1)


def how_to_use(running: Mapping[str, Any]) -> list[str]:
    """What the difference between the two intervals is, and what one may do with each."""
    level = confidence_level(running["confidence"])
    family = running["family"]
    together = f", for all {word(family)} comparisons together" if family > 1 else ""
    texts = [
        "The running interval is the one to look at after every trip. You may stop, go on or "
        "change your plan whenever you like because of it: it allows for all the looks, and pays "
        "for that with width.",
        "The fixed interval is right only if you had decided beforehand when to stop, whatever "
        "the fish did. Looked at after every trip, and stopped at when it pleases, it is wrong far "
        "more often than it says: luck has so many chances.",
        f"The running interval is made to hold the true ratio at every trip of {level} of "
        f"seasons{together}. That is measured on simulated seasons (trips that differ, clumps, a "
        "favourite fished when it looks good), where it held in more than that; it is not a "
        "theorem for this model. A bait or a water that changes under way is outside of it.",
        "Ask about the same baits on the same trips at every look (name them, and --basis): "
        "an allowance for looks at one question does not cover a choice among several.",
    ]
    if running["undated"]:
        texts.append(_undated(running["undated"], running["trips"]))
    if not running["every_trip"]:
        looks = max(len(one["looks"]) for one in running["comparisons"])
        texts.append(
            f"Only {looks:,} of {the_count(running['trips'], 'trip')} were looked at here, spread "
            "evenly, the last one always."
        )
    return texts


def _undated(undated: int, trips: int) -> str:
    if undated == trips:
        return "The trips have no date: they stand in the order of their labels, which is a guess."
    has = "has" if undated == 1 else "have"
    return (
        f"{count(undated, 'trip')} of {trips:,} {has} no date and come last, in the order of their "
        "labels, which is a guess."
    )


TABLE_HEADING = (
    "trip",
    "date",
    "fish",
    "reference fish",
    "ratio",
    "running limits",
    "fixed limits",
)
"""Over the looks at one variant: its own fish so far, then those of the reference."""


FARTHEST = 1_000
"""No bait catches so many times as fast; early looks can say so all the same. Estimates, and
limits in a picture, are given up to here."""
NO_LIMIT = 100_000
"""A limit so far off limits nothing, and where exactly it lies is a matter of rounding."""


def table_row(look: Mapping[str, Any], margin: float) -> list[str]:
    """One look as cells under TABLE_HEADING."""
    cells = [
        f"{look['trip']:,}",
        look["date"] or "no date",
        f"{look['fish']:,}",
        f"{look['reference_fish']:,}",
    ]
    if look["cutoff"] is None:
        return [*cells, MISSING, WHY_MISSING[look["missing"]], ""]
    return [
        *cells,
        _estimate(look["rate_ratio"]),
        limits_short(*_near(look["conf_low"], look["conf_high"]), margin),
        limits_short(*_near(look["fixed_low"], look["fixed_high"]), margin),
    ]


def _near(low: float | None, high: float | None) -> tuple[float | None, float | None]:
    """Limits, without one that limits nothing."""
    return (
        low if low is not None and low >= 1 / NO_LIMIT else None,
        high if high is not None and high <= NO_LIMIT else None,
    )


def _estimate(value: float | None) -> str:
    """A ratio that ran away on a handful of fish has no digits worth reading."""
    if value is not None and value > FARTHEST:
        return f"over {FARTHEST:,}"
    if value is not None and 0 < value < 1 / FARTHEST:
        return f"under {1 / FARTHEST:g}"
    return ratio(value)


def thinned(shown: int, of: int) -> str:
    """Under a table that has some of the looks alone."""
    return f"{shown:,} of {count(of, 'look')}, spread evenly; --json has them all."


TRIPS_AXIS = "trips so far"


def trips_between(first: str, last: str) -> str:
    """Under the trips where the dates have no room at their ends."""
    return f"{TRIPS_AXIS}, {first} to {last}"


def no_interval_until(trip: int) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """In the empty part of a frame, before there is an interval: in one line, and in two."""
    before = f"before trip {trip:,}"
    return (f"no interval {before}",), ("no interval", before)


def ratio_axis(reference: str) -> str:
    """What the ratios of the picture are."""
    return f"times as fast as {reference}"


def end_labels(look: Mapping[str, Any], margin: float) -> list[tuple[str, int, float | None, str]]:
    """Names at the end of the lines, from the top: which line, its side, its value, its words."""
    ends = [("conf", 1), ("fixed", 1), ("rate", 0), ("fixed", -1), ("conf", -1)]
    found: list[tuple[str, int, float | None, str]] = []
    for name, side in ends:
        if side == 0:
            found.append(("ratio", 0, look["rate_ratio"], times(look["rate_ratio"])))
            continue
        value = look[f"{name}_{'high' if side > 0 else 'low'}"]
        called = "running" if name == "conf" else "fixed"
        said = _within_reason(value, margin) if exists(value) else "no limit"
        found.append((called, side, value, f"{said} {called}"))
    return found


def _within_reason(value: float | None, margin: float) -> str:
    """A limit in a picture, which has no room for `0.000039` or `7,551`; the table has them."""
    if value is not None and value > FARTHEST:
        return f"over {FARTHEST:,}"
    if value is not None and 0 < value < 1 / FARTHEST:
        return f"under {1 / FARTHEST:g}"
    return ratio(value, margin)


def growth_heading(running: Mapping[str, Any]) -> str:
    """How the evidence grew, as a finding."""
    settled = [one for one in running["comparisons"] if one["excluded_one_since"] is not None]
    if not any(one["first_trip"] is not None for one in running["comparisons"]):
        return "Too little so far to look at trip by trip"
    if not settled:
        # The page's first answer may be settled all the same: it supposes one look, at the end.
        at_the_end = [
            one["variant"] for one in running["comparisons"] if _fixed_leaves_out_one(one["looks"])
        ]
        if at_the_end:
            return (
                f"{listed(at_the_end)}: settled if you look once, at an end fixed beforehand, "
                "but not yet if you look after every trip"
            )
        return f"After {count(running['trips'], 'trip')} of looking, nothing is settled yet"
    first = min(settled, key=lambda one: one["excluded_one_since"])
    way = "ahead" if exists(first["low_so_far"]) and first["low_so_far"] > 1 else "behind"
    by = "since" if running["every_trip"] else "by"
    text = f"{first['variant']} has been {way} {by} trip {first['excluded_one_since']:,}"
    others = len(settled) - 1
    if others:
        text += f", and {word(others)} more settled after it"
    return f"{text}, however often one looked"


def _fixed_leaves_out_one(looks: Sequence[Mapping[str, Any]]) -> bool:
    last = looks[-1]
    low, high = last["fixed_low"], last["fixed_high"]
    return (exists(low) and low > 1) or (exists(high) and high < 1)


def growth_alt(drawn: Sequence[Mapping[str, Any]], running: Mapping[str, Any]) -> str:
    """What the picture shows: where each line and both bands began and ended."""
    margin = running["margin"]
    said = []
    for one in drawn:
        shown = [look for look in one["looks"] if look["cutoff"] is not None]
        first, last = shown[0], shown[-1]
        text = (
            f"{one['variant']}, after trip {one['looks'][-1]['trip']:,}, "
            f"{times(last['rate_ratio'])} as fast as {running['reference']}; running interval "
            f"{limits(last['conf_low'], last['conf_high'], margin)}, fixed interval "
            f"{limits(last['fixed_low'], last['fixed_high'], margin)}"
        )
        if len(shown) > 1:
            began = limits(first["conf_low"], first["conf_high"], margin)
            text += f"; after trip {first['trip']:,} the running interval was {began}"
        since = one["excluded_one_since"]
        held = "It has held 1 throughout" if since is None else f"It left out 1 at trip {since:,}"
        said.append(f"{text}. {held}.")
    return " ".join(said)


def _breaks_off(comparison: Mapping[str, Any]) -> bool:
    """Whether looks without an interval follow one that has it."""
    has = [look["cutoff"] is not None for look in comparison["looks"]]
    return True in has and False in has[has.index(True) :]


def growth_caption(running: Mapping[str, Any], left_out: int) -> str:
    """How to read the picture."""
    level = confidence_level(running["confidence"])
    text = (
        "The line is the rate ratio after each trip, from the trips so far. The outer band is the "
        f"{level} running interval: look at it after every trip, and stop or go on because of it. "
        "The inner band, dashed at its edges, is the fixed interval, the one in the rest of this "
        "page: right only at a trip that was chosen before the fish spoke. A band that meets the "
        f"edge of the frame goes on beyond it. The line at 1 is {running['reference']} itself."
    )
    if any(map(_breaks_off, running["comparisons"])):
        text += " Where the bands break off, the trips so far gave no answer; the numbers say why."
    if left_out:
        text += f" {count(left_out, 'further variant').capitalize()} stand in the table alone."
    if not running["every_trip"]:
        looks = max(len(one["looks"]) for one in running["comparisons"])
        text += f" {looks:,} looks are drawn of {count(running['trips'], 'trip')}."
    return text
