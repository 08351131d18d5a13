"""Quantities at the edge: one text in, one SI float out, and back in metric or US units.

Inside the program every quantity is a plain SI float (temperatures in kelvin). This file is the only
door: `read` is strict, so that no number is ever taken in another sense than it was meant.
"""

from __future__ import annotations

import math
import re
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from drumwright.basis import units
from drumwright.basis.catalogue import trouble
from drumwright.basis.errors import QuantityError
from drumwright.basis.kinds import KINDS, Kind
from drumwright.basis.number_reader import split

__all__ = ["KINDS", "Kind", "System", "number", "plain", "read", "show", "to_display", "unit"]

System = Literal["metric", "US"]
_PRESSURES = {"pressure_gauge": "g", "pressure_absolute": "a", "pressure_difference": "d", "stress": "d"}
_SENSE = re.compile(
    r"^(?P<base>[A-Za-z/0-9^²]+?)\s*(?:\(\s*(?P<bracket>g|a|d|gauge|gage|abs|absolute|diff)\.?\s*\)"
    r"|(?P<word>\s?[gad]|\s(?:gauge|gage|abs|absolute|diff)\.?))$",
    re.I,
)
_TEMPERATURES = {
    "K": "kelvin",
    **dict.fromkeys(("C", "°C", "ºC", "degC", "deg C", "c", "°c", "Celsius", "celsius"), "celsius"),
    **dict.fromkeys(("F", "°F", "ºF", "degF", "deg F", "f", "°f", "Fahrenheit", "fahrenheit"), "fahrenheit"),
}
_SIGNS = {"%": "percent", "°": "degree", '"': "inch", "″": "inch", "''": "inch"}
_DIMENSIONS: dict[str, str] = {"": "", "%": "percent", "°C": "kelvin", "°F": "kelvin"}
_WHOLE_DN = re.compile(r"DN\s?([0-9]{1,4})", re.I)


def read(value: object, kind: str) -> float:
    """Read a quantity as people write it.

    Parameters
    ----------
    value : object
        Text such as "180 000 cP", "2,5 bar", "DN65"; or a number, where the kind needs no unit.
    kind : str
        Key of `KINDS`.

    Returns
    -------
    float
        Value in the SI unit of the kind; gauge pressures above the atmosphere, temperatures in kelvin.

    Raises
    ------
    QuantityError
        If the text is not exactly one quantity of this kind; says what would be, and what to do.
    """
    sort = KINDS[kind]
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        raise _refused("QTY-010", sort, text=_short(value))
    if not isinstance(value, str):
        return _bare(value, sort)
    if kind == "diameter" and (match := _WHOLE_DN.fullmatch(value.strip())):
        return float(Fraction(int(match[1]), 1000))
    figure, unit_text = split(value, sort.example)
    if not unit_text:
        return _bare(figure, sort)
    scale = _scale(kind, unit_text)
    return _finite(figure * scale.factor + scale.offset, sort, value)


def _bare(figure: float | Fraction, sort: Kind) -> float:
    if isinstance(figure, float) and not math.isfinite(figure):
        raise _refused("QTY-003", sort, text=str(figure))
    if sort.bare or (figure == 0 and sort.zero):
        return _finite(Fraction(figure), sort, str(figure))
    text = plain(float(figure), 12, trim=True) if abs(Fraction(figure)) < 10**300 else "1e300"
    raise _refused("QTY-011", sort, text=text, metric=f"{text} {sort.metric}", us=f"{text} {sort.us}")


def _finite(figure: Fraction, sort: Kind, text: str) -> float:
    try:
        result = float(figure)
    except OverflowError:
        raise _refused("QTY-003", sort, text=text[:30]) from None
    return result + 0.0  # no negative zero


@lru_cache(maxsize=1024)
def _scale(kind: str, text: str) -> units.Unit:
    """Return factor and offset from a unit text to SI for a kind, or refuse."""
    sort = KINDS[kind]
    if kind in _PRESSURES:
        text = _pressure_unit(text, sort)
    elif kind in ("temperature", "temperature_difference"):
        name = _TEMPERATURES.get(re.sub(r"\s*diff(erence)?\.?$", "", text), text)
        found = units.parse(name)
        if found is not None and kind == "temperature_difference":
            found = units.Unit(found.factor, found.dimension)
        return _checked(found, text, sort)
    elif kind == "consistency":
        text = re.sub(r"s\s*(?:(?:\^|\*\*)?\s*\(?n\)?|ⁿ)$", "s", text)
    elif kind == "shear_rate" and re.search(r"r(?:ev)?\b|rpm", text, re.I):
        raise _refused("QTY-016", sort, text=text)
    elif kind == "price":
        text = re.sub(r"^(?:[A-Z]{3}|[€£$])\s*(?=/|per)", "", text)
    else:
        text = _SIGNS.get(text, text)
    return _checked(units.parse(text), text, sort)


def _checked(found: units.Unit | None, text: str, sort: Kind) -> units.Unit:
    if found is None:
        raise _refused("QTY-012", sort, text=text)
    if found.dimension != _dimension(sort.name):
        if sort.name == "flow" and found.dimension == (0, 1, -1, 0, 0):
            raise _refused("QTY-017", sort, text=text)
        raise _refused("QTY-013", sort, text=text)
    return found


@lru_cache(maxsize=64)
def _dimension(kind: str) -> units.Dimension:
    label = KINDS[kind].metric.replace("^n", "").replace("(g)", "").replace("(a)", "")
    found = units.parse(_DIMENSIONS.get(label, label))
    if found is None:
        raise KeyError(kind)
    return found.dimension


def _pressure_unit(text: str, sort: Kind) -> str:
    """Return the unit without its gauge or absolute mark, after checking the mark against the kind."""
    wanted = _PRESSURES[sort.name]
    if _is_pressure(text):
        if wanted == "d":
            return text
        raise _refused("QTY-014", sort, text=text, gauge=f"{text}(g)", absolute=f"{text}(a)")
    match = _SENSE.match(text)
    if match is None or not _is_pressure(match["base"]):
        return text
    sense = (match["bracket"] or match["word"]).strip().lower()[0]
    if sense != wanted:
        key = {"g": "QTY-015", "a": "QTY-018", "d": "QTY-019"}[wanted]
        raise _refused(key, sort, text=text, base=match["base"])
    return match["base"]


def _is_pressure(text: str) -> bool:
    found = units.parse(text)
    return found is not None and found.dimension == _dimension("stress")


def _refused(key: str, sort: Kind, **slots: str) -> QuantityError:
    what, allowed, remedy = trouble(key, title=sort.title, example=sort.example, **slots)
    return QuantityError(what, allowed or sort.example, remedy)


def _short(value: object) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "a table"
    return "a list" if isinstance(value, (list, tuple)) else str(value)[:30]


def to_display(value: float, kind: str, system: System = "metric") -> float:
    """Return an SI value in the display unit of a kind.

    Parameters
    ----------
    value : float
        SI value.
    kind : str
        Key of `KINDS`.
    system : str
        "metric" or "US".
    """
    label = unit(kind, system)
    if not label or not math.isfinite(value):
        return float(value)
    scale = _scale(kind, label)
    # the shortest decimal of the float, so that 1001 mm comes back as 1001, not 1000.9999999999999
    return float((Fraction(repr(float(value))) - scale.offset) / scale.factor)


def unit(kind: str, system: System = "metric") -> str:
    """Return the display unit of a kind, "" without dimension."""
    sort = KINDS[kind]
    return sort.metric if system == "metric" else sort.us


def number(value: float, kind: str, system: System = "metric", digits: int = 3) -> str:
    """Return an SI value as digits in the display unit, without the unit.

    Parameters
    ----------
    value : float
        SI value.
    kind : str
        Key of `KINDS`.
    system : str
        "metric" or "US".
    digits : int
        Significant digits; temperatures get ``digits - 2`` decimals, counts that are whole none.
    """
    shown = to_display(value, kind, system)
    if kind == "temperature" and math.isfinite(shown):
        return _no_minus_zero(f"{shown:.{max(0, digits - 2)}f}")
    if kind == "count" and shown == round(shown) and abs(shown) < 1e9:
        return str(round(shown))
    return plain(shown, digits)


def show(value: float, kind: str, system: System = "metric", digits: int = 3) -> str:
    """Return an SI value as people read it: "2.65 bar(g)", "10.0 °C".

    Parameters
    ----------
    value : float
        SI value.
    kind : str
        Key of `KINDS`.
    system : str
        "metric" or "US".
    digits : int
        Significant digits.
    """
    label = unit(kind, system)
    text = number(value, kind, system, digits)
    return f"{text} {label}" if label else text


def plain(value: float, digits: int = 3, trim: bool = False) -> str:
    """Return a number with so many significant digits, without exponent for ordinary sizes.

    Parameters
    ----------
    value : float
        Any number; "-" stands for one that is not finite.
    digits : int
        Significant digits.
    trim : bool
        Whether zeros at the end of the decimals are dropped.
    """
    if not math.isfinite(value):
        return "-"
    if value == 0:
        return "0"
    rounded = Decimal(f"{value:.{digits - 1}e}")
    if not -7 <= rounded.adjusted() < 12:
        return f"{rounded:e}"
    text = f"{rounded:f}"
    return text.rstrip("0").rstrip(".") if trim and "." in text else text


def _no_minus_zero(text: str) -> str:
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text
