"""What must not stand in the repository: paths of a machine, registries, addresses in lock files."""

from __future__ import annotations

import re
import sys
from pathlib import Path

import house
import pytest

sys.path.insert(0, str(house.ROOT / "tools"))
import lock

# Written in pieces, so that this file does not hold what it looks for.
TOPS = ("work", "farm", "root", "home/[a-z]", "Users/[A-Za-z]")
MACHINE = re.compile(r"(?<![\w.])/(?:" + "|".join(TOPS) + r")[\w-]*/|\b[A-Z]:\\Users\\")
HOSTS = ("py" + "pi.org", "files.python" + "hosted.org", "registry.np" + "mjs.org", "cr" + "ates.io")
FILES = [path for path in house.repository_files() if house.text_of(path) is not None]


def troubles(text: str) -> list[str]:
    """Lines of a text with a path of a machine or the host of a registry."""
    lines = enumerate(text.splitlines(), 1)
    return [
        f"{number}: {line.strip()[:100]}"
        for number, line in lines
        if MACHINE.search(line) or any(host in line for host in HOSTS)
    ]


@pytest.mark.parametrize("path", FILES, ids=lambda path: house.place(path))
def test_no_path_of_a_machine_and_no_registry(path: Path) -> None:
    assert troubles(house.text_of(path) or "") == []


@pytest.mark.parametrize(
    ("text", "bad"),
    [
        ("see /" + "work/main/x", True),
        ("'/" + "root/.cache/'", True),
        ("/" + "home/ann/cases/x.toml", True),
        ("C:" + "\\Users\\ann", True),
        ("index https://" + "py" + "pi.org/simple", True),
        ("tests/whole/S01.toml and ../work/x and https://example.org/workshop/", False),
        ("kJ/mol, m3/h, 4 tau_y L/D, flow/product/machine", False),
    ],
)
def test_a_path_of_a_machine_is_seen(text: str, bad: bool) -> None:
    assert bool(troubles(text)) is bad


def test_lock_files_hold_every_dependency_and_no_address() -> None:
    assert lock.problems() == []


@pytest.mark.parametrize(
    ("line", "bad"),
    [
        ("numpy==2.4.6 ; python_full_version < '3.12' \\", False),
        ("    --hash=sha256:0a1b", False),
        ("--index-url https://example.org/simple", True),
        ("numpy @ file:///wheels/numpy.whl", True),
        ("-e ./", True),
        ("--find-links ../wheels", True),
    ],
)
def test_an_address_in_a_lock_file_is_seen(line: str, bad: bool) -> None:
    assert bool(lock.addresses(line)) is bad


def test_no_file_is_large() -> None:
    large = {house.place(path): path.stat().st_size for path in house.repository_files()}
    assert {name: size for name, size in large.items() if size > 600_000} == {}
