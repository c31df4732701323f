"""What a person has is never written over unasked: existing files need --force, and logbooks and
imported files are left alone even then."""

import pytest

LOG = "session,variant,hours,fish\na,plain,20,1\na,pellet,20,0\nb,plain,20,0\nb,pellet,20,2\n"
ROTATION = ("plan", "rotation", "--variants", "plain,pellet", "--trips", "4")


@pytest.fixture
def filled(command, tmp_path):
    """A folder with an imported log; the command runs in it."""
    (tmp_path / "mylog.csv").write_text(LOG)
    assert command("import", "mylog.csv").code == 0
    return command


WRITES = {
    "plan": (*ROTATION, "--csv"),
    "packing": (*ROTATION, "--blind", "--key", "new.sealed", "--packing-list"),
    "report": ("report", "--format", "html", "--out"),
}


@pytest.mark.parametrize("what", WRITES)
def test_a_file_that_is_there_needs_force(filled, tmp_path, what):
    """Refused and left as it was; written over with --force; the logbook and its files never."""
    mine = tmp_path / "mine.html"
    mine.write_text("filled in by hand")
    refused = filled(*WRITES[what], "mine.html")
    assert (refused.code, mine.read_text()) == (2, "filled in by hand")
    assert "mine.html" in refused.err
    assert "--force" in refused.err
    before = {name: (tmp_path / name).read_bytes() for name in ("logbook.sqlite", "mylog.csv")}
    for name, content in before.items():
        refused = filled(*WRITES[what], name, "--force")
        assert (refused.code, (tmp_path / name).read_bytes()) == (2, content)
        assert "never written over" in refused.err
    assert filled(*WRITES[what], "mine.html", "--force").code == 0
    assert mine.read_text() != "filled in by hand"


def test_two_files_are_never_one(command, tmp_path):
    """A key, a sheet and a plan at one path would leave one of them."""
    given = (*ROTATION, "--blind", "--key", "k", "--csv", "./k", "--force")
    refused = command(*given)
    assert refused.code == 2
    assert "cannot be one" in refused.err
    assert not (tmp_path / "k").exists()


def test_a_report_at_its_own_place_is_made_again(filled, tmp_path):
    """reports/season.html is the program's own."""
    (tmp_path / "reports").mkdir()
    (tmp_path / "reports" / "season.html").write_text("old")
    assert filled("report").code == 0
    assert (tmp_path / "reports" / "season.html").read_text() != "old"


def test_the_demo_leaves_a_folder_with_files_alone(command, tmp_path):
    """A folder with a log of one's own in it."""
    (tmp_path / "stints.csv").write_text(LOG)
    assert command("demo", "--dir", ".").code == 2
    assert [path.name for path in tmp_path.iterdir()] == ["stints.csv"]
    assert (tmp_path / "stints.csv").read_text() == LOG
