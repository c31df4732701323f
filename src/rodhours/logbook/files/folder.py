"""Which files a path stands for: itself, or the tables in a folder."""

from __future__ import annotations

from pathlib import Path

from rodhours.errors import UnusableFile
from rodhours.logbook.tables import TABLES

TEXT_FILES = (".csv", ".tsv", ".txt")
WORKBOOKS = (".xlsx", ".xlsm", ".ods", ".xls", ".xlsb")


def files_of(path: Path, hints: list[str]) -> list[Path]:
    """The files to read, in order; `hints` takes what was left aside.

    Raises UnusableFile where there is nothing to read.
    """
    try:
        if not path.is_dir():
            if not path.exists():
                raise UnusableFile(f"{path}: no such file.")
            return [path]
        inside = sorted(file for file in path.iterdir() if not file.name.startswith(("~$", ".")))
    except OSError as error:
        raise UnusableFile(f"{path}: cannot be read ({error.strerror}).") from None
    except ValueError:
        raise UnusableFile(f"{str(path)!r}: no such file.") from None
    found = [file for file in inside if file.suffix.lower() in (*TEXT_FILES[:2], *WORKBOOKS)]
    named = [f for f in found if f.suffix.lower() == ".csv" and f.stem.lower() in TABLES]
    if any(file.stem.lower() == "stints" for file in named):
        # One log as four files; a workbook beside them may well be the same log again.
        aside = [file.name for file in found if file not in named]
        if aside:
            hints.append(
                f"{path}: took {', '.join(f.name for f in named)}; left aside: {', '.join(aside)}."
            )
        return named
    texts = [file.name for file in inside if file.suffix.lower() == ".txt"]
    if not found:
        raise UnusableFile(
            f"{path}: this folder holds no table ({', '.join((*TEXT_FILES[:2], *WORKBOOKS))})."
            + (f" Name the text file itself to read it: {texts[0]}." if texts else "")
        )
    if texts:
        hints.append(
            f"{path}: left aside: {', '.join(texts)} (name a .txt file itself to read it)."
        )
    return found
