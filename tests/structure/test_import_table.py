"""The rooms import only what stands above them, and the table in pyproject.toml names every room and part."""

from __future__ import annotations

import subprocess
import sys
import tomllib

import house
import pytest

TABLE = tomllib.loads((house.ROOT / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"]
LAYERS, PARTS = TABLE["contracts"]
# Libraries that are test oracles or cost more to import than the program may take (decisions 0002 to 0004).
NOT_AT_RUN_TIME = {"scipy", "mpmath", "pint", "yaml", "pytest", "hypothesis"}


def test_import_table_holds() -> None:
    code = "from importlinter.cli import lint_imports_command as c; c(args=['--no-cache', '--no-logo'])"
    run = subprocess.run(
        [sys.executable, "-c", code], cwd=house.ROOT, capture_output=True, text=True, check=False
    )
    assert run.returncode == 0, run.stdout + run.stderr
    assert "2 kept, 0 broken" in run.stdout, run.stdout


def test_every_room_has_a_place_in_the_table() -> None:
    rooms = {f"drumwright.{file.parent.name}" for file in house.SOURCE.glob("*/__init__.py")}
    assert rooms == set(LAYERS["layers"])


def test_every_part_of_the_machine_is_kept_apart() -> None:
    parts = {f"drumwright.machine.{file.parent.name}" for file in house.SOURCE.glob("machine/*/__init__.py")}
    assert parts == set(PARTS["modules"])


@pytest.mark.parametrize("path", house.modules(), ids=lambda path: house.place(path))
def test_no_test_oracle_is_imported(path: object) -> None:
    import ast

    found = []
    for node in ast.walk(house.tree(path)):  # type: ignore[arg-type]
        names = [alias.name for alias in node.names] if isinstance(node, ast.Import) else []
        names += [node.module or ""] if isinstance(node, ast.ImportFrom) else []
        found += [name for name in names if name.split(".")[0] in NOT_AT_RUN_TIME]
    assert not found
