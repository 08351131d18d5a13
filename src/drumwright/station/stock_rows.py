"""From rows of texts to rows in SI units, each problem named by row, field, value and what is allowed."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from drumwright.basis import quantities
from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import Problem, QuantityError
from drumwright.station.fields import LONGEST_TEXT, near, said
from drumwright.station.stock_fields import StockField, fields_of
from drumwright.station.stock_file import RawRow

Value = float | int | str | tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StockRow:
    """A part of the stock: what it is called, whether it is offered, its numbers.

    Parameters
    ----------
    kind : str
        Kind of part, such as "pump" or "hose".
    article, name : str
        Article number and name in words; "" for a test point.
    status : str
        active, old or held_back.
    note : str
        Remark, never on an outgoing document.
    values : mapping
        Its other fields: SI floats, whole numbers, words.
    """

    kind: str
    article: str
    name: str
    status: str
    note: str
    values: Mapping[str, Value]

    def number(self, name: str) -> float:
        """One number [SI]; nan where the row leaves it out."""
        value = self.values.get(name, math.nan)
        return float(value) if isinstance(value, int | float) else math.nan


@dataclass(slots=True)
class Judged:
    """Rows that can be used, each with where it was written, and what is wrong with the others."""

    rows: list[tuple[StockRow, RawRow]] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)
    bad: list[RawRow] = field(default_factory=list)

    def refuse(self, raw: RawRow, problems: Iterable[Problem]) -> None:
        """Count a row among the bad ones.

        Parameters
        ----------
        raw : RawRow
        problems : iterable of Problem
            What is wrong with it.
        """
        self.problems += problems
        self.bad.append(raw)


def judge(rows: Iterable[RawRow]) -> Judged:
    """Read every row; an article number stands once in a file.

    Parameters
    ----------
    rows : iterable of RawRow
    """
    found = Judged()
    seen: set[str] = set()
    for raw in rows:
        row, problems = _row(raw)
        if row is not None and row.article and row.article in seen:
            problems.append(raw.problem("article", "STK-020", text=row.article))
            row = None
        if row is None:
            found.refuse(raw, problems)
        else:
            seen.add(row.article)
            found.rows.append((row, raw))
    return found


def _row(raw: RawRow) -> tuple[StockRow | None, list[Problem]]:
    problems: list[Problem] = []
    family = raw.cells["family"].raw if raw.kind == "pump" and "family" in raw.cells else ""
    words = fields_of("pump")["family"].words if raw.kind == "pump" else ()
    known = fields_of(raw.kind, family if isinstance(family, str) and family in words else "")
    all_known = raw.kind != "pump" or family in words  # else the fields of its family are not judged
    values: dict[str, Value] = {}
    for name, cell in raw.cells.items():
        if name not in known:
            problems += [_unknown(raw, name, known)] if all_known else []
            continue
        try:
            values[name] = read_value(known[name], cell.raw)
        except _Refused as refused:
            problems.append(raw.told(name, *refused.words))
    for name, declared in known.items():
        if name not in raw.cells and not declared.optional:
            problems.append(raw.problem(name, "STK-010", text=name, meaning=declared.meaning))
    if raw.kind == "test_point" and not problems:
        problems += _law_problems(raw)
    if problems:
        return None, problems
    own = [str(values.pop(name, "")) for name in ("article", "name", "status", "note")]
    return StockRow(raw.kind, own[0], own[1], own[2] or "active", own[3], values), []


def _law_problems(raw: RawRow) -> list[Problem]:
    """A test point says its product: a viscosity alone, or all of a law."""
    law = [name for name in ("yield_stress", "consistency", "exponent") if name in raw.cells]
    if ("viscosity" in raw.cells) is bool(law) or len(law) not in (0, 3):
        return [raw.problem("", "STK-021")]
    return []


def _unknown(raw: RawRow, name: str, known: Mapping[str, StockField]) -> Problem:
    meant = near(name, known)
    listed = ", ".join(known)
    if meant and meant not in raw.cells:
        return raw.problem(name, "STK-012", text=name, words=listed, meant=meant)
    return raw.problem(name, "STK-011", text=name, words=listed)


class _Refused(Exception):  # noqa: N818 - becomes a problem before it leaves this file
    def __init__(self, words: tuple[str, str, str]) -> None:
        super().__init__(words[0])
        self.words = words


def _no(key: str, **slots: str) -> _Refused:
    return _Refused(trouble(key, **slots))


def read_value(declared: StockField, raw: object) -> Value:
    """Read what stands in one field.

    Parameters
    ----------
    declared : StockField
        What the field is.
    raw : object
        As written.
    """
    readers: dict[str, Callable[[StockField, object], Value]] = {
        "quantity": _quantity,
        "count": _count,
        "choice": _choice,
        "text": _text,
        "texts": _texts,
    }
    return readers[declared.form](declared, raw)


def _quantity(declared: StockField, raw: object) -> float:
    try:
        value = quantities.read(raw, declared.kind)
    except QuantityError as error:
        raise _Refused((error.what, error.allowed, error.remedy)) from None
    if declared.low < value <= declared.high:
        return value
    ends = [_end(end, declared.kind) for end in (max(declared.low, 0.0), declared.high)]
    key = "STK-014" if declared.low < 0.0 else "STK-013"
    raise _no(key, text=said(raw), low=ends[0], high=ends[1])


def _end(value: float, kind: str) -> str:
    return quantities.show(value, kind)


def _count(declared: StockField, raw: object) -> int:
    value: Any = raw
    if isinstance(raw, str) and raw.strip().isdigit():
        value = int(raw)
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    if not isinstance(value, int) or isinstance(value, bool) or not 1 <= value <= declared.high:
        raise _no("STK-015", text=said(raw), high=f"{declared.high:g}")
    return value


def _choice(declared: StockField, raw: object) -> str:
    word = raw.strip() if isinstance(raw, str) else raw
    if isinstance(word, str) and word in declared.words:
        return word
    meant = near(str(raw), declared.words)
    words = ", ".join(declared.words)
    if meant:
        raise _no("STK-017", text=said(raw), words=words, meant=meant)
    raise _no("STK-016", text=said(raw), words=words)


def _text(declared: StockField, raw: object) -> str:
    text = exact_text(raw)
    if not text or len(text) > LONGEST_TEXT or not all(each.isprintable() for each in text):
        raise _no("STK-018", text=said(raw))
    return text


def exact_text(raw: object) -> str:
    """A text as written; a whole number of a workbook, such as an article number, as its digits."""
    if isinstance(raw, bool) or not isinstance(raw, str | int | float):
        return ""
    if isinstance(raw, float) and raw.is_integer() and abs(raw) < 1e15:
        return str(int(raw))
    return str(raw).strip()


def _texts(declared: StockField, raw: object) -> tuple[str, ...]:
    parts = raw.replace(";", ",").split(",") if isinstance(raw, str) else raw
    if not isinstance(parts, list | tuple) or not all(isinstance(each, str) for each in parts):
        raise _no("STK-019", text=said(raw))
    return tuple(each.strip() for each in parts if each.strip())
