"""Fill a form of questions in as a spreadsheet program or a person would, and save it again."""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Callable, Mapping, Sequence
from xml.sax.saxutils import escape

from drumwright.station.office_cells import read_office

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
Grid = list[list[object]]


class Shown:
    """A cell with a look or a formula: value, number format, formula text."""

    def __init__(self, value: object, style: int = 0, formula: str = "") -> None:
        self.value, self.style, self.formula = value, style, formula


def grid(content: bytes) -> Grid:
    """Rows of texts of the first sheet of a form."""
    table = read_office(content, "form")[0]
    width = 1 + max((column for row in table.rows for column in row), default=0)
    return [[row[c].value if c in row else None for c in range(width)] for row in table.rows]


def fill(
    rows: Grid, answers: Mapping[str, object], who: str = "M. Example", when: object = "2026-11-20"
) -> Grid:
    """Put answers beside their fields; who and when in the same row."""
    head = next(row for row in rows if "Field" in row)
    place = {str(name): head.index(name) for name in head if name}
    for row in rows:
        field = row[place["Field"]] if len(row) > place["Field"] else None
        if field in answers and row is not head:
            row[place["Answer"]] = answers[field]  # type: ignore[index]
            row[place["Who"]], row[place["When"]], row[place["Mail"]] = who, when, "mail of that day"
    return rows


def _letter(column: int) -> str:
    return (_letter(column // 26 - 1) if column > 25 else "") + chr(65 + column % 26)


STYLES = (
    f'<styleSheet xmlns="{MAIN}"><numFmts count="2"><numFmt numFmtId="164" formatCode="yyyy\\-mm\\-dd"/>'
    '<numFmt numFmtId="165" formatCode="0.00%"/></numFmts>'
    '<cellXfs count="5"><xf numFmtId="0"/><xf numFmtId="164"/><xf numFmtId="9"/><xf numFmtId="165"/>'
    '<xf numFmtId="14"/></cellXfs></styleSheet>'
)
DATE, PERCENT, PERCENT_OWN, DATE_BUILT_IN = 1, 2, 3, 4


def saved(
    rows: Sequence[Sequence[object]], merges: Sequence[str] = (), from_1904: bool = False, shared: bool = True
) -> bytes:
    """A workbook as a spreadsheet program saves it: shared strings, numbers as numbers, sparse rows."""
    strings: dict[str, int] = {}
    lines = []
    for number, row in enumerate(rows, 1):
        cells = []
        for column, each in enumerate(row):
            cell = each if isinstance(each, Shown) else Shown(each)
            value, at = cell.value, f'r="{_letter(column)}{number}" s="{cell.style}"'
            made = f"<f>{escape(cell.formula)}</f>" if cell.formula else ""
            if value is None or value == "":
                if made:
                    cells.append(f"<c {at}>{made}</c>")
            elif isinstance(value, bool):
                cells.append(f'<c {at} t="b">{made}<v>{int(value)}</v></c>')
            elif isinstance(value, int | float):
                cells.append(f"<c {at}>{made}<v>{value!r}</v></c>")
            elif shared:
                index = strings.setdefault(str(value), len(strings))
                cells.append(f'<c {at} t="s">{made}<v>{index}</v></c>')
            else:
                cells.append(f'<c {at} t="inlineStr"><is><t>{escape(str(value))}</t></is></c>')
        if cells:
            lines.append(f'<row r="{number}">{"".join(cells)}</row>')
    merged = "".join(f'<mergeCell ref="{each}"/>' for each in merges)
    book = f'<workbookPr date1904="{int(from_1904)}"/>'
    parts = {
        "xl/workbook.xml": f'<workbook xmlns="{MAIN}" xmlns:r="{OFFICE}">{book}<sheets>'
        '<sheet name="Questions" sheetId="1" r:id="rId7"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": '<Relationships xmlns="http://schemas.openxmlformats.org/package/'
        f'2006/relationships"><Relationship Id="rId7" Type="{OFFICE}/worksheet" Target="/xl/worksheets/'
        'sheet3.xml"/></Relationships>',
        "xl/styles.xml": STYLES,
        "xl/worksheets/sheet3.xml": f'<worksheet xmlns="{MAIN}"><sheetData>{"".join(lines)}</sheetData>'
        f"<mergeCells>{merged}</mergeCells></worksheet>",
        "xl/sharedStrings.xml": f'<sst xmlns="{MAIN}">'
        + "".join(f'<si><r><t xml:space="preserve">{escape(each)}</t></r></si>' for each in strings)
        + "</sst>",
    }
    made_file = io.BytesIO()
    with zipfile.ZipFile(made_file, "w") as archive:
        for name, text in parts.items():
            archive.writestr(name, text)
    return made_file.getvalue()


def in_document(content: bytes, change: Callable[[str], str]) -> bytes:
    """A text document with its body changed as text."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(made, "w") as archive:
        for name in old.namelist():
            text = old.read(name).decode()
            archive.writestr(name, change(text) if name == "word/document.xml" else text)
    return made.getvalue()


def document_row(body: str, field: str, cells: Mapping[int, str]) -> str:
    """The body with texts put into columns of the row of a field, in two runs as an edit leaves it."""
    row = next(each for each in re.findall(r"<w:tr>.*?</w:tr>", body, re.S) if f">{field}<" in each)
    columns = re.findall(r"<w:tc>.*?</w:tc>", row, re.S)
    for column, text in cells.items():
        halves = (text[: len(text) // 2], text[len(text) // 2 :])
        runs = "".join(f'<w:r><w:t xml:space="preserve">{escape(each)}</w:t></w:r>' for each in halves)
        columns[column] = re.sub(r"<w:p>.*</w:p>", f"<w:p>{runs}</w:p>", columns[column], flags=re.S)
    return body.replace(row, f"<w:tr>{''.join(columns)}</w:tr>")
