"""Read flow curves as people send them: exports of a rheometer, spreadsheets, pasted tables."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from drumwright.basis.phrases import Phrase, phrase
from drumwright.product.export_columns import Options, temperature_in
from drumwright.product.export_curves import Curve, Reading, curves_of
from drumwright.product.export_text import Decimal, Unreadable, decode, grid, grid_of_rows

__all__ = ["Curve", "Export", "Options", "read_export"]

_WORKBOOK = (b"PK\x03\x04", b"\xd0\xcf\x11\xe0")  # zipped and older workbooks
LARGEST = 400_000_000  # bytes


@dataclass(frozen=True, slots=True)
class Export:
    """What a file or a pasted table holds.

    Parameters
    ----------
    curves : tuple of Curve
        Flow curves in the order of the file; empty where it cannot be read.
    understood : tuple of Phrase
        What was taken as what.
    problems : tuple of Phrase
        What is wrong or doubtful, each with what to do.
    """

    curves: tuple[Curve, ...]
    understood: tuple[Phrase, ...]
    problems: tuple[Phrase, ...]


def read_export(source: Path | bytes | str, options: Options | None = None) -> Export:
    """Read flow curves from a file or a pasted table; never raises for its content.

    Parameters
    ----------
    source : Path, bytes or str
        A file, its content, or a pasted table.
    options : Options, optional
        Units, columns, temperature and decimal mark where the file does not say them.

    Returns
    -------
    Export
        With no curves and at least one problem where nothing can be read.

    Raises
    ------
    OSError
        If the file cannot be opened.
    """
    reading = Reading(options or Options())
    try:
        raw = source.read_bytes() if isinstance(source, Path) else source
        if len(raw) > LARGEST:
            raise Unreadable(phrase("FIT-too_large"))
        if isinstance(raw, bytes) and raw.startswith(_WORKBOOK):
            _workbook(raw, reading)
        else:
            text, encoding = decode(raw) if isinstance(raw, bytes) else (raw, "")
            mark: Decimal | None = reading.options.decimal  # type: ignore[assignment]
            cut = grid(text, encoding, mark)
            reading.understood += cut.understood
            curves_of(cut, reading)
    except Unreadable as refused:
        reading.problems.append(refused.problem)
    if not reading.curves and not reading.problems:
        reading.doubt("FIT-no_numbers")
    return Export(tuple(reading.curves), tuple(reading.understood), tuple(reading.problems))


def _workbook(raw: bytes, reading: Reading) -> None:
    """Read every sheet that holds a table; the others are named."""
    import io

    import python_calamine

    try:
        book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(raw))
        sheets = [(name, book.get_sheet_by_name(name).to_python()) for name in book.sheet_names]
    except (python_calamine.CalamineError, OSError) as error:
        raise Unreadable(phrase("FIT-workbook", reason=str(error))) from None
    refused = None
    for name, rows in sheets:
        if not any(any(cell not in ("", None) for cell in row) for row in rows):
            continue
        reading.note("FIT-sheet", name=name)
        reading.temperature = temperature_in(name)
        try:
            curves_of(grid_of_rows(rows), reading)
        except Unreadable as found:
            refused = found
            reading.note("FIT-sheet_left", name=name)
    if not reading.curves and refused is not None:
        raise refused
