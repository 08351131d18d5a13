"""Write requirements/run.lock and requirements/test.lock from pyproject.toml: with hashes, without addresses.

Usage: python tools/lock.py [--check] [--upgrade]

The resolver `uv` does the work and is no dependency of the project: install it beside the project, say
`python3 -m venv uv-home && uv-home/bin/pip install uv`, and put `uv-home/bin` on PATH, or set UV to it.
Without --upgrade the versions of the present lock files are kept wherever pyproject.toml still allows them.
With --check nothing is written: the exit code is 1 where a lock file holds an address or a path, or lacks a
dependency named in pyproject.toml.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
FOLDER = ROOT / "requirements"
LOCKS: dict[str, tuple[str, ...]] = {"run.lock": (), "test.lock": ("test",)}
FORBIDDEN = re.compile(r"https?://|file:|index-url|find-links|(?:^|\s)\.{0,2}/|\s@\s")
NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*")


def command(uv: str, name: str, extras: tuple[str, ...], upgrade: bool) -> list[str]:
    """Return the call that writes one lock file."""
    wanted = [f"--extra={extra}" for extra in extras]
    fresh = ["--upgrade"] if upgrade else []
    return [
        uv, "pip", "compile", "--universal", "--python-version=3.11", "--generate-hashes", "--no-header",
        "--no-annotate", "--quiet", "--no-emit-index-url", "--no-emit-find-links", *wanted, *fresh,
        "pyproject.toml", f"--output-file=requirements/{name}",
    ]  # fmt: skip


def addresses(text: str) -> list[str]:
    """Return the lines of a lock file that say where a package comes from: they bind it to one machine."""
    lines = enumerate(text.splitlines(), 1)
    return [f"line {number}: {line}" for number, line in lines if FORBIDDEN.search(line)]


def plain(name: str) -> str:
    """Return a package name as registries compare them."""
    return re.sub(r"[-_.]+", "-", name).lower()


def named(requirements: list[str]) -> set[str]:
    """Return the package names of requirement texts."""
    found = (NAME.match(requirement) for requirement in requirements)
    return {plain(match.group()) for match in found if match}


def missing(name: str, project: dict[str, object], text: str) -> list[str]:
    """Return dependencies of pyproject.toml that the lock file does not hold."""
    wanted = list(project["dependencies"])  # type: ignore[call-overload]
    for extra in LOCKS[name]:
        wanted += project["optional-dependencies"][extra]  # type: ignore[index]
    held = {plain(line.split("==")[0]) for line in text.splitlines() if "==" in line}
    return sorted(named(wanted) - held)


def problems() -> list[str]:
    """Return what is wrong with the lock files as they stand."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    found = []
    for name in LOCKS:
        text = (FOLDER / name).read_text(encoding="utf-8")
        found += [f"requirements/{name}: {line}" for line in addresses(text)]
        found += [f"requirements/{name}: no {package}" for package in missing(name, project, text)]
    return found


def main() -> int:
    """Write both lock files, or check them."""
    if "--check" not in sys.argv[1:]:
        uv = os.environ.get("UV") or shutil.which("uv")
        if uv is None:
            print(__doc__)
            print("uv was not found on PATH, and UV is not set.")
            return 1
        for name, extras in LOCKS.items():
            call = command(uv, name, extras, "--upgrade" in sys.argv[1:])
            subprocess.run(call, cwd=ROOT, check=True)
            print(f"wrote requirements/{name}")
    found = problems()
    print("\n".join(found) or "lock files hold every dependency and no address")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
