"""`--help` is free of the heavy libraries and near a bare Python start."""

from __future__ import annotations

import subprocess
import sys
import time

import house
import pytest

HEAVY = ("numpy", "scipy", "pydantic", "fluids", "typst", "vl_convert", "drawsvg", "pint", "rich", "tomlkit")
HELP = [sys.executable, "-m", "drumwright", "--help"]


def imported(*arguments: str) -> set[str]:
    """Top-level packages that a run imports."""
    call = [sys.executable, "-X", "importtime", *arguments]
    run = subprocess.run(call, cwd=house.ROOT, capture_output=True, text=True, check=True)
    lines = [line for line in run.stderr.splitlines() if line.startswith("import time:")]
    return {line.rsplit("|", 1)[-1].strip().split(".")[0] for line in lines}


@pytest.mark.parametrize("command", [(), ("assess",), ("report",)])
def test_help_imports_nothing_heavy(command: tuple[str, ...]) -> None:
    found = imported("-m", "drumwright", *command, "--help")
    assert "click" in found
    assert found & set(HEAVY) == set()


def test_the_package_alone_imports_nothing_heavy() -> None:
    assert imported("-c", "import drumwright") & set(HEAVY) == set()


def test_a_heavy_import_would_be_seen() -> None:
    assert "numpy" in imported("-c", "import drumwright; drumwright.assess")


def fastest(call: list[str], times: int = 5) -> float:
    """Least duration of several runs [s]."""
    durations = []
    for _ in range(times):
        start = time.perf_counter()
        subprocess.run(call, cwd=house.ROOT, stdout=subprocess.DEVNULL, check=True)
        durations.append(time.perf_counter() - start)
    return min(durations)


def test_help_takes_less_than_twenty_bare_starts() -> None:
    assert fastest(HELP) < 20.0 * fastest([sys.executable, "-c", ""])
