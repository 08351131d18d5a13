"""What the columns of a flow-curve table are: by their words, their units, and what the user said."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache

from drumwright.basis.errors import QuantityError
from drumwright.basis.phrases import Phrase, phrase
from drumwright.basis.quantities import read
from drumwright.basis.tables import read_toml
from drumwright.product.export_text import Unreadable

# Roles that hold a quantity, with its kind; the other roles are named and left out.
KINDS: Mapping[str, str] = {
    "shear_rate": "shear_rate",
    "stress": "stress",
    "viscosity": "viscosity",
    "temperature": "temperature",
    "gap": "diameter",
}
NEEDED = ("shear_rate", "stress", "viscosity")
_UNIT = re.compile(r"(?P<name>.*?)\s*[\[(]\s*(?P<unit>[^\])]*)\s*[\])]\s*(?P<rest>.*)")
_NEAR_KELVIN = re.compile(r"(?P<value>[+-]?\d+(?:[.,]\d+)?)\s*(?P<unit>°\s?[CF]|º\s?C|deg\s?C|[CKF])(?![\w])")
_LENGTH = re.compile(r"(?P<value>\d+(?:[.,]\d+)?)\s*(?P<unit>mm|µm|μm|um|m)\b")


@dataclass(frozen=True, slots=True)
class Options:
    """What the user says of a file where the file does not.

    Parameters
    ----------
    units : mapping of str to str
        Unit for a role, such as "shear_rate" -> "1/s".
    columns : tuple of str
        Roles of the columns from the left, "" or "-" to leave one out.
    temperature : float or None
        Temperature of curves without one [K].
    decimal : str or None
        "point" or "comma".
    """

    units: Mapping[str, str] = field(default_factory=dict)
    columns: tuple[str, ...] = ()
    temperature: float | None = None
    decimal: str | None = None


@dataclass(frozen=True, slots=True)
class Column:
    """One column: where it stands, its role, its scale to SI, and the temperature in its name, if any.

    Parameters
    ----------
    place : int
        Counted from 0.
    role : str
        Role, "" where the name is not known.
    name : str
        As written.
    unit : str
        As understood.
    factor, offset : float
        To SI.
    temperature : float or None
        [K]
    """

    place: int
    role: str
    name: str
    unit: str = ""
    factor: float = 1.0
    offset: float = 0.0
    temperature: float | None = None


@cache
def _words() -> tuple[tuple[str, str], ...]:
    """Words with their roles, the longest first."""
    found = [
        (word, role) for role, words in read_toml("rheometer_words.toml")["columns"].items() for word in words
    ]
    return tuple(sorted(found, key=lambda pair: -len(pair[0])))


def role_of(name: str) -> str:
    """Return the role of a column by its name, "" where it is not known.

    Parameters
    ----------
    name : str
        Name without unit.
    """
    clean = re.sub(r"[\s_]+", " ", name.strip().strip(":").lower())
    for word, role in _words():
        if clean == word:
            return role
    for word, role in _words():
        if len(word) > 3 and re.search(rf"(?<!\w){re.escape(word)}(?!\w)", clean):
            return role
    return ""


def named_columns(names: Sequence[str], units: Sequence[str], options: Options) -> tuple[Column, ...]:
    """Understand a header.

    Parameters
    ----------
    names : sequence of str
        Cells of the header row.
    units : sequence of str
        Cells of a row of units below it, or nothing.
    options : Options
        What the user said.

    Raises
    ------
    Unreadable
        If a needed column has no unit, or one that does not fit.
    """
    found = []
    for place, cell in enumerate(names):
        below = units[place] if place < len(units) else ""
        name, unit = split_unit(cell)
        role = role_of(name) or role_of(cell)
        if place < len(options.columns):
            role = options.columns[place].strip("- ")
        elif options.columns:
            role = ""
        found.append(_column(place, role, cell.strip(), below.strip(" []()") or unit, options))
    return tuple(found)


def split_unit(cell: str) -> tuple[str, str]:
    """Return name and unit of a header cell: in brackets, after "in", a comma, a stroke or an underscore.

    Parameters
    ----------
    cell : str
        Such as "Shear rate [1/s]".
    """
    match = _UNIT.fullmatch(cell.strip())
    if match is not None and match["unit"] and match["name"].strip():
        return f"{match['name']} {match['rest']}".strip(), match["unit"]
    for tail in _tails(cell.strip()):
        if role_of(tail[0]) and any(_scale(tail[1], kind) for kind in KINDS.values()):
            return tail
    return cell.strip(), ""


def _tails(cell: str) -> list[tuple[str, str]]:
    """Every way to cut a cell into a name and a unit, the longest unit first."""
    found = []
    for match in re.finditer(r",\s*|\s+in\s+|\s*/\s*|_|\s+", cell):
        name, unit = cell[: match.start()].strip(), cell[match.end() :].strip()
        if name and unit:
            found.append((name, unit))
    return found


def _column(place: int, role: str, name: str, unit: str, options: Options) -> Column:
    kind = KINDS.get(role)
    if kind is None:
        return Column(place, role, name, unit)
    said = options.units.get(role, unit)
    found = temperature_in(name) if role != "temperature" else None
    if not said and role in NEEDED:
        raise Unreadable(phrase("FIT-no_unit", name=name, option=f"--{role.replace('_', '-')}-unit"))
    scale = _scale(said, kind) if said else None
    if scale is None and role in NEEDED:
        raise Unreadable(
            phrase("FIT-bad_unit", name=name, unit=said, option=f"--{role.replace('_', '-')}-unit")
        )
    if scale is None:
        return Column(place, "", name, said)
    return Column(place, role, name, said, scale[0], scale[1], found)


def _scale(unit: str, kind: str) -> tuple[float, float] | None:
    """Factor and offset of a unit to SI, or None where it is no unit of this kind."""
    plain = unit.strip().replace("²", "2").replace("·", ".").replace("∙", ".").replace("⋅", ".")
    plain = read_toml("rheometer_words.toml")["units"].get(plain, plain).replace("*", ".")
    try:
        zero, one = (read(f"{value} {plain}", kind) for value in (0, 1))
    except QuantityError:
        return None
    return one - zero, zero


def unit_row(cells: Sequence[str]) -> bool:
    """Whether a row holds units only, with or without brackets.

    Parameters
    ----------
    cells : sequence of str
        Cells of a row.
    """
    filled = [cell.strip(" []()") for cell in cells if cell.strip(" []()-")]
    known = [cell for cell in filled if any(_scale(cell, kind) for kind in KINDS.values())]
    return bool(known) and len(known) >= 0.5 * len(filled)


def temperature_in(text: str) -> float | None:
    """Return the temperature a text names [K], such as "Stress at 20 °C"; None where there is none.

    Parameters
    ----------
    text : str
        Name of a column, of a sheet, or a line.
    """
    match = _NEAR_KELVIN.search(text)
    if match is None:
        return None
    try:
        return read(f"{match['value']} {match['unit'].replace(' ', '')}", "temperature")
    except QuantityError:
        return None


def line_says(cells: Sequence[str], role: str) -> float | None:
    """Return what a line outside the numbers says of "temperature" [K] or "gap" [m]; None if nothing.

    Parameters
    ----------
    cells : sequence of str
        Cells of the line.
    role : str
        "temperature" or "gap".
    """
    text = " ".join(cell for cell in cells if cell).strip()
    key = re.split(r"[=:\[(\d]", text, maxsplit=1)[0].strip().lower()
    words = read_toml("rheometer_words.toml")["lines"][role]
    named = any(key == word or (len(word) > 3 and word in key) for word in words)
    if role == "temperature":
        alone = re.fullmatch(r"[=\s]*[+-]?\d+(?:[.,]\d+)?\s*(?:°\s?[CF]|º\s?C|deg\s?C|[CKF])", text)
        return temperature_in(_unbracketed(text)) if named or alone else None
    match = _LENGTH.search(_unbracketed(text))
    if not named or match is None:
        return None
    unit = match["unit"].replace("µ", "u").replace("μ", "u")
    return read(f"{match['value']} {unit}", "diameter")


def _unbracketed(text: str) -> str:
    """Return "Gap [mm]: 1" as "1 mm", "T (°C) = 20" as "20 °C"; other texts unchanged."""
    match = re.fullmatch(r"[^\[(]*[\[(]\s*([^\])]*)[\])]\s*[:=]?\s*([+-]?\d+(?:[.,]\d+)?)\s*", text)
    return f"{match[2]} {match[1]}" if match else text


def understood_columns(columns: Sequence[Column]) -> list[Phrase]:
    """Return what each column was taken as, and which were left out.

    Parameters
    ----------
    columns : sequence of Column
        As understood.
    """
    found = []
    for column in columns:
        if column.role in KINDS:
            what = phrase(f"FIT-role.{column.role}")
            found.append(
                phrase("FIT-column", name=column.name or str(column.place + 1), role=what, unit=column.unit)
            )
    left = tuple(column.name or str(column.place + 1) for column in columns if column.role not in KINDS)
    if left:
        found.append(phrase("FIT-columns_left", names=left))
    return found
