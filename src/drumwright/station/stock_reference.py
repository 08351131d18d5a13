"""The stock of a case: found beside it, counted into its digest, compared with that of an offer."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Protocol

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import InputError, Problem
from drumwright.station.records import Case
from drumwright.station.stock import generic_stock, read_stock, stock_reading, usable
from drumwright.station.stock_pins import Pin, pinned_text, tables_digest

Place = Callable[[], tuple[str, int, int]]


class Digest(Protocol):
    """What a hash of the standard library does."""

    def update(self, data: bytes, /) -> None:
        """Count more bytes in."""

    def hexdigest(self) -> str:
        """The sum so far."""


def with_stock(case: Case, digest: Digest, place: Place, stock: Path | None = None) -> Case:
    """Return the case with its stock found and counted into its digest.

    Parameters
    ----------
    case : Case
        As built.
    digest : hash
        Of what was read so far.
    place : callable
        File, line and column of the field `case.stock`.
    stock : Path, optional
        Taken instead of what the case names, relative to where the program runs.

    Raises
    ------
    InputError
        If the file leaves the folder of the case, cannot be read, or has bad rows that are not left out.
    """
    if stock is None and case.case.stock is None:
        return case
    path = stock if stock is not None else _beside(case, place)
    try:
        found = usable(path, str(path), bool(case.case.stock_skip_bad)).stock
    except InputError as error:
        if stock is not None:
            raise
        first = error.problems[0]
        words = trouble("REF-005", text=str(case.case.stock), what=first.what)
        raise InputError((Problem(*place(), "case.stock", *words), *error.problems)) from None
    if not found.generic:
        digest.update(found.digest.encode())
    own = {"stock_file": str(path), "stock_digest": found.digest}
    return case.model_copy(update={"digest": digest.hexdigest(), **own})


def _beside(case: Case, place: Place) -> Path:
    """Path of the stock a case names; in its folder, below it or beside it, as cards are."""
    written = str(case.case.stock)
    key = ""
    path = Path(case.source).parent / written
    if not written.strip() or "\x00" in written:
        key = "REF-001"
    elif Path(written).is_absolute() or ":" in written or written.startswith(("\\", "~")):
        key = "REF-002"
    else:
        home = Path(case.source).resolve().parent
        roots = (home, home.parent) if home.parent != home.parent.parent else (home,)
        if not any(path.resolve().is_relative_to(root) for root in roots):
            key = "REF-003"
    if key:
        raise InputError((Problem(*place(), "case.stock", *trouble(key, text=written)),))
    return path


def stock_warnings(case: Case) -> tuple[Problem, ...]:
    """Return what is worth knowing of the stock of a case: rows left out, and an offer's stock that changed.

    Parameters
    ----------
    case : Case
        As read.
    """
    reading = stock_reading(case)
    if reading is None:
        return ()
    found = [
        Problem(
            each.file, each.line, each.column, each.field,
            *trouble("STK-042", what=each.what, allowed=each.allowed, remedy=each.remedy),
        )
        for each in reading.problems
    ]  # fmt: skip
    if reading.pin is not None:
        found += _changed(case, reading.pin)
    return tuple(found)


def _changed(case: Case, pin: Pin) -> list[Problem]:
    """Whether the stock of an offer, or the tables of the program beside it, are still the same."""
    found = []
    shown = case.stock_file
    if pin.tables != tables_digest():
        found.append(Problem(shown, 0, 0, "", *trouble("STK-043")))
    if pin.generic:
        if pin.digest != generic_stock().digest:
            found.append(Problem(shown, 0, 0, "", *trouble("STK-040", text=pin.name)))
        return found
    written = case.case.stock or pin.source
    try:
        today = read_stock(Path(case.source).parent / written).stock.digest
    except InputError:
        return [*found, Problem(shown, 0, 0, "", *trouble("STK-041", text=written))]
    if today != pin.digest:
        found.append(Problem(shown, 0, 0, "", *trouble("STK-040", text=written)))
    return found


def pinned_copy(case: Case) -> bytes:
    """Return the parts an answer to a case can be made of, as a stock file that stays when the stock changes.

    Parameters
    ----------
    case : Case
        As read.

    Notes
    -----
    Pumps that may be offered and the one the case names, with their test points. Plates, drives and
    limits are the program's own; the copy holds their sum only.
    """
    reading = stock_reading(case)
    stock = reading.stock if reading is not None else generic_stock()
    pin = reading.pin if reading is not None else None
    kept = {pump.identifier for pump in stock.active_pumps} | {case.machine.pump}
    rows = [
        row
        for row in stock.rows
        if (row.kind == "pump" and row.article in kept) or row.values.get("pump") in kept - {None}
    ]
    if pin is None:
        pin = Pin(stock.name, Path(stock.source).name, stock.digest, stock.generic, tables_digest())
    return pinned_text(pin, rows).encode("utf-8")
