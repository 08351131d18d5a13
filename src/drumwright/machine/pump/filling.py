"""How fast a chamber of a pump can fill: the product follows it as through a pipe (physics book 4.4)."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.pipe import flow_rate, pressure_drop
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]


def _factor_for(law: FlowLaw, factor: ArrayLike) -> Array:
    """Filling factor of this product from the Newtonian one: k_f^((1+n)/2)."""
    return np.asarray(np.asarray(factor) ** (0.5 * (1.0 + np.asarray(law.exponent))))


def filling_loss(
    speed: ArrayLike, diameter: float, advance: float, length: float, law: FlowLaw, factor: ArrayLike
) -> Array:
    """Pressure [Pa] the product needs to follow into a chamber that moves on at a speed.

    Parameters
    ----------
    speed : array_like
        [1/s]
    diameter : float
        Hydraulic diameter of the chamber [m].
    advance : float
        Way of the chamber in a revolution [m].
    length : float
        Length of the chamber in the direction it moves [m].
    law : FlowLaw
        Product at the temperature of the pump.
    factor : array_like
        Filling factor k_f of a Newtonian product [-].

    Notes
    -----
    k_f^((1+n)/2) times the pipe loss over the length at the mean velocity advance x speed. k_f is the factor
    of a Newtonian product; a loss goes with d^-(1+n), so a yield-stress or shear-thinning product sees less
    of it: 1/1.3/1.6 for the yield part at 1/1.7/2.6 (physics book 4.4 with 14.1 C3).
    """
    flow = advance * np.asarray(speed) * 0.25 * math.pi * diameter**2
    loss = pressure_drop(flow, diameter, length, law.yield_stress, law.consistency, law.exponent)
    return np.asarray(_factor_for(law, factor) * np.asarray(loss))


def filling_speed(
    available: ArrayLike, diameter: float, advance: float, length: float, law: FlowLaw, factor: ArrayLike
) -> Array:
    """Speed [1/s] above which a chamber no longer fills; the inverse of `filling_loss`.

    Parameters
    ----------
    available : array_like
        Pressure at the inlet above what the product must keep [Pa]; below zero counts as none.
    diameter : float
        Hydraulic diameter of the chamber [m].
    advance : float
        Way of the chamber in a revolution [m].
    length : float
        Length of the chamber in the direction it moves [m].
    law : FlowLaw
        Product at the temperature of the pump.
    factor : array_like
        Filling factor k_f of a Newtonian product [-].
    """
    pressure = np.maximum(np.asarray(available), 0.0) / _factor_for(law, factor)
    flow = flow_rate(pressure, diameter, length, law.yield_stress, law.consistency, law.exponent)
    return np.asarray(flow) / (0.25 * math.pi * diameter**2 * advance)
