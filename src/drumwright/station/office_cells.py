"""Cells of a workbook or of the tables of a text document, with their addresses; nothing is judged here.

Read from the parts of the file itself: what a formula shows was computed elsewhere, and a reader of values
alone cannot tell it from what somebody typed.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import PurePosixPath
from typing import Literal
from xml.etree import ElementTree

from drumwright.station.source_text import refused

GREATEST_SIZE = 20_000_000  # bytes, of the file and of what it unpacks to
MOST_CELLS = 200_000
_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
_LINK = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}id"
_WORD = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
_DATES = frozenset(
    (*range(14, 23), *range(27, 37), *range(45, 48), *range(50, 59))
)  # of the built-in formats
_PERCENTS = frozenset((9, 10))
# what a damaged or protected file makes its readers say
_DAMAGED = (
    zipfile.BadZipFile, zlib.error, ElementTree.ParseError, KeyError, ValueError, IndexError, OSError,
    NotImplementedError, RuntimeError,
)  # fmt: skip
Look = Literal["", "date", "percent"]


@dataclass(frozen=True, slots=True)
class OfficeCell:
    """One cell.

    Parameters
    ----------
    address : str
        As its program names it: "E7", or row and column of a table.
    value : str, float or bool
        As stored.
    formula : bool
        Whether it is computed.
    look : str
        How a number is shown.
    tall : bool
        Whether it is merged over several rows.
    """

    address: str
    value: str | float | bool
    formula: bool = False
    look: Look = ""
    tall: bool = False


@dataclass(frozen=True, slots=True)
class OfficeTable:
    """A sheet, or a table of a document: rows of cells by column.

    Parameters
    ----------
    name : str
    rows : tuple of dict
        Cells by column, from 0.
    from_1904 : bool
        Whether its dates count from 1904.
    """

    name: str
    rows: tuple[dict[int, OfficeCell], ...]
    from_1904: bool = False


def read_office(content: bytes, shown: str) -> tuple[OfficeTable, ...]:
    """Read all sheets of a workbook, or all tables of a document.

    Parameters
    ----------
    content : bytes
    shown : str
        Name of the file in messages.

    Raises
    ------
    InputError
        If it is neither, too large, or damaged.
    """
    try:
        with zipfile.ZipFile(io.BytesIO(content)) as archive:
            if sum(each.file_size for each in archive.infolist()) > GREATEST_SIZE:
                raise refused(shown, "ANS-002")
            names = set(archive.namelist())
            if "xl/workbook.xml" in names:
                return tuple(_workbook(archive, names))
            if "word/document.xml" in names:
                return tuple(_document(_parsed(archive, "word/document.xml")))
    except _DAMAGED:
        raise refused(shown, "ANS-001") from None
    raise refused(shown, "ANS-001")


def _parsed(archive: zipfile.ZipFile, name: str) -> ElementTree.Element:
    content = archive.read(name)
    if b"<!DOCTYPE" in content or b"<!ENTITY" in content:
        raise ValueError(name)
    return ElementTree.fromstring(content)


def _workbook(archive: zipfile.ZipFile, names: set[str]) -> Iterator[OfficeTable]:
    book = _parsed(archive, "xl/workbook.xml")
    links = {
        each.get("Id"): each.get("Target", "") for each in _parsed(archive, "xl/_rels/workbook.xml.rels")
    }
    head = book.find(f"{_MAIN}workbookPr")
    from_1904 = head is not None and head.get("date1904") in ("1", "true")
    shared: list[str] = []
    if "xl/sharedStrings.xml" in names:
        shared = [_text(each) for each in _parsed(archive, "xl/sharedStrings.xml").findall(f"{_MAIN}si")]
    looks = _looks(_parsed(archive, "xl/styles.xml")) if "xl/styles.xml" in names else []
    for sheet in book.iter(f"{_MAIN}sheet"):
        target = links[sheet.get(_LINK)]
        path = target.lstrip("/") if target.startswith("/") else str(PurePosixPath("xl") / target)
        if path in names and "worksheet" in path:
            yield OfficeTable(sheet.get("name", ""), _rows(_parsed(archive, path), shared, looks), from_1904)


def _text(item: ElementTree.Element) -> str:
    """Text of a string item without its reading aids."""
    parts = [item] if item.find(f"{_MAIN}t") is not None else item.findall(f"{_MAIN}r")
    return "".join(each.text or "" for part in parts for each in part.findall(f"{_MAIN}t"))


def _looks(styles: ElementTree.Element) -> list[Look]:
    """How each cell format shows a number."""
    own = {int(each.get("numFmtId", 0)): each.get("formatCode", "") for each in styles.iter(f"{_MAIN}numFmt")}
    formats = styles.find(f"{_MAIN}cellXfs")
    return [_look(int(each.get("numFmtId", 0)), own) for each in (formats if formats is not None else ())]


def _look(number: int, own: dict[int, str]) -> Look:
    code = re.sub(r'"[^"]*"|\\.|\[[^\]]*\]', "", own.get(number, "")).lower()
    if number in _PERCENTS or "%" in code:
        return "percent"
    return "date" if number in _DATES or re.search(r"[dy]|m{2,}|h", code) else ""


def _rows(
    sheet: ElementTree.Element, shared: list[str], looks: list[Look]
) -> tuple[dict[int, OfficeCell], ...]:
    tall = {place for each in sheet.iter(f"{_MAIN}mergeCell") for place in _merged(each.get("ref", ""))}
    rows: list[dict[int, OfficeCell]] = []
    count = 0
    for row in sheet.iter(f"{_MAIN}row"):
        cells: dict[int, OfficeCell] = {}
        for cell in row.findall(f"{_MAIN}c"):
            count += 1
            if count > MOST_CELLS:
                raise ValueError("cells")
            address = cell.get("r") or f"{_letters(len(cells))}{row.get('r') or len(rows) + 1}"
            found = _cell(cell, address, shared, looks, address in tall)
            if found is not None:
                cells[_column(address)] = found
        rows.append(cells)
    return tuple(rows)


def _cell(
    cell: ElementTree.Element, address: str, shared: list[str], looks: list[Look], tall: bool
) -> OfficeCell | None:
    formula = cell.find(f"{_MAIN}f") is not None
    sort, held = cell.get("t", "n"), cell.find(f"{_MAIN}v")
    written = held.text if held is not None else None
    style = int(cell.get("s", 0))
    look: Look = looks[style] if style < len(looks) else ""
    value: str | float | bool
    if sort == "inlineStr":
        inner = cell.find(f"{_MAIN}is")
        value, look = (_text(inner) if inner is not None else ""), ""
    elif written is None:
        return OfficeCell(address, "", formula, "", tall) if formula or tall else None
    elif sort == "s":
        value, look = shared[int(written)], ""
    elif sort == "b":
        value, look = written.strip() == "1", ""
    elif sort == "n":
        value = float(written)
    else:  # text of a formula, an error, a date in ISO form
        value, look = written, ""
    return OfficeCell(address, value, formula, look, tall)


def _merged(reference: str) -> Iterator[str]:
    """Addresses of a merged area that is more than one row tall."""
    match = re.fullmatch(r"([A-Z]+)(\d+):([A-Z]+)(\d+)", reference)
    if match is None or match[2] == match[4]:
        return
    first, last = _column(match[1]), _column(match[3])
    top, bottom = int(match[2]), int(match[4])
    if (last - first + 1) * (bottom - top + 1) > MOST_CELLS:
        raise ValueError(reference)
    for column in range(first, last + 1):
        for row in range(top, bottom + 1):
            yield f"{_letters(column)}{row}"


def _column(address: str) -> int:
    number = 0
    for letter in re.match(r"[A-Z]+", address)[0]:  # type: ignore[index]
        number = 26 * number + ord(letter) - 64
    return number - 1


def _letters(column: int) -> str:
    return (_letters(column // 26 - 1) if column > 25 else "") + chr(65 + column % 26)


def _document(body: ElementTree.Element) -> Iterator[OfficeTable]:
    """Tables of a text document; a field that computes its text is a formula."""
    for number, table in enumerate(body.iter(f"{_WORD}tbl"), 1):
        rows = []
        for line, row in enumerate(table.findall(f"{_WORD}tr"), 1):
            cells: dict[int, OfficeCell] = {}
            column = 0
            for cell in row.findall(f"{_WORD}tc"):
                address = f"table {number}, row {line}, column {column + 1}"
                tall = cell.find(f"{_WORD}tcPr/{_WORD}vMerge") is not None
                cells[column] = OfficeCell(address, _paragraphs(cell), _computed(cell), "", tall)
                span = cell.find(f"{_WORD}tcPr/{_WORD}gridSpan")
                column += int(span.get(f"{_WORD}val", 1)) if span is not None else 1
            rows.append(cells)
        yield OfficeTable(f"table {number}", tuple(rows))


def _computed(cell: ElementTree.Element) -> bool:
    texts = [each.get(f"{_WORD}instr") or "" for each in cell.iter(f"{_WORD}fldSimple")]
    texts += [each.text or "" for each in cell.iter(f"{_WORD}instrText")]
    return any(texts)


def _paragraphs(cell: ElementTree.Element) -> str:
    """Text of a cell as it stands after deletions that were tracked; one line for each paragraph."""
    lines = []
    for paragraph in cell.iter(f"{_WORD}p"):
        parts = [each.text or "" for each in paragraph.iter(f"{_WORD}t")]
        lines.append("".join(parts))
    return "\n".join(lines).strip()
