"""A document as PDF: typeset from data, never from pasted markup; the same document gives the same bytes."""

from __future__ import annotations

import calendar
import json
import re
from typing import Any

from drumwright.basis.catalogue import DATA
from drumwright.report.document import Block, Bullets, Callout, Document, Heading, Paragraph, Picture, Table
from drumwright.report.glyphs import clean

STANDARDS = ["a-3a", "ua-1"]
NO_DATE = 946684800  # 2000-01-01 in seconds since 1970, printed nowhere: stamps must not come from the clock
_DATE = re.compile(r"(\d{4})-(\d{2})-(\d{2})")


def pdf(document: Document) -> bytes:
    """Return a document as tagged, archivable PDF (PDF/A-3a, PDF/UA-1).

    Parameters
    ----------
    document : Document
        Proposal or note.
    """
    import typst

    files: dict[str, bytes] = {}
    data = _data(document, files)
    files["main"] = (DATA / "typst" / "document.typ").read_bytes()
    files["document.json"] = json.dumps(data, ensure_ascii=False, allow_nan=False).encode()
    settings: dict[str, Any] = {  # the stub of the typesetter does not know files given as bytes by name
        "input": files,
        "format": "pdf",
        "font_paths": [str(DATA / "fonts")],
        "ignore_system_fonts": True,
        "pdf_standards": STANDARDS,
        "timestamp": _stamp(document.date),
    }
    return bytes(typst.compile(**settings))


def _stamp(date: str) -> int:
    """Return the date of the case in seconds since 1970; a fixed one where the case has none."""
    match = _DATE.search(date)
    if match is None:
        return NO_DATE
    year, month, day = (int(part) for part in match.groups())
    if not (1970 <= year <= 9000 and 1 <= month <= 12 and 1 <= day <= calendar.monthrange(year, month)[1]):
        return NO_DATE
    return calendar.timegm((year, month, day, 0, 0, 0))


def _data(document: Document, files: dict[str, bytes]) -> dict[str, Any]:
    blocks = [_block(block, files) for block in document.blocks]
    return {
        "kind": document.kind,
        "title": clean(document.title),
        "label": clean(document.label),
        "paper": document.paper,
        "author": clean(document.author),
        "language": document.language,
        "footer": clean(document.footer),
        "running": clean(document.running),
        "head": [[clean(label), clean(text)] for label, text in document.head],
        "blocks": blocks,
    }


def _block(block: Block, files: dict[str, bytes]) -> dict[str, Any]:
    if isinstance(block, Heading):
        return {"type": "heading", "text": clean(block.text), "level": block.level}
    if isinstance(block, Paragraph):
        return {"type": block.style, "lines": clean(block.text).split("\n")}
    if isinstance(block, Bullets):
        return {"type": "bullets", "items": [clean(item) for item in block.items], "numbered": block.numbered}
    if isinstance(block, Callout):
        return {"type": "callout", "title": clean(block.title), "text": clean(block.text), "tone": block.tone}
    if isinstance(block, Picture):
        name = f"picture-{len(files)}.svg"
        files[name] = block.svg
        alt, caption = clean(block.alt), clean(block.caption)
        return {"type": "picture", "file": name, "alt": alt, "caption": caption, "width": block.width}
    return _table(block)


def _table(table: Table) -> dict[str, Any]:
    return {
        "type": "table",
        "small": table.small,
        "columns": [
            {"head": clean(column.head), "width": column.width, "align": column.align}
            for column in table.columns
        ],
        "rows": [[{"text": clean(cell.text), "mark": cell.mark} for cell in row] for row in table.rows],
    }
