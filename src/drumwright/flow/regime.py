"""Is the pipe flow laminar? Reynolds numbers, laminar limits, kinetic energy."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.numbers import Number, arrays, finish, require_positive

LAMINAR_LIMIT = 2100.0
LEAST_LIMIT = 990.0  # below the lowest limit any exponent from 0.05 up can have


def metzner_reed(flow: ArrayLike, diameter: ArrayLike, density: ArrayLike, wall_stress: ArrayLike) -> Number:
    """Reynolds number of Metzner and Reed from the laminar wall stress.

    Parameters
    ----------
    flow : float or ndarray
        Volume flow [m3/s].
    diameter : float or ndarray
        Inside diameter [m].
    density : float or ndarray
        [kg/m3]
    wall_stress : float or ndarray
        Laminar wall shear stress at this flow [Pa], more than zero.

    Returns
    -------
    float or ndarray
        Re_MR = 8 rho V^2/tau_w [-]; the Fanning factor is 16/Re_MR.

    Raises
    ------
    FlowOutOfRange
        If diameter or wall stress is not positive.
    """
    q, bore, rho, tau_w = arrays(flow, diameter, density, wall_stress)
    require_positive("diameter", bore)
    require_positive("wall stress", tau_w)
    velocity = q / (0.25 * np.pi * bore**2)
    return finish(8.0 * rho * velocity**2 / tau_w)


def ryan_johnson_limit(exponent: ArrayLike) -> Number:
    """Greatest laminar Reynolds number (Metzner-Reed) of a power-law product.

    Parameters
    ----------
    exponent : float or ndarray
        n [-]

    Returns
    -------
    float or ndarray
        6464 n (n+2)^((n+2)/(n+1))/(3n+1)^2 [-].

    Notes
    -----
    Ryan and Johnson (1959), formula from memory; 2100 at n = 1, greatest about 2400 near n = 0.4.
    """
    (n,) = arrays(exponent)
    return finish(6464.0 * n * (n + 2.0) ** ((n + 2.0) / (n + 1.0)) / (3.0 * n + 1.0) ** 2)


def hedstrom(
    diameter: ArrayLike, density: ArrayLike, yield_stress: ArrayLike, plastic_viscosity: ArrayLike
) -> Number:
    """Hedstrom number of a Bingham product.

    Parameters
    ----------
    diameter, density, yield_stress, plastic_viscosity : float or ndarray
        [m], [kg/m3], [Pa], [Pa s]

    Returns
    -------
    float or ndarray
        rho D^2 tau_y/mu^2 [-].
    """
    bore, rho, tau_y, mu = arrays(diameter, density, yield_stress, plastic_viscosity)
    return finish(rho * bore**2 * tau_y / mu**2)


def hanks_limit(hedstrom_number: ArrayLike) -> Number:
    """Greatest laminar Bingham Reynolds number rho V D/mu_p.

    Parameters
    ----------
    hedstrom_number : float or ndarray
        [-], zero or more

    Returns
    -------
    float or ndarray
        Critical Reynolds number [-]; 2100 at zero.

    Notes
    -----
    Hanks (1963), formula from memory: He = 16800 x/(1-x)^3, Re_c = He (1 - 4x/3 + x^4/3)/(8x); the cubic is
    solved in closed form, (1-x) = w with a w^3 + w = 1, a = He/16800. He/x = 16800/w^3 keeps zero regular.
    """
    (he,) = arrays(hedstrom_number)
    root = np.sqrt(3.0 * np.maximum(he / 16800.0, 1e-12))
    w = 2.0 / root * np.sinh(np.arcsinh(1.5 * root) / 3.0)
    x = 1.0 - w
    return finish(2100.0 / w**3 * (1.0 - 4.0 * x / 3.0 + x**4 / 3.0))


def laminar_limit(exponent: ArrayLike) -> Number:
    """Metzner-Reed number up to which a Herschel-Bulkley product is taken as laminar.

    Parameters
    ----------
    exponent : float or ndarray
        n [-]

    Returns
    -------
    float or ndarray
        The smaller of 2100 and Ryan and Johnson's limit [-].

    Notes
    -----
    Criteria differ for yield-stress products. Yield stress delays turbulence (Hanks), turbulent friction is
    the greater, so the smaller number without yield is the careful choice: it switches early, never late.
    """
    return finish(np.minimum(LAMINAR_LIMIT, ryan_johnson_limit(exponent)))


def kinetic_energy_factor(exponent: ArrayLike) -> Number:
    """Factor alpha of the kinetic energy of laminar power-law pipe flow: energy per mass V^2/alpha.

    Parameters
    ----------
    exponent : float or ndarray
        n [-]

    Returns
    -------
    float or ndarray
        alpha = 2 (2n+1)(5n+3)/(3 (3n+1)^2) [-]; 1 for a Newtonian product, 2 for plug flow.

    Notes
    -----
    Osorio and Steffe (1984), form from memory; the tests integrate the cube of the velocity.
    """
    (n,) = arrays(exponent)
    return finish(2.0 * (2.0 * n + 1.0) * (5.0 * n + 3.0) / (3.0 * (3.0 * n + 1.0) ** 2))
