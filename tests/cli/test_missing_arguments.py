"""What a command cannot do without and was not given: exit code 2 and how it is called."""

from __future__ import annotations

import pytest

from rodhours.cli.import_ import import_files
from rodhours.errors import UsageError


def test_a_missing_argument_is_asked_for(command):
    """Nothing on stdout, the way to call the command on stderr, even where the parser lets an
    empty list of files through."""
    done = command("import")
    assert (done.code, done.out) == (2, "")
    assert "rodhours import" in done.err
    with pytest.raises(UsageError, match="rodhours import FILE"):
        import_files([])


@pytest.mark.parametrize("name", ["summary", "report", "recipes"])
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
