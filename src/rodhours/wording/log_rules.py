"""What must agree between the rows of a log: phrases that follow "should be", and hints."""

from __future__ import annotations

from collections.abc import Sequence

from rodhours.wording.numbers import tallied

CHOOSE_SESSION_COLUMNS = (
    "one session is one stay at one water: if these are two, choose which columns make a "
    "session, for example write the date or the water into the session label"
)
ANGLER_WITHOUT_NAME = "--angler takes the name of the angler whose log the files are."
HOURS_OR_TIMES = "decimal hours above 0, or cast_in and cast_out"
NOT_IN_SESSIONS = "in stints but not in sessions, so without date and water"
NOT_IN_STINTS = "in sessions without a stint"


def zone_not_stated(machine_zone: str) -> str:
    """A hint: nobody said in which time zone the times of the files are."""
    return (
        f"The times are taken for local times of this machine's zone, {machine_zone}; where the "
        "water is elsewhere, say so with --zone, such as --zone Europe/London."
    )


def may_wait_too(place: str, session: str) -> str:
    """A hint: a row whose session cannot be read, and the session above it."""
    return (
        f"{place}: which session this row is of cannot be read, so session {session} above it "
        "waits with it: it may be a part of that one."
    )


def more_wait_too(rows: int) -> str:
    """The rest of the rows whose sessions cannot be read."""
    return f"The same holds for {tallied(rows, 'further row')}: the sessions above them wait too."


def held_with(place: str, certain: bool) -> str:
    """Why a row waits that has no fault of its own."""
    belongs = "belongs" if certain else "may belong"
    return f"held back with {place}, which {belongs} to this session"


def after(column: str, text: str) -> str:
    """A time that is not after the one it must follow."""
    return f"a time after {column} ({text})"


def hours_that_agree(elapsed: float) -> str:
    """Hours beside times that say otherwise."""
    return f"hours that agree with cast_in and cast_out, which are {elapsed:.4g} h apart"


def date_that_agrees(column: str, text: str) -> str:
    """A session's date beside times that say otherwise."""
    return f"a date that agrees with {column} ({text})"


def within_session(what: str, text: str) -> str:
    """A stint outside its session; `what` is began or ended."""
    return f"a time within its session, which {what} at {text}"


def one_stint_at_a_time(
    place: str,
    began: str,
    ended: str,
    *,
    rod: str,
    other_session: str | None,
    angler_named: bool,
) -> str:
    """A rod that is in the water already."""
    where = f" of session {other_session}" if other_session is not None else ""
    says = f"a time when rod {rod} was free: {place}{where} has it in from {began} to {ended}"
    if other_session is not None and not angler_named:
        says += ". Where two people fished, name them in the column angler"
    return says


def rod_in_two_sessions(rod: str, session: str, held: str) -> str:
    """A hint: a rod that is in the water in a session of the logbook too."""
    return (
        f"Rod {rod} was in the water in session {session} while the logbook has it in session "
        f"{held}: one of the two has a wrong time, rod or angler."
    )


def whose_session(label: str) -> str:
    """A row that may belong to two anglers."""
    return f"the angler: more than one person used the session label {label}"


def stamped_angler(name: str) -> str:
    """A row with another angler's name in a file that was said to be one angler's."""
    return f"{name} or empty, since --angler says that these files are {name}'s"


def one_row_a_session(place: str, differing: Sequence[str]) -> str:
    """A second row of one session, and the columns in which it differs."""
    says = f"one row for each session; {place} has it already"
    if differing:
        says += f" with another {' and '.join(differing)}. {CHOOSE_SESSION_COLUMNS}"
    return says


def session_says(value: object, place: str, is_another_session: bool) -> str:
    """A session's column that is not what the session had before."""
    says = f"{value}, as {place} says of the same session"
    return f"{says}; {CHOOSE_SESSION_COLUMNS}" if is_another_session else says


def one_row_a_variant(place: str, name: str) -> str:
    """A second row of one variant."""
    return f"one row for each variant; {place} is of {name} too"


def variant_says(value: object, name: str, in_table: bool) -> str:
    """A variant's column that is not what its table, or most other rows, say."""
    source = "the variants table says" if in_table else "other rows say"
    return f"{value}, as {source} of the variant {name}"


def a_row_that_differs(place: str) -> str:
    """A row that says the same of the same rod as an earlier one."""
    return (
        f"a row that differs from {place}, which says the same of the same rod: remove one if it "
        "is written twice; if the rod fished twice, write one row with the hours and the fish of "
        "both, or tell them apart (cast_in and cast_out, or a column of your own)"
    )


def in_one_file(place: str) -> str:
    """A row that stands in another file of the same import."""
    return f"a row that is not in another file too ({place}): give each log once"


def sessions_listed(names: Sequence[str], says: str) -> str:
    """Sessions that one table has and another has not."""
    shown = ", ".join(names[:5])
    kind = "Session" if len(names) == 1 else "Sessions"
    more = f" and {len(names) - 5} more" if len(names) > 5 else ""
    return f"{kind} {shown}{more}: {says}."


def long_stints(hours: float) -> str:
    """Stints so long that the hours may be minutes."""
    return (
        f"Some stints are longer than a week (up to {hours:.4g} hours): are these hours, "
        "not minutes?"
    )


def look_alikes(what: str, labels: Sequence[str]) -> str:
    """Labels that are probably one and the same; `what` is their plural."""
    return (
        f"The {what} {' and '.join(repr(label) for label in labels)} are probably the same; "
        "they are kept as different ones until you write them alike."
    )
