"""A file written whole or not at all: a reader never meets half of one."""

from __future__ import annotations

import os
from pathlib import Path

from rodhours.errors import UsageError


def write_whole(path: Path, content: str | bytes) -> None:
    """Write a file and the folders it stands in; text is written in UTF-8.

    UsageError where the place cannot be written to.
    """
    import tempfile

    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=".part")
        part = Path(name)
        try:
            with os.fdopen(handle, "wb") as stream:
                stream.write(content.encode("utf-8") if isinstance(content, str) else content)
            # mkstemp makes a file for its owner alone; a page gets the usual rights.
            umask = os.umask(0)
            os.umask(umask)
            part.chmod(0o666 & ~umask)
            part.replace(path)
        except BaseException:
            part.unlink(missing_ok=True)
            raise
    except OSError as error:
        raise UsageError(f"{path} cannot be written: {error.strerror or error}.") from error
