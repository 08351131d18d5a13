"""A diaphragm pump known by its test points: its flow against no pressure, fitted to its air curve."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.basis.errors import FitError
from drumwright.flow.pipe import pressure_drop
from drumwright.machine.pump.diaphragm_family import diaphragm_of
from drumwright.machine.pump.records import Diaphragm, Pump
from drumwright.machine.pump.robust_fit import robust_fit
from drumwright.machine.pump.test_points import FEWEST, Fitted, fitted
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]


class AirPoints(NamedTuple):
    """Test points of a diaphragm pump with a flooded suction; arrays of shape (m,)."""

    air_pressure: Array  # at the pump [Pa(g)]
    pressure: Array  # at the outlet flange [Pa(g)]
    flow: Array  # [m3/s]
    law: FlowLaw  # product of each point


@dataclass(frozen=True, slots=True)
class AirFit:
    """A diaphragm pump fitted to its test points; they say nothing of its suction."""

    pump: Pump  # with the fitted flow against no pressure
    free_flow: Fitted  # [m3/s]
    flow_error: float  # root mean square of flow over reading [-]
    air_range: tuple[float, float]  # [Pa(g)]
    pressure_range: tuple[float, float]  # [Pa(g)]

    def outside(self, air_pressure: ArrayLike, pressure: ArrayLike) -> NDArray[np.bool_]:
        """Whether a use lies outside the range of the points.

        Parameters
        ----------
        air_pressure, pressure : array_like
            Air at the pump and product at the outlet [Pa(g)].
        """
        air, out = np.asarray(air_pressure), np.asarray(pressure)
        beyond = (air < self.air_range[0]) | (air > self.air_range[1])
        return np.asarray(beyond | (out < self.pressure_range[0]) | (out > self.pressure_range[1]))


def fit_air_points(pump: Pump, points: AirPoints) -> AirFit:
    """Fit the flow against no pressure of a diaphragm pump.

    Parameters
    ----------
    pump : Pump
        Its ports and lengths are kept.
    points : AirPoints

    Returns
    -------
    AirFit

    Raises
    ------
    FitError
        If there are too few points, a value is not allowed, or a point lies above what its air can hold.
    TypeError
        If the pump is of another family.

    Notes
    -----
    p2 + dp_out(Q) = p_air (1 - (Q/Q_air)^2), residuals of the flow over its reading (physics book 4.8).
    """
    own = diaphragm_of(pump)
    root = np.sqrt(_share(own, pump.port, points))
    ratio = root / points.flow

    def residuals(logarithm: Array) -> Array:
        return np.asarray(np.exp(logarithm[0]) * ratio - 1.0)

    wide = np.array([math.inf])
    start = np.array([-math.log(float(np.median(ratio)))])
    block = np.zeros(points.flow.size, dtype=np.intp)
    solution = robust_fit(residuals, start, block, -wide, wide)
    found = fitted(solution, 0)
    return AirFit(
        pump=replace(pump, geometry=replace(own, free_flow=found.value)),
        free_flow=found,
        flow_error=float(np.sqrt(np.mean(np.square(residuals(solution.parameters))))),
        air_range=(float(np.min(points.air_pressure)), float(np.max(points.air_pressure))),
        pressure_range=(float(np.min(points.pressure)), float(np.max(points.pressure))),
    )


def _share(own: Diaphragm, port: float, points: AirPoints) -> Array:
    """What is left of the air for the flow, over its pressure; refuses points that cannot be."""
    count = points.flow.size
    if count < FEWEST:
        raise FitError(f"{count} test points; allowed: {FEWEST} or more; do: measure more")
    for name in ("air_pressure", "flow"):
        value = np.asarray(getattr(points, name))
        if not (np.all(np.isfinite(value)) and np.all(value > 0.0)):
            raise FitError(f"a test point has no {name} above zero; allowed: above zero; do: correct the row")
    if not (np.all(np.isfinite(points.pressure)) and np.all(points.pressure >= 0.0)):
        raise FitError("a test point has no pressure; allowed: zero or more; do: correct the row")
    length = own.discharge_diameters * port
    law = points.law
    outlet = pressure_drop(points.flow, port, length, law.yield_stress, law.consistency, law.exponent)
    left = 1.0 - (points.pressure + np.asarray(outlet)) / points.air_pressure
    if np.any(left <= 0.0):
        raise FitError(
            "a test point delivers against more than its air can hold; allowed: outlet pressure and outlet "
            "loss below the air pressure; do: check the row"
        )
    return np.asarray(left)
