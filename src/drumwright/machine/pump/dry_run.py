"""How long a progressing cavity pump stands running dry (physics book 4.6 with A9)."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]
CONDUCTIVITY, HEAT_CAPACITY = 0.25, 2.0e6  # of the rubber [W/mK], [J/m3K]; physics book 4.6, from memory
CONCENTRATION = (3.0, 21.0)  # x, local over mean heat flux; physics book A9 (3/8/21), estimate
WARMING = 60.0  # K


def heat_flux(
    friction_torque: ArrayLike, speed: ArrayLike, rotor_diameter: float, length: float, factor: ArrayLike
) -> Array:
    """Friction heat into the rubber [W/m2]: q = x T_f omega / (pi D z Ps).

    Parameters
    ----------
    friction_torque : array_like
        Of the press fit [N m].
    speed : array_like
        [1/s]
    rotor_diameter, length : float
        Of the rotor and of all stages [m].
    factor : array_like
        Local over mean flux x [-].

    Notes
    -----
    All heat into the rubber, although a metal rotor takes more (A9): the short side.
    """
    power = np.asarray(friction_torque) * 2.0 * math.pi * np.asarray(speed)
    return np.asarray(np.asarray(factor) * power / (math.pi * rotor_diameter * length))


def time_to_warm(flux: ArrayLike, warming: float = WARMING) -> Array:
    """Time [s] to warm the face of the rubber by so much; infinite without flux.

    Parameters
    ----------
    flux : array_like
        [W/m2]
    warming : float
        [K]

    Notes
    -----
    Half space: dT = 2 q sqrt(t/(pi k rho c)), solved for t.
    """
    q = np.asarray(flux, dtype=np.float64)
    with np.errstate(divide="ignore"):
        return np.asarray(math.pi * CONDUCTIVITY * HEAT_CAPACITY * np.square(0.5 * warming / q))
