"""Single faults put into a copy of the code, chosen by a seed: which do the tests let live?

Run by hand: `.venv/bin/python tests/faults/run.py 20 1 [PART]` puts 20 faults of seed 1, one after
the other, into the files whose path holds PART, and runs the tests beside each file (TESTS), with
`-x`. A line a fault: killed or LIVES, file, line, what became of it. A fault that lives is one
that changes nothing, or asks for a test with a value worked out by hand.
"""

from __future__ import annotations

import ast
import copy
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "src" / "rodhours"
HEART = ("evidence", "simulate", "planning", "kitchen", "words", "log", "choice.py", "question.py")
TESTS = {
    "evidence/checks": ["evidence/checks"],
    "evidence/response": ["evidence/test_response.py"],
    "evidence/session_model": ["evidence/test_session_model.py", "evidence/test_compare.py"],
    "evidence": ["evidence", "cli/test_compare_command.py"],
    "simulate": ["simulate", "cli/test_rehearse_command.py", "words"],
    "planning": ["planning", "cli/test_rotation_command.py"],
    "kitchen": ["kitchen", "cli/test_mix_command.py", "cli/test_batch_commands.py"],
    "words": ["words"],
    "log/cells": ["log"],
    "log": ["log", "cli/test_import.py", "cli/test_history_commands.py"],
    "": ["test_question.py", "cli"],
}
SWAPS: dict[type, type] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq, ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.And: ast.Or, ast.Or: ast.And, ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
}  # fmt: skip
SECONDS = 600


def faults(tree: ast.Module) -> Iterator[tuple[int, str, ast.Module]]:
    """Every single fault of a file: its line, what became of what, and the file with it."""
    for number, node in enumerate(ast.walk(tree)):
        for change in _changes(node):
            other = copy.deepcopy(tree)
            twin = next(one for at, one in enumerate(ast.walk(other)) if at == number)
            before = ast.unparse(twin) if not isinstance(twin, ast.arguments) else ""
            change(twin)
            yield getattr(node, "lineno", 0), f"{before}  ->  {ast.unparse(twin)}", other


def _changes(node: ast.AST) -> Iterator[object]:
    if isinstance(node, ast.Compare) and type(node.ops[0]) in SWAPS:
        yield lambda twin: twin.ops.__setitem__(0, SWAPS[type(twin.ops[0])]())
    elif isinstance(node, ast.BinOp | ast.BoolOp) and type(node.op) in SWAPS:
        yield lambda twin: setattr(twin, "op", SWAPS[type(twin.op)]())
    elif isinstance(node, ast.Constant) and type(node.value) in (int, float):
        yield lambda twin: setattr(twin, "value", twin.value + 1)
    elif isinstance(node, ast.IfExp | ast.If):
        yield lambda twin: setattr(twin, "test", ast.UnaryOp(ast.Not(), twin.test))


def tests_beside(file: Path) -> list[str]:
    """The tests of the longest folder that holds the file; those of its name alone if there are."""
    place = file.relative_to(PACKAGE).as_posix()
    where = max((one for one in TESTS if place.startswith(one)), key=len)
    own = ROOT / "tests" / file.parent.relative_to(PACKAGE) / f"test_{file.name}"
    return [str(own)] if own.is_file() else [str(ROOT / "tests" / one) for one in TESTS[where]]


def killed(copied: Path, file: Path) -> bool:
    """Whether the tests beside a file fail on the copied package."""
    beside = [sys.executable, "-m", "pytest", "-x", "-q", "-n", "0", "-p", "no:cacheprovider"]
    try:
        done = subprocess.run(
            [*beside, *tests_beside(file)],
            cwd=ROOT,
            env=os.environ | {"PYTHONPATH": str(copied)},
            capture_output=True,
            timeout=SECONDS,
            check=False,
        )
    except subprocess.TimeoutExpired:
        return True
    return done.returncode != 0


def main(many: int, seed: int, part: str = "") -> None:
    """Put in the faults and print what became of each."""
    heart = [PACKAGE / one for one in HEART]
    files = sorted(p for one in heart for p in ([one] if one.is_file() else one.rglob("*.py")))
    files = [file for file in files if part in file.as_posix()]
    chance = random.Random(seed)
    lived = 0
    for _ in range(many):
        # By length: a line is as likely as any other.
        file = chance.choices(files, [len(one.read_bytes()) for one in files])[0]
        every = list(faults(ast.parse(file.read_text(encoding="utf-8"))))
        if not every:
            continue
        line, says, tree = chance.choice(every)
        with tempfile.TemporaryDirectory() as folder:
            copied = Path(folder) / "src"
            shutil.copytree(PACKAGE, copied / "rodhours")
            (Path(folder) / "example_data").symlink_to(ROOT / "example_data")
            target = copied / "rodhours" / file.relative_to(PACKAGE)
            target.write_text(ast.unparse(tree), encoding="utf-8")
            dead = killed(copied, file)
        lived += not dead
        place = f"{file.relative_to(PACKAGE)}:{line}"
        print(
            f"{'killed' if dead else 'LIVES '}  {place}  {' '.join(says.split())[:160]}", flush=True
        )
    print(f"{lived} of {many} live")


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]), *sys.argv[3:4])
