"""From rows of cells to flow curves: blocks, side-by-side columns, temperatures, sweeps, rows left out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from drumwright.basis.phrases import Phrase, phrase
from drumwright.basis.tables import read_toml
from drumwright.flow.numbers import Array
from drumwright.product.export_columns import (
    Column,
    Options,
    line_says,
    named_columns,
    role_of,
    split_unit,
    understood_columns,
)
from drumwright.product.export_header import header_rows, temperatures_above
from drumwright.product.export_sweeps import (
    MOST_POINTS,
    Pieces,
    Places,
    binned,
    by_temperature,
    by_turns,
    by_words,
)
from drumwright.product.export_text import Cells, Grid, Unreadable

DRIFT = 1.0  # K of drift within a curve worth naming, assumed
DISAGREE = 0.05  # relative difference of stress from viscosity times shear rate that is named, assumed


@dataclass(frozen=True, slots=True)
class Curve:
    """One flow curve as it was read.

    Parameters
    ----------
    shear_rate, stress : ndarray, shape (m,)
        [1/s] and [Pa], in the order measured.
    temperature : float or None
        [K]
    sweep : str
        "up", "down", or "" where there is no direction.
    gap : float or None
        [m]
    """

    shear_rate: Array
    stress: Array
    temperature: float | None = None
    sweep: str = ""
    gap: float | None = None


@dataclass
class Reading:
    """What is gathered while a file is read."""

    options: Options
    curves: list[Curve] = field(default_factory=list)
    understood: list[Phrase] = field(default_factory=list)
    problems: list[Phrase] = field(default_factory=list)
    temperature: float | None = None
    gap: float | None = None

    def note(self, key: str, /, **slots: object) -> None:
        """Note what was understood, once.

        Parameters
        ----------
        key : str
            Entry of the catalogue.
        **slots : object
            Values of its slots.
        """
        said = phrase(key, **slots)
        if said not in self.understood:
            self.understood.append(said)

    def doubt(self, key: str, /, **slots: object) -> None:
        """Note what is wrong, once.

        Parameters
        ----------
        key : str
            Entry of the catalogue.
        **slots : object
            Values of its slots.
        """
        said = phrase(key, **slots)
        if said not in self.problems:
            self.problems.append(said)


@dataclass
class _Block:
    """One run of rows of numbers with the header that holds for it."""

    columns: tuple[Column, ...]
    rows: list[list[float]]
    cells: list[Cells]
    temperature: float | None
    gap: float | None


def curves_of(grid: Grid, reading: Reading) -> None:
    """Put every curve of a grid into the reading.

    Parameters
    ----------
    grid : Grid
        Rows of cells.
    reading : Reading
        Gathers curves, what was understood and what is wrong.

    Raises
    ------
    Unreadable
        If no column can be known.
    """
    found = False
    for block in _blocks(grid, reading):
        found = True
        for phrase_ in understood_columns(block.columns):
            if phrase_ not in reading.understood:
                reading.understood.append(phrase_)
        for columns in _side_by_side(block.columns, reading):
            _block_curves(block, columns, reading)
    if not found:
        raise Unreadable(phrase("FIT-no_numbers"))


def _blocks(grid: Grid, reading: Reading) -> list[_Block]:
    """Cut the rows into runs of numbers; between them stand header, units, or a line that says more."""
    found: list[_Block] = []
    header: list[Cells] = []
    index, count = 0, len(grid.rows)
    while index < count:
        if grid.numbers[index] is None:
            header.append(grid.rows[index])
            index += 1
            continue
        start = index
        while index < count and grid.numbers[index] is not None:
            index += 1
        rows = [row for row in grid.numbers[start:index] if row is not None]
        said = [_outside(cells, reading) for cells in header]
        names, units = header_rows(header, len(rows[0]))
        if found and not names and not any(said):
            reading.note("FIT-rows_words", count=len(header))
            found[-1].rows.extend(rows)
            found[-1].cells.extend(grid.rows[start:index])
        else:
            before = found[-1].columns if found else ()
            columns = _columns(header, (names, units), len(rows[0]), before, reading)
            cells = list(grid.rows[start:index])
            found.append(_Block(columns, rows, cells, reading.temperature, reading.gap))
        header = []
    return found


def _outside(cells: Cells, reading: Reading) -> bool:
    """Take temperature and gap from a line outside the numbers; whether it said one."""
    temperature, gap = line_says(cells, "temperature"), line_says(cells, "gap")
    if temperature is not None and not _is_header(cells):
        reading.temperature = temperature
        reading.note("FIT-temperature_line", temperature=temperature)
    if gap is not None:
        reading.gap = gap
        reading.note("FIT-gap_line", gap=gap)
    return temperature is not None or gap is not None


def _is_header(cells: Cells) -> bool:
    roles = [role_of(split_unit(cell)[0]) for cell in cells if cell]
    return len({"shear_rate", "stress", "viscosity"} & set(roles)) >= 2


def _columns(
    header: list[Cells],
    named: tuple[Cells, Cells],
    width: int,
    before: tuple[Column, ...],
    reading: Reading,
) -> tuple[Column, ...]:
    """Columns of the block below a header; those of the block before where it has none."""
    names, units = named
    if reading.options.columns:
        names = list(names) or [str(place + 1) for place in range(width)]
        return named_columns(names, units, reading.options)
    if not names:
        if before:
            return before
        if header and len(header[-1]) == width and all(header[-1]):
            raise Unreadable(phrase("FIT-columns_unknown", names=tuple(header[-1])))
        raise Unreadable(phrase("FIT-no_header", count=width))
    found = named_columns(names, units, reading.options)
    above = temperatures_above(header, names)
    found = tuple(replace(c, temperature=above.get(c.place, c.temperature)) for c in found)
    roles = {column.role for column in found}
    if "shear_rate" not in roles and "speed" in roles:
        raise Unreadable(phrase("FIT-speed_only"))
    if "shear_rate" not in roles or not {"stress", "viscosity"} & roles:
        raise Unreadable(phrase("FIT-columns_unknown", names=tuple(column.name for column in found)))
    skipped = len(header) - 1 - (1 if units else 0)
    if skipped > 0:
        reading.note("FIT-preamble", count=skipped)
    return found


def _side_by_side(columns: Sequence[Column], reading: Reading) -> list[dict[str, Column]]:
    """Cut columns into sets of one curve each: a new set at each shear rate, or at each further stress."""
    sets: list[dict[str, Column]] = []
    shared: dict[str, Column] = {}
    rates = sum(1 for column in columns if column.role == "shear_rate")
    for column in columns:
        if not column.role:
            continue
        again = (
            rates == 1 and column.role in ("stress", "viscosity") and bool(sets) and column.role in sets[-1]
        )
        if not sets or again or (column.role == "shear_rate" and rates > 1):
            sets.append({})
        if column.role == "shear_rate" and rates == 1:
            shared["shear_rate"] = column
        elif column.role in ("temperature", "status", "sweep", "gap") and rates == 1:
            shared.setdefault(column.role, column)
        else:
            sets[-1].setdefault(column.role, column)
    found = [{**shared, **each} for each in sets if {"stress", "viscosity"} & set(each)]
    if len(found) > 1:
        reading.note("FIT-side_by_side", count=len(found))
    return found


def _block_curves(block: _Block, columns: dict[str, Column], reading: Reading) -> None:
    """Take the values of one set of columns, drop what cannot be used, cut by temperature and sweep."""
    table = _table(block.rows, max(column.place for column in columns.values()) + 1)
    rate = _values(table, columns["shear_rate"])
    stress = _stress(table, columns, rate, reading)
    keep = _kept(block, columns, rate, stress, reading)
    if keep.size == 0:
        reading.doubt("FIT-nothing_left")
        return
    gap = block.gap
    if "gap" in columns:
        gap = float(np.nanmean(_values(table, columns["gap"])[keep]))
    first = columns.get("stress") or columns["viscosity"]
    said = (first.temperature, block.temperature, reading.options.temperature)
    fixed = next((value for value in said if value is not None), None)
    warm = _values(table, columns["temperature"]) if "temperature" in columns else np.empty(0)
    for part, temperature in _temperatures(warm, keep, fixed, reading):
        for piece, sweep in _sweeps(rate[part], _words(block.cells, columns, part), reading):
            place = part[piece]
            curve = Curve(rate[place], stress[place], temperature, sweep, gap)
            reading.curves.append(_finished(curve, reading))


def _table(rows: list[list[float]], width: int) -> Array:
    """Rows as an array; what a short row lacks is NaN."""
    if min(map(len, rows)) >= width == max(map(len, rows)):
        return np.array(rows)
    return np.array([row[:width] + [math.nan] * (width - len(row)) for row in rows])


def _kept(block: _Block, columns: dict[str, Column], rate: Array, stress: Array, reading: Reading) -> Places:
    """Places of the points that can be used; the others are counted by reason."""
    whole = np.isfinite(rate) & np.isfinite(stress)
    if not whole.all():
        reading.note("FIT-rows_gap", count=int((~whole).sum()))
    if "status" in columns:
        bad = read_toml("rheometer_words.toml")["status"]["bad"]
        said = _words(block.cells, columns, np.arange(rate.size, dtype=np.intp), "status")
        failed = np.array([any(word in each for word in bad) for each in said])
        if (failed & whole).any():
            reading.note("FIT-rows_status", count=int((failed & whole).sum()))
        whole &= ~failed
    zero = whole & ((rate <= 0.0) | (stress <= 0.0))
    if zero.any():
        reading.note("FIT-rows_zero", count=int(zero.sum()))
    return np.flatnonzero(whole & ~zero)


def _words(cells: list[Cells], columns: dict[str, Column], places: Places, role: str = "sweep") -> list[str]:
    """What the column of a role says at some places, lower case; nothing where there is none."""
    column = columns.get(role)
    if column is None:
        return []
    rows = (cells[int(place)] for place in places)
    return [row[column.place].strip().lower() if column.place < len(row) else "" for row in rows]


def _values(table: Array, column: Column) -> Array:
    return np.asarray(table[:, column.place] * column.factor + column.offset)


def _stress(table: Array, columns: dict[str, Column], rate: Array, reading: Reading) -> Array:
    """Stress, or viscosity times shear rate; both are compared where both stand."""
    if "stress" not in columns:
        reading.note("FIT-from_viscosity")
        return _values(table, columns["viscosity"]) * rate
    stress = _values(table, columns["stress"])
    if "viscosity" in columns:
        other = _values(table, columns["viscosity"]) * rate
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio = other / stress
        usable = ratio[np.isfinite(ratio) & (ratio > 0.0)]
        if usable.size:
            middle = float(np.median(usable))
            if abs(math.log(middle)) > DISAGREE:
                reading.doubt("FIT-disagree", factor=middle)
            else:
                reading.note("FIT-both_agree")
    return stress


def _temperatures(
    values: Array, places: Places, fixed: float | None, reading: Reading
) -> list[tuple[Places, float | None]]:
    """Places of each temperature with the temperature; one for all where a value is missing."""
    if values.size == 0 or not np.isfinite(values[places]).all():
        return [(places, fixed)]
    found: list[tuple[Places, float | None]] = []
    for group in by_temperature(values[places]):
        part = places[group]
        spread = float(np.ptp(values[part]))
        if spread > DRIFT:
            reading.doubt("FIT-drift", drift=spread)
        found.append((part, float(np.median(values[part]))))
    return found


def _sweeps(rate: Array, words: list[str], reading: Reading) -> Pieces:
    """Sweeps by their column, or by where the shear rate turns."""
    named = by_words(words)
    if named:
        reading.note("FIT-sweep_column")
        return named
    if rate.size > MOST_POINTS:  # noise turns at every other point
        return [(np.arange(rate.size, dtype=np.intp), "")]
    found, ordered = by_turns(rate)
    if not ordered:
        reading.note("FIT-unsorted")
    elif len(found) > 1:
        reading.note("FIT-sweeps", count=len(found))
    return found


def _finished(curve: Curve, reading: Reading) -> Curve:
    """Put too many points into bins."""
    if curve.shear_rate.size <= MOST_POINTS:
        return curve
    rate, stress = binned(curve.shear_rate, curve.stress)
    reading.note("FIT-binned", count=curve.shear_rate.size, bins=rate.size)
    return replace(curve, shear_rate=rate, stress=stress)
