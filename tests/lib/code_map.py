"""The map of the code in DEVELOPERS.md, made from the first line of each file."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[2]
PACKAGE = ROOT / "src" / "rodhours"
GUIDE = ROOT / "DEVELOPERS.md"
BEGIN, END = "<!-- map -->", "<!-- end of map -->"


@cache
def tree_of(path: Path) -> ast.Module:
    """What a file is parsed to, once."""
    return ast.parse(path.read_text(encoding="utf-8"))


def duty(path: Path) -> str:
    """What a file says of itself in its first line."""
    if path.suffix != ".py":
        return "the template of the file beside it"
    docstring = ast.get_docstring(tree_of(path)) or ""
    return docstring.partition("\n")[0].rstrip(".")


def code_map() -> str:
    """The files as a tree, folders after the files beside them."""
    return "\n".join(["```", *_lines(PACKAGE, ""), "```"])


def _lines(folder: Path, indent: str) -> list[str]:
    files = sorted(path for path in folder.iterdir() if path.suffix in (".py", ".j2"))
    named = [path for path in files if path.name != "__init__.py" or folder == PACKAGE]
    width = max((len(path.name) for path in named), default=0)
    lines = [f"{indent}{path.name:{width}}  {duty(path)}" for path in named]
    for below in sorted(path for path in folder.iterdir() if (path / "__init__.py").is_file()):
        lines.append(f"{indent}{below.name}/  {duty(below / '__init__.py')}")
        lines += _lines(below, f"{indent}  ")
    return lines


def with_map(guide: str) -> str:
    """The guide with the map as the code is now."""
    before, rest = guide.split(BEGIN)
    return f"{before}{BEGIN}\n{code_map()}\n{END}{rest.split(END)[1]}"


if __name__ == "__main__":
    GUIDE.write_text(with_map(GUIDE.read_text(encoding="utf-8")), encoding="utf-8")
