"""Flat bottom of a container under inner pressure: a thin round plate, clamped at the chime.

Small deflection (of the order of the thickness at most) and large deflection, where the sheet carries as a
membrane. A dished bottom is stiffer and is not modelled.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def small_deflection(
    pressure: ArrayLike, radius: ArrayLike, thickness: ArrayLike, modulus: ArrayLike, poisson: ArrayLike
) -> Array:
    """Deflection in the middle [m] by plate bending alone; holds up to about half the thickness.

    Parameters
    ----------
    pressure : array_like
        Gauge pressure above the plate [Pa(g)].
    radius, thickness : array_like
        Of the plate [m].
    modulus, poisson : array_like
        Young's modulus [Pa] and Poisson's ratio [-].

    Notes
    -----
    w = p a^4/(64 D), D = E t^3/(12 (1 - nu^2)): clamped round plate, held against the exact
    polynomial in the tests.
    """
    stiffness = np.asarray(modulus) * np.power(thickness, 3) / (12.0 * (1.0 - np.square(poisson)))
    return np.asarray(np.asarray(pressure) * np.power(radius, 4) / (64.0 * stiffness))


def small_deflection_stress(pressure: ArrayLike, radius: ArrayLike, thickness: ArrayLike) -> Array:
    """Bending stress at the clamped edge [Pa] by plate bending alone: 0.75 p (a/t)^2.

    Parameters
    ----------
    pressure : array_like
        Gauge pressure above the plate [Pa(g)].
    radius, thickness : array_like
        Of the plate [m].
    """
    return np.asarray(0.75 * np.asarray(pressure) * np.square(np.asarray(radius) / np.asarray(thickness)))


def pressure_for(
    deflection: ArrayLike, radius: ArrayLike, thickness: ArrayLike, modulus: ArrayLike, poisson: ArrayLike
) -> Array:
    """Pressure [Pa(g)] that presses the middle down by a deflection, large ones included.

    Parameters
    ----------
    deflection : array_like
        In the middle [m].
    radius, thickness : array_like
        Of the plate [m].
    modulus, poisson : array_like
        Young's modulus [Pa] and Poisson's ratio [-].

    Notes
    -----
    p a^4/(E t^4) = [5.33 y + 3.2 y^3]/(1 - nu^2), y = w/t: edge clamped and held. The first constant is
    16/3, plate bending; the second is our own fit to a numerical solution of von Karman's plate equations,
    which the tests repeat: within 9 % up to eight thicknesses for nu of 0.3 and 0.4. (A constant of 2.6,
    remembered from a handbook, fell 20 % short of it.)
    """
    y = np.asarray(deflection, float) / np.asarray(thickness)
    scale = np.asarray(modulus) * np.power(np.asarray(thickness) / np.asarray(radius), 4)
    return np.asarray(scale * (16.0 / 3.0 * y + 3.2 * y**3) / (1.0 - np.square(poisson)))


def bottom_limit(
    allowed_stress: ArrayLike,
    radius: ArrayLike,
    thickness: ArrayLike,
    modulus: ArrayLike,
    poisson: ArrayLike,
    clearance: ArrayLike = np.inf,
) -> Array:
    """Inner pressure [Pa(g)] at which a flat bottom reaches its allowed stress at the edge.

    Parameters
    ----------
    allowed_stress : array_like
        Of the bottom [Pa].
    radius, thickness : array_like
        Of the plate [m].
    modulus, poisson : array_like
        Young's modulus [Pa] and Poisson's ratio [-].
    clearance : array_like
        Height of the bottom above a flat floor [m]; infinite for a free bottom (on a pallet with gaps).

    Returns
    -------
    ndarray
        Pressure; infinite where the bottom rests on the floor before it reaches the stress.

    Notes
    -----
    With Q = p a^4/(E t^4) and S = s a^2/(E t^2): Q = [(S/0.75)^2.25 + (S/1.85)^3.375]^(1/2.25). The first
    part is plate bending, S = 0.75 Q; the second, S ~ Q^(2/3), a membrane. Exponents and 1.85 are our own
    fit to the numerical solution named in `pressure_for`: within 6 % for Q from 2 to 2000.
    """
    scale = np.asarray(modulus) * np.square(np.asarray(thickness) / np.asarray(radius))
    stress = np.asarray(allowed_stress, float) / scale
    load = ((stress / 0.75) ** 2.25 + (stress / 1.85) ** 3.375) ** (1.0 / 2.25)
    limit = load * scale * np.square(np.asarray(thickness) / np.asarray(radius))
    gap = np.asarray(clearance, float)
    free = np.isinf(gap)
    resting = pressure_for(np.where(free, 0.0, gap), radius, thickness, modulus, poisson)
    return np.asarray(np.where(~free & (resting < limit), np.inf, limit))
