"""What every answer has: notes worst first, the rows it was asked about, a machine form.

A note keeps a code and its numbers; its sentence, the answer in a line and the form for notebooks
are made in the words, which stand above the evidence. They are asked for here alone, when a
result is shown: the one import that goes upwards.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any, ClassVar, Self

from rodhours.errors import NoSuchBasis, UsageError
from rodhours.version import __version__

if TYPE_CHECKING:
    import pandas as pd

SERIOUS, CAUTION, INFORMATION = "serious", "caution", "information"
SEVERITIES = (SERIOUS, CAUTION, INFORMATION)
OF_THE_LOG = ("left_out", "doubles", "trips_waiting", "rods_unfished", "opened_early")
"""The codes of notes on which trips count, whatever is asked of them."""
ONLY_WHERE_KNOWN = {"only_where_known": True}
"""Metadata of a field that the machine form leaves out where its value does not exist."""


@dataclass(frozen=True)
class Note:
    """Something that limits an answer: a stable code and its numbers.

    `variant` is None where the note concerns the whole answer. `severity` is `serious`, `caution`
    or `information`.
    """

    code: str
    variant: str | None
    severity: str
    numbers: Mapping[str, Any] = field(default_factory=dict)


class NoAnswer(UsageError):
    """A question that the log cannot answer: notes stand in the place of the answer."""

    def __init__(self, *notes: Note) -> None:
        super().__init__(*notes)
        self.notes = notes

    def __str__(self) -> str:
        from rodhours.words.notes import says

        return " ".join(says(note) for note in self.notes)


class NoSameTrips(NoAnswer, NoSuchBasis):
    """The same trips were asked for, and there is no answer from them."""

    exit_code = NoSuchBasis.exit_code


def order_notes(notes: Iterable[Note]) -> tuple[Note, ...]:
    """Notes worst first; equals keep the order in which they were found."""
    return tuple(sorted(notes, key=lambda note: SEVERITIES.index(note.severity)))


@dataclass(frozen=True, kw_only=True)
class Result:
    """The base of every answer.

    `filters` are the rows, fish and sessions that were chosen, as the machine form has them;
    `logbook_sha256` is the digest of the log's content, where the answer came from a logbook.
    """

    notes: tuple[Note, ...] = ()
    filters: Mapping[str, Any] = field(default_factory=dict)
    logbook_sha256: str | None = None
    version: str = __version__

    KEYS: ClassVar[tuple[str, ...]] = ()
    """Names of fields and properties in the machine form, in its order, where that is not all
    fields; `key=path` where it has another name there, `*name` for all keys of a part."""
    KEYS_OF_A_CHOICE: ClassVar[tuple[str, ...]] = ()
    """Those that follow where rows or fish were chosen."""

    ROWS: ClassVar[str] = "notes"
    """The field whose parts are the rows of `frame`."""

    @property
    def frame(self) -> pd.DataFrame:
        """A tidy frame: one row for each part of the answer, columns named as its fields."""
        import pandas as pd

        return pd.DataFrame([vars(part) for part in getattr(self, self.ROWS)])

    def knowing(
        self,
        filters: Mapping[str, Any],
        notes: Iterable[Note] = (),
        logbook_sha256: str | None = None,
    ) -> Self:
        """The same result, knowing what was chosen, what that left out, and the logbook."""
        return replace(
            self,
            filters=dict(filters),
            notes=order_notes((*notes, *self.notes)),
            logbook_sha256=logbook_sha256 or self.logbook_sha256,
        )

    def with_notes(self, notes: Iterable[Note]) -> Self:
        """The same result with further notes, worst first; new ones come after equals."""
        return replace(self, notes=order_notes((*self.notes, *notes)))

    def to_dict(self) -> dict[str, Any]:
        """The machine form, equal to what the command's `--json` prints."""
        from rodhours.words.shown import machine_form

        return machine_form(self)

    def __repr__(self) -> str:
        from rodhours.words.shown import in_a_line

        return in_a_line(self)

    def _repr_html_(self) -> str:
        from rodhours.words.shown import as_html

        return as_html(self)
