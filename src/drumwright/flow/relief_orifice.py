"""Orifice of a relief valve for a Newtonian liquid; a product with yield stress has no such formula."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from drumwright.basis.errors import FlowOutOfRange
from drumwright.flow.numbers import Number, arrays, finish, require_not_negative, require_positive

LEAST_REYNOLDS = 80.0  # the formula of the 10th edition holds above it
STEPS = 60


def relief_reynolds(flow: ArrayLike, density: ArrayLike, viscosity: ArrayLike, area: ArrayLike) -> Number:
    """Reynolds number of a relief orifice: 2 rho Q/(mu sqrt(pi A)) [-].

    Parameters
    ----------
    flow, density, viscosity : array_like
        [m3/s], [kg/m3], [Pa s]
    area : array_like
        Of the orifice [m2].

    Raises
    ------
    FlowOutOfRange
        If viscosity or area is not positive.

    Notes
    -----
    The 18800 Q G/(mu sqrt(A)) of API 520-1 in SI units (exact constant 18806).
    """
    q, rho, mu, orifice = arrays(flow, density, viscosity, area)
    require_positive("viscosity", mu)
    require_positive("area", orifice)
    return finish(np.asarray(2.0 * rho * q / (mu * np.sqrt(np.pi * orifice))))


def viscosity_correction(reynolds: ArrayLike, edition: Literal["7E", "10E"] = "10E") -> Number:
    """Factor K_v on the capacity of a relief valve in a viscous liquid.

    Parameters
    ----------
    reynolds : array_like
        `relief_reynolds` [-].
    edition : str
        "10E" for the 10th, "7E" for the 7th to 9th edition.

    Returns
    -------
    float or ndarray
        K_v [-], at most 1.

    Raises
    ------
    FlowOutOfRange
        If the Reynolds number is not above 80, below which no edition claims the formula, or the edition is
        neither.

    Notes
    -----
    API Std 520 Part I, as quoted in the documentation of the library fluids 1.3.1: 10th edition
    (1 + 170/Re)^-0.5, applicable for Re > 80; 7th to 9th (0.9935 + 2.878/Re^0.5 + 342.75/Re^1.5)^-1.
    """
    (re,) = arrays(reynolds)
    if re.size and not re.min() > LEAST_REYNOLDS:
        raise FlowOutOfRange(
            f"relief correction holds above a Reynolds number of {LEAST_REYNOLDS:g}, got {re.min():g}"
        )
    if edition == "10E":
        return finish(np.asarray((1.0 + 170.0 / re) ** -0.5))
    if edition == "7E":
        return finish(np.asarray(np.minimum(1.0 / (0.9935 + 2.878 / re**0.5 + 342.75 / re**1.5), 1.0)))
    raise FlowOutOfRange(f"edition must be 7E or 10E, got {edition}")


def liquid_orifice(
    flow: ArrayLike,
    density: ArrayLike,
    pressure_difference: ArrayLike,
    correction: ArrayLike = 1.0,
    discharge: ArrayLike = 0.65,
    back_pressure_factor: ArrayLike = 1.0,
    disc_factor: ArrayLike = 1.0,
) -> Number:
    """Area a relief valve needs for a liquid.

    Parameters
    ----------
    flow, density : array_like
        [m3/s], [kg/m3]
    pressure_difference : array_like
        Relieving less back pressure [Pa], above zero.
    correction : array_like
        `viscosity_correction` [-].
    discharge : array_like
        K_d [-], 0.65 for a first size.
    back_pressure_factor, disc_factor : array_like
        K_w and K_c [-].

    Returns
    -------
    float or ndarray
        Area [m2].

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    A = Q sqrt(rho/(2 dp))/(K_d K_w K_c K_v): 11.78 Q sqrt(G/dp) of API Std 520 Part I in SI units (11.785).
    """
    q, rho, dp = arrays(flow, density, pressure_difference)
    k_v, k_d, k_w = arrays(correction, discharge, back_pressure_factor)
    (k_c,) = arrays(disc_factor)
    require_not_negative("flow", q)
    for name, value in (("density", rho), ("pressure difference", dp), ("correction", k_v), ("K_d", k_d),
                        ("K_w", k_w), ("K_c", k_c)):  # fmt: skip
        require_positive(name, value)
    return finish(np.asarray(q * np.sqrt(rho / (2.0 * dp)) / (k_d * k_w * k_c * k_v)))


def viscous_orifice(
    flow: ArrayLike,
    density: ArrayLike,
    viscosity: ArrayLike,
    pressure_difference: ArrayLike,
    discharge: ArrayLike = 0.65,
    edition: Literal["7E", "10E"] = "10E",
) -> Number:
    """Area a relief valve needs for a Newtonian liquid, its viscosity counted at that area.

    Parameters
    ----------
    flow, density, viscosity : array_like
        [m3/s], [kg/m3], [Pa s]
    pressure_difference : array_like
        Relieving less back pressure [Pa], above zero.
    discharge : array_like
        K_d [-].
    edition : str
        As in `viscosity_correction`.

    Returns
    -------
    float or ndarray
        Area [m2]; not-a-number where the Reynolds number does not stay above 80: no formula, a test.

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    Fixed point of area and correction. A larger area lowers the Reynolds number and with it the correction,
    so the area only grows from the first one.
    """
    plain = np.asarray(liquid_orifice(flow, density, pressure_difference, 1.0, discharge))
    area = plain.copy()
    lost = np.zeros(area.shape, dtype=bool)
    for _ in range(STEPS):
        re = np.asarray(relief_reynolds(flow, density, viscosity, area))
        lost = lost | (re <= LEAST_REYNOLDS)
        area = plain / np.asarray(viscosity_correction(np.where(lost, 1e6, re), edition))
    return finish(np.asarray(np.where(lost, np.nan, area)))
