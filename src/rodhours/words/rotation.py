"""The words of a rotation: its heading, its balance, what it can and cannot do, the sheet."""

from __future__ import annotations

from rodhours.planning.balance import ALL, OTHERS, REFERENCE, Measure
from rodhours.planning.rotation import Rotation
from rodhours.words import blind as blind_words
from rodhours.words.numbers import count, percent

MEASURES = {
    "turns": "turns of a variant",
    "rods": "turns of a variant on one rod",
    "parts": "turns of a variant in one part of the trip",
    "trips_shared": "trips that two variants share",
    "side_by_side": "times two variants are in the water together",
    "alike": "times two rods fish the same variant",
    "order": "times one variant follows another on a rod",
    "stays": "times a variant stays on its rod",
}
"""What each measure counts."""
WHO = {ALL: "", OTHERS: ", without the reference", REFERENCE: ", with the reference"}
WHO_ALONE = {**WHO, REFERENCE: ", the reference"}

CAUTIONS = (
    "Rod licence and the rules of the fishery come first: they say how many rods you may fish, "
    "which baits, whether at night. If fewer rods are allowed than planned here, make a new plan.",
    "Look up before you set up and before every cast: stay well away from overhead power lines. "
    "Rods and poles carry current, and it can jump to them.",
    "At the water's edge in the dark: a headlamp, firm footing, nobody alone in the water, a phone "
    "that works. In a thunderstorm put the rods down and leave the water.",
    "No stove and no barbecue in a closed shelter, lit or still warm: carbon monoxide cannot be "
    "smelt, and kills.",
    "The fish comes before the log: land it, look after it, put it back, then write.",
)
TO_DO = "What to do with it"
WITH_CARE = "With care"
KEEP_TO_IT = (
    "Put on what stands here, whatever the water looks like: a bait that is swapped in once fish "
    "show gets the credit for them. Where you had to do otherwise, write what was really fished."
)
HOW_TO_FILL_IN = (
    "In, out: the time when the bait went in and came out for good (a recast goes on), such as "
    "18:30 and 6:15; with the day where a bait was in for longer than a day. Fish, lost: numbers, "
    "0 for none: a blank is evidence. Weights with their unit."
)
HOW_TO_NOTE = (
    "Write behind each word, and take off what does not apply. Each rod and bait has its own line: "
    "for another bait, write a new one. Out is when the bait came out for good; a recast goes on. "
    "Without a fish write blank: nothing said is never taken for a blank.",
    "Fish by number (fish 2), or each by itself: fish carp 22lb 4oz at 3:10. A rod that stayed "
    "out: not fished. Put on another bait than planned: 1 plain, planned pellet-20, in ...",
)
PAGE_SAYS = {
    "notes": "Copy, share or save this, then: rodhours import FILE. Twice does no harm.",
    "lost": "This browser keeps nothing: what is tapped is gone once the page is closed. Copy the "
    "notes after every rod, or open the page in another browser, not in a private window.",
    "order": "Not changed: in comes before out, and a fish between them.",
}
PAGE_TAPS = {
    "trip": "trip begun",
    "in": "cast in",
    "out": "cast out",
    "fish": "fish",
    "lost": "fish lost",
    "blank": "blank",
    "unfished": "not fished",
    "bait": "bait changed to",
    "part": "baits swapped",
    "time": "time corrected to",
    "say": "written",
}
NO_SCRIPT = (
    "This page needs scripts, which a preview of files does not run. Open it in the phone's "
    "browser, from its files or from a web address."
)
HOW_TO_TAP = (
    "Tap when it happens: the phone's clock is read, and can be corrected under Times and fish. "
    "Cast out when the bait comes out for good; a recast goes on. A rod without a fish is blank "
    "only once you say so."
)
HOW_TO_IMPORT = (
    "Fill in the CSV from the sheet: the date in a row of each trip, times as they stand there "
    "(18:30, 6:15), hours instead where there are none. Column variant is what was really fished, "
    "planned stays. Leave trips to come as they are; a blank is written 0, and not fished under "
    "hours where a rod stayed out: a trip with a rod of which nothing is said waits. Weights go in "
    "with --notes, or as a table catches. Then: rodhours import FILE"
)
NO_SHARED_TRIPS = (
    "No two variants ever share a trip, so there will be no answer from the same trips, only from "
    "trip to trip, which needs many more. Swap during the trip (--swap-every), or fish more rods."
)
NOT_LINKED = (
    "Some variants are not linked to the others by shared trips, so they could only be compared "
    "from trip to trip. Plan more trips, or fewer variants."
)


REFERENCE_THERE = (
    "All variants are on every trip, so the reference is too, and takes no extra turns."
)
REFERENCE_EVEN = (
    "The reference takes no more turns than the others, as asked. For comparisons with it "
    "alone it would be better on every trip (leave out --even)."
)
REACHED_ALL = (
    "Each of these is as even as counting allows for so many turns: no plan of the same turns "
    "has a smaller difference in any of them."
)
NOTES_TITLE = "Trip notes"
"""The heading of notes for trips without a plan."""
KNOWN_BAITS = "Baits so far: {}. Write them the same way each time."
NUMBERED_BAIT, BAIT_LEGEND = "bait {}", "Bait {} is {}."
"""What stands in a box for a name that is too long for it, and which bait that is."""


def title(plan: Rotation) -> str:
    """The heading: `Rotation KADE: 4 variants on 3 rods, 20 trips`."""
    return (
        f"Rotation {plan.name}: {count(len(plan.variants), 'variant')} on "
        f"{count(plan.rods, 'rod')}, {count(plan.trips, 'trip')}"
    )


def written_for_the_phone(file: str, page: bool) -> str:
    """What was written for the bank, and what comes of it."""
    if page:
        return (
            f"The page for the bank is written to {file}: open it in the phone's browser. What it "
            "saves or shares is notes as text: rodhours import FILE"
        )
    return f"Notes to fill in on a phone are written to {file}; then: rodhours import {file}"


def sentences(plan: Rotation) -> list[str]:
    """The heading as an answer, then what there is to say of the plan."""
    return [f"{title(plan)}.", *on_plan(plan)]


def on_plan(plan: Rotation) -> list[str]:
    """What there is to say of the plan: swaps, balance, how exact it is, the reference."""
    above = [measure_label(measure) for measure in plan.balance if not measure.reached]
    notes = [] if plan.part_hours is None else [swaps(plan.parts, plan.part_hours)]
    notes += key_said(plan)
    notes.append(not_reached(above) if above else REACHED_ALL)
    if plan.turns_a_trip == 1:
        notes.append(NO_SHARED_TRIPS)
    elif plan.precision is None:
        notes.append(NOT_LINKED)
    elif not plan.reference_on_every_trip:
        notes.append(precision_text(plan.precision))
    if plan.reference_on_every_trip and plan.reference_precision is not None:
        notes.append(reference_on_every_trip(plan.told_reference, plan.reference_precision))
        if plan.blind:
            notes.append(blind_words.REFERENCE_SHOWS.format(plan.trips))
    elif plan.reference is not None and plan.turns_a_trip >= len(plan.variants):
        notes.append(REFERENCE_THERE)
    elif plan.reference is not None and plan.turns_a_trip > 1:
        notes.append(REFERENCE_EVEN)
    return notes


def to_do(plan: Rotation) -> list[str]:
    """What to do with the plan."""
    return [KEEP_TO_IT, *(blind_words.TO_DO if plan.blind else ()), HOW_TO_IMPORT]


def named_anew(name: str, called: str) -> str:
    """Why a plan has another name than the same plan had before."""
    return (
        f"The logbook has trips of a plan {name} already, so this one is called {called}. For the "
        f"sheet of {name} once more: --name {name}"
    )


def name_in_use(name: str) -> str:
    """The user chose a name that trips in the logbook are labelled by."""
    return (
        f"The logbook has trips of a plan {name} already. Unless this is the same plan once more, "
        "take another --name: trips of the same label are taken for the same trip."
    )


def trip_label(name: str, trip: int) -> str:
    """The label of a trip in sheet, CSV and logbook: `KADE-07`."""
    return f"{name}-{trip:02d}"


def measure_label(measure: Measure) -> str:
    """What a measure counts, and of whom."""
    words = WHO_ALONE if measure.what in ("rods", "parts") else WHO
    return MEASURES[measure.what] + words[measure.who]


def swaps(parts: int, part_hours: float) -> str:
    """How a trip is cut by swaps."""
    return (
        f"Each trip has {count(parts, 'part')} of {part_hours:g} h; the baits are swapped between "
        "them. A turn is one rod fishing one variant through one part."
    )


def not_reached(labels: list[str]) -> str:
    """Which measures are above what counting allows, and what that means."""
    return (
        f"Above what counting alone allows: {'; '.join(labels)}. Whether any plan does better in "
        "all of them at once is not known; this is the best that a seeded search found. Another "
        "--seed may do a little better or worse."
    )


def precision_text(precision: float) -> str:
    """What it costs that not every variant is on every trip."""
    if precision > 0.9995:
        return (
            "All variants are on every trip for the same time: the most exact comparison that so "
            "many rod-hours can give."
        )
    return (
        "Not all variants take equal turns on every trip: a difference between two of them is as "
        f"exact as with {percent(precision)} of their rod-hours fished with all of them on every "
        "trip (where trips differ a lot, and fish do not come in clumps)."
    )


def reference_on_every_trip(reference: str | None, gain: float) -> str:
    """What it gains and costs that the reference, named or not, is always there."""
    told = (
        f"The reference{f', {reference},' if reference else ''} is on every trip, so that each "
        "other variant meets it wherever it is fished. "
    )
    if gain > 1.005:
        return told + (
            f"Differences from it are as exact as with {100 * (gain - 1):.0f} % more trips where "
            "all take equal turns; those between the others are less exact. --even plans equal "
            "turns."
        )
    return told + (
        "With so few turns a trip that makes differences from it no more exact than equal turns "
        "would, and those between the others less; --even plans equal turns."
    )


def key_said(plan: Rotation | None) -> list[str]:
    """By which key the bags of a blind plan are opened."""
    return [f"The key to these bags: {plan.key}."] if plan and plan.key else []


def sheet_sub(plan: Rotation, page: int, pages: int) -> str:
    """Under the heading of a sheet."""
    said = [one.rstrip(".") for one in key_said(plan)]
    if plan.parts > 1 and plan.part_hours is not None:
        said.append(f"swap baits every {plan.part_hours:g} h")
    if pages > 1:
        said.append(f"page {page} of {pages}")
    said.append("rods are counted from the left")
    text = "; ".join(said)
    return f"{text[0].upper()}{text[1:]}."
