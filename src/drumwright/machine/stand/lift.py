"""Drive that presses and raises the plate: forces, air, buckling of the rod, and a lost supply."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import GRAVITY

Array = NDArray[np.float64]
STEEL = 2.05e11  # Young's modulus of the rod [Pa]; physics book 14.2 A5: 200-210 GPa
BUCKLING_SAFETY = 3.0  # on the load of Euler; assumed


def cylinder_forces(
    air_pressure: ArrayLike, cylinders: int, bore: float, rod: float, efficiency: ArrayLike
) -> tuple[Array, Array]:
    """Force over the full piston and over the ring round its rod [N].

    Parameters
    ----------
    air_pressure : array_like
        [Pa(g)]; float or shape (n,).
    cylinders : int
        Number of cylinders.
    bore, rod : float
        Inside diameter of a cylinder and diameter of its rod [m].
    efficiency : array_like
        Share that friction in the cylinders leaves [-].

    Raises
    ------
    ValueError
        If the rod does not fit the cylinder.
    """
    if not 0.0 <= rod < bore:
        raise ValueError("the rod must be thinner than the bore")
    full = 0.25 * math.pi * bore**2
    ring = full - 0.25 * math.pi * rod**2
    push = np.asarray(air_pressure, float) * cylinders * np.asarray(efficiency)
    return np.asarray(push * full), np.asarray(push * ring)


def buckling_force(rod: float, free_length: ArrayLike, ends: float = 1.0) -> Array:
    """Compression at which a rod buckles [N].

    Parameters
    ----------
    rod : float
        Diameter [m].
    free_length : array_like
        Extended length [m].
    ends : float
        Effective over real length: 1 hinged at both ends, 2 free at one [-].

    Notes
    -----
    Euler: pi^2 E I / (k L)^2, I = pi d^4 / 64. Divide by `BUCKLING_SAFETY`.
    """
    inertia = math.pi * rod**4 / 64.0
    return np.asarray(math.pi**2 * STEEL * inertia / np.square(ends * np.asarray(free_length, float)))


def air_per_cycle(
    air_pressure: ArrayLike, atmosphere: ArrayLike, cylinders: int, bore: float, rod: float, stroke: ArrayLike
) -> Array:
    """Free air the cylinders use for one way down and up [m3 at atmospheric pressure].

    Parameters
    ----------
    air_pressure, atmosphere : array_like
        [Pa(g)], [Pa]
    cylinders : int
        Number of cylinders.
    bore, rod : float
        Inside diameter of a cylinder and diameter of its rod [m].
    stroke : array_like
        Of the plate [m].

    Notes
    -----
    Both chambers filled once at full pressure; pipes and valves not counted.
    """
    swept = cylinders * 0.25 * math.pi * (2.0 * bore**2 - rod**2) * np.asarray(stroke, float)
    outside = np.asarray(atmosphere, float)
    return np.asarray(swept * (outside + np.asarray(air_pressure)) / outside)


def fall(mass: ArrayLike, height: ArrayLike) -> tuple[Array, Array]:
    """Speed [m/s] and energy [J] of a plate that nothing holds, falling from a height: upper bounds.

    Parameters
    ----------
    mass : array_like
        Of plate and all that rides on it [kg].
    height : array_like
        Over the edge of the container [m].

    Notes
    -----
    sqrt(2 g h) and m g h: no friction, no air left in the cylinders. Why a raised plate is held by a valve on
    the cylinder or a mechanical catch, and not by the supply.
    """
    drop = np.asarray(height, float)
    return np.asarray(np.sqrt(2.0 * GRAVITY * drop)), np.asarray(np.asarray(mass) * GRAVITY * drop)


def holding_pressure(mass: ArrayLike, cylinders: int, section: float) -> Array:
    """Gauge pressure locked in the cylinders that carries the raised plate [Pa(g)].

    Parameters
    ----------
    mass : array_like
        Of plate and all that rides on it [kg].
    cylinders : int
        Number of cylinders.
    section : float
        Of one cylinder on the side that carries [m2].

    Notes
    -----
    What stands behind a pilot-operated check valve with the supply off: stored energy to be let out before
    work on the machine.
    """
    return np.asarray(np.asarray(mass, float) * GRAVITY / (cylinders * section))


def spindle_holds(lead: float, diameter: float, friction: float) -> bool:
    """Whether a screw spindle holds its load without a brake.

    Parameters
    ----------
    lead : float
        Travel a turn [m].
    diameter : float
        Mean diameter of the thread [m].
    friction : float
        Lowest friction coefficient of the thread, worn and greased [-].

    Notes
    -----
    Self-locking while lead / (pi d) < mu. Vibration loosens what only just holds: a brake is asked for within
    a factor of two.
    """
    return lead / (math.pi * diameter) < 0.5 * friction
