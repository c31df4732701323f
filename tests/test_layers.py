"""Imports run one way, libraries stay in their places, and help loads nothing heavy.

Scope: reads the source with ast, functions included, and starts the command for its help.
"""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
from functools import cache
from pathlib import Path

import pytest

from code_map import GUIDE, tree_of, with_map

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "src" / "rodhours"
FILES = sorted(PACKAGE.rglob("*.py"))
# Each layer with what it may import of the others.
LAYERS = {
    "errors": set(),
    "version": set(),
    "near": set(),
    "progress": set(),
    "counts": set(),
    "whole_files": {"errors"},
    "spreadsheet_cells": set(),
    "unseen": set(),
    "likeness": set(),
    "words": {"errors", "counts", "log", "evidence", "kitchen", "planning", "simulate"},
    "log": {"errors", "near", "counts", "whole_files", "spreadsheet_cells", "unseen", "likeness"},
    "evidence": {"errors", "near", "counts", "likeness", "version", "words", "progress"},
    "kitchen": {"errors", "near", "evidence"},
    "simulate": {"errors", "evidence", "progress"},
    "planning": {"errors", "evidence", "simulate", "progress"},
    "report": {
        "errors",
        "counts",
        "spreadsheet_cells",
        "words",
        "log",
        "evidence",
        "kitchen",
        "planning",
        "simulate",
    },
    "choice": {"errors", "near", "log", "evidence"},
    "sharing": {"choice"},
    "question": {
        "errors",
        "sharing",
        "choice",
        "log",
        "evidence",
        "kitchen",
        "planning",
        "simulate",
    },
    "cli": {
        "errors",
        "near",
        "progress",
        "version",
        "whole_files",
        "unseen",
        "choice",
        "question",
        "words",
        "log",
        "evidence",
        "kitchen",
        "planning",
        "report",
        "simulate",
    },
}
STORE = (
    "logbook",
    "logbook_file",
    "history",
    "aliases",
    "recipe_rows",
    "batches",
    "waiting",
)
HEAVY = ("pandas", "numpy", "scipy", "statsmodels", "matplotlib", "seaborn", "weasyprint")


@cache
def imports(path: Path) -> tuple[str, ...]:
    """Every module that a file names in an import, with the name taken from it appended."""
    found: list[str] = []
    for node in ast.walk(tree_of(path)):
        if isinstance(node, ast.Import):
            found += (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: imports are absolute"
            found += (f"{node.module}.{alias.name}" for alias in node.names)
    return tuple(found)


def layer_of(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def test_the_kitchen_knows_results_alone_of_the_evidence():
    """A batch needs no model: kitchen takes of evidence the frozen results and nothing else."""
    taken = {
        name
        for path in FILES
        if layer_of(path) == "kitchen"
        for name in imports(path)
        if name.startswith("rodhours.evidence.")
    }
    assert taken
    assert {name.rpartition(".")[0] for name in taken} <= {
        "rodhours.evidence.result",
        "rodhours.evidence.results",
    }


def test_a_result_alone_asks_the_words():
    """The evidence knows no sentence: what a result says when it is shown is asked for late."""
    asking = {
        path.relative_to(PACKAGE).as_posix()
        for path in FILES
        if layer_of(path) == "evidence"
        and any(name.startswith("rodhours.words") for name in imports(path))
    }
    assert asking == {"evidence/result.py"}


def test_layers_import_one_way():
    """errors <- log <- question; frames alone reach evidence, simulate, planning and kitchen; then
    words <- report <- cli."""
    wrong = []
    seen = 0
    for path in FILES:
        layer = layer_of(path)
        if layer in ("__init__", "__main__"):
            continue
        for name in imports(path):
            parts = name.split(".")
            if parts[0] != "rodhours" or parts[1] == layer:
                continue
            seen += 1
            if parts[1] not in LAYERS[layer]:
                wrong.append(f"{path.relative_to(ROOT)} imports {name}")
    assert seen > 20
    assert wrong == []


@pytest.mark.parametrize(
    ("library", "homes"),
    [
        ("sqlite3", [f"log/{name}.py" for name in STORE]),
        ("python_calamine", ["log/files/old_workbook.py"]),
        ("statsmodels", ["evidence"]),
        ("astral", ["evidence/darkness.py"]),
        ("matplotlib", ["report/pictures"]),
        ("seaborn", ["report/pictures"]),
        ("jinja2", ["report"]),
        ("weasyprint", ["report/pdf.py"]),
        ("typer", ["cli"]),
    ],
)
def test_libraries_stay_in_their_places(library, homes):
    """A library is imported in its home only, so that it can be changed in one place."""
    users = {
        path.relative_to(PACKAGE).as_posix()
        for path in FILES
        if any(name.split(".")[0] == library for name in imports(path))
    }
    strangers = {
        user
        for user in users
        if not any(user == home or user.startswith(f"{home}/") for home in homes)
    }
    assert strangers == set()


def test_every_dependency_is_used():
    """What the package asks a user to install, it imports somewhere."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = {re.split(r"[^\w-]", text)[0].replace("-", "_") for text in project["dependencies"]}
    used = {name.split(".")[0] for path in FILES for name in imports(path)}
    assert asked - used == set()


COMMANDS = [
    "",
    "import",
    "summary",
    "compare",
    "check",
    "response",
    "sizes",
    "report",
    "rehearse",
    "batch",
    "batch add",
    "batch list",
    "batch remove",
    "plan",
    "plan hours",
    "plan next",
    "recipes",
    "mix",
    "lift",
    "plan rotation",
    "plan unblind",
    "demo",
    "undo",
    "export",
    "history",
    "rename",
    "leave-out",
    "waiting",
    "template",
]
PROGRAM = f"""
import sys
from rodhours.cli.main import run
for command in {COMMANDS!r}:
    sys.argv = ["rodhours", *command.split(), "--help"]
    try:
        run()
    except SystemExit as left:
        assert not left.code, command
    print("LOADED", sorted(set(sys.modules) & {set(HEAVY)!r}))
"""


def test_every_command_is_asked_for_its_help():
    """The list above is whole, so that no command slips past the test below."""
    from rodhours.cli.commands import COMMANDS as KNOWN

    assert {one.split()[0] for one in COMMANDS if one} == set(KNOWN)


def test_help_loads_nothing_heavy():
    """Help comes at once: none of the number and picture libraries is loaded for it, nor for all
    of it one after the other in one process."""
    done = subprocess.run(
        [sys.executable, "-c", PROGRAM], capture_output=True, text=True, check=False, timeout=60
    )
    assert done.returncode == 0, done.stderr
    *helps, rest = re.split(r"^LOADED (.*)\n", done.stdout, flags=re.MULTILINE)
    assert rest == ""
    assert len(helps) == 2 * len(COMMANDS)
    for command, said, loaded in zip(COMMANDS, helps[::2], helps[1::2], strict=True):
        assert "--help" in said, command
        assert loaded == "[]", command


def test_importing_the_package_loads_nothing_heavy():
    """`import rodhours` gives names, not libraries; they load on first use."""
    program = f"import sys, rodhours; print(sorted(set(sys.modules) & {set(HEAVY)!r}))"
    done = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True, timeout=60
    )
    assert done.stdout.strip() == "[]"


def test_every_file_states_its_scope():
    """A file opens with a statement of what it is for."""
    for path in FILES:
        text = ast.get_docstring(tree_of(path))
        assert text, path
        assert len(text) > 20, path


def test_the_map_of_the_code_is_that_of_the_files():
    """The map in DEVELOPERS.md is what the first lines of the files say."""
    guide = GUIDE.read_text(encoding="utf-8")
    assert with_map(guide) == guide
