"""Writing the page: its folder is made, and a place that cannot be written to is said."""

import pytest

from rodhours.cli.output import write_file
from rodhours.cli.reporting import report
from rodhours.errors import UsageError


def test_the_folder_of_a_page_is_made(tmp_path):
    """A page in a folder that is not there yet."""
    page = tmp_path / "new" / "season" / "page.html"
    write_file(page, "first ×")
    assert page.read_text(encoding="utf-8") == "first ×"


def test_a_place_that_cannot_be_written_is_said(tmp_path):
    """A file where a folder should be, and a folder where a file should be."""
    (tmp_path / "file").write_text("")
    with pytest.raises(UsageError, match="cannot be written"):
        write_file(tmp_path / "file" / "season.html", "text")
    with pytest.raises(UsageError, match="is a folder"):
        report(out=tmp_path)
