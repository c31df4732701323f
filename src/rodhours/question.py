"""What every answer is asked about: which stints and fish of a logbook, which reference.

The one place where the log and the evidence meet. Nothing is printed, and `remember` alone writes.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from rodhours.errors import UnusableLogbook, UsageError

if TYPE_CHECKING:
    import pandas as pd

    from rodhours.evidence.check import CheckResult
    from rodhours.evidence.ingredients.results import ResponseResult
    from rodhours.evidence.looks.results import RunningResult
    from rodhours.evidence.power.results import HoursPlan
    from rodhours.evidence.rehearsal import RehearsalResult
    from rodhours.evidence.result import Note
    from rodhours.evidence.results import ComparisonResult, RateSummary
    from rodhours.evidence.season_by_season import SeasonBySeason
    from rodhours.evidence.sizes import SizesResult
    from rodhours.logbook.store import Logbook
    from rodhours.planning.next_season import NextSeason

REFERENCE = "reference"
"""The logbook's setting that remembers the reference."""
LEFT_OUT = "left_out"
"""The code of the note, and the name of the filter, on sessions left out."""
NOT_OF_WEIGHTS = ("min_weight_kg", "outcome")
"""Choices of fish that the weights are not chosen by."""

Answer = TypeVar("Answer")


@dataclass(frozen=True, eq=False)
class LogContent:
    """What is read of a logbook, all of one moment.

    `stints`, `catches` and `recipes` are the frames of the sessions that count; `everything` has
    the stints of sessions left out too, for what is in the log is no gap in it. `codes` gives
    each opened code its variant; `reference` is the label that the logbook remembers.
    """

    path: Path
    stints: pd.DataFrame
    everything: pd.DataFrame
    catches: pd.DataFrame
    recipes: pd.DataFrame
    left_out: tuple[Mapping[str, Any], ...]
    reference: str | None
    weight_unit: str
    codes: Mapping[str, str]
    sha256: str


@dataclass(frozen=True, eq=False, repr=False)
class Question:
    """The stints and fish chosen, and the answers to be had of them; `question` makes one.

    `filters` is the choice as every answer's machine form has it, `notes` are what it left out
    of the evidence, `remarks` what it passed over. A reference that is not given is the one that
    the logbook remembers, else the one that the answer takes by itself.
    """

    log: LogContent
    stints: pd.DataFrame
    filters: Mapping[str, Any]
    notes: tuple[Note, ...] = ()
    remarks: tuple[str, ...] = ()

    def __repr__(self) -> str:
        chosen = ", ".join(f"{name} {value}" for name, value in self.filters.items())
        return f"<Question: {len(self.stints)} stints of {self.log.path}; {chosen or 'all rows'}>"

    @property
    def catches(self) -> pd.DataFrame:
        """The fish of the sessions chosen, of one species where one is chosen."""
        return self._catches_of(self.filters.get("species"))

    @property
    def passed_over(self) -> str | None:
        """That the remembered reference is of no use for these rows; None where it is."""
        reference = self.meant(self.log.reference)
        if reference is None or reference in set(self.stints["variant"]):
            return None
        return f"The remembered reference '{reference}' has no stint in these rows."

    def meant(self, name: str | None) -> str | None:
        """The variant that a name stands for: that of an opened key's code, else the name."""
        return None if name is None else self.log.codes.get(name.upper(), name)

    def last_season(self, starts: tuple[int, int] = (1, 1)) -> Question:
        """The same question about the last season alone; stints without a date are in none.

        `starts` are month and day of a season's start. UsageError where no stint has a date.
        """
        from rodhours.evidence.season_by_season import season_names

        names = season_names(self.stints["date"], starts)
        if names.isna().all():
            raise UsageError("No stint has a date, so there are no seasons to compare.")
        last = str(names.dropna().max())
        return replace(
            self, stints=self.stints[names == last], filters={**self.filters, "season": last}
        )

    def remember(self, reference: str | None) -> str | None:
        """Let the logbook remember a reference; what there is to say where it cannot."""
        from rodhours.logbook.store import open_logbook

        reference = self.meant(reference)
        if reference is None or reference == self.log.reference:
            return None
        try:
            with open_logbook(self.log.path) as book:
                book.set_setting(REFERENCE, reference)
        except UnusableLogbook:
            return "The logbook cannot be written: the reference is not remembered."
        return None

    def compare(
        self,
        variant: str | None = None,
        reference: str | None = None,
        adjust: Sequence[str] = (),
        confidence: float = 0.95,
        basis: str = "auto",
        margin: float = 1.25,
    ) -> ComparisonResult:
        """`rodhours compare`: one variant, or all others, against the reference."""
        from rodhours.evidence.compare import compare
        from rodhours.kitchen.lift_notes import lift_notes
        from rodhours.kitchen.recipes import recipe_notes

        variant = self.meant(variant)
        reference = self._reference(reference, variant)
        result = compare(self.stints, reference, variant, adjust, confidence, basis, margin)
        of = (self.log.recipes, [one.variant for one in result.comparisons], result.reference)
        return self._known(result).with_notes((*recipe_notes(*of), *lift_notes(*of)))

    def running(self, comparison: ComparisonResult, **options: Any) -> RunningResult:
        """`rodhours compare --running`: a comparison of these stints after every trip.

        Options are those of `rodhours.running_looks` beside the comparison's own.
        """
        from rodhours.evidence.looks.running import looks_of

        return looks_of(self.stints, comparison, **options)

    def summary(self, by: str = "variant", confidence: float = 0.95) -> RateSummary:
        """`rodhours summary`: catch rates by variant, venue, month, rod or angler."""
        from rodhours.evidence.summary import summarise

        return self._known(summarise(self.stints, by, confidence))

    def check(self, reference: str | None = None, **options: Any) -> CheckResult:
        """`rodhours check`; gaps are looked for in the whole log, whichever rows are chosen.

        Options are adjust, confidence and margin, as `compare` has them.
        """
        from rodhours.evidence.check import check

        reference, whole = self._reference(reference), self.log.everything
        return self._known(check(self.stints, reference, whole_log=whole, **options))

    def response(
        self,
        column: str,
        per: float | None = None,
        adjust: Sequence[str] = (),
        confidence: float = 0.95,
    ) -> ResponseResult:
        """`rodhours response`: how the catch rate goes with a number of the recipe."""
        from rodhours.evidence.ingredients.respond import respond

        found = respond(
            self.stints, self.log.recipes, column, per=per, adjust=adjust, confidence=confidence
        )
        return self._known(found)

    def sizes(
        self,
        reference: str | None = None,
        species: str | None = None,
        confidence: float = 0.95,
    ) -> SizesResult:
        """`rodhours sizes`: weights by variant, of the fish of one species or of all.

        The fish are those of the sessions chosen; neither a least weight nor an outcome chooses
        among them. Without `species` it is the question's own.
        """
        from rodhours.evidence.sizes import sizes

        species = self.filters.get("species") if species is None else species
        catches = self._catches_of(species)
        landed = set(catches["variant"][catches["outcome"] != "lost"])
        reference, remembered = self.meant(reference), self.meant(self.log.reference)
        if reference is None and remembered in landed:
            reference = remembered
        filters = {
            name: one for name, one in self.filters.items() if name not in NOT_OF_WEIGHTS
        } | ({} if species is None else {"species": species})
        notes = tuple(note for note in self.notes if note.code == LEFT_OUT)
        about = replace(self, filters=filters, notes=notes)
        return about._known(sizes(catches, reference, confidence))

    def seasons(
        self, reference: str | None = None, starts: tuple[int, int] = (1, 1), **options: Any
    ) -> SeasonBySeason:
        """Season by season; options are adjust, confidence and margin, as `compare` has them."""
        from rodhours.evidence.season_by_season import season_by_season

        if reference is None:
            reference = self.compare(**options).reference
        found = season_by_season(self.stints, str(self.meant(reference)), starts=starts, **options)
        return self._known(found)

    def rehearse(
        self, variant: str | None = None, reference: str | None = None, **options: Any
    ) -> RehearsalResult:
        """`rodhours rehearse`; options are those of `rodhours.rehearse`."""
        from rodhours.evidence.rehearsal import rehearse

        variant = self.meant(variant)
        reference = self._reference(reference, variant)
        return self._known(rehearse(self.stints, reference, variant, **options))

    def next_season(
        self,
        reference: str | None = None,
        ratio: float = 1.5,
        power: float = 0.8,
        **options: Any,
    ) -> NextSeason:
        """`rodhours plan next`; options are adjust, confidence and margin of `compare`."""
        from rodhours.planning.next_season import next_season

        result = self.compare(reference=reference, **options)
        return self._known(next_season(self.stints, ratio=ratio, power=power, result=result))

    def hours(self, reference: str | None = None, **options: Any) -> HoursPlan:
        """`rodhours plan hours`; options are those of `rodhours.plan_hours`."""
        from rodhours.evidence.power.hours import plan_hours
        from rodhours.evidence.stints import unknown_name

        reference = self._reference(reference)
        known = {str(one) for one in self.stints["variant"].dropna()}
        if reference is not None and reference not in known:
            raise UsageError(unknown_name("variant", reference, known))
        return self._known(plan_hours(self.stints, reference, **options))

    def _reference(self, given: str | None, variant: str | None = None) -> str | None:
        """The reference given, else the remembered one where these rows have it."""
        remembered = self.meant(self.log.reference)
        if given is not None:
            return self.meant(given)
        return None if remembered == variant or self.passed_over is not None else remembered

    def _catches_of(self, species: str | None) -> pd.DataFrame:
        import pandas as pd

        catches, trip = self.log.catches, ["session", "angler"]
        sessions = pd.MultiIndex.from_frame(self.stints[trip].fillna("").drop_duplicates())
        kept = pd.MultiIndex.from_frame(catches[trip].fillna("")).isin(sessions)
        if species is not None:
            _known_names("species", [species], catches)
            kept &= (catches["species"] == species).to_numpy(dtype=bool)
        return catches[kept]

    def _known(self, result: Answer) -> Answer:
        """The same result, knowing what was chosen, what that left out, and the logbook."""
        return knowing(result, self.filters, self.notes, self.log.sha256)


def question(
    logbook: str | Path | Logbook = "logbook.sqlite",
    *,
    since: str | date | None = None,
    until: str | date | None = None,
    venue: str | Sequence[str] = (),
    angler: str | Sequence[str] = (),
    species: str | None = None,
    min_weight: str | None = None,
    outcome: str = "landed",
) -> Question:
    """What is to be answered from a logbook, by its path or open.

    Parameters
    ----------
    since, until
        Dates (ISO texts), both included; stints of sessions without a date are left out then.
    venue, angler
        Only these, one or several.
    species, min_weight, outcome
        Count only fish of this species, of this weight and over (a text with its unit, such as
        '20lb 8oz' or '9.5kg'), and those `landed`, `lost` or `hooked` (both).

    Sessions that the logbook leaves out are not asked about. Raises UsageError (a ValueError)
    for anything asked for that is not there, and where nothing is left; UnusableLogbook.
    """
    log = _read(logbook)
    dates = {"since": _date("--since", since), "until": _date("--until", until)}
    asked = _chosen_rows(log, dates, {"venue": _names(venue), "angler": _names(angler)})
    if log.left_out:
        from rodhours.evidence.result import CAUTION, Note

        aside = list(log.left_out)
        note = Note(LEFT_OUT, None, CAUTION, {"sessions": aside})
        asked = replace(asked, filters={**asked.filters, LEFT_OUT: aside}, notes=(note,))
    if species is None and min_weight is None and outcome == "landed":
        return asked
    return _chosen_fish(asked, species, min_weight, outcome)


def holds_stints(logbook: Path) -> bool:
    """Whether there is anything to ask about in a logbook."""
    from rodhours.logbook.store import open_logbook

    with open_logbook(logbook) as book:
        return book.counts().stints > 0


def knowing(
    result: Answer,
    filters: Mapping[str, Any],
    notes: Sequence[Note] = (),
    logbook_sha256: str | None = None,
) -> Answer:
    """A result that knows the rows and fish chosen, what that left out, and the logbook."""
    from rodhours.evidence.result import Result, order_notes

    if isinstance(result, Result):
        return result.knowing(filters, notes, logbook_sha256)
    held: dict[str, Any] = {
        "filters": dict(filters),
        "logbook_sha256": logbook_sha256,
        **{
            name: order_notes((*notes, *getattr(result, name)))
            for name in ("notes", "findings")
            if hasattr(result, name)
        },
    }
    fields: Any = getattr(result, "__dataclass_fields__")  # noqa: B009
    changed: Any = replace(result, **{one: held[one] for one in held if one in fields})  # type: ignore[type-var]
    return changed  # type: ignore[no-any-return]


def _read(logbook: str | Path | Logbook) -> LogContent:
    """The content of a logbook; UsageError where every session is left out."""
    from rodhours.logbook.frame import catches_frame, stint_frame, variants_frame
    from rodhours.logbook.opened_keys import variants_of_codes
    from rodhours.logbook.store import open_logbook
    from rodhours.logbook.weight_unit import unit_to_show

    if isinstance(logbook, str | Path):
        with open_logbook(logbook) as book:
            return _read(book)
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
            left_out=tuple(
                {"session": one.session, "angler": one.angler, "because": one.because}
                for one in left_out
            ),
            reference=logbook.setting(REFERENCE),
            weight_unit=unit_to_show(logbook),
            codes=variants_of_codes(logbook),
            sha256=logbook.content_sha256(),
        )


def _chosen_rows(
    log: LogContent, dates: Mapping[str, date | None], names: Mapping[str, Sequence[str]]
) -> Question:
    """The stints between two dates, at these venues, by these anglers."""
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
        _known_names(column, some, stints)
        kept &= stints[column].isin(some)
    filters = {**bounds, **chosen}
    if not kept.any():
        nothing = (
            "No stint is left by that choice of dates, waters and anglers."
            if filters
            else "The logbook holds no stints yet. Start with: rodhours import FILE"
        )
        raise UsageError("\n".join((*remarks, nothing)))
    return Question(log, stints[kept], filters, remarks=remarks)


def _chosen_fish(
    asked: Question, species: str | None, min_weight: str | None, outcome: str
) -> Question:
    """The same stints, counting only fish of the species, weight and outcome asked for."""
    from rodhours.evidence.wanted import wanted_fish

    least = None if min_weight is None else _weight("--min-weight", str(min_weight))
    stints, found = wanted_fish(asked.stints, asked.log.catches, species, least, outcome)
    if stints.empty:
        raise UsageError("No stint is left: none of those chosen has a count of lost fish.")
    return replace(
        asked,
        stints=stints,
        filters={**asked.filters, **found.choice},
        notes=(*asked.notes, *found.notes),
    )


def _known_names(column: str, names: Sequence[str], frame: pd.DataFrame) -> None:
    """UsageError for a name that a column does not have."""
    from rodhours.evidence.stints import unknown_name

    known = set(frame[column].dropna())
    for name in names:
        if name not in known:
            raise UsageError(unknown_name(column, name, known))


def _names(given: str | Sequence[str]) -> Sequence[str]:
    return [given] if isinstance(given, str) else list(given)


def _date(option: str, given: str | date | None) -> date | None:
    if given is None:
        return None
    try:
        return date.fromisoformat(str(given))
    except ValueError:
        raise UsageError(f"{option} takes a date such as 2025-04-01, not '{given}'.") from None


def _weight(option: str, text: str) -> float:
    """Kilograms of a weight with its unit; UsageError for what is none or may be two."""
    from rodhours.logbook.units import KG_PER_LB, CellFault, weight_kg, weight_readings

    try:
        weight = weight_kg(text.strip())
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
