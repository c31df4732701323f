"""What a proposed layout leaves undecided: each a plain question, its answers lines of the file."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from rodhours.counts import listed, tallied
from rodhours.log.cells import LOG_YEARS, CellFault
from rodhours.log.cells.dates import DAY_FIRST, MONTH_FIRST, ambiguous, read_date, with_years
from rodhours.log.cells.hours import read_stay
from rodhours.log.cells.numbers import COUNT_WORDS
from rodhours.log.cells.weights import weight_readings
from rodhours.log.layout.apart import NOTHING, bait_columns
from rodhours.log.layout.contents import FISH_NAMED, Contents, one_line, weights_in
from rodhours.log.layout.guess import Guesses, counts_on, rank, says_hours
from rodhours.log.layout.layout import BAIT, COLUMNS, KEEP, LEAVE_OUT, SHEET, Layout, side_by_side
from rodhours.log.layout.names import plain_name
from rodhours.log.layout.reshape import A_YEAR, alike, surely_alike
from rodhours.log.layout.toml import Entries, entry_line
from rodhours.log.table import FileTable, missing_columns
from rodhours.log.tables import SESSIONS, VARIANTS, Kind
from rodhours.near import is_slip, look_alikes

MOST_ASKED = 6
LEAST_FIRST = (
    *("remarks", "sheets", "alike venue", "alike variant", "weights", "without weight"),
    "blanks",
)
"""What is taken as it most likely is, the least important first, where more would be asked."""
FURTHEST_BACK = 30
"""Years that dates without one may lie back."""
MOST_ANSWERS = 6
MOST_LABELS = 40
"""With more labels than this no two are taken for one."""
LONGEST_STAY = 14
"""Nights of a trip: longer ones are asked about."""
SPECIES = {*("carp", "tench", "bream", "barbel", "roach", "rudd", "perch", "pike", "chub", "eel")}
DASHES = ("-", "–", "—", "x", "X")
"""What stands in a cell for nothing, or for no fish."""
_A_MONTH = re.compile("jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec|season|sheet", re.I)
_A_TRIP = re.compile(r"trip|session|outing|visit", re.I)
_DIGIT = re.compile(r"\d")
_PLAINLY = {
    "variant": "the bait",
    "fish": "the number of fish landed",
    "hours": "the hours each rod was in the water",
    "session": "the trip",
}
_WEIGHTS = {
    "pounds and ounces: 22.4 is 22 lb 4 oz": "lb.oz",
    "kilograms": "kg",
    "pounds with decimals: 22.5 is 22 lb 8 oz": "decimal lb",
    "grams": "g",
}


@dataclass(frozen=True)
class Question:
    """What is undecided: `about` names it, `cells` are those it is about.

    `answers` has for each the entries of the layout file that it writes; the first is likely.
    `typed`: the whole numbers that may be typed instead, and the entries of one.
    """

    about: str
    asks: str
    cells: tuple[str, ...]
    answers: Mapping[str, Entries]
    typed: tuple[range, Callable[[int], Entries]] | None = None

    @property
    def likely(self) -> Entries:
        """The entries of the first answer."""
        return next(iter(self.answers.values()))


def entry_lines(entries: Entries) -> list[str]:
    """Entries as they stand in the file, each with its section."""
    return [
        f"[{section}] {entry_line(section, key, value)}"
        for section, of_section in entries.items()
        for key, value in of_section.items()
    ]


@dataclass(frozen=True)
class Found:
    """What questions are asked from: a table, its columns, the layout so far and what it gives.

    `whole` is the table before its rods or baits were put one below the other. `cells` are those
    that are read (filled down, with years), `values` what became of them.
    """

    raw: FileTable
    whole: FileTable
    contents: Mapping[str, Contents]
    layout: Layout
    guesses: Guesses
    cells: Mapping[str, Sequence[str]]
    values: Mapping[str, Sequence[object]]
    given: frozenset[str]
    titles: tuple[str, ...] = ()

    def theirs(self, ours: str) -> str:
        """Their column of one of ours, where this table has it; else empty."""
        named = self.layout.theirs(ours)
        return named if named in self.contents else ""

    @property
    def missing(self) -> tuple[str, ...]:
        """Columns of ours that an import needs and has not."""
        have = {*self.layout.columns.values()}
        have |= {"session"} if self.layout.session_from else set()
        if self.raw.table == "stints" and "weight" in have:
            have.add("fish")
        return tuple(missing_columns(have, self.raw.table, set(self.given)))


def find_questions(found: Found, settled: Collection[str] = ()) -> tuple[Question, ...]:
    """What is undecided in a proposal, but for what is `settled` already."""
    asked: list[Callable[[Found], Iterator[Question]]] = [_baits]
    if not any(_baits(found)) or "baits" in settled:
        asked = [_which_column]
    if not found.missing:
        asked = [_empty_baits, _trips, _year, _day_or_month, _as_above, _stays, _blanks]
        asked += [_fish_rows, _rods, _weights, _alike, _sheets_water, _remarks]
    questions = (question for ask in asked for question in ask(found))
    return tuple(one for one in questions if one.about not in settled)


def taken_unasked(questions: Sequence[Question], most: int) -> Question | None:
    """The least important of more questions than may still be asked; None where all may be."""
    of = {one.about: one for one in questions}
    least = next((of[about] for about in LEAST_FIRST if about in of), None)
    return least if len(questions) > most else None


def _each(section: str, key: str, values: Mapping[str, object]) -> dict[str, Entries]:
    """An answer for each value that one entry of the layout may have, by what it says."""
    return {says: {section: {key: value}} for says, value in values.items()}


def _shown(texts: Iterable[str], most: int = 3) -> tuple[str, ...]:
    return tuple(one_line(text, 30) for text in list(texts)[:most])


def _quoted(texts: Iterable[str]) -> list[str]:
    return [f'"{one_line(text)}"' if text else "empty" for text in texts]


def candidates(found: Found, ours: str) -> list[str]:
    """Their columns that may be one of ours by what they hold: those tied first."""
    free = [name for name in found.contents if found.layout.columns.get(name) == KEEP]
    tied = [name for name in found.guesses.ties.get(ours, ()) if name in free]
    if tied or found.raw.table not in ("stints", "catches"):
        return tied
    rows = len(found.raw.rows)

    def may_be(name: str) -> bool:
        held = found.contents[name]
        labels = ours == "fish" or rows < 4 or len({*held.cells}) < rows
        a_month = name == SHEET and any(map(_A_MONTH.match, held.distinct))
        a_date = ours == "session" and plain_name(name) in ("year", "month", "day")
        a_time = ours == "hours" and held.clock_times and not says_hours(name)
        running = ours in ("hours", "fish") and counts_on(name, held)
        another = a_month or a_date or a_time or running
        return labels and not another and bool(held.distinct) and held.could_be(ours)

    free.sort(key=lambda name: not any(rank(word, ours) for word in plain_name(name).split()))
    return [name for name in free if may_be(name)][:MOST_ANSWERS]


def _which_column(found: Found) -> Iterator[Question]:
    for ours in found.missing:
        names = candidates(found, ours)
        if not names or (found.layout.groups and ours in ("fish", "lost", "rod")):
            continue
        answers: dict[str, Entries] = {}
        for name in names:
            called = "the name of the sheet" if name == SHEET else name
            samples = " | ".join(_shown(found.contents[name].samples))
            answers[f"{called} ({samples})"] = {"columns": {name: ours}}
        if ours == "fish" and len(names) > 1:
            added: Entries = {"columns": dict.fromkeys(names, "fish")}
            species = {plain_name(name) for name in names} <= SPECIES
            both = {"all of them added up": added}
            answers = both | answers if species else answers | both
        asks = f"Which column is {_PLAINLY.get(ours, COLUMNS[ours].holds)}?"
        yield Question(f"column {ours}", asks, (), {**answers, "none of them": {}})


def _baits(found: Found) -> Iterator[Question]:
    """Columns that are called by their baits, where none is that of the bait."""
    may_be = {KEEP, *VARIANTS.names}
    free = [name for name in found.whole.names if found.layout.columns.get(name) in may_be]
    names = bait_columns(found.whole, free)
    if "variant" in found.missing and names and not found.layout.groups:
        asks = f"No column is the bait. Is each of these one: {listed(names)}?"
        samples = (f"{name}: {', '.join(found.contents[name].samples)}" for name in names)
        yes: Entries = {"columns": {BAIT: "fish"}, "baits": {"names": names}}
        answers = {"yes, each is a bait, and its cells are its fish": yes, "no": {}}
        yield Question("baits", asks, _shown(samples, 4), answers)


def _sheets_water(found: Found) -> Iterator[Question]:
    """Whether the name of a sheet is the water, where nothing else says it."""
    if found.layout.theirs("venue") or found.layout.columns.get(SHEET) != KEEP:
        return
    held = found.contents[SHEET]
    if not any(_DIGIT.search(text) or _A_MONTH.match(text) for text in held.distinct):
        asks = "Does the name of a sheet say where you fished?"
        yes: Entries = {"columns": {SHEET: "venue"}}
        yield Question("sheets", asks, _shown(held.samples), {"yes, its water": yes, "no": {}})


def _trips(found: Found) -> Iterator[Question]:
    """Which columns make a trip, where another column is called as one and says otherwise."""
    layout, named = found.layout, found.guesses.row_numbers
    together = list(layout.session_from)
    label = named or layout.theirs("session")
    if label not in found.cells:
        return

    def trips(names: Sequence[str]) -> int:
        return len({*zip(*(map(str.strip, found.cells[name]) for name in names), strict=True)})

    if not together:
        # A label over several days or waters is no trip, or a trip of several days.
        together = [name for name in map(layout.theirs, ("date", "venue")) if name]
        labels = found.cells[label]
        pairs = {
            (text.strip(), cell.strip(), name)
            for name in together
            for text, cell in zip(labels, found.cells[name], strict=True)
            if cell.strip()
        }
        same = len(pairs) == len({(text, name) for text, _, name in pairs})
        if same or not layout.theirs("date"):
            return
    if named and layout.columns.get(named) == KEEP and not _A_TRIP.search(named):
        return
    both = [*together, label] if trips([label]) < trips(together) and not named else together
    aside = {name: LEAVE_OUT if name in COLUMNS else KEEP for name in (*together, label)}
    kept = {} if named else {name: aside[name] for name in together}
    asks = "Which columns make a trip? A trip is one stay at one water, with all its rods."
    answers: dict[str, Entries] = {
        f"{listed(both)} together: {tallied(trips(both), 'trip')}": {
            "columns": {label: aside[label]},
            "session": {"from": both},
        },
        f"{label} alone: {tallied(trips([label]), 'trip')}": {
            "columns": {**kept, label: "session"},
            "session": {"from": []},
        },
    }
    yield Question("trips", asks, _shown(dict.fromkeys(found.cells[label])), answers)


def _year(found: Found) -> Iterator[Question]:
    name, raw = found.theirs("date"), found.raw
    if found.layout.dates.year is not None or not name or not found.contents[name].yearless:
        return
    held, this = found.contents[name], date.today().year
    texts = (*found.titles, *raw.above, name, raw.sheet or "", raw.file)
    said = [int(year) for text in texts for year in A_YEAR.findall(text)]
    back = range(this, this - FURTHEST_BACK, -1)
    fits = (year for year in back if _fits_year(held.cells, found.layout.dates.form, year))
    likely = said[0] if said else next(fits, this)
    years = list(dict.fromkeys([likely, this, this - 1, this - 2]))[:3]
    asks = f"Which year is the first date, {held.samples[0]}? (or type another year)"
    answers = _each("dates", "year", {str(year): year for year in years})
    typed = LOG_YEARS, lambda year: {"dates": {"year": year}}
    yield Question("year", asks, _shown(held.samples), answers, typed)


def _fits_year(cells: Sequence[str], form: str, year: int) -> bool:
    """Whether the days of the week are right and no date lies ahead, if that is the first year."""
    read = []
    for cell in with_years(cells, form, year):
        try:
            read.append(read_date(cell.strip(), form))
        except CellFault as fault:
            if "day of the week" in str(fault):
                return False
    return bool(read) and max(read) <= date.today().isoformat()


def _day_or_month(found: Found) -> Iterator[Question]:
    name = found.theirs("date")
    twice = ambiguous(found.contents[name].distinct) if name else ()
    # With full stops the day comes first everywhere.
    if any("." not in text for text in twice):
        forms = (("day", DAY_FIRST), ("month", MONTH_FIRST))
        read = {
            f"{one} first: {twice[0]} is {read_date(twice[0], form)}": form for one, form in forms
        }
        asks = f"Is the day or the month first in {name}?"
        yield Question("day first", asks, _shown(twice), _each("dates", "form", read))


def _as_above(found: Found) -> Iterator[Question]:
    """Empty cells of what every row needs: as above, or a gap."""
    layout = found.layout
    empty = {
        name: [at for at, cell in enumerate(held.cells) if not cell.strip()]
        for name, held in found.contents.items()
        if name not in layout.groups
    }
    empty = {name: cells for name, cells in empty.items() if 0 < len(cells) < len(found.raw.rows)}
    needed = (*layout.session_from, found.theirs("session"), found.theirs("variant"))
    gaps = [name for name in needed if name in empty]
    for name in map(found.theirs, ("hours", "cast_in", "cast_out")):
        # What only the first row of a trip has, as its day or its name.
        first = (*gaps, found.theirs("date"))
        same = [one for one in first if name in empty and empty.get(one) == empty[name]]
        gaps += [*same, name] if same else []
    names = [name for name in dict.fromkeys(gaps) if name not in layout.fill_down]
    if names and "empty" not in layout.rows:
        have, count = "has" if len(names) == 1 else "have", max(len(empty[one]) for one in gaps)
        asks = f"{listed(names)} {have} empty cells ({count}). What do they mean?"
        waits = "nothing was written: their trips wait until the cells are filled"
        answers: dict[str, Entries] = {
            "the same as the cell above": {"fill_down": {"columns": [*layout.fill_down, *names]}},
            waits: {"rows": {"empty": "nothing was written"}},
        }
        yield Question("as above", asks, (), answers)


def _stays(found: Found) -> Iterator[Question]:
    """How many hours a night is, or a day."""
    name, known = found.theirs("hours"), found.layout.values.get("hours", {})
    texts = found.contents[name].distinct if name else ()
    unit = next((unit for unit in ("night", "day") if unit in plain_name(name)), "")
    stays = {
        text: stay
        for text in texts
        if text not in known and (stay := read_stay(f"{text} {unit}" if text.isdecimal() else text))
    }
    for unit, likely in (("night", (24, 12)), ("day", (12, 24))):
        of_unit = {text: count for text, (count, one) in stays.items() if one == unit}
        if any(map(str.isdecimal, of_unit)):
            of_unit |= {str(count): count for count in range(1, LONGEST_STAY + 1)}

        def entries(hours: int, of_unit: Mapping[str, int] = of_unit) -> Entries:
            return {"values.hours": {text: str(n * hours) for text, n in of_unit.items()}}

        if of_unit:
            asks = f"How many hours was each rod in on a {unit}? (or type the hours, 3 to 48)"
            answers = {f"{hours} h": entries(hours) for hours in likely}
            typed = range(3, 49), entries
            yield Question(f"hours of a {unit}", asks, _shown(of_unit), answers, typed)


def _rods(found: Found) -> Iterator[Question]:
    """A column called `Rods` with a number in each row of a trip: how many, or which."""
    named = (one for one in found.contents if "rods" in plain_name(one).split())
    rod = next((one for one in named if found.layout.columns.get(one) in (KEEP, "rod")), "")
    if not rod or found.layout.groups or not found.contents[rod].counts:
        return
    if found.layout.theirs("rod") not in ("", rod):
        return
    hours = found.layout.theirs("hours")
    answers: dict[str, Entries] = {
        says: {"columns": {rod: KEEP}, "rows": {"rods": rod, "hours": one}}
        for one, says in (
            ("each rod", "of each rod: they count for every rod"),
            ("all rods", "of all rods added up already"),
        )
        if hours or one == "each rod"
    }
    answers[f"{rod} says which rod it was, not how many"] = {"columns": {rod: "rod"}}
    asks = f"{rod} has how many rods were out. What are the {hours or 'times'}?"
    yield Question("rods", asks, _shown(found.contents[rod].samples), answers)


def _empty_baits(found: Found) -> Iterator[Question]:
    """What an empty cell under a bait means, where a column a bait has its fish alone."""
    layout = found.layout
    if BAIT not in layout.groups or {"hours", "cast_in"} & {*layout.groups.values()}:
        return
    groups = side_by_side(layout.groups, found.whole.names, layout.baits)
    columns = [one for group in groups.values() for one in group.values()]
    texts = [cell.strip() for one in columns for cell in found.whole.named_columns[one]]
    empty = [text for text in texts if text in NOTHING]
    means = {"that bait was not out": "not fished", "it was out and had no fish: 0": "a blank"}
    if empty:
        likely_first = means if "0" in texts else dict(reversed(means.items()))
        asks = f"What does such a cell under a bait mean ({len(empty)})?"
        shown = _shown(_quoted(dict.fromkeys(empty)))
        yield Question("empty baits", asks, shown, _each("rows", "empty_bait", likely_first))


def _blanks(found: Found) -> Iterator[Question]:
    name = found.theirs("fish")
    counts = Counter(cell.strip() for cell in found.cells[name]) if name else Counter[str]()
    known = found.layout.values.get("fish", {})
    signs = [text for text in ("", *DASHES) if counts[text] and text not in known]
    # Fish that are listed one by one need no count.
    if not signs or "catches" in found.given:
        return
    answers: dict[str, Entries] = {"a blank: 0 fish": {"values.fish": dict.fromkeys(signs, "0")}}
    if "" in signs and len(signs) > 1:
        marked = listed(_quoted(filter(None, signs)), "or")
        written = dict.fromkeys(signs, "0") | {"": ""}
        answers[f"a blank only where it says {marked}"] = {"values.fish": written}
    answers["not known: leave those trips out"] = {"values.fish": dict.fromkeys(signs, "")}
    zeros = sum(counts[text] for text in counts if text in signs or known.get(text, text) == "0")
    if 0 < 5 * counts[""] <= zeros:
        # Blanks are written here: a cell that is empty was most likely forgotten.
        first, *others = answers.items()
        answers = dict([*others, first])
    said = (f"{sign} ({counts[text]:,})" for sign, text in zip(_quoted(signs), signs, strict=True))
    yield Question("blanks", f"What does such a cell of {name} mean?", tuple(said), answers)


def _fish_rows(found: Found) -> Iterator[Question]:
    """Rows without a weight where no column counts fish, and rows that differ in the fish alone."""
    layout, weight, raw = found.layout, found.layout.theirs("weight"), found.raw
    if layout.groups or "catches" in found.given or weight not in (*found.contents, ""):
        return
    held = found.contents[weight] if weight and not layout.theirs("fish") else Contents(())
    known = layout.values.get("weight", {})
    words = [text for text in held.distinct if text not in known and not _DIGIT.search(text)]
    not_weighed = "each a fish that was not weighed"
    if words:
        answers: dict[str, Entries] = {
            "no fish: 0": {"values.weight": dict.fromkeys(words, "")},
            not_weighed: {"rows": {"words": "a fish"}},
        }
        yield Question("words", f"What are such cells of {weight}?", _shown(words), answers)
    if held.empty:
        asks = f"What are the {tallied(held.empty, 'row')} without {weight}?"
        are = {"blanks: 0 fish": "a blank", not_weighed: "a fish"}
        yield Question("without weight", asks, (), _each("rows", "without_weight", are))
    groups = [] if surely_alike(layout) else alike(raw, layout)
    if groups:
        shown = [listed([f"row {raw.rows[at]}" for at in group[:4]]) for group in groups]
        are = {
            "one stint with several fish, its hours counted once": "one stint",
            "several stints: the hours of each row count": "stints of their own",
        }
        asks = "Some rows with fish agree in trip, bait and hours. What are they?"
        yield Question("alike rows", asks, _shown(shown), _each("rows", "alike", are))


def _weights(found: Found) -> Iterator[Question]:
    name, units = found.theirs("weight"), found.layout.units
    cells = found.contents[name].distinct if name and units.weight is None else ()
    texts = [one for text in cells for one in weights_in(text, units.decimal)]
    bare = [one for one in texts if any(form for form, _ in weight_readings(one, units.decimal))]
    if bare:
        aside: Entries = {"columns": {name: KEEP}}
        answers = {**_each("units", "weight", _WEIGHTS), "leave the weights aside": aside}
        asks = f"Weights in {name} have no unit. What are they?"
        yield Question("weights", asks, _shown(bare), answers)


def _alike(found: Found) -> Iterator[Question]:
    """Labels that may be one in two spellings, be it a slip of a single letter."""
    for ours, what in (("variant", "bait"), ("venue", "water")):
        texts = Counter(text for text in found.values.get(ours, ()) if isinstance(text, str))
        groups: dict[str, list[str]] = {}
        for text, count in sorted(texts.items(), key=lambda one: (-one[1], one[0])):
            near = (
                one
                for one in (groups if len(groups) <= MOST_LABELS else ())
                if look_alikes([one, text]) or (count <= 2 and is_slip(one, text))
            )
            groups.setdefault(next(near, text), []).append(text)
        known = found.layout.values.get(ours, {}).keys()
        asked = [group for group in groups.values() if not known >= set(group[1:])]
        if asked:
            same = {other: group[0] for group in asked for other in group[1:]}
            answers: dict[str, Entries] = {
                f"yes, one {what}": {f"values.{ours}": same},
                "no, they are different": {f"values.{ours}": {one: one for one in same}},
            }
            asks = f"Is each of these one {what}, spelt in two ways?"
            shown = tuple(" = ".join(_quoted(group)) for group in asked)
            yield Question(f"alike {ours}", asks, shown, answers)


def _remarks(found: Found) -> Iterator[Question]:
    """Whether a remark that stands on some of a trip's rows is of the trip or of the rod."""
    name = found.layout.theirs("notes")
    sessions = found.values.get("session", ())
    if name not in found.contents or name == "notes" or found.layout.groups:
        return
    rows = Counter(sessions)
    pairs = zip(sessions, map(str.strip, found.cells[name]), strict=False)
    several = [(one, text) for one, text in pairs if one is not None and rows[one] > 1]
    some = {session for session, text in several if text}
    if any(session in some and not text for session, text in several):
        asks = f"Does a remark in {name} belong to the whole trip or to its rod?"
        shown = _shown(dict.fromkeys(text for _, text in several if text))
        answers = _each("columns", name, {"the whole trip": "notes", "its rod": KEEP})
        yield Question("remarks", asks, shown, answers)


def plain_values(columns: Mapping[str, tuple[str, Contents]]) -> dict[str, dict[str, str]]:
    """Texts that can mean but one thing: `blank` is 0 fish, a dash where nothing need be nothing.

    `columns` has for ours the name of theirs and its cells.
    """
    values: dict[str, dict[str, str]] = {}
    for ours, (_, contents) in columns.items():
        texts = [text for text in contents.distinct if len(text) < 10]
        counts = {text: COUNT_WORDS.get(text.lower()) for text in texts}
        known: dict[str, str] = {}
        if ours in ("fish", "lost"):
            known = {text: str(count) for text, count in counts.items() if count is not None}
            known |= {text: named[1] for text in texts if (named := FISH_NAMED.fullmatch(text))}
            known = {text: count for text, count in known.items() if text not in DASHES}
        if ours == "weight":
            known = {text: "" for text in texts if counts[text] == 0}
        if COLUMNS[ours].kind not in (Kind.TEXT, Kind.ROD) and ours not in ("fish", "hours"):
            known |= {text: "" for text in texts if text in DASHES}
        if known:
            values[ours] = known
    return values


def of_whole_trips(found: Found) -> list[str]:
    """Their columns that are taken for the trip's own, though its rows differ in them."""
    sessions = found.values.get("session", ())
    may_be = {*SESSIONS.names} - {"session", "angler", "date", "venue"}
    differing = []
    for name, ours in found.layout.columns.items():
        held = found.values.get(ours, ()) if ours in may_be and name != ours else ()
        rows = zip(sessions, held, strict=False)
        pairs = {(one, value) for one, value in rows if None not in (one, value)}
        if len(pairs) > len({one for one, _ in pairs}):
            differing.append(name)
    return differing
