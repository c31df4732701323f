"""What a command cannot do without and was not given: exit code 2 and how it is called."""

from __future__ import annotations

import pytest

from rodhours.cli.demo import example_season
from rodhours.cli.import_ import import_files
from rodhours.errors import UsageError

OPTIONS_WITH_VALUES = (
    ("import", "--zone"),
    ("summary", "--by"),
    ("compare", "--reference"),
    ("check", "--species"),
    ("response", "--per"),
    ("sizes", "--units"),
    ("report", "--out"),
    ("rehearse", "--seasons"),
    ("demo", "--dir"),
    ("undo", "--logbook"),
)


@pytest.mark.parametrize("name", ["import", "response"])
def test_a_missing_argument_is_asked_for(command, name):
    """Nothing on stdout, the way to call the command on stderr, whichever libraries parse it."""
    tables = [example_season() / f"{one}.csv" for one in ("stints", "variants")]
    assert command("import", *tables).code == 0
    done = command(name)
    assert done.code == 2
    assert done.out == ""
    assert f"rodhours {name}" in done.err
    assert "Traceback" not in done.err


@pytest.mark.parametrize("files", [None, []])
def test_no_files_at_all_are_refused(files):
    """Even where the parser lets an empty list of files through."""
    with pytest.raises(UsageError, match="rodhours import FILE"):
        import_files(files)


@pytest.mark.parametrize(("name", "option"), OPTIONS_WITH_VALUES)
def test_an_option_without_its_value_is_said(command, name, option):
    """Exit code 2, and the option by its name."""
    done = command(name, option)
    assert done.code == 2
    assert option in done.err
    assert done.out == ""


@pytest.mark.parametrize(
    "name", ["summary", "compare", "check", "sizes", "report", "rehearse", "recipes"]
)
def test_without_a_logbook_nothing_is_asked_of_it(command, name):
    """Exit code 4 and where to start, not a traceback."""
    done = command(name)
    assert done.code == 4
    assert "rodhours import" in done.err


def test_a_mistyped_command_is_answered_with_the_one_that_is_near(command):
    """Exit code 2 and the command that was probably meant, in the list and in a group."""
    for typed, near in (
        (["compar"], "compare"),
        (["leaveout"], "leave-out"),
        (["plan", "hour"], "hours"),
    ):
        done = command(*typed)
        assert done.code == 2
        assert near in done.err
