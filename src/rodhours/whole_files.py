"""Files that appear whole or not at all: written beside their place, then renamed.

Every file of the program is written here, but for the logbook itself. Where a place cannot be
written to, what was there is left as it was.
"""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Container, Mapping, Sequence
from pathlib import Path

from rodhours.errors import UsageError

LOGBOOK_HEAD = b"SQLite format 3\0"


def require_free(paths: Sequence[Path], force: bool, inputs: Container[str] = ()) -> None:
    """Raise UsageError where files must not be written: before any work, and before any is.

    On a folder, twice at one place, over a file that is there without `force`; never over a
    logbook or a file that was imported (`inputs` are SHA-256 of such files).
    """
    if len({path.resolve() for path in paths}) < len(paths):
        raise UsageError(f"Two files cannot be one: {', '.join(map(str, paths))}.")
    for path in paths:
        if path.is_dir():
            raise UsageError(f"{path} is a folder: give the name of a file.")
        if not path.exists() and not path.is_symlink():
            continue
        if not force:
            raise UsageError(f"{path}: there already, and left alone. Write over with --force.")
        content = path.read_bytes() if path.is_file() else b""
        if content.startswith(LOGBOOK_HEAD):
            raise UsageError(f"{path} is a logbook, and never written over: name another file.")
        if hashlib.sha256(content).hexdigest() in inputs:
            raise UsageError(
                f"{path} was imported into the logbook, and is never written over: name another "
                "file."
            )


def write_whole(path: Path, content: str | bytes) -> None:
    """Write an answer to a file and make its folder; UsageError where that cannot be."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        write_together({path.name: content}, path.parent)
    except OSError as error:
        raise UsageError(f"{path} cannot be written: {error.strerror or error}.") from error


def write_together(files: Mapping[str, str | bytes], folder: Path) -> None:
    """Write files by name into a folder, text in UTF-8; a new folder appears with all of them.

    In a folder that is there each file is whole, and the first of them is the last to appear:
    while it is missing, nobody takes the others for all. OSError where that cannot be.
    """
    contents = {
        name: content.encode() if isinstance(content, str) else content
        for name, content in files.items()
    }
    # As text: a folder may be given as `.` or with a name that ends in dots.
    folder = folder.absolute()
    if folder.exists():
        _into_folder(contents, folder)
    else:
        _as_folder(contents, folder)


def _as_folder(contents: Mapping[str, bytes], folder: Path) -> None:
    part = _beside(folder)
    shutil.rmtree(part, ignore_errors=True)
    try:
        part.mkdir()
        for name, content in contents.items():
            _write(part / name, content)
        part.rename(folder)
    finally:
        shutil.rmtree(part, ignore_errors=True)


def _into_folder(contents: Mapping[str, bytes], folder: Path) -> None:
    parts = {name: _beside(folder / name) for name in contents}
    try:
        for name, content in contents.items():
            parts[name].unlink(missing_ok=True)
            _write(parts[name], content)
        first, *others = contents
        if others:
            (folder / first).unlink(missing_ok=True)
        for name in (*others, first):
            parts[name].replace(folder / name)
    finally:
        for part in parts.values():
            part.unlink(missing_ok=True)


def _beside(path: Path) -> Path:
    """A hidden name in the same folder, of this process alone."""
    return path.with_name(f".{path.name}.{os.getpid()}.part")


def _write(path: Path, content: bytes) -> None:
    with path.open("xb") as out:
        out.write(content)
        out.flush()
        os.fsync(out.fileno())
