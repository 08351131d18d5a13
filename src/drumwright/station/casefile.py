"""The case file: read with every problem named at once, warned of what is unusual, begun from a template."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from dataclasses import replace
from pathlib import Path
from types import MappingProxyType
from typing import Any

from drumwright.basis.catalogue import DATA
from drumwright.basis.errors import InputError, Problem
from drumwright.basis.estimate import Estimate
from drumwright.station import settings as overrides
from drumwright.station.fields import unusual
from drumwright.station.positions import Path as FieldPath
from drumwright.station.record_base import iter_fields, steps
from drumwright.station.records import Case
from drumwright.station.references import Card, gather
from drumwright.station.source_text import SourceText, read_source, refused
from drumwright.station.stock_reference import stock_warnings, with_stock
from drumwright.station.validation import build

__all__ = ["case_from_dict", "load", "located", "template", "warnings", "write_template"]


def load(path: Path, settings: Mapping[str, str] = MappingProxyType({}), stock: Path | None = None) -> Case:
    """Read a case file.

    Parameters
    ----------
    path : Path
        A TOML file.
    settings : mapping of str to str
        Overrides, field path to text: ``{"line.own_hose": "0 m"}``; nothing is written.
    stock : Path, optional
        Parts stock taken instead of the one the case names.

    Returns
    -------
    Case
        With the digest of every byte that was read, settings and stock included; the pinned copy of a
        stock counts as that stock.

    Raises
    ------
    InputError
        With every problem found, in the order of the file.
    """
    path = Path(path)
    source = read_source(path, str(path))
    gathered = gather(source)
    data = gathered.data
    done, problems = overrides.apply(data, settings)
    digest = hashlib.sha256(source.content)
    for card in gathered.cards:
        digest.update(card.source.content)
    if settings:
        digest.update(json.dumps(sorted(settings.items())).encode())
    locator = _Locator(source, gathered.cards, frozenset(done))
    cards = tuple((_prefix(card.prefix), card.source.shown) for card in gathered.cards)
    extra = {"source": str(path), "digest": digest.hexdigest(), "cards": cards}
    try:
        case = build(data, locator, source.shown, **extra)
    except InputError as error:
        raise InputError((*error.problems, *problems)) from None
    if problems:
        raise InputError(tuple(problems))
    return with_stock(case, digest, lambda: locator(("case", "stock")), stock)


def case_from_dict(
    data: Mapping[str, Any], source: str = "python", settings: Mapping[str, str] = MappingProxyType({})
) -> Case:
    """Build a case from tables in the shape of a case file, without a file.

    Parameters
    ----------
    data : mapping
        Tables with the same texts a case file holds; finished estimates are taken too.
    source : str
        Name of the case in messages.
    settings : mapping of str to str
        Overrides as in `load`.

    Raises
    ------
    InputError
        With every problem found.
    """
    tables = {name: list(each) if isinstance(each, tuple) else each for name, each in data.items()}
    _, problems = overrides.apply(tables, settings)
    text = json.dumps(tables, sort_keys=True, default=repr)
    digest = hashlib.sha256(text.encode()).hexdigest()
    try:
        case = build(tables, lambda path: (source, 0, 0), source, source=source, digest=digest)
    except InputError as error:
        raise InputError((*error.problems, *problems)) from None
    if problems:
        raise InputError(tuple(problems))
    return with_stock(case, hashlib.sha256(text.encode()), lambda: (source, 0, 0))


class _Locator:
    """File, line and column of a field: a setting, the case itself, or the card it came from."""

    def __init__(self, case: SourceText, cards: tuple[Card, ...], done: frozenset[FieldPath]) -> None:
        self._case = case
        self._cards = cards
        self._done = done

    def __call__(self, path: FieldPath) -> tuple[str, int, int]:
        if any(path[: len(each)] == each for each in self._done):
            return overrides.NAME, 0, 0
        if self._case.positions.exact(path) is None:
            for card in self._cards:
                inner = (*card.inner, *path[len(card.prefix) :])
                if path[: len(card.prefix)] == card.prefix and card.source.positions.exact(inner):
                    return card.source.shown, *card.source.positions.nearest(inner)
        return self._case.shown, *self._case.positions.nearest(path)

    def stands(self, path: FieldPath) -> bool:
        """Whether the field itself stands in the case file or one of its cards."""
        return self._case.positions.exact(path) is not None or self(path)[0] != self._case.shown


def _prefix(path: FieldPath) -> str:
    return "".join(f"[{step}]" if isinstance(step, int) else str(step) for step in path)


def warnings(case: Case) -> tuple[Problem, ...]:
    """Return what is possible but unusual in a case, with its place where the file still stands there.

    Parameters
    ----------
    case : Case
        As read.
    """
    of_stock = stock_warnings(case)
    found = []
    for path, declared, value in iter_fields(case):
        if isinstance(value, Estimate) and (words := unusual(declared, value)) is not None:
            found.append((path, words))
    if not found:
        return of_stock
    locate = _locator_of(case)
    problems = []
    for path, words in found:
        file, line, column = locate(_indexed(path)) if locate else (case.source, 0, 0)
        problems.append(Problem(file, line, column, path, *words))
    return (*problems, *of_stock)


def located(case: Case, problems: Iterable[Problem]) -> tuple[Problem, ...]:
    """Return problems found after reading, each with the place of its field where the file still stands.

    Parameters
    ----------
    case : Case
        As read.
    problems : iterable of Problem
        Without a place.
    """
    locate = _locator_of(case)
    if locate is None:
        return tuple(problems)
    found = []
    for each in problems:
        path = _indexed(each.field)
        if locate.stands(path):  # else it came from a setting, or is left out
            file, line, column = locate(path)
            each = replace(each, file=file, line=line, column=column)
        found.append(each)
    return tuple(found)


def _locator_of(case: Case) -> _Locator | None:
    try:
        source = read_source(Path(case.source), case.source)
        return _Locator(source, gather(source).cards, frozenset())
    except InputError:
        return None


def _indexed(path: str) -> FieldPath:
    lists = (
        "product", "container", "duty", "flow_curve", "model", "evidence", "part", "alternative", "answer",
    )  # fmt: skip
    found: FieldPath = ()
    for name, index in steps(path):
        found = (*found, name) if name not in lists else (*found, name, index or 0)
    return found


def template() -> str:
    """Return the annotated template of a case file."""
    return (DATA / "template.toml").read_text(encoding="utf-8")


def write_template(path: Path) -> None:
    """Write the annotated template to a new file.

    Parameters
    ----------
    path : Path
        Where to; an existing file is never overwritten.

    Raises
    ------
    InputError
        If the file exists or cannot be written.
    """
    path = Path(path)
    text = template()
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        raise refused(str(path), "FIL-011") from None
    except (OSError, ValueError):
        raise refused(str(path), "FIL-012") from None
