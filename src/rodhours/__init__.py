"""rodhours: which hookbait recipe catches more fish per rod-hour, and how sure one can be."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

# Here and not on first use: the module of that name would stand in the function's place.
from rodhours.question import question, read_logbook
from rodhours.version import __version__

if TYPE_CHECKING:
    from rodhours.evidence.check import check
    from rodhours.evidence.compare import compare
    from rodhours.evidence.response.respond import respond
    from rodhours.evidence.running import running_looks
    from rodhours.evidence.sizes import sizes
    from rodhours.evidence.summary import summarise
    from rodhours.planning.next_season import next_season
    from rodhours.report.pictures.on_axes import plot
    from rodhours.simulate.hours import plan_hours
    from rodhours.simulate.rehearse import rehearse

__all__ = [
    "__version__",
    "check",
    "compare",
    "next_season",
    "plan_hours",
    "plot",
    "question",
    "read_logbook",
    "rehearse",
    "respond",
    "running_looks",
    "sizes",
    "summarise",
]

_HOMES = {
    "check": "rodhours.evidence.check",
    "compare": "rodhours.evidence.compare",
    "next_season": "rodhours.planning.next_season",
    "plan_hours": "rodhours.simulate.hours",
    "plot": "rodhours.report.pictures.on_axes",
    "rehearse": "rodhours.simulate.rehearse",
    "respond": "rodhours.evidence.response.respond",
    "running_looks": "rodhours.evidence.running",
    "sizes": "rodhours.evidence.sizes",
    "summarise": "rodhours.evidence.summary",
}


def __getattr__(name: str) -> Any:
    """Load a public name on first use: importing the package alone loads nothing heavy."""
    if name in _HOMES:
        return getattr(importlib.import_module(_HOMES[name]), name)
    raise AttributeError(f"module 'rodhours' has no attribute '{name}'")


def __dir__() -> list[str]:
    return __all__
