"""What a logbook answers: the stints and fish chosen, and every answer to be had of them.

Here and in `choice` the log and the evidence meet. Nothing is printed; `remember` alone writes.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

from rodhours.choice import LEFT_OUT, LogContent, check_names, choose, read_log
from rodhours.errors import UnusableLogbook, UsageError

if TYPE_CHECKING:
    import pandas as pd

    from rodhours.evidence.response.result import ResponseResult
    from rodhours.evidence.result import Note, Result
    from rodhours.evidence.results import CheckResult, ComparisonResult, RateSummary
    from rodhours.evidence.running_result import RunningResult
    from rodhours.evidence.season_by_season import SeasonBySeason
    from rodhours.evidence.sizes import SizesResult
    from rodhours.log.logbook import Logbook
    from rodhours.planning.next_season import NextSeason
    from rodhours.simulate.hours import HoursPlan
    from rodhours.simulate.rehearse import RehearsalResult

NOT_OF_WEIGHTS = ("min_weight_kg", "outcome")
"""Choices of fish that the weights are not chosen by."""

Answer = TypeVar("Answer", bound="Result")


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

    def _catches_of(self, species: str | None) -> pd.DataFrame:
        import pandas as pd

        catches, trip = self.log.catches, ["session", "angler"]
        stints = self.log.stints.loc[self.stints.index, trip]
        sessions = pd.MultiIndex.from_frame(stints.fillna("").drop_duplicates())
        kept = pd.MultiIndex.from_frame(catches[trip].fillna("")).isin(sessions)
        if species is not None:
            check_names("species", [species], catches)
            kept &= (catches["species"] == species).to_numpy(dtype=bool)
        return catches[kept]

    @property
    def passed_over(self) -> str | None:
        """That the remembered reference is of no use for these rows; None where it is."""
        reference = self.log.reference
        if reference is None or reference in set(self.stints["variant"]):
            return None
        return f"The remembered reference '{reference}' has no stint in these rows."

    def last_season(self, starts: tuple[int, int] = (1, 1)) -> Question:
        """The same question about the last season alone; stints without a date are in none.

        `starts` are month and day of a season's start. UsageError where no stint has a date.
        """
        from rodhours.evidence.dates import season_names

        names = season_names(self.stints["date"], starts)
        if names.isna().all():
            raise UsageError("No stint has a date, so there are no seasons to compare.")
        last = str(names.dropna().max())
        return replace(
            self, stints=self.stints[names == last], filters={**self.filters, "season": last}
        )

    def as_planned(self) -> Question:
        """The same question by the bait that a plan asked for; UsageError where none has one."""
        from rodhours.evidence.checks.plan import as_planned, departures
        from rodhours.evidence.result import INFORMATION, Note

        asked = departures(self.stints)
        stints = as_planned(self.stints)
        numbers = {"planned": len(asked), "departed": int(asked["departed"].sum())}
        numbers["unplanned"] = len(self.stints) - len(asked)
        notes = (*self.notes, Note("as_planned", None, INFORMATION, numbers))
        filters = {**self.filters, "as_planned": True}
        return replace(self, stints=stints, filters=filters, notes=notes)

    def remember(self, reference: str | None, taken: str | None = None) -> str | None:
        """Let the logbook keep a reference that was asked for; what there is to say then.

        Where none was, and it keeps none yet, it is the one `taken` by an answer.
        """
        from rodhours.log.logbook import open_logbook

        automatic = reference is None
        if automatic and self.log.reference is not None:
            return None
        kept = self._meant(taken if automatic else reference)
        if kept is None or kept == self.log.reference:
            return None
        try:
            with open_logbook(self.log.path) as book:
                book.set_reference(kept, automatic)
        except UnusableLogbook:
            return "The logbook cannot be written: the reference is not remembered."
        return f"The reference is {kept} from now on; --reference names another."

    def compare(
        self,
        variant: str | Sequence[str] | None = None,
        reference: str | None = None,
        adjust: Sequence[str] = (),
        confidence: float = 0.95,
        basis: str = "auto",
        margin: float = 1.25,
    ) -> ComparisonResult:
        """`rodhours compare`: one variant, several, or all others, against the reference."""
        from rodhours.kitchen.compare import lift_notes, recipe_notes
        from rodhours.kitchen.ledger import paste_densities

        several = (variant,) if isinstance(variant, str) else variant or ()
        named = [meant for one in several if (meant := self._meant(one)) is not None]
        asked = named[0] if len(named) == 1 else named or None
        reference = self._reference(reference, *named)
        options = {"adjust": adjust, "confidence": confidence, "basis": basis, "margin": margin}
        result, again = self._compared(reference, asked, **options)
        of = (self.log.recipes, [one.variant for one in result.comparisons], result.reference)
        paste = paste_densities(self.log.batches, self.log.recipes)
        further = (*self._off_recipe(result, again), *self._blind_alone(again))
        further += (*recipe_notes(*of), *lift_notes(*of, paste))
        return self._known(result).with_notes(further)

    def _compared(
        self, reference: str | None, variant: str | list[str] | None, **options: Any
    ) -> tuple[ComparisonResult, Callable[[pd.Series], ComparisonResult]]:
        """A comparison of these stints, and the same one of those of a mask: without comparisons
        where they lack one of the baits."""
        from rodhours.evidence.compare import compare

        result = compare(self._beside_earlier(self.stints), reference, variant, **options)

        def again(kept: pd.Series) -> ComparisonResult:
            rows = self._beside_earlier(self.stints[kept])
            try:
                return compare(rows, result.reference, variant, checks=False, **options)
            except UsageError:
                return replace(result, comparisons=())

        return result, again

    def _beside_earlier(self, stints: pd.DataFrame) -> pd.DataFrame:
        """These stints, and where dates were chosen those before them of the same choice."""
        from rodhours.evidence.earlier import with_earlier

        log, first = self.log.stints, self.stints["date"].min()
        dated = {"since", "season"} & set(self.filters)
        if not dated or set(self.filters) - {*dated, "until", "venue", "angler", LEFT_OUT}:
            return stints
        kept = log["date"] < first
        for column in {"venue", "angler"} & set(self.filters):
            kept &= log[column].isin(self.filters[column])
        return with_earlier(stints, log[kept])

    def _off_recipe(
        self, result: ComparisonResult, again: Callable[[pd.Series], ComparisonResult]
    ) -> tuple[Note, ...]:
        """What batches that are off their recipes do to these answers."""
        from rodhours.evidence.checks.batches import off_recipe_notes
        from rodhours.kitchen.compare import off_recipe_batches

        off = off_recipe_batches(self.log.batches, self.log.recipes)
        fished = self._pairs("batch", "variant")

        def without(batches: Collection[tuple[str, str]]) -> ComparisonResult:
            return again(~fished.isin(list(batches)))

        return off_recipe_notes(result, without, [of for of in off if fished.isin([of]).any()])

    def _blind_alone(self, again: Callable[[pd.Series], ComparisonResult]) -> tuple[Note, ...]:
        """The same answers without the trips that came after a key was opened early."""
        from rodhours.evidence.result import INFORMATION, Note

        after = [trip for key in self.log.opened_early for trip in key.after]
        is_after = self._pairs("session", "angler").isin(after)
        if not is_after.any():
            return ()
        names = ("rate_ratio", "conf_low", "conf_high")
        return tuple(
            Note(
                "blind_alone",
                one.variant,
                INFORMATION,
                {"trips": one.sessions} | {name: getattr(one, name) for name in names},
            )
            for one in again(~is_after).comparisons
            if one.rate_ratio is not None
        )

    def _pairs(self, *columns: str) -> pd.Series:
        """Two columns of the stints as pairs of texts, None where a cell is empty."""
        import pandas as pd

        cells = self.stints[list(columns)].astype(object)
        pairs = cells.where(cells.notna(), None).itertuples(index=False, name=None)
        return pd.Series(list(pairs), self.stints.index, dtype=object)

    def running(self, comparison: ComparisonResult, **options: Any) -> RunningResult:
        """`rodhours compare --running`: a comparison of these stints after every trip.

        Options are those of `rodhours.running_looks` beside the comparison's own.
        """
        from rodhours.evidence.running import looks_of

        return looks_of(self.stints, comparison, **options)

    def state_end(
        self,
        until_trip: int,
        variant: str | None,
        reference: str | None = None,
        adjust: Sequence[str] = (),
        confidence: float = 0.95,
        basis: str = "same",
    ) -> int:
        """State the last trip after which one looks, in the logbook; how many trips there are.

        UsageError where the first look is past and that end was not stated before it, where
        another one was, or where the two baits are not named.
        """
        from rodhours.evidence.stated_end import FIRST_LOOK, LAST_END
        from rodhours.log.history import STATED_END
        from rodhours.log.logbook import open_logbook

        variant = self._meant(variant)
        reference = self._reference(reference, variant)
        if variant is None or reference is None:
            raise UsageError(
                "A stated end is of two baits: rodhours compare VARIANT REFERENCE --running "
                "--until-trip N."
            )
        check_names("variant", [variant, reference], self.log.everything)
        if not FIRST_LOOK < until_trip <= LAST_END:
            raise UsageError(
                f"The first look is after trip {FIRST_LOOK}: the last one is a later trip, up to "
                f"{LAST_END}, not {until_trip}."
            )
        trips = len(self.stints[["session", "angler"]].drop_duplicates())
        asked = {
            "variant": variant,
            "reference": reference,
            "adjust": list(adjust),
            "confidence": confidence,
            "basis": basis,
            # A trip left out later is named by every answer, and asks nothing else.
            "filters": {key: one for key, one in self.filters.items() if key != LEFT_OUT},
        }
        with open_logbook(self.log.path) as book:
            for change in book.standing(STATED_END):
                said = dict(change.details)
                said |= {name: self.log.labels.of(said[name]) for name in ("variant", "reference")}
                if said | asked != said:
                    continue
                if said["until_trip"] != until_trip:
                    raise UsageError(
                        f"For this question trip {said['until_trip']} was stated as the last one "
                        f"(change {change.id}): --until-trip {said['until_trip']}."
                    )
                return trips
            if trips >= FIRST_LOOK:
                raise UsageError(
                    f"An end is stated before the first look, after trip {FIRST_LOOK}: of these "
                    f"rows there are {trips:,} trips, and none was. Look without --until-trip."
                )
            book.state_end({**asked, "until_trip": until_trip, "trips": trips})
        return trips

    def summary(
        self, by: str = "variant", confidence: float = 0.95, starts: tuple[int, int] = (1, 1)
    ) -> RateSummary:
        """`rodhours summary`: catch rates by a column of stints, sessions or variants, by month,
        or by season, which begins on the month and day of `starts`."""
        from rodhours.evidence.summary import summarise

        of = {"recipes": self.log.recipes, "season_starts": starts}
        return self._known(summarise(self.stints, by, confidence, **of))

    def check(
        self,
        reference: str | None = None,
        variant: str | None = None,
        adjust: Sequence[str] = (),
        confidence: float = 0.95,
        margin: float = 1.25,
    ) -> CheckResult:
        """`rodhours check`; gaps are looked for in the whole log, whichever rows are chosen."""
        from rodhours.evidence.check import all_findings
        from rodhours.evidence.results import CheckResult

        variant = self._meant(variant)
        reference = self._reference(reference, variant)
        options = {"adjust": adjust, "confidence": confidence, "margin": margin}
        result, again = self._compared(reference, variant, **options)
        found = all_findings(result, self.stints, self.log.everything)
        off = self._off_recipe(result, again)
        return self._known(CheckResult(result.reference, notes=found)).with_notes(off)

    def response(
        self,
        column: str,
        per: float | None = None,
        adjust: Sequence[str] = (),
        confidence: float = 0.95,
    ) -> ResponseResult:
        """`rodhours response`: how the catch rate goes with a number of the recipe or of the
        stints, such as `age_days`; the latter allowing for what bait it was."""
        from rodhours.evidence.response.recipe_numbers import by_stints
        from rodhours.evidence.response.respond import respond

        stints, recipes = self.stints, self.log.recipes
        if column not in recipes and column in stints:
            # A number of the stints, such as the age of the bait: beside it, which bait it was.
            adjust = (*adjust, "bait") if stints["variant"].nunique() > 1 else adjust
            stints, recipes = by_stints(stints, column)
        found = respond(stints, recipes, column, per=per, adjust=adjust, confidence=confidence)
        return self._known(found)

    def sizes(
        self,
        reference: str | None = None,
        species: str | None = None,
        confidence: float = 0.95,
        variant: str | None = None,
    ) -> SizesResult:
        """`rodhours sizes`: weights by variant, of the fish of one species or of all.

        The fish are those of the sessions chosen; neither a least weight nor an outcome chooses
        among them. Without `species` it is the question's own. Of all variants, or of `variant`
        and the reference alone.
        """
        from rodhours.evidence.result import OF_THE_LOG
        from rodhours.evidence.sizes import sizes

        species = species or self.filters.get("species")
        catches, variant = self._catches_of(species), self._meant(variant)
        landed = set(catches["variant"][catches["outcome"] != "lost"])
        reference = self._meant(reference)
        if reference is None and self.log.reference in landed:
            reference = self.log.reference
        if variant is not None:
            check_names("variant", [variant], self.stints)
            catches = catches[catches["variant"].isin([variant, reference])]
        filters = {name: one for name, one in self.filters.items() if name not in NOT_OF_WEIGHTS}
        filters |= {} if species is None else {"species": species}
        notes = tuple(note for note in self.notes if note.code in OF_THE_LOG)
        about = replace(self, filters=filters, notes=notes)
        return about._known(sizes(catches, reference, confidence))

    def seasons(
        self, reference: str | None = None, starts: tuple[int, int] = (1, 1), **options: Any
    ) -> SeasonBySeason:
        """Season by season; options are adjust, confidence and margin, as `compare` has them."""
        from rodhours.evidence.season_by_season import season_by_season

        if reference is None:
            reference = self.compare(**options).reference
        found = season_by_season(self.stints, str(self._meant(reference)), starts=starts, **options)
        return self._known(found)

    def rehearse(
        self, variant: str | None = None, reference: str | None = None, **options: Any
    ) -> RehearsalResult:
        """`rodhours rehearse`; options are those of `rodhours.rehearse`."""
        from rodhours.simulate.rehearse import rehearse

        variant = self._meant(variant)
        reference = self._reference(reference, variant)
        return self._known(rehearse(self.stints, reference, variant, **options))

    def next_season(
        self,
        reference: str | None = None,
        ratio: float = 1.5,
        power: float = 0.8,
        result: ComparisonResult | None = None,
        **options: Any,
    ) -> NextSeason:
        """`rodhours plan next`; options are adjust, confidence and margin of `compare`.

        `result` is a comparison of these stints where it is made already.
        """
        from rodhours.planning.next_season import next_season

        if result is None:
            result = self.compare(reference=reference, **options)
        return self._known(next_season(self.stints, ratio=ratio, power=power, result=result))

    def hours(self, reference: str | None = None, **options: Any) -> HoursPlan:
        """`rodhours plan hours`; options are those of `rodhours.plan_hours`."""
        from rodhours.simulate.hours import plan_hours

        reference = self._reference(reference)
        check_names("variant", [reference] if reference else [], self.stints)
        return self._known(plan_hours(self.stints, reference, **options))

    def _meant(self, name: str | None) -> str | None:
        return self.log.variant_meant(name)

    def _reference(self, given: str | None, *variants: str | None) -> str | None:
        """The reference given, else the remembered one where these rows have it."""
        if given is not None:
            return self._meant(given)
        remembered = self.log.reference
        return None if remembered in variants or self.passed_over is not None else remembered

    def _known(self, result: Answer) -> Answer:
        """The same result, knowing what was chosen, what that left out, and the logbook."""
        return result.knowing(self.filters, self.notes, self.log.sha256)


def read_logbook(logbook: str | Path | Logbook = "logbook.sqlite") -> pd.DataFrame:
    """The stint frame of a logbook, sessions left out aside; UnusableLogbook where it is none."""
    return question(logbook).stints


def question(
    logbook: str | Path | Logbook = "logbook.sqlite",
    *,
    since: str | date | None = None,
    until: str | date | None = None,
    venue: str | Sequence[str] = (),
    angler: str | Sequence[str] = (),
    batch: str | Sequence[str] = (),
    species: str | None = None,
    min_weight: str | None = None,
    outcome: str = "landed",
    trips_are: str = "logged",
    at: str | None = None,
    shared: bool = False,
) -> Question:
    """What is to be answered from a logbook, by its path or open.

    Parameters
    ----------
    since, until
        Dates (ISO texts), both included; stints of sessions without a date are left out then.
    venue, angler
        Only these, one or several.
    batch
        Of the baits that these batches are of, only stints of these batches.
    species, min_weight, outcome
        Count only fish of this species, of this weight and over (a text with its unit, such as
        '20lb 8oz' or '9.5kg'), and those `landed`, `lost` or `hooked` (both).

    trips_are
        `stays` counts consecutive days on one water as one trip; `logged` as they are.
    at
        Latitude and longitude, such as '52.5,-1.5', of sessions without their own: the sun
        gives the column `night` of stints with cast times.
    shared
        People and swims go by numbers, and neither coordinates nor reasons are told.

    Sessions that the logbook leaves out are not asked about. Raises UsageError (a ValueError)
    for anything asked for that is not there, and where nothing is left; UnusableLogbook.
    """
    log = read_log(logbook)
    if shared:
        from rodhours.sharing import disguised

        log, angler = disguised(log, [angler] if isinstance(angler, str) else angler)
    dates = {"since": since, "until": until}
    names = {"venue": venue, "angler": angler, "batch": batch}
    fish = (species, min_weight, str(outcome))
    stints, filters, notes, remarks = choose(log, dates, names, fish, str(trips_are), at)
    if shared:
        filters.pop("at", None)
    return Question(log, stints, filters, notes, remarks)


def holds_stints(logbook: Path) -> bool:
    """Whether there is anything to ask about in a logbook."""
    from rodhours.log.logbook import open_logbook

    with open_logbook(logbook) as book:
        return book.counts().stints > 0
