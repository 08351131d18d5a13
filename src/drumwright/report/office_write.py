"""A form as a workbook or a text document: plain parts in a zip, no date in it, the same bytes each time."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from xml.sax.saxutils import escape

_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_PACKAGE = "http://schemas.openxmlformats.org/package/2006"
_WORD = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"
_EPOCH = (1980, 1, 1, 0, 0, 0)  # a zip knows no earlier date
_HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>'
_BAD = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\ufffe\uffff\ud800-\udfff]")


_WRAP = '<alignment wrapText="1" vertical="top"/>'
# Four cell formats; the one for answers is text, so that a program makes no date of it.
_STYLES = f"""<styleSheet xmlns="{_MAIN}">
<fonts count="2"><font><sz val="10"/><name val="Arial"/></font>
<font><b/><sz val="10"/><name val="Arial"/></font></fonts>
<fills count="3"><fill><patternFill patternType="none"/></fill>
<fill><patternFill patternType="gray125"/></fill>
<fill><patternFill patternType="solid"><fgColor rgb="FFFFF6D5"/></patternFill></fill></fills>
<borders count="2"><border/><border><left style="thin"/><right style="thin"/><top style="thin"/>
<bottom style="thin"/></border></borders>
<cellStyleXfs count="1"><xf numFmtId="0" fontId="0" fillId="0" borderId="0"/></cellStyleXfs>
<cellXfs count="4"><xf numFmtId="0" fontId="0" fillId="0" borderId="0" xfId="0"/>
<xf numFmtId="0" fontId="1" fillId="0" borderId="1" xfId="0" applyAlignment="1">{_WRAP}</xf>
<xf numFmtId="0" fontId="0" fillId="0" borderId="1" xfId="0" applyAlignment="1">{_WRAP}</xf>
<xf numFmtId="49" fontId="0" fillId="2" borderId="1" xfId="0" applyNumberFormat="1" applyFill="1"
applyAlignment="1">{_WRAP}</xf></cellXfs></styleSheet>"""
_PAGE = """<w:sectPr><w:pgSz w:w="16838" w:h="11906" w:orient="landscape"/>
<w:pgMar w:top="900" w:right="900" w:bottom="900" w:left="900" w:header="400" w:footer="400" w:gutter="0"/>
</w:sectPr>"""


@dataclass(frozen=True, slots=True)
class Form:
    """What is written: lines above, one table, columns that are filled in.

    Parameters
    ----------
    title : str
    lines : tuple of tuple of str
        Rows above the table.
    header : tuple of str
    rows : tuple of tuple of str
    widths : tuple of int
        Of the columns, in characters.
    open : frozenset of int
        Columns for answers.
    """

    title: str
    lines: tuple[tuple[str, ...], ...]
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[int, ...]
    open: frozenset[int]


def _clean(text: str) -> str:
    return escape(_BAD.sub(" ", text), {'"': "&quot;"})


def _zipped(parts: Mapping[str, str]) -> bytes:
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in parts.items():
            archive.writestr(zipfile.ZipInfo(name, _EPOCH), f"{_HEAD}{text}", zipfile.ZIP_DEFLATED)
    return made.getvalue()


def _links(pairs: Sequence[tuple[str, str]]) -> str:
    listed = "".join(
        f'<Relationship Id="rId{n}" Type="{_OFFICE}/{kind}" Target="{target}"/>'
        for n, (kind, target) in enumerate(pairs, 1)
    )
    return f'<Relationships xmlns="{_PACKAGE}/relationships">{listed}</Relationships>'


def _types(parts: Mapping[str, str]) -> str:
    kept = "application/vnd.openxmlformats-officedocument"
    listed = "".join(
        f'<Override PartName="{name}" ContentType="{kept}.{kind}+xml"/>' for name, kind in parts.items()
    )
    return (
        f'<Types xmlns="{_PACKAGE}/content-types"><Default Extension="rels" ContentType="application/'
        'vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/'
        f'xml"/>{listed}</Types>'
    )


def workbook(form: Form) -> bytes:
    """The form as a workbook; every text is a text, none a formula.

    Parameters
    ----------
    form : Form
    """
    listed = [*form.lines, (), form.header, *form.rows]
    top = len(form.lines) + 1
    lines = []
    for n, row in enumerate(listed, 1):
        cells = (_cell(n, k, text, _style(n - 1 - top, k, form)) for k, text in enumerate(row))
        lines.append(f'<row r="{n}">{"".join(cells)}</row>')
    columns = "".join(
        f'<col min="{k}" max="{k}" width="{width}" customWidth="1"/>'
        for k, width in enumerate(form.widths, 1)
    )
    pane = f'<pane ySplit="{top + 1}" topLeftCell="A{top + 2}" activePane="bottomLeft" state="frozen"/>'
    view = f'<sheetView workbookViewId="0">{pane}</sheetView>'
    sheet = (
        f'<worksheet xmlns="{_MAIN}"><sheetViews>{view}</sheetViews><cols>{columns}</cols>'
        f"<sheetData>{''.join(lines)}</sheetData></worksheet>"
    )
    kinds = {
        "/xl/workbook.xml": "spreadsheetml.sheet.main",
        "/xl/worksheets/sheet1.xml": "spreadsheetml.worksheet",
        "/xl/styles.xml": "spreadsheetml.styles",
    }
    return _zipped(
        {
            "[Content_Types].xml": _types(kinds),
            "_rels/.rels": _links([("officeDocument", "xl/workbook.xml")]),
            "xl/workbook.xml": f'<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}"><bookViews><workbookView/>'
            '</bookViews><sheets><sheet name="Questions" sheetId="1" r:id="rId1"/></sheets></workbook>',
            "xl/_rels/workbook.xml.rels": _links(
                [("worksheet", "worksheets/sheet1.xml"), ("styles", "styles.xml")]
            ),
            "xl/styles.xml": _STYLES,
            "xl/worksheets/sheet1.xml": sheet,
        }
    )


def _style(row: int, column: int, form: Form) -> int:
    """0 above the table, 1 its header, 2 what is read, 3 what is filled in."""
    if row < 0:
        return 0
    return 1 if row == 0 else 3 if column in form.open else 2


def _letters(column: int) -> str:
    return (_letters(column // 26 - 1) if column > 25 else "") + chr(65 + column % 26)


def _cell(row: int, column: int, text: str, style: int) -> str:
    place = f'r="{_letters(column)}{row}" s="{style}"'
    if not text:
        return f"<c {place}/>"
    return f'<c {place} t="inlineStr"><is><t xml:space="preserve">{_clean(text)}</t></is></c>'


def document(form: Form) -> bytes:
    """The form as a text document, on its side.

    Parameters
    ----------
    form : Form
    """
    above = [_paragraph(line[0], index == 0) for index, line in enumerate(form.lines) if len(line) == 1]
    said = [line for line in form.lines if len(line) > 1]
    rows = [_row(row, form, index == 0) for index, row in enumerate((form.header, *form.rows))]
    named = [_row(line, replace(form, open=frozenset((1,))), False) for line in said]
    tables = (
        _table(named, (20, 40)),
        _paragraph("", False),
        _table(rows, form.widths),
        _paragraph("", False),
    )
    body = f'<w:document xmlns:w="{_WORD}"><w:body>{"".join((*above, *tables))}{_PAGE}</w:body></w:document>'
    return _zipped(
        {
            "[Content_Types].xml": _types({"/word/document.xml": "wordprocessingml.document.main"}),
            "_rels/.rels": _links([("officeDocument", "word/document.xml")]),
            "word/document.xml": body,
        }
    )


def _table(rows: Sequence[str], widths: Sequence[int]) -> str:
    whole = max(sum(widths), 100)
    grid = "".join(f'<w:gridCol w:w="{round(15000 * width / whole)}"/>' for width in widths)
    borders = "".join(
        f'<w:{side} w:val="single" w:sz="4" w:space="0" w:color="808080"/>'
        for side in ("top", "left", "bottom", "right", "insideH", "insideV")
    )
    look = f"<w:tblPr><w:tblBorders>{borders}</w:tblBorders></w:tblPr><w:tblGrid>{grid}</w:tblGrid>"
    return f"<w:tbl>{look}{''.join(rows)}</w:tbl>"


def _row(row: tuple[str, ...], form: Form, head: bool) -> str:
    repeat = "<w:trPr><w:tblHeader/></w:trPr>" if head else ""
    cells = []
    for column, text in enumerate(row):
        shade = (
            '<w:shd w:val="clear" w:color="auto" w:fill="FFF6D5"/>'
            if column in form.open and not head
            else ""
        )
        cells.append(f"<w:tc><w:tcPr>{shade}</w:tcPr>{_paragraph(text, head)}</w:tc>")
    return f"<w:tr>{repeat}{''.join(cells)}</w:tr>"


def _paragraph(text: str, bold: bool) -> str:
    look = f'<w:rPr>{"<w:b/>" if bold else ""}<w:sz w:val="18"/></w:rPr>'
    return f'<w:p><w:r>{look}<w:t xml:space="preserve">{_clean(text)}</w:t></w:r></w:p>'
