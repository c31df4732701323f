"""The README's commands and examples run as they are printed.

Scope: ```console blocks line by line and ```python blocks whole, in order, in one folder beside a
copy of example_data. The two set-up commands make virtual environments: .ci/run runs them.
"""

from __future__ import annotations

import inspect
import re
import shlex
import shutil
from itertools import pairwise
from pathlib import Path

import pytest

from rodhours.cli.commands import built

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")
FEWER = {"--rehearse", "--seasons"}
"""Options whose number only says how many seasons are made up: two do what a hundred do."""
BLOCK = re.compile(r"^```(\w+)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def blocks(language: str) -> list[str]:
    return [text for kind, text in BLOCK.findall(README) if kind == language]


@pytest.fixture
def folder(tmp_path, monkeypatch) -> Path:
    shutil.copytree(ROOT / "example_data", tmp_path / "example_data")
    monkeypatch.chdir(tmp_path)
    return tmp_path


LONG = {"compare", "check", "report", "rehearse", "plan"}
"""Commands that are run at full size alone, but for the first line of each: the others of it are
parsed, and what their options do is tested with the command."""


@pytest.mark.parametrize("every", [False, pytest.param(True, marks=pytest.mark.full)])
def test_every_command_gives_an_answer(command, few_looks, folder, every):
    """Each console line of the README, in order, exits with 0 and prints something; two seasons
    are rehearsed where the line says more."""
    typed = "".join(blocks("console"))
    lines = [shlex.split(one[2:]) for one in typed.splitlines() if one.startswith("$ ")]
    assert {line[1] for line in lines} >= {"import", "summary", "compare", "report", "undo"}
    seen = set()
    for line in lines:
        program, *arguments = [
            *line[:1],
            *("2" if before in FEWER else word for before, word in pairwise(line)),
        ]
        assert program == "rodhours"
        called = built(arguments[0])
        if called.name in LONG & seen and "autumn.sqlite" not in arguments and not every:
            one = getattr(called, "commands", {}).get(arguments[1])
            (one or called).make_context(called.name, arguments[2 if one else 1 :])
            continue
        seen.add(arguments[0])
        done = command(*arguments)
        assert done.code == 0, f"$ rodhours {arguments}\n{done.out}\n{done.err}"
        assert done.out.strip(), arguments
    assert (folder / "season.html").is_file()


def test_the_python_example_answers(command, folder, capsys):
    """It runs whole beside the logbook of the season, says the answer and draws it."""
    assert command("import", "example_data/season.xlsx").code == 0
    (example,) = blocks("python")
    exec(example, {})
    assert "same trips" in capsys.readouterr().out
    assert (folder / "ratios.png").stat().st_size > 0


def test_the_answer_quoted_is_the_answer_given(command, folder):
    """The figures explained in the README are those of the example season."""
    quoted = re.search(r'^\*"([\d.]+ times as fast).*between (.*)"\*', README, re.MULTILINE)
    assert command("import", "example_data/season.xlsx").code == 0
    answers = command("compare", "--reference", "plain").out
    (of_bait,) = re.findall(r"pellet-20 ([^;,.]*1\.18[^;]*?2\.38)", " ".join(answers.split()))[:1]
    for figure in re.findall(r"\d+\.\d+", f"{quoted[1]} {quoted[2]}"):
        assert figure in of_bait


def test_the_two_set_up_commands():
    """One command installs and shows the demo, one installs and passes the tests."""
    for kind, end in [("demo", ".venv/bin/rodhours demo"), ("test", ".venv/bin/pytest")]:
        marked = README.split(f"<!-- {kind} command -->")[1]
        marked = marked.split(f"<!-- end of {kind} command -->")[0]
        (line,) = [one for one in marked.splitlines() if one and one[:3] != "```"]
        assert line.startswith("python3 -m venv .venv && ")
        assert line.endswith(end)


def test_the_job_stands_first():
    """One paragraph right under the title says who, what, why and what the tool gives."""
    title, paragraph, following = README.split("\n\n")[:3]
    assert title == "# rodhours"
    assert "\n" not in paragraph
    assert len(paragraph.split()) > 60
    assert following.startswith("## ")


def test_exit_codes_are_those_of_the_program():
    """The table of exit codes names every code that an error of ours can end with."""
    from rodhours import errors

    kinds = [kind for kind in vars(errors).values() if isinstance(kind, type)]
    codes = {str(one.exit_code) for one in kinds if issubclass(one, errors.RodhoursError)}
    listed = set(re.findall(r"^\| (\d+) \|", README, re.MULTILINE))
    assert codes - {str(errors.RodhoursError.exit_code)} | {"0", "130"} == listed


def test_the_public_names_are_in_the_readme():
    """Each public function stands in the table, in the order of the list, and can be called with
    the arguments that stand there; the list is sorted."""
    import rodhours

    assert list(rodhours.__all__) == sorted(rodhours.__all__)
    listed = re.findall(r"^\| `(\w+)\((.*?)\)` \|", README, re.MULTILINE)
    assert [name for name, _ in listed] == [one for one in rodhours.__all__ if one[0] != "_"]
    for name, arguments in listed:
        known = inspect.signature(getattr(rodhours, name)).parameters
        assert set(arguments.split(", ")) <= set(known)


def test_the_loop_is_told_in_the_order_it_is_gone_through():
    """A section for each command, from the first import to the rehearsal of the next season."""
    sections = [one.lower() for one in re.findall(r"^### (\w+)$", README, re.MULTILINE)]
    loop = ["import", "summary", "compare", "check", "report", "response", "sizes", "rehearse"]
    assert [one for one in sections if one in loop] == loop
