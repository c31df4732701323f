"""The frozen result of planning the hours: what each design needs, what a season can show."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from rodhours.evidence.power.assumptions import Grounds
from rodhours.evidence.power.formulas import TOGETHER
from rodhours.version import __version__


@dataclass(frozen=True)
class DesignPlan:
    """What one design needs for the ratio asked for, and what a season in it can show.

    `trips` and `rod_hours` are None where no number that anybody fishes would do.
    `predicted_power` is the formula's at that many trips, `simulated_power` that of the project's
    own interval there with its Monte-Carlo standard error (both None where nothing was
    simulated); `trips_error` is the standard error of the trips themselves. `trips_by_formula` is
    where the search began. Without a ratio asked for, trips and powers are those of the season at
    its smallest ratio.

    The season's `smallest_ratio` (above 1) and `largest_ratio_below` (below 1) are those it would
    settle with the power asked for, None where none would; `season_power` is its chance to settle
    the ratio asked for. The trips at the ends of the rate's interval are scaled by formula.
    """

    design: str
    trips: int | None
    rod_hours: float | None
    predicted_power: float | None
    simulated_power: float | None
    monte_carlo_error: float | None
    trips_error: float | None
    trips_by_formula: int | None
    smallest_ratio: float | None
    smallest_ratio_error: float | None
    largest_ratio_below: float | None
    season_power: float | None
    season_power_error: float | None
    trips_at_low_rate: int | None
    trips_at_high_rate: int | None

    def to_dict(self) -> dict[str, Any]:
        """The machine form; all but the first five keys are beside the question."""
        return {name: getattr(self, name) for name in self.__dataclass_fields__}


@dataclass(frozen=True)
class HoursPlan:
    """How many trips and rod-hours it takes, and what a season can and cannot settle.

    `season_asked` says whether the season's trips were asked for; `seasons` are those simulated
    for each place looked at (0: by formula alone).
    """

    ratio: float | None
    power: float
    family: int
    confidence: float
    variants: int
    designs: tuple[DesignPlan, ...]
    season_trips: int
    season_asked: bool
    grounds: Grounds
    quick: bool
    seasons: int
    seed: int
    version: str = __version__
    filters: Mapping[str, Any] = field(default_factory=dict)

    def with_choice(self, filters: Mapping[str, Any]) -> HoursPlan:
        """The same plan, knowing the rows and the fish that were chosen."""
        return replace(self, filters=dict(filters))

    @property
    def smallest_ratio(self) -> float | None:
        """What the season would show with all variants on every trip."""
        return next(one.smallest_ratio for one in self.designs if one.design == TOGETHER)

    def to_dict(self) -> dict[str, Any]:
        """The machine form, equal to what `rodhours plan hours --json` prints."""
        return {
            "schema": 1,
            "ratio": self.ratio,
            "power": self.power,
            "designs": [one.to_dict() for one in self.designs],
            "smallest_ratio": self.smallest_ratio,
            "family": self.family,
            "confidence": self.confidence,
            "variants": self.variants,
            "season_trips": self.season_trips,
            "season_trips_from": "asked for" if self.season_asked else self.grounds.season_source,
            **self.grounds.to_dict(),
            "quick": self.quick,
            "simulated_seasons": self.seasons,
            "seed": self.seed,
            "filters": dict(self.filters),
            "version": self.version,
        }
