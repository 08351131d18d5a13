"""From a stock file, TOML or workbook, to rows of texts that know their place; nothing is judged here."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any, NamedTuple

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import InputError, Problem
from drumwright.station.fields import near, said
from drumwright.station.source_text import SourceText, content_of, read_source, refused
from drumwright.station.stock_fields import KINDS

GREATEST_SIZE = 20_000_000  # bytes of a workbook
MOST_ROWS = 5_000
HEADS = ("stock", "pinned")  # tables that are no parts
_WORKBOOK = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")  # zipped and older workbooks
_HEADER = re.compile(r"^(?P<name>[^\[(]+?)\s*(?:\[(?P<square>.*)\]|\((?P<round>.*)\))?$")


class Cell(NamedTuple):
    """What stands in one field of a row."""

    raw: Any  # text, number, list
    file: str  # file, and sheet and row of a workbook
    line: int  # 0 in a workbook
    column: int


@dataclass(frozen=True, slots=True)
class RawRow:
    """A row as written."""

    kind: str
    file: str
    line: int
    column: int
    cells: Mapping[str, Cell]

    def problem(self, name: str, key: str, **slots: str) -> Problem:
        """Return a problem of one field, at the field where it stands, else at the row.

        Parameters
        ----------
        name : str
            Field, "" for the row.
        key : str
            Entry of the catalogue.
        **slots : str
            Of its sentences.
        """
        return self.told(name, *trouble(key, **slots))

    def told(self, name: str, what: str, allowed: str, remedy: str) -> Problem:
        """Return a problem in these words.

        Parameters
        ----------
        name : str
            Field, "" for the row.
        what, allowed, remedy : str
            As in `Problem`.
        """
        cell = self.cells.get(name)
        place = (cell.file, cell.line, cell.column) if cell else (self.file, self.line, self.column)
        return Problem(*place, f"{self.kind}.{name}" if name else self.kind, what, allowed, remedy)


@dataclass(slots=True)
class StockText:
    """A stock file as written."""

    shown: str
    digest: str  # SHA-256 of its bytes
    heads: dict[str, dict[str, Any]] = field(default_factory=dict)
    rows: list[RawRow] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)


def read_stock_text(path: Path, shown: str) -> StockText:
    """Read a stock file.

    Parameters
    ----------
    path : Path
        A TOML file or a workbook.
    shown : str
        Its name in messages.

    Raises
    ------
    InputError
        If it cannot be read at all; what is wrong with single tables stands in `problems`.
    """
    try:
        content = content_of(path, shown, GREATEST_SIZE)
        if content.startswith(_WORKBOOK):
            return _of_workbook(content, shown)
        if path.suffix.lower() in (".xlsx", ".xls", ".ods"):
            raise refused(shown, "STK-002", size=str(len(content)))
        return _of_toml(read_source(path, shown))
    except InputError as error:
        raise InputError(tuple(_of_stock(problem) for problem in error.problems)) from None


def _of_stock(problem: Problem) -> Problem:
    """The words on a whole file speak of cases; here a stock was wanted."""
    if problem.line or "case" not in f"{problem.allowed} {problem.remedy}":
        return problem
    _, allowed, remedy = trouble("STK-044")
    return replace(problem, allowed=allowed, remedy=remedy)


def stock_text_of(data: Mapping[str, Any], shown: str) -> StockText:
    """Return tables that are read already as rows without lines.

    Parameters
    ----------
    data : mapping
        Tables in the shape of a stock file.
    shown : str
        Name in messages.
    """
    return _rows_of(data, StockText(shown, ""), lambda path: (0, 0))


def _of_toml(source: SourceText) -> StockText:
    text = StockText(source.shown, hashlib.sha256(source.content).hexdigest())
    return _rows_of(source.data, text, source.positions.nearest)


def _rows_of(data: Mapping[str, Any], text: StockText, nearest: Any) -> StockText:
    for kind, held in data.items():
        line, column = nearest((kind,))
        if kind in HEADS and isinstance(held, dict):
            text.heads[kind] = held
            continue
        if kind not in KINDS:
            text.problems.append(_unknown_table(text.shown, line, column, kind))
            continue
        items = [held] if isinstance(held, dict) else held
        if not isinstance(items, list) or not all(isinstance(item, dict) for item in items):
            words = trouble("STK-004", text=kind)
            text.problems.append(Problem(text.shown, line, column, kind, *words))
            continue
        for index, item in enumerate(items):
            path = (kind, index)
            cells = {name: Cell(raw, text.shown, *nearest((*path, name))) for name, raw in item.items()}
            line, column = nearest(path)
            text.rows.append(RawRow(kind, text.shown, line, column, cells))
    return _not_too_many(text)


def _not_too_many(text: StockText) -> StockText:
    if len(text.rows) > MOST_ROWS:
        raise refused(text.shown, "STK-005", count=str(len(text.rows)), limit=str(MOST_ROWS))
    return text


def _unknown_table(file: str, line: int, column: int, name: str) -> Problem:
    meant = near(name, KINDS)
    key = "STK-007" if meant else "STK-006"
    slots = {"meant": meant} if meant else {}
    return Problem(file, line, column, name, *trouble(key, text=name, words=", ".join(KINDS), **slots))


def _of_workbook(content: bytes, shown: str) -> StockText:
    import io

    import python_calamine

    text = StockText(shown, hashlib.sha256(content).hexdigest())
    try:
        book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(content))
        sheets = [
            (name, book.get_sheet_by_name(name).to_python(skip_empty_area=False)) for name in book.sheet_names
        ]
    except (python_calamine.CalamineError, OSError, ValueError) as error:
        raise refused(shown, "STK-001", reason=str(error)[:80]) from None
    for name, rows in sheets:
        if name.strip().lower().startswith(("note", "#")) or not any(any(map(_filled, row)) for row in rows):
            continue
        kind = _kind_of(name)
        if kind == "stock":
            text.heads["stock"] = _head(rows)
        elif kind is None:
            text.problems.append(_unknown_table(f"{shown}:{name}", 0, 0, name))
        else:
            text.rows += _sheet(rows, kind, f"{shown}:{name}", text.problems)
    if not text.rows and not text.problems:
        raise refused(shown, "STK-003")
    return _not_too_many(text)


def _kind_of(sheet: str) -> str | None:
    name = re.sub(r"[\s-]+", "_", sheet.strip().lower())
    return next((kind for kind in (*KINDS, "stock") if name in (kind, f"{kind}s", f"{kind}es")), None)


def _filled(value: object) -> bool:
    return value is not None and str(value).strip() != ""


def _head(rows: Sequence[Sequence[Any]]) -> dict[str, Any]:
    """Name and note of the stock: two columns, or a header with one row."""
    kept = [[str(each).strip() for each in row if _filled(each)] for row in rows]
    pairs = [row for row in kept if len(row) == 2]
    return {row[0].lower(): row[1] for row in pairs}


def _sheet(rows: Sequence[Sequence[Any]], kind: str, shown: str, problems: list[Problem]) -> Iterator[RawRow]:
    """Rows below the first one that is filled, which is the header: names with units."""
    first = next(index for index, row in enumerate(rows) if any(map(_filled, row)))
    columns: list[tuple[str, str]] = []
    for position, each in enumerate(rows[first]):
        match = _HEADER.match(str(each).strip()) if _filled(each) else None
        name = re.sub(r"[\s-]+", "_", match["name"].strip().lower()) if match else ""
        if name and name in (known for known, _ in columns):
            place = f"{shown}!{first + 1}"
            problems.append(Problem(place, 0, position + 1, name, *trouble("STK-008", text=name)))
        columns.append((name, (match["square"] or match["round"] or "").strip() if match else ""))
    for index, row in enumerate(rows[first + 1 :], first + 2):
        if not any(map(_filled, row)):
            continue
        place = f"{shown}!{index}"
        cells = {}
        for position, value in enumerate(row):
            if not _filled(value):
                continue
            name, unit = columns[position] if position < len(columns) else ("", "")
            if not name:
                words = trouble("STK-009", text=said(str(value)), column=str(position + 1))
                problems.append(Problem(place, 0, position + 1, kind, *words))
                continue
            cells[name] = Cell(_with_unit(value, unit), place, 0, position + 1)
        yield RawRow(kind, place, 0, 0, cells)


def _with_unit(value: Any, unit: str) -> Any:
    """A cell with the unit of its header; a text that has letters says its unit itself."""
    if isinstance(value, bool) or not unit:
        return value
    if isinstance(value, int | float):
        return f"{exact(float(value))} {unit}"
    text = str(value).strip()
    bare = re.fullmatch(r"[-+−]?[\d.,\s_]+(?:[eE][+-]?\d+)?", text)
    return f"{text} {unit}" if bare else text


def exact(value: float) -> str:
    """Return a number as digits that are read back as the same float, and as nothing else.

    Parameters
    ----------
    value : float
        Any finite number [-].

    Notes
    -----
    Three decimals could be read as thousands, so a fourth one is written.
    """
    digits = repr(value)
    whole, _, decimals = digits.partition(".")
    return f"{digits}0" if len(decimals) == 3 and not whole.lstrip("-").startswith("0") else digits
