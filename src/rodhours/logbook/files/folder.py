"""Which files a path stands for: itself, or the tables in a folder."""

from __future__ import annotations

from pathlib import Path

from rodhours.errors import UnusableFile
from rodhours.logbook.tables import TABLES
from rodhours.wording import files as words

TEXT_FILES = (".csv", ".tsv", ".txt")
WORKBOOKS = (".xlsx", ".xlsm", ".ods", ".xls")


def files_of(path: Path, hints: list[str]) -> list[Path]:
    """The files to read, in order; `hints` takes what was left aside.

    Raises UnusableFile where there is nothing to read.
    """
    try:
        if not path.is_dir():
            if not path.exists():
                raise UnusableFile(words.no_such_file(str(path)))
            return [path]
        inside = sorted(file for file in path.iterdir() if not file.name.startswith(("~$", ".")))
    except OSError as error:
        raise UnusableFile(
            words.cannot_be_read(str(path), error.strerror or type(error).__name__)
        ) from None
    except ValueError:
        raise UnusableFile(words.no_such_file(repr(str(path)))) from None
    found = [
        file for file in inside if file.suffix.lower() in (*TEXT_FILES[:2], *WORKBOOKS, ".xlsb")
    ]
    named = [f for f in found if f.suffix.lower() == ".csv" and f.stem.lower() in TABLES]
    if any(file.stem.lower() == "stints" for file in named):
        # One log as four files; a workbook beside them may well be the same log again.
        aside = [file.name for file in found if file not in named]
        if aside:
            hints.append(words.took_the_tables(str(path), [file.name for file in named], aside))
        return named
    texts = [file.name for file in inside if file.suffix.lower() == ".txt"]
    if not found:
        raise UnusableFile(words.no_table_inside(str(path), (*TEXT_FILES[:2], *WORKBOOKS), texts))
    if texts:
        hints.append(words.texts_left_aside(str(path), texts))
    return found
