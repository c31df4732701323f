"""Which stint had which fish, and whether `catches` and `stints.fish` agree.

A fish is matched by session and rod, by variant where one rod fished several, and by time
where one rod fished a variant more than once. A session may say that its fish are not listed.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence, Set

from rodhours.log.table import Log, Rows

FISH_LISTED = "fish_listed"
"""The column of sessions that says `no` where catches does not list that session's fish."""


def not_listed(log: Log, session_of: Mapping[str, list[int]]) -> set[int]:
    """The sessions that say `no` in `fish_listed`: counted in stints, not listed in catches.

    The column is taken off the table, for it is about the files and not about the fishing. Notes a
    problem for each cell that is neither yes, no nor empty.
    """
    marks = log.tables["sessions"].extras.pop(FISH_LISTED, [])
    found = set()
    for position, (number, mark) in enumerate(zip(session_of["sessions"], marks, strict=False)):
        word = (mark or "yes").casefold()
        if word == "no":
            found.add(number)
        elif word != "yes":
            log.problem("sessions", position, FISH_LISTED, "yes or no", mark)
    return found


def match_catches(
    log: Log, session_of: Mapping[str, list[int]], unlisted: Set[int] = frozenset()
) -> list[int | None]:
    """The position of the stint that had each fish; None where only its rod and variant are known.

    Notes a problem for each fish without a stint and for each stint whose count differs; in the
    sessions `unlisted` only fish that are listed nevertheless are a problem.
    """
    catches, stints = log.tables["catches"], log.tables["stints"]
    if "catches" not in log.given:
        return []
    matched: list[int | None] = [None] * len(catches)
    if not len(catches):
        return matched
    rods, fish = stints.columns["rod"], stints.columns["fish"]
    refused = {position for name, position in log.findings.reasons if name == "stints"}
    by_session: dict[int, list[int]] = defaultdict(list)
    by_rod: dict[tuple[int, str | None], list[int]] = defaultdict(list)
    for position, number in enumerate(session_of["stints"]):
        by_session[number].append(position)
        by_rod[number, rods[position]].append(position)

    landed: Counter[int] = Counter()
    lost: Counter[int] = Counter()
    pooled: Counter[tuple[int, ...]] = Counter()
    bad_rows = {position for name, position in log.findings.reasons if name == "catches"}
    for position, number in enumerate(session_of["catches"]):
        if number < 0 or position in bad_rows:
            continue
        if number in unlisted:
            says = f"no fish of this session, or {FISH_LISTED} not no in sessions"
            log.problem("catches", position, "session", says)
            continue
        rod = catches.columns["rod"][position]
        possible = by_rod.get((number, rod), [])
        if not possible and all(rods[stint] is None for stint in by_session[number]):
            possible = by_session[number]
        possible = _possible(log, position, possible)
        is_lost = catches.columns["outcome"][position] == "lost"
        if len(possible) == 1:
            matched[position] = possible[0]
            (lost if is_lost else landed)[possible[0]] += 1
        elif not possible or is_lost:
            continue
        elif all(fish[stint] is not None for stint in possible):
            pooled[tuple(possible)] += 1
        elif not refused.intersection(possible):
            says = (
                "a time that falls into one stint (this rod fished the variant more than once), "
                "or the column fish in stints"
            )
            log.problem("catches", position, "time", says)
    # Where a row is at fault the fish was there, but nobody can say yet which stint had it.
    at_fault = {session_of["catches"][p] for name, p in log.findings.reasons if name == "catches"}
    passed_over = unlisted | at_fault
    compared = [number not in passed_over for number in session_of["stints"]]
    _compare_counts(log, landed, lost, pooled, compared)
    return matched


def _possible(log: Log, position: int, stints_of_rod: list[int]) -> list[int]:
    """The stints of its rod that may have had a fish: of one variant, or none and a problem."""
    catches, stints = log.tables["catches"].columns, log.tables["stints"]
    variants, variant = stints.columns["variant"], catches["variant"][position]
    possible = [stint for stint in stints_of_rod if variant in (None, variants[stint])]
    if not possible:
        with_variant = f" with the variant {variant}" if variant is not None else ""
        says = f"a rod that stints has in this session{with_variant}"
        log.problem("catches", position, "rod", says)
        return []
    possible = _at_time(stints, possible, catches["time"][position]) or possible
    if len({variants[stint] for stint in possible}) > 1:
        says = "the variant that had the fish: this rod fished several in this session"
        log.problem("catches", position, "variant", says)
        return []
    return possible


def _at_time(stints: Rows, possible: list[int], time: str | None) -> list[int]:
    """Those of the stints that were in the water at that local time."""
    if time is None or len(possible) == 1:
        return []
    began, ended = stints.columns["cast_in"], stints.columns["cast_out"]
    return [
        stint
        for stint in possible
        if began[stint] is not None
        and ended[stint] is not None
        and began[stint][:16] <= time[:16] <= ended[stint][:16]
    ]


def _compare_counts(
    log: Log,
    landed: Counter[int],
    lost: Counter[int],
    pooled: Counter[tuple[int, ...]],
    compared: Sequence[bool],
) -> None:
    """Every stint to be compared, if it has a count, against what `catches` lists for it."""
    stints = log.tables["stints"]
    fish, lost_recorded = stints.columns["fish"], stints.columns["lost"]
    group_of = {stint: group for group in pooled for stint in group}
    done: set[tuple[int, ...]] = set()
    for position, recorded in enumerate(fish):
        if lost_recorded[position] is not None and lost[position] > lost_recorded[position]:
            says = f"{lost[position]} or more: catches lists that many lost fish for this stint"
            log.problem("stints", position, "lost", says)
        group = group_of.get(position, (position,))
        if recorded is None or not compared[position] or group in done:
            continue
        done.add(group)
        listed = pooled[group] + sum(landed[stint] for stint in group)
        told = {stint: fish[stint] for stint in group if fish[stint] is not None}
        if sum(told.values()) != listed or any(landed[one] > told[one] for one in told):
            says = f"{listed}, as catches lists for this stint, or all its fish there"
            if len(group) > 1:
                says = f"{listed} together, as catches lists for this rod and variant"
            log.problem("stints", position, "fish", says)
