"""Write a small workbook for tests: sheets of rows, texts and numbers, no formats."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping, Sequence
from xml.sax.saxutils import escape

_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_RELATIONS = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"


def _letter(column: int) -> str:
    return chr(65 + column) if column < 26 else f"{chr(64 + column // 26)}{chr(65 + column % 26)}"


def _cell(place: str, value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return f'<c r="{place}" t="b"><v>{int(value)}</v></c>'
    if isinstance(value, int | float):
        return f'<c r="{place}"><v>{value!r}</v></c>'
    return f'<c r="{place}" t="inlineStr"><is><t>{escape(str(value))}</t></is></c>'


def _sheet(rows: Sequence[Sequence[object]]) -> str:
    lines = [
        f'<row r="{number}">'
        + "".join(_cell(f"{_letter(column)}{number}", value) for column, value in enumerate(row))
        + "</row>"
        for number, row in enumerate(rows, 1)
    ]
    return f'<worksheet xmlns="{_MAIN}"><sheetData>{"".join(lines)}</sheetData></worksheet>'


def workbook(sheets: Mapping[str, Sequence[Sequence[object]]]) -> bytes:
    """The bytes of a workbook with these sheets."""
    numbers = range(1, len(sheets) + 1)
    kind = f"{_RELATIONS}/worksheet"
    content = "".join(
        f'<Override PartName="/xl/worksheets/sheet{n}.xml" ContentType="application/'
        'vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>'
        for n in numbers
    )
    parts = {
        "[Content_Types].xml": f'<Types xmlns="{_PACKAGE}/content-types"><Default Extension="rels" '
        'ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" '
        'ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/'
        f'vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>{content}</Types>',
        "_rels/.rels": f'<Relationships xmlns="{_PACKAGE}/relationships"><Relationship Id="rId1" '
        f'Type="{_RELATIONS}/officeDocument" Target="xl/workbook.xml"/></Relationships>',
        "xl/workbook.xml": f'<workbook xmlns="{_MAIN}" xmlns:r="{_RELATIONS}"><sheets>'
        + "".join(
            f'<sheet name="{escape(name)}" sheetId="{n}" r:id="rId{n}"/>'
            for n, name in zip(numbers, sheets, strict=True)
        )
        + "</sheets></workbook>",
        "xl/_rels/workbook.xml.rels": f'<Relationships xmlns="{_PACKAGE}/relationships">'
        + "".join(
            f'<Relationship Id="rId{n}" Type="{kind}" Target="worksheets/sheet{n}.xml"/>' for n in numbers
        )
        + "</Relationships>",
    }
    parts |= {
        f"xl/worksheets/sheet{n}.xml": _sheet(rows) for n, rows in zip(numbers, sheets.values(), strict=True)
    }
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as archive:
        for name, text in parts.items():
            archive.writestr(name, f'<?xml version="1.0" encoding="UTF-8"?>{text}')
    return made.getvalue()
