"""Leakage back through a narrow gap of a pump (physics book 4.3, C2): slot, floor and orifice."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.slot import flow_per_width
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]
DISCHARGE_COEFFICIENT = 0.6  # of the orifice cap on slip; from memory


def slip(
    stage_pressure: ArrayLike,
    clearance: ArrayLike,
    seal_length: ArrayLike,
    line_length: float,
    density: ArrayLike,
    law: FlowLaw,
    floor_viscosity: ArrayLike,
) -> Array:
    """Leakage back through a seal line [m3/s].

    Parameters
    ----------
    stage_pressure : array_like
        Pressure over one seal line [Pa].
    clearance, seal_length : array_like
        Gap and its length in flow direction [m].
    line_length : float
        Length of the seal line across the flow [m].
    density : array_like
        [kg/m3]
    law : FlowLaw
        Flow curve of the product; evaluated at the shear rate of the gap.
    floor_viscosity : array_like
        Least viscosity at that shear rate [Pa s].

    Notes
    -----
    Laminar slot with tau_w = dp c / (2 b_s), the stress at least eta_inf times the shear rate, and never
    more than the orifice C_d c L sqrt(2 dp / rho) (physics book 4.3, C2). The floor is taken as the
    smaller of the two slot flows, an upper bound of the exact one.
    """
    pressure = np.maximum(np.asarray(stage_pressure), 0.0)
    gap = np.asarray(clearance)
    stress = pressure * gap / (2.0 * np.asarray(seal_length))
    laminar = flow_per_width(stress, gap, law.yield_stress, law.consistency, law.exponent)
    floored = flow_per_width(stress, gap, 0.0, floor_viscosity, 1.0)
    orifice = DISCHARGE_COEFFICIENT * gap * np.sqrt(2.0 * pressure / np.asarray(density))
    return np.asarray(np.minimum(np.minimum(laminar, floored), orifice) * line_length)


def shear_rate(leak: ArrayLike, clearance: ArrayLike, line_length: float) -> Array:
    """Nominal shear rate of a leak at the wall of its gap [1/s]: 6 q / c^2.

    Parameters
    ----------
    leak : array_like
        [m3/s]
    clearance : array_like
        [m]
    line_length : float
        Length of the seal line across the flow [m].

    Notes
    -----
    Exact for a Newtonian product; nominal for others.
    """
    return np.asarray(6.0 * np.asarray(leak) / (line_length * np.square(np.asarray(clearance))))
