"""A file is written whole or not at all, and nothing is left beside it."""

from __future__ import annotations

import errno
from pathlib import Path

import pytest

from rodhours.whole_files import write_together

FILES = {"stints.csv": "a×", "catches.csv": b"b\r\n\xe2"}


def held(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_files_hold_what_was_written_byte_by_byte(tmp_path: Path) -> None:
    """Text in UTF-8, bytes as they are; a new folder, and a second time over the first files."""
    folder = tmp_path / "out"
    for text in ("a×", "second"):
        write_together({**FILES, "stints.csv": text}, folder)
        assert held(folder) == {"stints.csv": text.encode(), "catches.csv": b"b\r\n\xe2"}
    write_together({"catches.csv": "alone"}, folder)
    assert held(folder) == {"stints.csv": b"second", "catches.csv": b"alone"}


@pytest.mark.parametrize("there", [True, False])
def test_a_full_disk_leaves_what_was_there(
    there: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Neither a part nor a folder of some: the old files stay, whether one or all are written."""
    folder = tmp_path / "out"
    if there:
        write_together(FILES, folder)
    before = held(folder) if there else None

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("os.fsync", full)
    with pytest.raises(OSError, match="No space"):
        write_together(dict.fromkeys(FILES, "new"), folder)
    assert [path.name for path in tmp_path.iterdir()] == (["out"] if there else [])
    assert before is None or held(folder) == before
