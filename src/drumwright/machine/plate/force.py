"""Force balance of a follower plate: what pressure stands under it."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import GRAVITY


def ram_force(
    air_pressure: ArrayLike, cylinders: int, bore: float, efficiency: ArrayLike
) -> NDArray[np.float64]:
    """Force [N] of pneumatic cylinders, gauge air pressure [Pa], bore [m] (physics book 1.1).

    Parameters
    ----------
    air_pressure : array_like
        Gauge pressure in the cylinders [Pa(g)]; float or shape (n,).
    cylinders : int
        Number of cylinders.
    bore : float
        Inside diameter of a cylinder [m].
    efficiency : array_like
        Share of the force that friction in the cylinders leaves [-].
    """
    area = cylinders * 0.25 * math.pi * bore**2
    return np.asarray(np.asarray(air_pressure) * area * np.asarray(efficiency))


def seal_friction(
    contact_pressure: ArrayLike, contact_width: ArrayLike, friction: ArrayLike, diameter: ArrayLike
) -> NDArray[np.float64]:
    """Friction force [N] of one lip on the wall: mu p_c b_c pi D (physics book 1.1).

    Parameters
    ----------
    contact_pressure : array_like
        Mean pressure of the lip on the wall [Pa].
    contact_width : array_like
        Of the lip along the wall [m].
    friction : array_like
        Friction coefficient of lip on wall [-].
    diameter : array_like
        Inside diameter of the drum [m].
    """
    return np.asarray(
        math.pi
        * np.asarray(friction)
        * np.asarray(contact_pressure)
        * np.asarray(contact_width)
        * np.asarray(diameter)
    )


def net_force(
    plate_mass: ArrayLike, ram: ArrayLike, friction: ArrayLike, wedge: ArrayLike = 0.0
) -> NDArray[np.float64]:
    """Net force [N] of the plate on the product: m g + F_ram - F_seal - F_wedge (physics book 1.1).

    Parameters
    ----------
    plate_mass : array_like
        Mass of plate and all that rides on it [kg].
    ram : array_like
        Force of the cylinders, downward [N].
    friction : array_like
        Friction of the seal on the wall [N].
    wedge : array_like
        Upward force of a seal on a wall that widens upwards [N] (`seals.wedge_force`).
    """
    down = np.asarray(plate_mass) * GRAVITY + np.asarray(ram)
    return np.asarray(down - np.asarray(friction) - np.asarray(wedge))


def atmospheric_pressure(altitude: ArrayLike) -> NDArray[np.float64]:
    """Atmospheric pressure [Pa] at an altitude [m], barometric formula of the standard atmosphere.

    Notes
    -----
    p = 101325 (1 - 2.25577e-5 z)^5.25588, constants from memory of the standard atmosphere.
    """
    return np.asarray(101325.0 * (1.0 - 2.25577e-5 * np.asarray(altitude, float)) ** 5.25588)
