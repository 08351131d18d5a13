"""Another estimate of the loss into the port, for stiff pastes measured in an extrusion rheometer."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
BULK = math.sqrt(3.0)  # bulk yield stress over shear yield stress (von Mises)


def paste_entry(
    bulk_yield: ArrayLike,
    bulk_slope: ArrayLike,
    bulk_exponent: ArrayLike,
    outlet_speed: ArrayLike,
    diameter: ArrayLike,
    port: ArrayLike,
) -> Array:
    """Pressure that brings a paste from a wide container into a port [Pa].

    Parameters
    ----------
    bulk_yield : array_like
        Yield stress of the paste in stretching [Pa]; `BULK` times that in shear where it was not measured.
    bulk_slope, bulk_exponent : array_like
        Of the rate dependence [Pa (s/m)^m], [-].
    outlet_speed : array_like
        Mean speed in the port [m/s].
    diameter, port : array_like
        Of container and port [m].

    Notes
    -----
    P = 2 (s0 + a V^m) ln(D0/D), Benbow and Bridgwater, Paste Flow and Extrusion (1993), formula from
    memory. With s0 = sqrt3 tau_y and a = 0: the plastic part of a sink that slips, 2 sqrt3 tau_y ln(R/r0).
    """
    stress = np.asarray(bulk_yield) + np.asarray(bulk_slope) * np.power(outlet_speed, bulk_exponent)
    return np.asarray(2.0 * stress * np.log(np.asarray(diameter, float) / np.asarray(port)))


def paste_land(
    wall_yield: ArrayLike,
    wall_slope: ArrayLike,
    wall_exponent: ArrayLike,
    outlet_speed: ArrayLike,
    length: ArrayLike,
    port: ArrayLike,
) -> Array:
    """Pressure that moves a paste through the throat behind the port [Pa].

    Parameters
    ----------
    wall_yield : array_like
        Shear stress at the wall without speed [Pa].
    wall_slope, wall_exponent : array_like
        Of the rate dependence [Pa (s/m)^p], [-].
    outlet_speed : array_like
        Mean speed in the throat [m/s].
    length, port : array_like
        Of the throat [m].

    Notes
    -----
    P = 4 (t0 + b V^p) L/D, source as in `paste_entry`.
    """
    stress = np.asarray(wall_yield) + np.asarray(wall_slope) * np.power(outlet_speed, wall_exponent)
    return np.asarray(4.0 * stress * np.asarray(length) / np.asarray(port))
