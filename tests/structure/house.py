"""What the structure tests share: where things lie, and the source as syntax trees."""

from __future__ import annotations

import ast
import subprocess
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent.parent
SOURCE = ROOT / "src" / "drumwright"
DATA = SOURCE / "data"
Function = ast.FunctionDef | ast.AsyncFunctionDef


@cache
def modules() -> tuple[Path, ...]:
    """Every Python file of the package."""
    return tuple(sorted(SOURCE.rglob("*.py")))


@cache
def tree(path: Path) -> ast.Module:
    """The syntax tree of a file."""
    return ast.parse(path.read_text(encoding="utf-8"), str(path))


def place(path: Path, node: ast.AST | None = None) -> str:
    """A file, and the line of a node in it, as it is clicked on."""
    line = f":{getattr(node, 'lineno', 1)}" if node is not None else ""
    return f"{path.relative_to(ROOT).as_posix()}{line}"


def named(top: ast.AST, prefix: str = "") -> Iterator[tuple[str, ast.ClassDef | Function]]:
    """Classes and functions at module and class level, with dotted names; none inside a function."""
    for node in ast.iter_child_nodes(top):
        if isinstance(node, ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef):
            yield f"{prefix}{node.name}", node
            if isinstance(node, ast.ClassDef):
                yield from named(node, f"{prefix}{node.name}.")
        elif isinstance(node, ast.If | ast.Try):
            yield from named(node, prefix)


def is_public(dotted: str) -> bool:
    """Whether no part of a name begins with an underscore."""
    return not any(part.startswith("_") for part in dotted.split("."))


def docstrings(top: ast.Module) -> set[int]:
    """Identities of the nodes that are docstrings."""
    holders = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)
    return {
        id(node.body[0].value)
        for node in ast.walk(top)
        if isinstance(node, holders)
        and ast.get_docstring(node) is not None
        and isinstance(node.body[0], ast.Expr)
    }


def texts(top: ast.Module) -> Iterator[ast.Constant]:
    """Every string of the code that is not a docstring; the plain pieces of f-strings too."""
    skip = docstrings(top)
    for node in ast.walk(top):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in skip:
            yield node


@cache
def repository_files() -> tuple[Path, ...]:
    """Files git tracks or would track; every file but those of tools where this is no repository."""
    call = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    listed = subprocess.run(call, cwd=ROOT, capture_output=True, text=True, check=True).stdout
    paths = (ROOT / name for name in listed.split("\0") if name)
    return tuple(sorted(path for path in paths if path.is_file()))


def text_of(path: Path) -> str | None:
    """The text of a file, None where it is binary."""
    raw = path.read_bytes()
    return None if b"\0" in raw else raw.decode("utf-8", "replace")
