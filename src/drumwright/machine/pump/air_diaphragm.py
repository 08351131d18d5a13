"""Air-operated double-diaphragm pump, ratio 1:1 (physics book 4.8 with section 14).

Suction decides with thick product: the loss up to the inlet valves counts as a pipe of the port's bore
with 25 diameters of bends and 31 of the lifting ball.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.pipe import pressure_drop, yield_only_pressure
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]


def suction_equivalent_length(port: float, length: float, diameters: float) -> float:
    """Equivalent length [m] from the pump's inlet flange past the inlet valve.

    Parameters
    ----------
    port, length : float
        Port bore and straight length [m].
    diameters : float
        Bends and ball as equivalent diameters [-].
    """
    return length + diameters * port


def suction_loss(flow: ArrayLike, port: float, length: float, diameters: float, law: FlowLaw) -> Array:
    """Pressure [Pa] lost between inlet flange and pump chamber at a flow [m3/s].

    Parameters
    ----------
    flow : array_like
        Mean flow; the suction stroke of one chamber carries it [m3/s].
    port, length : float
        Port bore and straight length [m].
    diameters : float
        Bends and ball as equivalent diameters [-].
    law : FlowLaw
        Product.
    """
    equivalent = suction_equivalent_length(port, length, diameters)
    return np.asarray(pressure_drop(flow, port, equivalent, law.yield_stress, law.consistency, law.exponent))


def suction_yield(port: float, length: float, diameters: float, law: FlowLaw) -> Array:
    """Pressure [Pa] that yield alone takes before any product reaches the chamber.

    Parameters
    ----------
    port, length : float
        Port bore and straight length [m].
    diameters : float
        Bends and ball as equivalent diameters [-].
    law : FlowLaw
        Product; only its yield stress counts.
    """
    equivalent = suction_equivalent_length(port, length, diameters)
    return np.asarray(yield_only_pressure(law.yield_stress, equivalent, port))


def delivery_pressure(
    flow: ArrayLike, air_pressure: ArrayLike, free_flow: float, port: float, diameters: float, law: FlowLaw
) -> Array:
    """Pressure at the outlet flange [Pa(g)] at a flow [m3/s].

    Parameters
    ----------
    flow : array_like
        [m3/s]; float or shape (n,).
    air_pressure : array_like
        Air at the pump [Pa(g)].
    free_flow : float
        Flow against no pressure Q_air [m3/s].
    port : float
        Port bore [m].
    diameters : float
        What the outlet side counts as, in equivalent diameters [-].
    law : FlowLaw
        Product.

    Notes
    -----
    p2 = p_air (1 - (Q/Q_air)^2) - dp_out; the pump stalls at p_air and resumes by itself.
    """
    ratio = np.minimum(np.asarray(flow) / free_flow, 1.0)
    outlet = pressure_drop(flow, port, diameters * port, law.yield_stress, law.consistency, law.exponent)
    return np.asarray(np.asarray(air_pressure) * (1.0 - np.square(ratio)) - np.asarray(outlet))
