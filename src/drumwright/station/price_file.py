"""Prices in a file of their own: each with its unit, date, end of validity and who said it."""

from __future__ import annotations

import datetime
import hashlib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, Literal

from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import InputError, Problem, QuantityError
from drumwright.basis.estimate import Estimate
from drumwright.basis.quantities import read
from drumwright.basis.tables import read_toml
from drumwright.station.fields import near, said
from drumwright.station.records import Case
from drumwright.station.source_text import SourceText, read_source

State = Literal["valid", "expired", "later", "undated"]
_KEYS = ("name", "value", "low", "high", "unit", "currency", "date", "valid_until", "said_by", "note")
_TOP = ("format", "currency", "example", "price")
FORMAT = 1
_Raw = Mapping[str, Any]


def units() -> dict[str, dict[str, float]]:
    """Units of each price that may be named, with their factor to SI."""
    return dict(read_toml("money.toml")["price"])


@dataclass(frozen=True, slots=True)
class Price:
    """One price.

    Parameters
    ----------
    name : str
    estimate : Estimate
        Money for one SI unit: joule, second, kilogram, cubic metre or set.
    unit : str
        As written.
    factor : float
        From a price as written to `estimate`.
    date, valid_until : datetime.date
    said_by : str
    """

    name: str
    estimate: Estimate
    unit: str
    factor: float
    date: datetime.date
    valid_until: datetime.date
    said_by: str

    def state(self, day: datetime.date | None) -> State:
        """Whether it holds on a day; undated where the case has none."""
        if day is None:
            return "undated"
        return "expired" if day > self.valid_until else "later" if day < self.date else "valid"


@dataclass(frozen=True, slots=True)
class PriceFile:
    """Prices of one currency.

    Parameters
    ----------
    name : str
        Of the file, without its folder.
    currency : str
    example : bool
        Whether the file says of itself that it is an example.
    prices : mapping of str to Price
    digest : str
    """

    name: str
    currency: str
    example: bool = False
    prices: Mapping[str, Price] = field(default_factory=dict)
    digest: str = ""


def prices_of(case: Case, path: Path | None = None) -> PriceFile | None:
    """Read the prices of a case.

    Parameters
    ----------
    case : Case
    path : Path, optional
        Taken instead of the file the case names.

    Returns
    -------
    PriceFile or None
        None where no file is named.

    Raises
    ------
    InputError
        With every problem found; also where case and prices are in two currencies.
    """
    if path is None:
        if case.money.prices is None:
            return None
        path = _beside(case)
    found = read_prices(path, str(path))
    own = case.money.currency
    if own is not None and own.strip() != found.currency:
        words = trouble("PRC-008", text=own, other=found.currency)
        raise InputError((Problem(case.source, 0, 0, "money.currency", *words),))
    return found


def _beside(case: Case) -> Path:
    """Path of the prices a case names; in its folder or below it."""
    written = str(case.money.prices)
    home = Path(case.source).parent
    key = ""
    if not written.strip() or "\x00" in written:
        key = "REF-001"
    elif Path(written).is_absolute() or ":" in written or written.startswith(("\\", "~")):
        key = "REF-002"
    elif not (home / written).resolve().is_relative_to(home.resolve()):
        key = "REF-003"
    if key:
        raise InputError((Problem(case.source, 0, 0, "money.prices", *trouble(key, text=written)),))
    return home / written


def read_prices(path: Path, shown: str) -> PriceFile:
    """Read a file of prices.

    Parameters
    ----------
    path : Path
    shown : str
        Its name in messages.

    Raises
    ------
    InputError
        With every problem found, in the order of the file.
    """
    source = read_source(path, shown)
    problems = list(_head_problems(source))
    rows = source.data.get("price", [])
    currency = source.data.get("currency", "")
    prices: dict[str, Price] = {}
    for index, row in enumerate(rows if isinstance(rows, list) else []):
        wrong = list(_row_problems(source, index, row, str(currency).strip(), prices))
        problems += wrong
        if not wrong:
            price = _price(row)
            prices[price.name] = price
    if problems:
        raise InputError(tuple(problems))
    digest = hashlib.sha256(source.content).hexdigest()
    return PriceFile(path.name, currency.strip(), source.data.get("example") is True, prices, digest)


def _problem(source: SourceText, place: tuple[str | int, ...], key: str, **slots: str) -> Problem:
    line, column = source.positions.nearest(place)
    name = "".join(f"[{step}]" if isinstance(step, int) else f".{step}" for step in place).lstrip(".")
    return Problem(source.shown, line, column, name, *trouble(key, **slots))


def _head_problems(source: SourceText) -> Iterator[Problem]:
    data = source.data
    for name in data:
        if name not in _TOP:
            yield _problem(source, (name,), "PRC-001", text=str(name), words=", ".join(_TOP))
    if data.get("format") != FORMAT:
        yield _problem(source, ("format",), "PRC-010", text=said(data.get("format")))
    if not isinstance(data.get("currency"), str) or not data["currency"].strip():
        yield _problem(source, ("currency",), "PRC-009")
    if not isinstance(data.get("example", False), bool):
        yield _problem(source, ("example",), "PRC-012", text=said(data["example"]))
    if not isinstance(data.get("price"), list) or not data["price"]:
        yield _problem(source, ("price",), "PRC-011")


def _row_problems(
    source: SourceText, index: int, row: Any, currency: str, prices: Mapping[str, Price]
) -> Iterator[Problem]:
    place: tuple[str | int, ...] = ("price", index)
    if not isinstance(row, dict):
        yield _problem(source, place, "PRC-011")
        return
    for key in row:
        if key not in _KEYS:
            yield _problem(source, (*place, key), "PRC-001", text=str(key), words=", ".join(_KEYS))
    known = units()
    name = row.get("name")
    if name not in known:
        meant = near(said(name), known) or ", ".join(known)
        yield _problem(source, (*place, "name"), "PRC-002", text=said(name), words=meant)
        return
    if name in prices:
        yield _problem(source, (*place, "name"), "PRC-003", text=str(name))
    if row.get("unit") not in known[str(name)]:
        words = ", ".join(known[str(name)])
        yield _problem(source, (*place, "unit"), "PRC-004", text=said(row.get("unit")), words=words)
    if "currency" in row and said(row["currency"]).strip() != currency:
        yield _problem(
            source, (*place, "currency"), "PRC-008", text=said(row["currency"]), other=currency or "-"
        )
    if not isinstance(row.get("said_by"), str) or not row["said_by"].strip():
        yield _problem(source, (*place, "said_by"), "PRC-006")
    yield from _amounts(source, place, row)
    yield from _days(source, place, row)


def _amounts(source: SourceText, place: tuple[str | int, ...], row: _Raw) -> Iterator[Problem]:
    """What is wrong with value, low and high."""
    found: dict[str, float] = {}
    for key in ("low", "value", "high"):
        if key not in row and key != "value":
            continue
        try:
            found[key] = read(row.get(key, ""), "money")
        except QuantityError as error:
            line, column = source.positions.nearest((*place, key))
            where = f"price[{place[1]}].{key}"
            yield Problem(source.shown, line, column, where, error.what, error.allowed, error.remedy)
            continue
        if found[key] < 0.0:
            yield _problem(source, (*place, key), "PRC-005", text=said(row[key]))
    ends = [found[key] for key in ("low", "value", "high") if key in found]
    if ends != sorted(ends):
        yield _problem(source, (*place, "value"), "PRC-013")


def _days(source: SourceText, place: tuple[str | int, ...], row: _Raw) -> Iterator[Problem]:
    """What is wrong with the two dates."""
    days = {key: _day(row.get(key)) for key in ("date", "valid_until")}
    for key, day in days.items():
        if day is None:
            text = said(row[key]) if key in row else "-"
            yield _problem(source, (*place, key), "PRC-007", text=text)
    begin, end = days["date"], days["valid_until"]
    if begin is not None and end is not None and end < begin:
        yield _problem(source, (*place, "valid_until"), "PRC-014", text=str(end), other=str(begin))


def _day(raw: object) -> datetime.date | None:
    if isinstance(raw, datetime.datetime):
        return raw.date()
    if isinstance(raw, datetime.date):
        return raw
    try:
        return datetime.date.fromisoformat(str(raw).strip())
    except ValueError:
        return None


def day_of(text: str | None) -> datetime.date | None:
    """The day a case is dated with; None where it has none that can be read.

    Parameters
    ----------
    text : str or None
        Such as "2026-11-25".
    """
    return None if text is None else _day(text)


def _price(row: _Raw) -> Price:
    factor = units()[row["name"]][row["unit"]]
    likely = read(row["value"], "money")
    low, high = (read(row.get(key, row["value"]), "money") for key in ("low", "high"))
    date, until = _day(row["date"]), _day(row["valid_until"])
    assert date is not None and until is not None  # _days was asked before
    estimate = Estimate(factor * low, factor * likely, factor * high, "customer", note=row["said_by"].strip())
    return Price(row["name"], estimate, row["unit"], factor, date, until, row["said_by"].strip())
