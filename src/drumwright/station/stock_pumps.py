"""Pumps of a stock from their rows: derived geometry, and what their test points say."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from drumwright.basis import quantities
from drumwright.basis.errors import FitError, Problem, StockError
from drumwright.machine.pump.air_test_points import AirFit, AirPoints, fit_air_points
from drumwright.machine.pump.diaphragm_family import diaphragm_of
from drumwright.machine.pump.records import Pump
from drumwright.machine.pump.stock import pump_from_row
from drumwright.machine.pump.test_points import Points, PumpFit, fit_points
from drumwright.product.law import FlowLaw
from drumwright.station.by_kind import defaults
from drumwright.station.stock_file import RawRow
from drumwright.station.stock_rows import Judged, StockRow

Array = NDArray[np.float64]
Fit = PumpFit | AirFit
# Fitted over drawn volume of a turn, or free flow: outside, points and drawing are not of one pump; assumed.
TURN_SHARE, AIR_SHARE = (0.75, 1.25), (0.5, 2.0)
WORST_ERROR = 0.2  # root mean square of flow over reading that a fit may have; assumed


class FoundPumps(NamedTuple):
    """Pumps that can be used, and the fits of those with test points, by article."""

    pumps: tuple[Pump, ...]
    fits: Mapping[str, Fit]


def pump_of(row: StockRow) -> Pump:
    """The pump of a row, by its geometry alone.

    Parameters
    ----------
    row : StockRow
        Of the kind "pump".

    Raises
    ------
    StockError
        If its fields do not fit each other.
    """
    fields = {name: list(value) if isinstance(value, tuple) else value for name, value in row.values.items()}
    family = str(fields.pop("family"))
    return pump_from_row(family, {**fields, "id": row.article, "name": row.name, "status": row.status})


def build_pumps(judged: Judged) -> FoundPumps:
    """Build every pump and fit those with test points; what cannot be used moves to the bad rows.

    Parameters
    ----------
    judged : Judged
        Rows as read; changed in place.

    Notes
    -----
    A pump whose test points cannot be used is bad as a whole: its drawing alone would say too much.
    """
    kept: list[tuple[StockRow, RawRow]] = []
    pumps: dict[str, Pump] = {}
    for row, raw in judged.rows:
        if row.kind == "pump":
            try:
                pumps[row.article] = pump_of(row)
            except StockError as error:
                judged.refuse(raw, [_wrong(raw, error)])
                continue
        kept.append((row, raw))
    points = [(row, raw) for row, raw in kept if row.kind == "test_point"]
    fits: dict[str, Fit] = {}
    lost: set[str] = set()
    for row, raw in points:
        if row.values["pump"] not in pumps:
            judged.refuse(raw, [raw.problem("pump", "STK-022", text=str(row.values["pump"]))])
            lost.add(str(row.values["pump"]))
    for article in dict.fromkeys(str(row.values["pump"]) for row, _ in points):
        if article not in pumps:
            continue
        own = [(row, raw) for row, raw in points if row.values["pump"] == article]
        holder = next(raw for row, raw in kept if row.article == article)
        problems = _incomplete(pumps[article], own) or _fit(pumps[article], own, holder, fits)
        if problems:
            judged.refuse(holder, problems)
            lost.add(article)
            del pumps[article]
    judged.rows = [
        (row, raw)
        for row, raw in kept
        if not (row.kind == "pump" and row.article in lost) and row.values.get("pump") not in lost
    ]
    return FoundPumps(tuple(fits[name].pump if name in fits else pumps[name] for name in pumps), fits)


def _wrong(raw: RawRow, error: StockError) -> Problem:
    name = error.field if error.field in raw.cells else ""
    what = f"{error.field} is {error.value}" if error.field else str(error)
    return raw.problem(name, "STK-023", text=what, allowed=error.allowed)


_NEEDS = {"air_diaphragm": ("air_pressure",)}
_TURNING = ("speed", "density")


def _incomplete(pump: Pump, own: Sequence[tuple[StockRow, RawRow]]) -> list[Problem]:
    """Rows that lack what a pump of this family needs."""
    needs = _NEEDS.get(pump.family, _TURNING)
    found = []
    for row, raw in own:
        lacking = [name for name in needs if name not in row.values]
        if lacking:
            slots = {"names": ", ".join(lacking), "words": ", ".join(needs)}
            found.append(raw.problem("", "STK-025", family=pump.family.replace("_", " "), **slots))
    return found


def _fit(
    pump: Pump, own: Sequence[tuple[StockRow, RawRow]], holder: RawRow, fits: dict[str, Fit]
) -> list[Problem]:
    rows = [row for row, _ in own]
    try:
        with np.errstate(over="ignore", invalid="ignore"):  # points of no pump are refused below
            fit = fit_rows(pump, rows)
            if isinstance(fit, PumpFit):
                fit.draws(1, 0)
    except np.linalg.LinAlgError:
        return [holder.problem("", "STK-028")]
    except FitError as error:
        what, _, rest = str(error).partition("; allowed: ")
        allowed, _, remedy = rest.partition("; do: ")
        return [holder.problem("", "STK-024", text=what, allowed=allowed, remedy=remedy)]
    against = _against_drawing(pump, fit, holder)
    if against is None:
        fits[pump.identifier] = fit
        return []
    return [against]


def _against_drawing(pump: Pump, fit: Fit, holder: RawRow) -> Problem | None:
    """Test points that no pump of this drawing can have given: mostly a wrong unit, or another pump."""
    drawn = pump.displacement
    found = fit.displacement.value if isinstance(fit, PumpFit) else 0.0
    if isinstance(fit, AirFit):
        drawn, found = diaphragm_of(pump).free_flow, fit.free_flow.value
    low, high = AIR_SHARE if isinstance(fit, AirFit) else TURN_SHARE
    ratio, error = found / drawn, fit.flow_error
    if not low <= ratio <= high:
        ends = {"low": f"{low:g}", "high": f"{high:g}"}
        what = "free flow" if isinstance(fit, AirFit) else "displacement"
        return holder.problem("", "STK-026", what=what, ratio=quantities.plain(ratio), **ends)
    if not error <= WORST_ERROR:
        texts = (quantities.show(value, "fraction", digits=2) for value in (error, WORST_ERROR))
        return holder.problem("", "STK-027", **dict(zip(("error", "limit"), texts, strict=True)))
    return None


def fit_rows(pump: Pump, rows: Sequence[StockRow]) -> Fit:
    """Fit a pump to rows of test points.

    Parameters
    ----------
    pump : Pump
        By its geometry.
    rows : sequence of StockRow
        Of the kind "test_point", complete for its family.

    Raises
    ------
    FitError
        If the points do not tell the pump.
    """

    def column(name: str) -> Array:
        return np.array([row.number(name) for row in rows])

    plain = np.isfinite(column("viscosity"))
    law = FlowLaw(
        np.where(plain, 0.0, column("yield_stress")),
        np.where(plain, column("viscosity"), column("consistency")),
        np.where(plain, 1.0, column("exponent")),
    )
    if pump.family == "air_diaphragm":
        return fit_air_points(
            pump, AirPoints(column("air_pressure"), column("pressure"), column("flow"), law)
        )
    speed, pressure, flow = (column(name) for name in ("speed", "pressure", "flow"))
    points = Points(speed, pressure, flow, column("torque"), law, column("density"))
    return fit_points(pump, points, _likely())


@cache
def _likely() -> Mapping[str, Array]:
    """Likely model quantities, for what a fit does not find itself."""
    return {key: np.array([row.estimate.likely]) for key, row in defaults().items()}
