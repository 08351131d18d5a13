"""Overrides such as ``line.own_hose`` -> ``0 m``, put into the tables of a case before they are judged."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from typing import Any

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import Problem
from drumwright.station.fields import Declaration, near
from drumwright.station.positions import Path as FieldPath
from drumwright.station.record_base import Record, declared_in, record_in, steps
from drumwright.station.records import Case

NAME = "setting"  # stands for the file in problems
_WORDS = {"true": True, "yes": True, "on": True, "false": False, "no": False, "off": False}


class _Refused(Exception):  # noqa: N818 - becomes a problem before it leaves this file
    def __init__(self, key: str, **slots: str) -> None:
        super().__init__(key)
        self.trouble = trouble(key, **slots)


def apply(data: dict[str, Any], settings: Mapping[str, str]) -> tuple[set[FieldPath], list[Problem]]:
    """Put settings into the tables of a case.

    Parameters
    ----------
    data : dict
        Tables of the case; changed in place.
    settings : mapping of str to str
        Field path to text; indices count from 0.

    Returns
    -------
    tuple of (set, list)
        Paths that were set, and what is wrong with the others.
    """
    done: set[FieldPath] = set()
    problems = []
    for path, written in settings.items():
        try:
            done.add(_put(data, path, str(written)))
        except _Refused as refused:
            problems.append(Problem(NAME, 0, 0, path, *refused.trouble))
    return done, problems


def _put(data: dict[str, Any], path: str, written: str) -> FieldPath:
    try:
        names = steps(path)
    except KeyError:
        raise _Refused("SET-001", text=path) from None
    holder: dict[str, Any] = data
    record: type[Record] | None = Case
    place: FieldPath = ()
    for position, (name, index) in enumerate(names):
        declared = _declared(record, name, path)
        place = (*place, name)
        if position == len(names) - 1 and index is None:
            holder[name] = _value(declared, written, path)
            return place
        if declared.form == "tables":
            holder, index = _element(holder, name, index, path)
            place = (*place, index)
        elif declared.form == "table" and index is None:
            inner = holder.get(name)
            holder[name] = dict(inner) if isinstance(inner, dict) else {}
            holder = holder[name]
        else:
            raise _Refused("SET-001", text=path)
        record = record_in(record, name) if record else None
    raise _Refused("SET-004", text=path)


def _declared(record: type[Record] | None, name: str, path: str) -> Declaration:
    words = declared_in(record) if record else {}
    if name in words:
        return words[name]
    meant = near(name, words)
    if meant:
        raise _Refused("FLD-002", text=path, words=", ".join(words), meant=path.replace(name, meant))
    raise _Refused("FLD-001", text=path, words=", ".join(words) or "nothing below this field")


def _element(holder: dict[str, Any], name: str, index: int | None, path: str) -> tuple[dict[str, Any], int]:
    items = holder.get(name) or [{}]
    items = [items] if isinstance(items, dict) else list(items)
    if index is None and len(items) > 1:
        raise _Refused("SET-002", text=name, last=str(len(items) - 1), path=path)
    index = index or 0
    if index >= len(items) or not isinstance(items[index], dict):
        raise _Refused("SET-003", text=name, count=str(len(items)), last=str(len(items) - 1))
    items[index] = dict(items[index])
    holder[name] = items
    return items[index], index


def _value(declared: Declaration, written: str, path: str) -> Any:
    bare = written.strip()
    if declared.form in ("table", "tables") and bare[:1] not in ("{", "["):
        raise _Refused("SET-004", text=path)
    if declared.form == "flag":
        return _WORDS.get(bare.lower(), written)
    if declared.form not in ("text", "choice") and bare[:1] in ("{", "["):
        try:
            return tomllib.loads(f"value = {bare}")["value"]
        except (ValueError, RecursionError):
            raise _Refused("SET-005", text=bare[:60]) from None
    return bare if declared.form != "text" else written
