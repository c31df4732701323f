"""Every command by itself: a machine form, and an example in its help that it can parse."""

from __future__ import annotations

import shlex

import pytest

from rodhours.cli.commands import COMMANDS, SHOWN, built

WITHOUT_JSON = {
    "template": "writes files and says where",
    "report": "its machine form is a file: --format json",
    "demo": "shows other commands, which have theirs",
}

ALL = {
    called: one
    for name in COMMANDS
    for called, one in (
        {f"{name} {sub}": one for sub, one in getattr(built(name), "commands", {}).items()}
        or {name: built(name)}
    ).items()
}


@pytest.mark.parametrize("name", ALL)
def test_a_command_has_a_machine_form_and_an_example(name):
    """`--json`, or a reason to have none; the help ends with an example that can be called."""
    options = {option for parameter in ALL[name].params for option in parameter.opts}
    assert ("--json" in options) != (name in WITHOUT_JSON)
    assert ALL[name].epilog == f"Example: rodhours {name} {SHOWN[name][0]}".rstrip()
    ALL[name].make_context(name, shlex.split(SHOWN[name][0]))
