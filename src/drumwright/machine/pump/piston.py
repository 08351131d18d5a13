"""Follower-fed piston pump: pressure ratio, loading by its shovel plate, packing (physics book 4.9)."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.pipe import pressure_drop
from drumwright.machine.pump.records import Piston
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]
LOADING_SHARE = 0.5  # of a double stroke in which the cylinder loads; geometry of a rod that goes up and down


def area(geometry: Piston) -> float:
    """Area of the product cylinder [m2]."""
    return 0.25 * math.pi * geometry.bore**2


def stroke_volume(bore: float, stroke: float) -> float:
    """Volume of a double stroke [m3]: the cylinder is loaded once.

    Parameters
    ----------
    bore, stroke : float
        Of the product cylinder [m].
    """
    return 0.25 * math.pi * bore**2 * stroke


def air_ratio(ratio: float) -> float:
    """Air swept by the air motor over the product a double stroke loads [-].

    Parameters
    ----------
    ratio : float
        Air area over product area [-].

    Notes
    -----
    2 r: the air motor is filled on the way up and on the way down, the cylinder is loaded once.
    """
    return 2.0 * ratio


def stall_pressure(ratio: float, air_pressure: ArrayLike) -> Array:
    """Pressure on a closed outlet [Pa(g)]: r p_air.

    Parameters
    ----------
    ratio : float
        Air area over product area [-].
    air_pressure : array_like
        At the pump [Pa(g)].

    Notes
    -----
    Line and parts must be rated for it (physics book 4.9).
    """
    return np.asarray(ratio * np.asarray(air_pressure))


def shovel_pressure(geometry: Piston, air_pressure: ArrayLike, outlet_gauge: ArrayLike) -> Array:
    """Pressure the shovel plate puts on the product [Pa]: F_shovel / A_cyl, less where the outlet takes it.

    Parameters
    ----------
    geometry : Piston
    air_pressure, outlet_gauge : array_like
        Air at the pump and product at the outlet [Pa(g)].

    Notes
    -----
    The rod carries both: F_shovel <= A_cyl (r p_air - p_out); none is left at stall.
    """
    left = stall_pressure(geometry.ratio, air_pressure) - np.asarray(outlet_gauge)
    return np.asarray(np.clip(left, 0.0, geometry.shovel_force / area(geometry)))


def loading_loss(flow: ArrayLike, geometry: Piston, law: FlowLaw) -> Array:
    """Pressure [Pa] the product needs to enter the cylinder at a mean flow.

    Parameters
    ----------
    flow : array_like
        Mean flow; it enters in half of the time [m3/s].
    geometry : Piston
    law : FlowLaw
        Product at the temperature of the pump.

    Notes
    -----
    4 tau_y L/D + dp(K, n): pipe of the bore over the loading length (physics book 4.9).
    """
    entering = np.asarray(flow) / LOADING_SHARE
    loss = pressure_drop(
        entering, geometry.bore, geometry.loading_length, law.yield_stress, law.consistency, law.exponent
    )
    return np.asarray(loss)


def delivery_pressure(
    flow: ArrayLike,
    air_pressure: ArrayLike,
    geometry: Piston,
    port: float,
    free_flow: float,
    friction: ArrayLike,
    law: FlowLaw,
) -> Array:
    """Pressure at the outlet flange [Pa(g)] at a flow.

    Parameters
    ----------
    flow : array_like
        [m3/s]
    air_pressure : array_like
        At the pump [Pa(g)].
    geometry : Piston
    port : float
        Bore of checks and outlet [m].
    free_flow : float
        Flow against no pressure [m3/s].
    friction : array_like
        Share of the pressure that packings and air motor take [-].
    law : FlowLaw

    Notes
    -----
    p2 = r p_air (1 - phi) (1 - (Q/Q_free)^2) - dp_out, as for a diaphragm pump (physics book 4.8, 4.9).
    """
    ratio = np.minimum(np.asarray(flow) / free_flow, 1.0)
    outlet = pressure_drop(
        flow, port, geometry.outlet_diameters * port, law.yield_stress, law.consistency, law.exponent
    )
    driven = stall_pressure(geometry.ratio, air_pressure) * (1.0 - np.asarray(friction))
    return np.asarray(driven * (1.0 - np.square(ratio)) - np.asarray(outlet))
