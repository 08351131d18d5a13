"""The shear rates at which an assessed machine reads the flow curve."""

from __future__ import annotations

from math import pi

import numpy as np

from drumwright.machine.pump.progressing_cavity import hydraulic_diameter, seal_line_per_stage
from drumwright.machine.pump.records import Cavity
from drumwright.product.ranges import USUAL, Need
from drumwright.station.by_kind import defaults
from drumwright.station.stock import Stock, generic_stock
from drumwright.study.result import Arrangement, Result

FIGURES = ("line.wall_shear_rate", "pump.speed", "pump.sliding_speed", "pump.slip", "residue.flow_gap")


def needs_of(result: Result, also_asked: bool = False, stock: Stock | None = None) -> tuple[Need, ...]:
    """Return the shear rates at which an assessed machine reads the flow curve.

    Parameters
    ----------
    result : Result
        A finished answer.
    also_asked : bool
        Whether the arrangement as asked counts beside the recommended one.
    stock : Stock, optional
        Its pumps are of; the generic one where None.

    Returns
    -------
    tuple of Need
        Places that could be computed, the usual ones for the rest [1/s].

    Notes
    -----
    Line: the figure itself. Cavity: 8 v/d with the axial speed of the cavity. Seal line: sliding speed over
    film. Slip: 6 S/(L c^2). Gap: 6 Q/(2 pi r h^2) at the port edge. The last four are the Newtonian forms; a
    thinning product shears up to twice as fast at the wall.
    """
    rates: dict[str, list[float]] = {}
    if result.recommended is not None:
        _collect(rates, result, result.recommended, "recommended.", stock)
    if result.recommended is None or also_asked:
        _collect(rates, result, result.asked_arrangement, "", stock)
    found = {need.place: need for need in USUAL}
    for place, values in rates.items():
        finite = [rate for rate in values if np.isfinite(rate) and rate > 0.0]
        if finite:
            found[place] = Need(place, min(finite), max(finite), True)
    return tuple(found.values())


def _collect(
    rates: dict[str, list[float]], result: Result, arrangement: Arrangement, head: str, stock: Stock | None
) -> None:
    """Add the shear rates of one arrangement by place [1/s]."""
    values: dict[str, list[float]] = {key: [] for key in FIGURES}
    for item in result.figures:
        if item.key.startswith(head) and item.key.removeprefix(head) in values:
            values[item.key.removeprefix(head)] += [item.low, item.high]

    def add(place: str, found: list[float]) -> None:
        rates.setdefault(place, []).extend(found)

    add("line", values["line.wall_shear_rate"])
    part = next((each for each in arrangement.parts if each.role == "pump" and each.stock), None)
    pump = (stock or generic_stock()).find(part.stock) if part is not None else None
    if pump is not None and isinstance(own := pump.geometry, Cavity):
        geometry = (own.eccentricity, own.rotor_diameter)
        film = defaults()["model.drag_film"].estimate
        gap = defaults()["model.clearance"].estimate.likely
        line = seal_line_per_stage(*geometry, own.stator_pitch)
        axial = 8.0 * own.stator_pitch / hydraulic_diameter(*geometry)
        add("cavity", [axial * v for v in values["pump.speed"]])
        add("seal_line", [v / f for v in values["pump.sliding_speed"] for f in (film.low, film.high)])
        add("slip", [6.0 * v / (line * gap**2) for v in values["pump.slip"]])
    plate = next((each for each in arrangement.parts if each.role == "plate" and each.size), None)
    flow = next((item.likely for item in result.figures if item.key == head + "station.flow"), 0.0)
    if plate is not None and plate.size and flow > 0.0:
        around = pi * plate.size
        add("gap", [6.0 * flow / (around * h**2) for h in values["residue.flow_gap"] if h > 0.0])
