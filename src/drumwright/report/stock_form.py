"""A parts stock as lines of 80 columns and as plain data: what was understood, derived and fitted."""

from __future__ import annotations

import math
import textwrap
from collections.abc import Iterator, Mapping
from typing import Any, get_args

from drumwright.basis.phrases import phrase
from drumwright.machine.pump.air_test_points import AirFit
from drumwright.machine.pump.records import Abrasion, Pump
from drumwright.machine.pump.stock import rated_pressure
from drumwright.machine.pump.test_points import Fitted, PumpFit
from drumwright.report.words import Words
from drumwright.station.stock import Stock, StockReading
from drumwright.station.stock_fields import KINDS, fields_of
from drumwright.station.stock_pumps import Fit
from drumwright.station.stock_rows import StockRow

FORM = "drumwright.stock/1"
WIDTH = 80
_FITTED = {
    "displacement": "displacement",
    "clearance": "film",
    "friction_torque": "torque",
    "film": "film",
    "free_flow": "flow",
}
Json = dict[str, Any]


def lines(reading: StockReading, words: Words, skip_bad: bool) -> Iterator[str]:
    """Yield the screen of `drumwright stock check`.

    Parameters
    ----------
    reading : StockReading
        A stock as read.
    words : Words
        Labels and units.
    skip_bad : bool
        Whether bad rows are left out.
    """
    stock = reading.stock
    counts = [
        words.say("stock.count", count=len(stock.of_kind(kind)), kind=words.name("stock_kind", kind))
        for kind in KINDS
        if stock.of_kind(kind)
    ]
    yield from _wrapped(words.say("stock.head", name=stock.name, rows=len(stock.rows), counts=counts), "")
    if stock.pinned:
        yield from _wrapped(words.say("stock.pinned", name=stock.name), "")
    if not stock.active_pumps:
        yield from _wrapped(words.say("stock.none_active"), "")
    for number, row in enumerate(stock.rows):
        if row.kind != "test_point":
            yield from _row(stock, row, reading.places.get(number, ""), words)
    if reading.problems:
        yield ""
        key = "stock.skipped" if skip_bad else "stock.bad"
        yield from _wrapped(words.say(key, rows=len(reading.bad), problems=len(reading.problems)), "")
        yield from (f"  {problem}" for problem in reading.problems)


def _row(stock: Stock, row: StockRow, place: str, words: Words) -> Iterator[str]:
    status = words.name("stock_status", row.status)
    kind = words.name("stock_one", row.kind)
    key = "stock.row" if place else "stock.row_generic"
    slots = {"place": place} if place else {}
    said = words.say(key, kind=kind, article=row.article, name=row.name, status=status, **slots)
    yield from _wrapped(said, "")
    if row.kind == "pump":
        pump = stock.find(row.article)
        yield from _wrapped(_derived(pump, words), "    ")
        if row.article in stock.fits:
            yield from _fit(stock, stock.fits[row.article], row.article, words)
        return
    known = fields_of(row.kind)
    parts = [
        words.say("stock.value", name=name.replace("_", " "), value=_shown(value, known[name].kind, words))
        for name, value in row.values.items()
    ]
    if parts:
        yield from _wrapped(words.say("stock.values", values=parts), "    ")


def _shown(value: object, kind: str, words: Words) -> str:
    if isinstance(value, tuple):
        return ", ".join(value)
    if isinstance(value, float | int):
        return words.value(value, kind)
    return str(value).replace("_", " ")


def _derived(pump: Pump, words: Words) -> str:
    rated = [words.value(rated_pressure(pump, each), "pressure_gauge") for each in ("clean", "mild")]
    return words.say(
        "stock.derived",
        family=words.tell(phrase(f"KIND-{pump.family}")),
        displacement=pump.displacement,
        passage=pump.passage,
        clean=rated[0],
        mild=rated[1],
        abrasive=words.value(rated_pressure(pump, "abrasive"), "pressure_gauge"),
    )


def _fit(stock: Stock, fit: Fit, article: str, words: Words) -> Iterator[str]:
    points = sum(1 for row in stock.of_kind("test_point") if row.values["pump"] == article)
    told = [
        words.say("stock.told" if found.seen else "stock.untold", name=words.name("stock_fitted", name),
                  value=_interval(found, _FITTED[name], words))
        for name, found in fitted(fit).items()
    ]  # fmt: skip
    yield from _wrapped(words.say("stock.fit", points=points, told=told), "    ")
    if isinstance(fit, AirFit):
        air, out = (_range(each, "pressure_gauge", words) for each in (fit.air_range, fit.pressure_range))
        yield from _wrapped(words.say("stock.air", error=fit.flow_error, air=air, out=out), "    ")
        return
    error = fit.torque_error
    torque = words.say("stock.no_torque") if error is None else words.say("stock.torque_error", error=error)
    ranges = {
        "speed": _range(fit.speed_range, "rotation", words),
        "pressure": _range(fit.pressure_range, "pressure_difference", words),
        "viscosity": _range(fit.viscosity_range, "viscosity", words),
    }
    yield from _wrapped(words.say("stock.error", error=fit.flow_error, torque=torque, **ranges), "    ")


def fitted(fit: Fit) -> Mapping[str, Fitted]:
    """What was fitted of a pump, by name.

    Parameters
    ----------
    fit : PumpFit or AirFit
    """
    names = (
        ("free_flow",)
        if isinstance(fit, AirFit)
        else ("displacement", "clearance", "friction_torque", "film")
    )
    found = {name: getattr(fit, name) for name in names}
    return {name: value for name, value in found.items() if value is not None}


def _interval(found: Fitted, kind: str, words: Words) -> str:
    if found.seen:
        return words.band(found.low, found.value, found.high, kind)
    return words.value(found.high, kind)


def _range(ends: tuple[float, float], kind: str, words: Words) -> str:
    low, high = (words.number(end, kind) for end in ends)
    return words.say("stock.range", low=low, high=high, unit=words.unit(kind))


def _wrapped(text: str, indent: str) -> list[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent=indent, subsequent_indent=f"{indent}    ", break_on_hyphens=False
    )


def as_dictionary(reading: StockReading, skip_bad: bool) -> Json:
    """Return a stock as plain data, SI units.

    Parameters
    ----------
    reading : StockReading
    skip_bad : bool
        Whether bad rows are left out.

    Notes
    -----
    A number that is not finite becomes null.
    """
    stock = reading.stock
    return {
        "form": FORM,
        "name": stock.name,
        "digest": stock.digest,
        "pinned": stock.pinned,
        "generic": stock.generic,
        "usable": bool(stock.active_pumps) and (skip_bad or not reading.problems),
        "rows": [
            _row_data(stock, row, reading.places.get(number, "")) for number, row in enumerate(stock.rows)
        ],
        "bad_rows": len(reading.bad),
        "skipped": skip_bad,
        "problems": [
            {
                "file": each.file, "line": each.line, "column": each.column, "field": each.field,
                "what": each.what, "allowed": each.allowed, "remedy": each.remedy,
            }
            for each in reading.problems
        ],
    }  # fmt: skip


def _row_data(stock: Stock, row: StockRow, place: str) -> Json:
    data: Json = {
        "kind": row.kind,
        "article": row.article,
        "name": row.name,
        "status": row.status,
        "note": row.note,
        "place": place,
        "values": {
            name: list(each) if isinstance(each, tuple) else each for name, each in row.values.items()
        },
    }
    if row.kind == "pump":
        pump = stock.find(row.article)
        data["derived"] = {
            "displacement": pump.displacement,
            "passage": pump.passage,
            "rated_pressure": {each: rated_pressure(pump, each) for each in get_args(Abrasion)},
        }
        fit = stock.fits.get(row.article)
        data["fit"] = None if fit is None else _fit_data(fit)
    return data


def _fit_data(fit: Fit) -> Json:
    data: Json = {
        name: {"value": _finite(each.value), "low": _finite(each.low), "high": _finite(each.high)}
        | {"seen": each.seen}
        for name, each in fitted(fit).items()
    }
    names = ("air_range", "pressure_range") if isinstance(fit, AirFit) else (
        "speed_range", "pressure_range", "viscosity_range"
    )  # fmt: skip
    data |= {name: list(getattr(fit, name)) for name in names}
    data["flow_error"] = fit.flow_error
    if isinstance(fit, PumpFit):
        data["torque_error"] = fit.torque_error
    return data


def _finite(value: float) -> float | None:
    return value if math.isfinite(value) else None
