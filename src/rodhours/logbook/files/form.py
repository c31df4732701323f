"""What may be said of a file beforehand, where finding it out is not wanted or not possible."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class FileForm:
    """How a file is to be read; None means: find it out.

    `encoding` and `separator` (one of `,` `;` and tab) concern text files, `sheets` (names, in
    the order wanted) workbooks. `header_row` is the row that names the columns, numbered as the
    spreadsheet shows it; where names stand in two rows, the lower one.
    """

    encoding: str | None = None
    separator: str | None = None
    header_row: int | None = None
    sheets: tuple[str, ...] | None = None
