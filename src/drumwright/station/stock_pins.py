"""The pinned copy of the parts an offer was made of: written beside the documents, read back as a stock."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import InputError, Problem
from drumwright.basis.kinds import KINDS
from drumwright.basis.tables import data_path
from drumwright.station.stock_fields import fields_of
from drumwright.station.stock_file import StockText, exact
from drumwright.station.stock_rows import StockRow, Value

NAME = "stock-pinned.toml"  # of the copy beside the documents
_KEYS = ("name", "source", "digest", "generic", "tables", "content")
_TABLES = ("pumps.toml", "machine.toml", "drives.toml")


@dataclass(frozen=True, slots=True)
class Pin:
    """Which stock a copy was taken from.

    Parameters
    ----------
    name, source, digest : str
        Of that stock; the source is a bare file name, "" for the generic stock.
    generic : bool
        Whether its parts are the generic ones.
    tables : str
        SHA-256 of the program's own plates, drives and limits at that time, which are not copied.
    """

    name: str
    source: str
    digest: str
    generic: bool
    tables: str


def pin_of(text: StockText, rows: Iterable[StockRow]) -> Pin | None:
    """Return the pin of a stock file, None where it is no copy of an offer.

    Parameters
    ----------
    text : StockText
    rows : iterable of StockRow
        As judged.

    Raises
    ------
    InputError
        If the pin is not complete or the rows are not those it was written with.
    """
    head = text.heads.get("pinned")
    if head is None:
        return None
    told = {key: head.get(key) for key in _KEYS}
    flags = told.pop("generic")
    if not isinstance(flags, bool) or not all(isinstance(value, str) for value in told.values()):
        raise InputError((Problem(text.shown, 0, 0, "pinned", *trouble("STK-031")),))
    if text.problems or content_of_rows(rows) != told["content"]:
        raise InputError((Problem(text.shown, 0, 0, "pinned", *trouble("STK-030")),))
    return Pin(str(told["name"]), str(told["source"]), str(told["digest"]), flags, str(told["tables"]))


def content_of_rows(rows: Iterable[StockRow]) -> str:
    """SHA-256 of what rows say, remarks left out.

    Parameters
    ----------
    rows : iterable of StockRow
    """
    told = [[row.kind, row.article, row.name, row.status, sorted(row.values.items())] for row in rows]
    return hashlib.sha256(json.dumps(told).encode()).hexdigest()


@cache
def tables_digest() -> str:
    """SHA-256 of the program's tables of plates, drives and limits, which a copy does not hold."""
    digest = hashlib.sha256()
    for name in _TABLES:
        with data_path(f"stock/{name}") as path:
            digest.update(path.read_bytes())
    return digest.hexdigest()


def pinned_text(pin: Pin, rows: Sequence[StockRow]) -> str:
    """Return a pinned copy as a stock file: values in SI units, remarks left out.

    Parameters
    ----------
    pin : Pin
        Of the stock the rows come from.
    rows : sequence of StockRow
    """
    head = [
        "# The parts this answer was made of, as they were. Read it with --stock; do not change it.",
        "",
        "[pinned]",
        f"name = {_quoted(pin.name)}",
        f"source = {_quoted(pin.source)}",
        f"digest = {_quoted(pin.digest)}",
        f"generic = {str(pin.generic).lower()}",
        f"tables = {_quoted(pin.tables)}",
        f"content = {_quoted(content_of_rows(rows))}",
    ]
    return "\n".join([*head, *(line for row in rows for line in _row(row))]) + "\n"


def _row(row: StockRow) -> Iterator[str]:
    yield ""
    yield f"[[{row.kind}]]"
    if row.article:
        yield f"article = {_quoted(row.article)}"
        yield f"name = {_quoted(row.name)}"
        yield f"status = {_quoted(row.status)}"
    known = fields_of(row.kind, str(row.values.get("family", "")))
    for name, value in row.values.items():
        yield f"{name} = {_written(value, known[name].kind)}"


def _written(value: Value, kind: str) -> str:
    if isinstance(value, str):
        return _quoted(value)
    if isinstance(value, tuple):
        return f"[{', '.join(map(_quoted, value))}]"
    if not kind:
        return str(value)
    unit = _UNITS.get(kind, KINDS[kind].si)
    return _quoted(f"{exact(float(value))} {unit}".strip())


# Where the SI unit of a kind is not what its reader takes.
_UNITS: Mapping[str, str] = {"pressure_gauge": "Pa(g)", "pressure_absolute": "Pa(a)"}


def _quoted(text: str) -> str:
    """A TOML text; JSON escapes are TOML escapes."""
    return json.dumps(text)
