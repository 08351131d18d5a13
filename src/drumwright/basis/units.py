"""Unit texts to exact factors: reads ``data/units.txt`` and takes apart "m3/h", "US gal/min", "kg/m^3".

The definitions are written in the syntax of pint and pint is the test oracle for every unit; it is not
imported here, because its import takes 0.2 s and these definitions need only products and powers.
Factors are fractions, so that 571 mm is read as exactly 0.571 m.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType

from drumwright.basis.catalogue import DATA

BASES = ("length", "mass", "time", "temperature", "substance")
Dimension = tuple[int, int, int, int, int]
NONE: Dimension = (0, 0, 0, 0, 0)
LONGEST = 40  # characters of a unit text


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit as factor to SI, offset (temperatures only) and exponents of `BASES`."""

    factor: Fraction
    dimension: Dimension
    offset: Fraction = Fraction(0)

    def times(self, other: Unit, power: int) -> Unit:
        """Return this unit times another one raised to a power."""
        pairs = zip(self.dimension, other.dimension, strict=True)
        a, b, c, d, e = (mine + power * theirs for mine, theirs in pairs)
        return Unit(self.factor * other.factor**power, (a, b, c, d, e))


ONE = Unit(Fraction(1), NONE)
_DEFINITION = re.compile(r"\*\*\s*(-?\d+)|([*/])|([A-Za-z_]+)|([0-9.]+)")


@lru_cache(maxsize=1)
def definitions() -> Mapping[str, Unit]:
    """Return every unit of ``data/units.txt`` by name, symbol and alias."""
    known: dict[str, Unit] = {}
    for line in (DATA / "units.txt").read_text(encoding="utf-8").splitlines():
        if not line.strip() or line.startswith("#"):
            continue
        names, unit = _defined(line, known)
        known.update(dict.fromkeys(names, unit))
    return MappingProxyType(known)


def _defined(line: str, known: Mapping[str, Unit]) -> tuple[list[str], Unit]:
    name, value, *aliases = (part.strip() for part in line.split(" = "))
    value, _, offset = value.partition("; offset:")
    shift, aliases = (_product(offset, known).factor if offset else Fraction(0)), [*aliases]
    if value.startswith("["):
        base = value.strip("[]")
        a, b, c, d, e = (int(each == base) for each in BASES)
        return [name, *aliases], Unit(Fraction(1), (a, b, c, d, e))
    unit = _product(value, known)
    return [name, *aliases], Unit(unit.factor, unit.dimension, shift)


def _product(text: str, known: Mapping[str, Unit]) -> Unit:
    result, last, sign = ONE, ONE, 1
    for power, operator, name, figure in _DEFINITION.findall(text):
        if power:
            result = result.times(last, sign * (int(power) - 1))
        elif operator:
            sign = 1 if operator == "*" else -1
        else:
            last = known[name] if name else Unit(Fraction(figure), NONE)
            result = result.times(last, sign)
    return result


@lru_cache(maxsize=1)
def _folded() -> Mapping[str, str]:
    """Return lower-case spellings that mean one unit only ("BAR"), never "MPA" (mega or milli)."""
    meanings: dict[str, set[Unit]] = {}
    for name, unit in definitions().items():
        meanings.setdefault(name.lower(), set()).add(unit)
    return {name.lower(): name for name, unit in definitions().items() if len(meanings[name.lower()]) == 1}


_SPELLINGS = str.maketrans(
    {"²": "^2", "³": "^3", "⁻": "^-", "¹": "1", "·": "*", "⋅": "*", "∙": "*", "µ": "u", "μ": "u", "−": "-"}
)
_WORDS = (
    (re.compile(r"\bU\.?S\.?\s*(?=gal|gpm)", re.I), ""),
    (re.compile(r"\b(?:imp\.?|imperial|UK)\s*gal(?:lons?|s)?\b", re.I), "imp_gal"),
    (re.compile(r"\bW\s*/\s*\(?\s*m[.* ]?K\)?$"), "W/(m*K)"),
    (re.compile(r"\b(k?J)\s*/\s*\(?\s*kg[.* ]?K\)?$"), r"\1/(kg*K)"),
    (re.compile(r"^(?:per\s+|/\s*)"), "1/"),
    (re.compile(r"\s+per\s+"), "/"),
)
_PIECE = re.compile(
    r"\s*(?:(\*\*|\^)\s*\(?(-?[1-9])(?!\d)\)?|([A-Za-z_]+)\s?(-?\d(?!\d))?|(1)(?=\s*/)|([*/()])|(\.))"
)


@lru_cache(maxsize=1024)
def parse(text: str) -> Unit | None:
    """Return the unit a text means, or None if it is not one.

    Parameters
    ----------
    text : str
        "m3/h", "m³/h", "US gal/min", "s-1", "Pa.s", "lb/ft^3"; "" is the unit one.

    Returns
    -------
    Unit or None
        A single offset unit keeps its offset; in products it counts as a difference.
    """
    spelled = text.strip().translate(_SPELLINGS)
    for pattern, word in _WORDS:
        spelled = pattern.sub(word, spelled)
    if not spelled:
        return ONE
    if len(spelled) > LONGEST:
        return None
    single = _named(spelled)
    if single is not None:
        return single
    try:
        unit, rest = _sequence(spelled)
    except ValueError:
        return None
    return None if rest else unit


def _named(name: str) -> Unit | None:
    known = definitions()
    unit = known.get(name)
    if unit is None and (folded := _folded().get(name.lower())) is not None:
        unit = known[folded]
    return unit


def _sequence(text: str) -> tuple[Unit, str]:
    """Read factors up to the end or a closing bracket; raises ValueError where it is not a unit."""
    result, last, sign, expect = ONE, ONE, 1, True
    while text and not text.startswith(")"):
        match = _PIECE.match(text)
        if match is None:
            raise ValueError(text)
        text = text[match.end() :]
        _, power, name, digit, one, operator, dot = match.groups()
        if operator == "(":
            last, text = _sequence(text)
            if not text.startswith(")"):
                raise ValueError(text)
            result, expect, text = result.times(last, sign), False, text[1:].strip()
        elif operator or dot:
            if expect:
                raise ValueError(text)
            sign, expect = (-1 if operator == "/" else 1), True
        elif power is not None:
            if expect:
                raise ValueError(text)
            result = result.times(last, sign * (int(power) - 1))
        else:
            sign = sign if expect else 1
            last = ONE if one else _known(name)
            result, expect = result.times(last, sign * (int(digit) if digit else 1)), False
    if expect:
        raise ValueError(text)
    return result, text


def _known(name: str) -> Unit:
    unit = _named(name)
    if unit is None:
        raise ValueError(name)
    return unit
