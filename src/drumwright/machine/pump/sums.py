"""Basic sums of a positive-displacement pump: torque, efficiencies, suction head."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray


def torque_of(power: ArrayLike, speed: ArrayLike) -> NDArray[np.float64]:
    """Shaft torque [N m] from power [W] and speed [1/s].

    Parameters
    ----------
    power : array_like
        Shaft power [W].
    speed : array_like
        Shaft speed [1/s].
    """
    return np.asarray(power) / (2.0 * math.pi * np.asarray(speed))


def efficiencies(
    displacement: float, flow: float, speed: float, pressure: float, torque: float
) -> tuple[float, float, float]:
    """Volumetric, mechanical and overall efficiency of a positive-displacement pump.

    Parameters
    ----------
    displacement : float
        [m3 a revolution]
    flow, speed, pressure, torque : float
        [m3/s], [1/s], [Pa], [N m]
    """
    volumetric = flow / (displacement * speed)
    mechanical = displacement * pressure / (2.0 * math.pi * torque)
    return volumetric, mechanical, volumetric * mechanical


def suction_level(
    required_head: float,
    vapour_pressure: float,
    surface_pressure: float,
    density: float,
    lift: float,
    loss: float,
    gravity: float = 9.80665,
) -> float:
    """Lowest level [m] above datum that still gives the required net positive suction head [m].

    Parameters
    ----------
    required_head : float
        Net positive suction head the pump requires [m].
    vapour_pressure, surface_pressure : float
        Of the product, and on its free surface, absolute [Pa].
    density : float
        [kg/m3]
    lift : float
        Height of the pump inlet above datum z_s [m].
    loss : float
        Head lost in the suction line h_L [m].
    gravity : float
        [m/s2]

    Notes
    -----
    NPSH = (p_surface - p_v)/(rho g) + level - z_s - h_L; pressures absolute [Pa], heads [m].
    """
    return required_head - (surface_pressure - vapour_pressure) / (density * gravity) + lift + loss
