"""From the bytes of a flow-curve file to rows of cells: encoding, separator, decimal mark."""

from __future__ import annotations

import codecs
import csv
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from drumwright.basis.phrases import Phrase, phrase

Decimal = Literal["point", "comma"]
Cells = Sequence[str]
Split = Callable[[str], list[str]]

_PLAIN = (("−", "-"), ("–", "-"), ("\u00a0", " "), ("\u202f", " "), ("\u2009", " "))
_NUMBER = re.compile(r"[+-]?(?:\d+(?:[.,]\d*)*|[.,]\d+)(?:[eE][+-]?\d+)?")
_MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
_COMMENT = re.compile(r"\s*(?:#|//|%|!|;(?=\s*[^\W\d]))\s?")
_LOOK = 3000  # lines from which separator and decimal mark are told


def _splitter(sign: str) -> Split:
    """Cut a line at a sign, but not inside quotes."""

    def cut(line: str) -> list[str]:
        return next(csv.reader([line], delimiter=sign), [""]) if '"' in line else line.split(sign)

    return cut


SEPARATORS: tuple[tuple[str, Split], ...] = (
    ("tab", _splitter("\t")),
    ("semicolon", _splitter(";")),
    ("bar", lambda line: line.strip().strip("|").split("|")),
    ("spaces", lambda line: line.split()),
    ("comma", _splitter(",")),
)


class Unreadable(Exception):  # noqa: N818 - never leaves this room; carries what becomes a problem
    """A file or a part of it that cannot be read as flow curves."""

    def __init__(self, problem: Phrase) -> None:
        super().__init__(problem.key)
        self.problem = problem


@dataclass(frozen=True, slots=True)
class Grid:
    """Rows of cells as they stand, and what was understood on the way.

    Parameters
    ----------
    rows : sequence of sequence of str
        Cells without surrounding spaces; empty for a row of numbers only.
    numbers : sequence
        For each row its numbers where at least half of the filled cells are, a word or gap being NaN; None
        for the other rows.
    understood : tuple of Phrase
        Encoding, separator, decimal mark.
    """

    rows: Sequence[Cells]
    numbers: Sequence[list[float] | None]
    understood: tuple[Phrase, ...]


def decode(raw: bytes) -> tuple[str, str]:
    """Return the text of a file and the name of its encoding.

    Parameters
    ----------
    raw : bytes
        Content of the file.

    Notes
    -----
    A byte order mark decides; without one UTF-16 is told by its zero bytes, UTF-8 is tried, and what is left
    is the Western table of one byte a sign.
    """
    for mark, name in _MARKS:
        if raw.startswith(mark):
            return raw.decode(name, "replace"), name
    head = raw[:2000]
    if head[1::2].count(0) > len(head) // 4:
        return raw.decode("utf-16-le", "replace"), "utf-16-le"
    if head[0::2].count(0) > len(head) // 4:
        return raw.decode("utf-16-be", "replace"), "utf-16-be"
    for name in ("utf-8", "cp1252"):
        try:
            return raw.decode(name), name
        except UnicodeDecodeError:
            continue
    return raw.decode("latin-1"), "latin-1"


def grid(text: str, encoding: str = "", decimal: Decimal | None = None) -> Grid:
    """Cut a text into rows of cells.

    Parameters
    ----------
    text : str
        Whole file, or a pasted table.
    encoding : str
        Name for the user, "" where it was text from the start.
    decimal : str, optional
        "point" or "comma" where the user said so.

    Returns
    -------
    Grid
        Rows with their numbers.

    Raises
    ------
    Unreadable
        If there is nothing in it, or its commas or points have two readings.
    """
    for sign, plain in _PLAIN:
        text = text.replace(sign, plain)
    lines = [line for line in text.splitlines() if line.strip()]
    if not lines:
        raise Unreadable(phrase("FIT-empty"))
    name, split = _separator(lines[:_LOOK])
    mark = decimal or _decimal_mark(lines, name, split)
    rows, numbers = _cut(lines, split, mark)
    understood = [phrase("FIT-separator", separator=phrase(f"FIT-separator.{name}"))]
    if mark == "comma":
        understood.append(phrase("FIT-decimal_comma"))
    if encoding:
        understood.insert(0, phrase("FIT-encoding", encoding=encoding))
    return Grid(rows, numbers, tuple(understood))


def grid_of_rows(rows: Sequence[Sequence[object]]) -> Grid:
    """Return the grid of rows that are cells already, such as those of a workbook.

    Parameters
    ----------
    rows : sequence of sequence
        Numbers, texts, empty cells.
    """
    kept = [cells for cells in ([_cell(each) for each in row] for row in rows) if any(cells)]
    return Grid(kept, [as_numbers(cells) for cells in kept], ())


def _cell(value: object) -> str:
    return "" if value is None else repr(value) if isinstance(value, float) else str(value).strip()


def _separator(lines: Sequence[str]) -> tuple[str, Split]:
    """The separator that gives the most rows of two numbers or more, then the most cells of words."""
    best, most = SEPARATORS[0], (-1.0, -1.0)
    for entry in SEPARATORS:
        cells = [entry[1](line) for line in lines]
        table = sum(1.0 for row in cells if _tabular(row))
        # a headline alone tells the separator by its cells, but spaces part any sentence
        words = 0.0 if entry[0] == "spaces" or table else float(sum(len(row) - 1 for row in cells))
        score = (table, words)
        if score > most:
            best, most = entry, score
    return best


def _tabular(cells: Cells) -> bool:
    filled = [cell.strip() for cell in cells if cell.strip()]
    hits = sum(1 for cell in filled if _NUMBER.fullmatch(cell))
    return hits >= 2 and hits >= 0.6 * len(filled)


def _decimal_mark(lines: Sequence[str], separator: str, split: Split) -> Decimal:
    """Decimal mark of all numbers together; refused where every number reads two ways."""
    tokens = [
        cell
        for line in lines[:_LOOK]
        if _tabular(split(line))
        for cell in (each.strip() for each in split(line))
        if _NUMBER.fullmatch(cell)
    ]
    commas = [token for token in tokens if "," in token]
    points = [token for token in tokens if "." in token]
    if not commas:
        _refuse_thousands(points, tokens, "point")
        return "point"
    if points:
        last = {
            max(token.rfind(","), token.rfind(".")) == token.rfind(",") for token in commas if "." in token
        }
        if last == {True}:
            return "comma"
        if last == {False}:
            return "point"
        raise Unreadable(phrase("FIT-two_marks", one=commas[0], other=points[0]))
    _refuse_thousands(commas, tokens, "comma")
    return "comma"


def _refuse_thousands(marked: list[str], tokens: list[str], mark: Decimal) -> None:
    """Refuse numbers that could all be thousands: one to three digits, the mark, three digits."""
    sign = "." if mark == "point" else ","
    trap = re.compile(rf"[+-]?[1-9]\d{{0,2}}{re.escape(sign)}\d{{3}}")
    if marked and all(trap.fullmatch(token) for token in marked):
        first = marked[0]
        small, large = first.replace(",", "."), first.replace(sign, "")
        raise Unreadable(phrase("FIT-thousands", text=first, small=small, large=large))


def _cut(lines: Sequence[str], split: Split, mark: Decimal) -> tuple[list[Cells], list[list[float] | None]]:
    """Cells and numbers of every line; a line of plain numbers takes the short way."""
    rows: list[Cells] = []
    numbers: list[list[float] | None] = []
    for line in lines:
        try:
            plain = line.replace(".", "").replace(",", ".") if mark == "comma" else line
            found = [float(cell) for cell in split(plain)]
            if len(found) >= 2:
                rows.append(())
                numbers.append(found)
                continue
        except ValueError:
            pass
        comment = _COMMENT.match(line)
        if comment is not None and not _tabular(split(line)):
            line = line[comment.end() :]
        cells = [cell.strip() for cell in split(line)]
        rows.append(cells)
        numbers.append(as_numbers(cells, mark))
    return rows, numbers


def as_numbers(cells: Cells, mark: Decimal = "point") -> list[float] | None:
    """Numbers of a row of data, NaN for words and gaps; None where it is no row of data.

    Parameters
    ----------
    cells : sequence of str
        Cells of the row.
    mark : str
        Decimal mark.
    """
    found = [_number(cell, mark) for cell in cells]
    hits = sum(1 for value in found if value == value)
    filled = sum(1 for cell in cells if cell)
    return found if hits >= 2 and 2 * hits >= filled else None


def _number(cell: str, mark: Decimal) -> float:
    if not cell:
        return float("nan")
    if mark == "comma":
        cell = cell.replace(".", "").replace(",", ".")
    elif "," in cell:
        cell = cell.replace(",", "")
    try:
        return float(cell)
    except ValueError:
        return float("nan")
