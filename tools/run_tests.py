"""Run every test this machine can, and say in one line each what is left out and why.

Usage: python tools/run_tests.py [--long] [arguments for pytest]

A group is a folder of `tests`; paths among the arguments replace them. STRICT=1 turns a group that is left
out, or a test that skips itself, into a failure. Hypothesis tests draw the same examples every time; `--long`
gives each ten times as many, at most 2,000 of them, freshly drawn.
The last line printed is the closing line of the test runner.
"""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterator, Sequence
from importlib.util import find_spec
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
TESTS = ROOT / "tests"
# Programs that are not Python packages: group -> (program, Debian package, what for).
NEEDS: dict[str, tuple[tuple[str, str, str], ...]] = {
    "documents": (
        ("pdftotext", "poppler-utils", "reads the text of the PDF"),
        ("pdftoppm", "poppler-utils", "turns the PDF into pictures"),
    ),
    "structure": (("git", "git", "lists the files of the repository"),),
}
PACKAGES: dict[str, tuple[tuple[str, str], ...]] = {"long": (("distributed", "cluster"),)}
ONLY_LONG = "long"  # group that only `--long` runs
LONGER, LONGEST = 10, 2000


def groups() -> list[str]:
    """Return every folder of tests that holds test files."""
    return sorted({file.relative_to(TESTS).parts[0] for file in TESTS.glob("*/**/test_*.py")})


def reasons(group: str) -> list[str]:
    """Return why a group cannot run here; nothing where it can."""
    packages = [
        f"needs the package {name} (extra {extra})"
        for name, extra in PACKAGES.get(group, ())
        if find_spec(name) is None
    ]
    return packages + [
        f"needs {program}, which {purpose} (Debian package {package})"
        for program, package, purpose in NEEDS.get(group, ())
        if shutil.which(program) is None
    ]


def lengthen(items: Sequence[pytest.Item]) -> None:
    """Give hypothesis tests many more examples, drawn afresh."""
    from hypothesis import settings  # a plugin of the runner, which must load it first

    for item in items:
        test = getattr(item, "obj", None)
        if getattr(test, "is_hypothesis_test", False):
            given = test._hypothesis_internal_use_settings
            count = max(given.max_examples, min(LONGER * given.max_examples, LONGEST))
            longer = settings(given, max_examples=count, derandomize=False, deadline=None)
            test._hypothesis_internal_use_settings = longer


class House:
    """What this project adds to a run: longer property tests, and no silent skip under STRICT."""

    def __init__(self, strict: bool, long: bool) -> None:
        self.strict = strict
        self.long = long

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        """Lengthen what was collected, if asked."""
        if self.long:
            lengthen(items)

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_makereport(self, item: pytest.Item) -> Iterator[None]:
        """Turn a skip into a failure under STRICT; an expected failure stays what it is."""
        report = yield
        if self.strict and report.skipped and not hasattr(report, "wasxfail"):  # type: ignore[attr-defined]
            report.outcome = "failed"  # type: ignore[attr-defined]
            report.longrepr = f"{item.nodeid} was skipped, and STRICT=1 allows no skip"  # type: ignore[attr-defined]
        return report


def main() -> int:
    """Run the groups; the exit code is 0 only if nothing failed."""
    arguments = sys.argv[1:]
    long = "--long" in arguments
    strict = os.environ.get("STRICT", "") not in ("", "0")
    asked = [group for group in groups() if long or group != ONLY_LONG]
    left_out = {group: found for group in asked if (found := reasons(group))}
    for group, found in left_out.items():
        print(f"left out: tests/{group}: {'; '.join(found)}")
    if strict and left_out:
        print("STRICT=1: a group that is left out is a failure")
    extra = [argument for argument in arguments if argument != "--long"]
    chosen = [argument for argument in extra if Path(argument.split("::")[0]).exists()]
    folders = [] if chosen else [str(TESTS / group) for group in asked if group not in left_out]
    if long:
        os.environ["DRUMWRIGHT_HYPOTHESIS"] = "long"  # read by tests/conftest.py
    sys.stdout.flush()
    call = ["-q", "--rootdir", str(ROOT), "-c", str(ROOT / "pyproject.toml"), *folders, *extra]
    code = int(pytest.main(call, plugins=[House(strict, long)]))
    return code or (1 if strict and left_out else 0)


if __name__ == "__main__":
    sys.exit(main())
