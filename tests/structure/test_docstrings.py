"""Every public name says what it is; physics names its parameters as the signature does, with units."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import house
import pytest

PHYSICS = ("flow", "product", "machine")
SECTION = re.compile(r"^(\w[\w ]*)\n-{3,}$", re.MULTILINE)
ENTRY = re.compile(r"^(?P<names>\*{0,2}\w+(?:, ?\*{0,2}\w+)*) ?(?::.*)?$")
# What is measured carries a unit, [-] where it has none.
NUMBERS = re.compile(r"^(ArrayLike|Array|Number|float|NDArray\[np\.float64\])( \| None)?$")

# A unit, or the function of the same file that says it.
UNIT = re.compile(r"\[[^\]]+\]|As in `\w+`")


def sections(docstring: str) -> dict[str, str]:
    """The numpydoc sections of a docstring."""
    heads = list(SECTION.finditer(docstring))
    if not heads:
        return {}
    ends = [head.start() for head in heads[1:]] + [len(docstring)]
    return {head[1]: docstring[head.end() : end] for head, end in zip(heads, ends, strict=True)}


def described(section: str) -> dict[str, str]:
    """Parameter names of a section with the text that belongs to each."""
    found: dict[str, str] = {}
    current: list[str] = []
    for line in section.strip("\n").splitlines():
        match = ENTRY.match(line)
        if match and not line.startswith(" "):
            current = [name.strip().lstrip("*") for name in match["names"].split(",")]
            found |= dict.fromkeys(current, "")
        for name in current:
            found[name] += line + "\n"
    return found


def parameters(function: house.Function) -> dict[str, str]:
    """Parameters of a signature with their annotations, without self and cls."""
    signature = function.args
    listed = [*signature.posonlyargs, *signature.args, *signature.kwonlyargs]
    listed += [each for each in (signature.vararg, signature.kwarg) if each is not None]
    annotated = {each.arg: ast.unparse(each.annotation) if each.annotation else "" for each in listed}
    return {name: kind for name, kind in annotated.items() if name not in ("self", "cls")}


def lacking(top: ast.Module, where: Path, physics: bool) -> list[str]:
    """What the docstrings of a file lack."""
    found = [] if ast.get_docstring(top) else [f"{house.place(where)} has no docstring"]
    for dotted, node in house.named(top):
        if not house.is_public(dotted):
            continue
        docstring, at = ast.get_docstring(node), f"{house.place(where, node)} {dotted}"
        if docstring is None:
            found.append(f"{at} has no docstring")
        elif not isinstance(node, ast.ClassDef):
            found += [f"{at}: {what}" for what in parameter_troubles(node, docstring, physics)]
    return found


def parameter_troubles(function: house.Function, docstring: str, physics: bool) -> list[str]:
    """Where the Parameters section and the signature differ, and numbers without a unit."""
    signature = parameters(function)
    section = sections(docstring).get("Parameters")
    if section is None:
        return ["no Parameters section"] if physics and len(signature) > 1 else []
    said = described(section)
    found = []
    if list(said) != list(signature):
        found.append(f"Parameters says {', '.join(said)}; the signature has {', '.join(signature)}")
    if physics:
        numbers = [name for name, kind in signature.items() if NUMBERS.match(kind)]
        bare = [name for name in numbers if name in said and not UNIT.search(said[name])]
        found += [f"{name} has no unit in brackets" for name in bare]
    return found


@pytest.mark.parametrize("path", house.modules(), ids=lambda path: house.place(path))
def test_docstrings(path: Path) -> None:
    room = path.relative_to(house.SOURCE).parts[0]
    found = lacking(house.tree(path), path, room in PHYSICS)
    assert not found, "\n".join(["", *found])


GOOD = '''"""Module."""
def f(flow, bore: float, *, at: float = 1.0):
    """Do.

    Parameters
    ----------
    flow : Law
    bore, at : float
        Both [m].
    """
'''


@pytest.mark.parametrize(
    ("change", "trouble"),
    [
        ((), []),
        (('"""Module."""', ""), ["has no docstring"]),
        (("bore, at", "bore"), ["Parameters says flow, bore; the signature has flow, bore, at"]),
        (("Both [m].", "Both."), ["bore has no unit in brackets", "at has no unit in brackets"]),
        (("Parameters\n    ----------\n    flow", "Notes\n    -----\n    flow"), ["no Parameters section"]),
    ],
)
def test_what_a_docstring_lacks_is_seen(change: tuple[str, str] | tuple[()], trouble: list[str]) -> None:
    text = GOOD.replace(*change) if change else GOOD
    found = lacking(ast.parse(text), house.SOURCE / "x.py", physics=True)
    assert len(found) == len(trouble)
    assert all(each.endswith(end) for each, end in zip(found, trouble, strict=True)), found
