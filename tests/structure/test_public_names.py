"""The public names: few, sorted, all there, and loaded only when they are used."""

from __future__ import annotations

import ast
import re

import house
import pytest

import drumwright


def test_names_are_sorted_and_few() -> None:
    names = drumwright.__all__
    assert [*names[:-1]] == sorted(names[:-1])
    assert names[-1] == "__version__"
    assert len(names) == len(set(names)) <= 48


def test_names_are_the_namespace() -> None:
    assert set(dir(drumwright)) == set(drumwright.__all__)
    for name in drumwright.__all__:
        assert getattr(drumwright, name) is not None


def test_the_stub_gives_the_same_names_from_the_same_homes() -> None:
    stub = ast.parse((house.SOURCE / "__init__.pyi").read_text(encoding="utf-8"))
    imports = [node for node in stub.body if isinstance(node, ast.ImportFrom)]
    homes = {alias.name: node.module for node in imports for alias in node.names}
    assert homes == {name: f"drumwright.{home}" for name, home in drumwright._HOMES.items()}


def test_other_names_are_refused() -> None:
    with pytest.raises(AttributeError, match="no_such_name"):
        _ = drumwright.no_such_name  # type: ignore[attr-defined]


def test_the_version_is_that_of_the_package() -> None:
    project = (house.ROOT / "pyproject.toml").read_text(encoding="utf-8")
    found = re.search(r'^version = "(.+)"$', project, re.MULTILINE)
    assert found is not None
    assert drumwright.__version__ == found[1]


def test_every_room_says_what_it_is() -> None:
    for file in house.SOURCE.glob("**/__init__.py"):
        assert (house.tree(file).body[0].value.value or "").strip()  # type: ignore[attr-defined]
