"""Liquids with published viscosity, to check a viscometer or this program against."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.numbers import Number, arrays, finish

ICE_POINT = 273.15
WATER_DENSITY_20C = 998.2  # kg/m3
SUCROSE_CRYSTAL_DENSITY = 1587.0  # kg/m3, from memory


def glycerol_water_viscosity(mass_fraction: ArrayLike, temperature: ArrayLike) -> Number:
    """Viscosity of a glycerol-water mixture.

    Parameters
    ----------
    mass_fraction : float or ndarray
        Glycerol in the mixture [kg/kg].
    temperature : float or ndarray
        [K], 273 to 373.

    Returns
    -------
    float or ndarray
        Viscosity [Pa s].

    Notes
    -----
    Cheng, Ind. Eng. Chem. Res. 47 (2008) 3285, Eqs. 6, 21, 22, with t in degrees Celsius:
    mu = mu_w^alpha mu_g^(1-alpha), alpha = 1 - c + a b c (1-c)/(a c + b (1-c)),
    a = 0.705 - 0.0017 t, b = (4.9 + 0.036 t) a^2.5.
    """
    c, kelvin = arrays(mass_fraction, temperature)
    t = kelvin - ICE_POINT
    water = 1.790e-3 * np.exp((-1230.0 - t) * t / (36100.0 + 360.0 * t))
    glycerol = 12.1 * np.exp((-1233.0 + t) * t / (9900.0 + 70.0 * t))
    a = 0.705 - 0.0017 * t
    b = (4.9 + 0.036 * t) * a**2.5
    alpha = 1.0 - c + a * b * c * (1.0 - c) / (a * c + b * (1.0 - c))
    return finish(np.asarray(water**alpha * glycerol ** (1.0 - alpha)))


def sucrose_density_20c(mass_fraction: ArrayLike) -> Number:
    """Density of a sucrose solution at 20 degrees Celsius from its parts.

    Parameters
    ----------
    mass_fraction : float or ndarray
        Sucrose in the solution [kg/kg].

    Returns
    -------
    float or ndarray
        Density [kg/m3].

    Notes
    -----
    Volumes of crystal (1587 kg/m3, from memory) and water added; 0.2 % low at 60 %.
    """
    (c,) = arrays(mass_fraction)
    return finish(1.0 / (c / SUCROSE_CRYSTAL_DENSITY + (1.0 - c) / WATER_DENSITY_20C))
