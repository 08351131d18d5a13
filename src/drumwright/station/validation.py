"""From raw tables to a Case, or to every problem at once in our own words."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from pydantic import ValidationError

from drumwright.basis import quantities
from drumwright.basis.errors import InputError, Problem
from drumwright.station.fields import FieldTroubles, Trouble, near, read_field, refuse
from drumwright.station.positions import Path as FieldPath
from drumwright.station.record_base import Record, declared_in, record_in
from drumwright.station.records import FORMAT, Case
from drumwright.station.source_text import refused

Locate = Callable[[FieldPath], tuple[str, int, int]]


def build(data: Mapping[str, Any], locate: Locate, shown: str, **extra: Any) -> Case:
    """Return the case of raw tables.

    Parameters
    ----------
    data : mapping
        Tables as TOML gives them.
    locate : callable
        File, line and column of a field path.
    shown : str
        Name of the case in messages.
    **extra
        Fields of the case that no file can set: source, digest, cards.

    Raises
    ------
    InputError
        With every problem, in the order of the file.
    """
    version = data.get("format", FORMAT)
    if isinstance(version, int) and not isinstance(version, bool) and version > FORMAT:
        _, line, column = locate(("format",))
        raise refused(shown, "FIL-020", line, column, "format", text=str(version), newest=str(FORMAT))
    internal = {name: each for name, each in data.items() if name not in declared_in(Case)}
    known = {name: each for name, each in data.items() if name in declared_in(Case)}
    found: list[tuple[FieldPath, Trouble]] = [
        ((name,), each) for name in internal for each in _unknown((name,))
    ]
    found += _across(known)
    case = None
    try:
        case = Case(**known, **extra)
    except ValidationError as error:
        for item in error.errors(include_url=False, include_input=False):
            found += _translated(dict(item))
    if found or case is None:
        raise InputError(_problems(found, known, locate, shown))
    return case


def _problems(
    found: list[tuple[FieldPath, Trouble]], data: Mapping[str, Any], locate: Locate, shown: str
) -> tuple[Problem, ...]:
    problems = []
    for path, each in found:
        whole = (*path, *each.place)
        file, line, column = locate(whole)
        field = path_text(whole, data)
        problems.append(Problem(file, line, column, field, each.what, each.allowed, each.remedy))
    unique = dict.fromkeys(problems)
    return tuple(sorted(unique, key=lambda each: (each.file != shown, each.file, each.line, each.column)))


def path_text(path: FieldPath, data: Mapping[str, Any]) -> str:
    """Return a path as text; a list with one element goes without index."""
    text = ""
    here: Any = data
    for step in path:
        if isinstance(step, int):
            alone = not isinstance(here, list) or len(here) == 1
            leaf = isinstance(here, list) and here and not isinstance(here[0], dict)
            text += f"[{step}]" if leaf or not alone else ""
            here = here[step] if isinstance(here, list) and step < len(here) else here
        else:
            text += f".{step}" if text else step
            here = here.get(step) if isinstance(here, Mapping) else None
    return text


def _translated(item: Mapping[str, Any]) -> list[tuple[FieldPath, Trouble]]:
    path: FieldPath = tuple(item["loc"])
    if item["type"] == "drumwright":
        return [(path, each) for each in item["ctx"]["troubles"]]
    if item["type"] == "extra_forbidden":
        return [(path, each) for each in _unknown(path)]
    if item["type"] == "missing":
        return [(path, each) for each in refuse("FLD-003", words=str(path[-1])).troubles]
    return [(path, each) for each in refuse("FLD-099").troubles]


def _unknown(path: FieldPath) -> tuple[Trouble, ...]:
    record: type[Record] | None = Case
    for step in path[:-1]:
        if isinstance(step, str) and record is not None:
            record = record_in(record, step)
    name, words = str(path[-1]), declared_in(record or Case)
    meant = near(name, words)
    listed = ", ".join(words)
    if meant:
        return refuse("FLD-002", text=name, words=listed, meant=meant).troubles
    elsewhere = [table for table in declared_in(Case) if _holds(table, name) and (table,) != path[:1]]
    if elsewhere:
        return refuse("FLD-008", text=name, words=listed, meant=", ".join(elsewhere)).troubles
    return refuse("FLD-001", text=name, words=listed).troubles


def _holds(table: str, name: str) -> bool:
    record = record_in(Case, table)
    return record is not None and name in declared_in(record)


def _across(data: Mapping[str, Any]) -> list[tuple[FieldPath, Trouble]]:
    """Judge what no record can judge alone: names that other records refer to, and shares."""
    found: list[tuple[FieldPath, Trouble]] = []
    products, containers = (_dicts(data.get(name)) for name in ("product", "container"))
    if not data.get("product"):
        found += [(("product",), each) for each in refuse("CRS-020").troubles]
    for table, items in (("product", products), ("container", containers)):
        said_names = [item.get("name") for item in items]
        for index, name in enumerate(said_names):
            if isinstance(name, str) and name in said_names[:index]:
                found += [((table, index, "name"), each) for each in refuse("CRS-023", text=name).troubles]
    for index, duty in enumerate(_dicts(data.get("duty"))):
        for table, key, items in (("product", "CRS-021", products), ("container", "CRS-022", containers)):
            name = duty.get(table)
            names = [str(item["name"]) for item in items if "name" in item]
            if isinstance(name, str) and name not in names:
                meant = near(name, names)
                listed = ", ".join(names) or "none yet"
                troubles = refuse(key, text=name, words=listed).troubles
                if meant:
                    troubles = refuse("CRS-025", text=name, words=listed, meant=meant).troubles
                found += [(("duty", index, table), each) for each in troubles]
    return found + _shares(_dicts(data.get("duty")))


def _shares(duties: list[Mapping[str, Any]]) -> list[tuple[FieldPath, Trouble]]:
    declared = declared_in(record_in(Case, "duty") or Case)["share"]
    total = 0.0
    for duty in duties:
        try:
            share: Any = read_field(declared, duty.get("share"))
        except FieldTroubles:
            return []
        total += share.likely if share is not None else 0.0
    if total <= 1.0 + 1e-9:
        return []
    shown = quantities.show(total, "fraction", digits=4)
    return [(("duty", len(duties) - 1, "share"), each) for each in refuse("CRS-024", text=shown).troubles]


def _dicts(raw: object) -> list[Mapping[str, Any]]:
    items = [raw] if isinstance(raw, dict) else raw
    return [item if isinstance(item, dict) else {} for item in items] if isinstance(items, list) else []
