"""The errors a user can meet, each with the exit code of the command line.

0 is any answer, 2 usage, 3 refused rows or conflicts, 4 an unusable file or logbook,
5 a forced basis that does not exist, 130 interrupted.
"""

from __future__ import annotations


class RodhoursError(Exception):
    """Base of everything the program says instead of a traceback."""

    exit_code = 1


class UsageError(RodhoursError, ValueError):
    """Something asked for that is not there: an unknown variant, column or option value."""

    exit_code = 2


class RefusedRows(RodhoursError):
    """Rows were refused or sessions are in conflict; the rest was taken."""

    exit_code = 3


class UnusableFile(RodhoursError):
    """A file that cannot be read as a trip log at all."""

    exit_code = 4


class LayoutNeeded(UnusableFile):
    """A file whose columns are not those of the trip log, and no layout says what they are.

    `table` is the file and the sheet (None in a text file) of the table that needs one. Where
    nothing tells which sheet is the log, `sheets` are those that may be.
    """

    table: tuple[str, str | None] = ("", None)
    sheets: tuple[str, ...] = ()


class UnusableLogbook(RodhoursError):
    """A logbook that cannot be opened, is damaged, or comes from a newer version."""

    exit_code = 4


class NoSuchBasis(RodhoursError, ValueError):
    """The basis that was forced does not exist for these rows."""

    exit_code = 5
