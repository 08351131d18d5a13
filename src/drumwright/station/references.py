"""Cards: a product, container, machine or enquiry that stands in a file of its own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import InputError, Problem
from drumwright.station.fields import said
from drumwright.station.positions import Path as FieldPath
from drumwright.station.source_text import SourceText, read_source

LISTS = ("product", "container")
TABLES = ("machine", "enquiry")
NESTED = ("temperature", "particles")  # tables within a record


@dataclass(frozen=True, slots=True)
class Card:
    """A referenced file: the record it fills, and where in it the record's fields stand."""

    prefix: FieldPath
    inner: FieldPath
    source: SourceText


@dataclass(frozen=True, slots=True)
class Gathered:
    """The tables of a case with all cards put in."""

    data: dict[str, Any]
    cards: tuple[Card, ...]


def gather(case: SourceText) -> Gathered:
    """Put the referenced cards into the tables of a case; what the case says itself comes first.

    Raises
    ------
    InputError
        With every reference that is missing, loops, leaves the folder or holds no single record.
    """
    data = dict(case.data)
    cards: list[Card] = []
    problems: list[Problem] = []

    def put_in(table: dict[str, Any], prefix: FieldPath) -> dict[str, Any]:
        try:
            filled, found = _filled(table, prefix, case, (case.path.resolve(),))
        except InputError as error:
            problems.extend(error.problems)
            return table
        cards.extend(found)
        return filled

    for name in TABLES:
        if isinstance(data.get(name), dict):
            data[name] = put_in(data[name], (name,))
    for name in LISTS:
        items = [data[name]] if isinstance(data.get(name), dict) else data.get(name)
        if isinstance(items, list):
            data[name] = [
                put_in(item, (name, index)) if isinstance(item, dict) else item
                for index, item in enumerate(items)
            ]
    if problems:
        raise InputError(tuple(problems))
    return Gathered(data, tuple(cards))


def _filled(
    table: Mapping[str, Any], prefix: FieldPath, holder: SourceText, chain: tuple[Path, ...]
) -> tuple[dict[str, Any], list[Card]]:
    if "file" not in table:
        return dict(table), []
    record = str(prefix[0])
    field = f"{record}.file"
    line, column = holder.positions.nearest((*prefix, "file") if len(chain) == 1 else ("file",))

    def wrong(key: str, **slots: str) -> InputError:
        return InputError((Problem(holder.shown, line, column, field, *trouble(key, **slots)),))

    written = table["file"]
    if not isinstance(written, str) or not written.strip() or "\x00" in written:
        raise wrong("REF-001", text=said(written))
    path = (holder.path.parent / written).resolve()
    if Path(written).is_absolute() or ":" in written or written.startswith(("\\", "~")):
        raise wrong("REF-002", text=written)
    home = chain[0].parent
    roots = (home, home.parent) if home.parent != home.parent.parent else (home,)
    if not any(path.is_relative_to(root) for root in roots):
        raise wrong("REF-003", text=written)
    if path in chain:
        raise wrong("REF-004", text=written)
    shown = (Path(holder.shown).parent / written).as_posix()
    try:
        card = read_source(path, shown)
    except InputError as error:
        first = error.problems[0]
        raise InputError(
            (
                Problem(
                    holder.shown, line, column, field, *trouble("REF-005", text=written, what=first.what)
                ),
                first,
            )
        ) from None
    inner, fields = _record_of(card, record, wrong, written)
    deeper, further = _filled(fields, prefix, card, (*chain, path))
    own = {key: value for key, value in table.items() if key != "file"}
    return _merged(deeper, own), [Card(prefix, inner, card), *further]


def _record_of(card: SourceText, record: str, wrong: Any, written: str) -> tuple[FieldPath, dict[str, Any]]:
    """Return the fields of a card, at its top or below one heading with the name of the record."""
    fields = {key: value for key, value in card.data.items() if key != "format"}
    if set(fields) != {record}:
        return (), fields
    held = fields[record]
    if isinstance(held, list) and len(held) == 1 and isinstance(held[0], dict):
        return (record, 0), held[0]
    if isinstance(held, dict):
        return (record,), held
    raise wrong("REF-006", text=written, record=record)


def _merged(below: Mapping[str, Any], above: Mapping[str, Any]) -> dict[str, Any]:
    """Return two tables as one; a quantity written as a table is replaced as a whole."""
    result = dict(below)
    for key, value in above.items():
        lower = result.get(key)
        if isinstance(value, dict) and isinstance(lower, dict) and key in NESTED:
            result[key] = _merged(lower, value)
        else:
            result[key] = value
    return result
