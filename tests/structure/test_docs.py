"""The documents are tested: links lead somewhere, keys and commands exist, what is shown runs."""

from __future__ import annotations

import contextlib
import os
import re
import shlex
import shutil
import subprocess
import sys
import tomllib
import unicodedata
from collections.abc import Iterator
from pathlib import Path

import house
import pytest

from drumwright.basis.tables import read_toml
from drumwright.cli.main import group
from drumwright.station.record_base import Record, declared_in, record_in
from drumwright.station.records import Case

PAGES = sorted(path for path in house.repository_files() if path.suffix == ".md")
SHOWN_NAMES = (
    "README.md", "how-to-first-case.md", "how-to-stock.md", "how-to-run.md", "how-to-control.md",
    "how-to-shift.md", "how-to-money.md", "index.md",
)  # fmt: skip
SHOWN = [path for path in PAGES if path.name in SHOWN_NAMES]
LINK = re.compile(r"(?<!\\)\[[^\]]*\]\(([^)\s]+)\)")
FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.MULTILINE | re.DOTALL)


def anchors(text: str) -> set[str]:
    """Anchors of the headings of a page, as code hosts make them."""
    found = set()
    for heading in re.findall(r"^#+ (.+)$", FENCE.sub("", text), re.MULTILINE):
        plain = re.sub(r"[`*]|\]\([^)]*\)|\[", "", heading).lower()
        kept = "".join(c for c in plain if c in " -_" or unicodedata.category(c)[0] in "LN")
        found.add(kept.strip().replace(" ", "-"))
    return found


def broken_links(page: Path, text: str) -> list[str]:
    """Links of a page to a file or heading that does not exist."""
    found = []
    for target in LINK.findall(FENCE.sub("", text)):
        if target.startswith(("http://", "https://", "mailto:")):
            continue
        name, _, anchor = target.partition("#")
        file = (page.parent / name).resolve()
        if name and not file.exists():
            found.append(target)
            continue
        aimed = file.read_text(encoding="utf-8") if anchor and name else text
        if anchor and anchor not in anchors(aimed):
            found.append(target)
    return found


@pytest.mark.parametrize("page", PAGES, ids=lambda page: house.place(page))
def test_links_lead_somewhere(page: Path) -> None:
    assert broken_links(page, page.read_text(encoding="utf-8")) == []


def test_a_broken_link_is_seen() -> None:
    text = "# A head\n[a](no-such.md) [b](#a-head) [c](#no-head) [d](index.md#start-here)\n"
    assert broken_links(house.ROOT / "docs" / "x.md", text) == ["no-such.md", "#no-head"]


def test_every_page_can_be_reached_from_the_start() -> None:
    seen, waiting = set(), [house.ROOT / "README.md"]
    while waiting:
        page = waiting.pop()
        if page in seen or page.suffix != ".md":
            continue
        seen.add(page)
        targets = LINK.findall(page.read_text(encoding="utf-8"))
        names = [target.partition("#")[0] for target in targets if "://" not in target]
        waiting += [(page.parent / name).resolve() for name in names if name]
        if page.parent.name == "decisions":
            waiting += sorted(page.parent.glob("*.md"))
    assert [house.place(page) for page in PAGES if page not in seen] == []


def test_decisions_are_numbered_and_whole() -> None:
    files = sorted((house.ROOT / "docs" / "decisions").glob("*.md"))
    numbers = [int(file.name[:4]) for file in files]
    assert numbers == list(range(1, len(files) + 1))
    for file in files:
        text = file.read_text(encoding="utf-8")
        assert text.startswith(f"# {file.name[:4]} "), file.name
        for part in ("Context", "Decision", "Consequence", "Rejected"):
            assert f"**{part}.**" in text, (file.name, part)
        assert len(text.splitlines()) <= 60, file.name


def test_generated_pages_are_up_to_date() -> None:
    call = [sys.executable, str(house.ROOT / "tools" / "make_docs.py"), "--check"]
    run = subprocess.run(call, cwd=house.ROOT, capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stdout + run.stderr


def known_keys() -> frozenset[str]:
    """Keys of figures, defaults and fields, with the tables on the way to a field."""

    def below(record: type[Record], prefix: str) -> Iterator[str]:
        for name in declared_in(record):
            yield f"{prefix}{name}"
            inner = record_in(record, name)
            if inner is not None:
                yield from below(inner, f"{prefix}{name}.")

    return frozenset({*read_toml("figures.toml"), *read_toml("defaults.toml"), *below(Case, "")})


KEY = re.compile(r"`(?:recommended\.)?([a-z_]+(?:\.[a-z0-9_]+)+)`")
NOT_KEYS = re.compile(r"\.(py|md|toml|txt|npy|pdf|json|sh|lock|csv|svg)$|^drumwright\.")


@pytest.mark.parametrize("page", PAGES, ids=lambda page: house.place(page))
def test_keys_that_are_named_exist(page: Path) -> None:
    named = {key for key in KEY.findall(page.read_text(encoding="utf-8")) if not NOT_KEYS.search(key)}
    assert named - known_keys() == set()


def test_every_figure_stands_on_the_path_or_is_a_band_of_it() -> None:
    said = set(KEY.findall((house.ROOT / "docs" / "path.md").read_text(encoding="utf-8")))
    assert set(read_toml("figures.toml")) - said == set()


def test_every_command_is_described() -> None:
    text = (house.ROOT / "docs" / "index.md").read_text(encoding="utf-8")
    described = set(re.findall(r"^\| `drumwright ([a-z-]+)", text, re.MULTILINE))
    assert described == set(group.commands)


def blocks(page: Path) -> list[tuple[str, str]]:
    """Code blocks of a page with their language."""
    return FENCE.findall(page.read_text(encoding="utf-8"))


def commands(page: Path) -> list[str]:
    """Lines of the code blocks that call the program."""
    lines = (
        line.strip() for language, text in blocks(page) if language != "text" for line in text.splitlines()
    )
    return [line for line in lines if line.startswith("drumwright ")]


@contextlib.contextmanager
def kitchen(folder: Path) -> Iterator[Path]:
    """A folder as a reader has it: the cases of the project, and nothing else."""
    shutil.copytree(house.ROOT / "cases", folder / "cases")
    yield folder


def test_pages_show_something_that_runs() -> None:
    assert {page.name for page in SHOWN if commands(page)} >= {"README.md", "how-to-first-case.md"}


@pytest.mark.parametrize("page", SHOWN, ids=lambda page: house.place(page))
def test_commands_that_are_shown_run(page: Path, tmp_path: Path) -> None:
    with kitchen(tmp_path) as folder:
        for line in commands(page):
            words = shlex.split(line, comments=True)
            call = [sys.executable, "-m", *words]
            run = subprocess.run(call, cwd=folder, capture_output=True, text=True, check=False)
            assert run.returncode == 0, f"{line}\n{run.stdout}{run.stderr}"
            assert "Traceback" not in run.stderr


@pytest.mark.parametrize("page", SHOWN, ids=lambda page: house.place(page))
def test_python_that_is_shown_runs(page: Path, tmp_path: Path) -> None:
    code = "\n".join(text for language, text in blocks(page) if language == "python")
    if not code:
        return
    with kitchen(tmp_path) as folder:
        environment = {**os.environ, "PYTHONWARNINGS": "error"}
        call = [sys.executable, "-c", code]
        run = subprocess.run(call, cwd=folder, capture_output=True, text=True, check=False, env=environment)
    assert run.returncode == 0, run.stdout + run.stderr
    assert run.stdout.strip()


@pytest.mark.parametrize("page", PAGES, ids=lambda page: house.place(page))
def test_tables_that_are_shown_can_be_read(page: Path) -> None:
    for language, text in blocks(page):
        if language == "toml":
            tomllib.loads(text)
