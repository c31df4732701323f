"""Writing the page: whole or not at all, and the path on stdout."""

import pytest

from rodhours.cli.report import report
from rodhours.errors import UsageError
from rodhours.whole_files import write_whole


def test_a_page_is_written_whole_and_nothing_is_left_beside_it(tmp_path):
    """The folder is made, the old page is replaced, no part file stays."""
    page = tmp_path / "new" / "season.html"
    write_whole(page, "first ×")
    write_whole(page, "second ×")
    assert page.read_bytes() == "second ×".encode()
    assert list(page.parent.iterdir()) == [page]


def test_bytes_are_written_as_they_are(tmp_path):
    """A file that is no text keeps every byte, line ends among them."""
    paper = tmp_path / "season.pdf"
    write_whole(paper, b"%PDF-1.7\r\n\xe2\x00\n")
    assert paper.read_bytes() == b"%PDF-1.7\r\n\xe2\x00\n"
    assert list(tmp_path.iterdir()) == [paper]


def test_a_failed_write_keeps_the_old_page(tmp_path):
    """Text that cannot be written leaves what was there, and no part file."""
    page = tmp_path / "season.html"
    write_whole(page, "kept")
    with pytest.raises(UnicodeEncodeError):
        write_whole(page, "half a letter \ud800")
    assert page.read_text() == "kept"
    assert list(tmp_path.iterdir()) == [page]


def test_a_place_that_cannot_be_written_is_said(tmp_path):
    """A file where a folder should be, and a folder where a file should be."""
    (tmp_path / "file").write_text("")
    with pytest.raises(UsageError, match="cannot be written"):
        write_whole(tmp_path / "file" / "season.html", "text")
    with pytest.raises(UsageError, match="is a folder"):
        report(out=tmp_path)
