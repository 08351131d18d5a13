"""Film of product on something drawn out of it, and the film air leaves behind in a pipe it empties."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.drainage import wall_film
from drumwright.flow.numbers import (
    GRAVITY,
    Array,
    Number,
    arrays,
    finish,
    require_not_negative,
    require_positive,
)

PLATE = 0.94576  # h over capillary length and Ca^(2/3); the tests integrate the film equation again
TUBE = 1.33754  # h over radius and Ca^(2/3), sqrt(2) times the other
THICK_TUBE = 3.35  # how the film levels off at high Ca (Aussillous & Quere 2000, remembered)


def capillary_film(speed: ArrayLike, viscosity: ArrayLike, density: ArrayLike, tension: ArrayLike) -> Number:
    """Film on a plate or a wide tube drawn slowly and upright out of a Newtonian product.

    Parameters
    ----------
    speed : float or ndarray
        [m/s]
    viscosity, density : float or ndarray
        [Pa s], [kg/m3]
    tension : float or ndarray
        Surface tension [N/m].

    Returns
    -------
    float or ndarray
        Thickness [m].

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    h = 0.946 l Ca^(2/3), l = sqrt(sigma/(rho g)), Ca = mu U/sigma (Landau & Levich 1942, remembered; constant
    derived again in the tests). Only for Ca far below 1: thick product drawn at working speed is beyond it,
    see `withdrawn_film`.
    """
    u, mu, rho, sigma = arrays(speed, viscosity, density, tension)
    require_not_negative("speed", u)
    for name, value in (("viscosity", mu), ("density", rho), ("surface tension", sigma)):
        require_positive(name, value)
    return finish(PLATE * np.sqrt(sigma / (rho * GRAVITY)) * np.cbrt((mu * u / sigma) ** 2))


def withdrawn_film(
    speed: ArrayLike,
    density: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
    tension: ArrayLike,
) -> Number:
    """Most product that comes up on a lance or hose drawn out of a container.

    Parameters
    ----------
    speed : float or ndarray
        At which it is drawn up [m/s].
    density : float or ndarray
        [kg/m3]
    yield_stress, consistency, exponent : float or ndarray
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].
    tension : float or ndarray
        Surface tension [N/m]; counts for a Newtonian product only.

    Returns
    -------
    float or ndarray
        Thickness [m].

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    More than the thickness that runs down as fast as the lance goes up cannot come along: `wall_film` at
    z/t = U, sqrt(mu U/(rho g)) for a Newtonian product, where `capillary_film` is taken if it is less.
    """
    u, tau, k, n = arrays(speed, yield_stress, consistency, exponent)
    carried = np.asarray(wall_film(u, 1.0, density, tau, k, n))
    slow = np.asarray(capillary_film(u, k, density, tension))
    return finish(np.asarray(np.where((tau == 0.0) & (n == 1.0), np.minimum(carried, slow), carried)))


def tube_film(radius: ArrayLike, capillary_number: ArrayLike) -> Number:
    """Film a long bubble leaves in a tube, slow flow of a Newtonian product.

    Parameters
    ----------
    radius : float or ndarray
        Inside radius of the tube [m].
    capillary_number : float or ndarray
        mu U/sigma with the speed of the bubble [-], far below 1.

    Returns
    -------
    float or ndarray
        Thickness [m].

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    h = 1.3375 R Ca^(2/3) (Bretherton 1961, remembered; constant derived again in the tests).
    """
    r, ca = _tube(radius, capillary_number)
    return finish(TUBE * r * np.cbrt(ca**2))


def share_left_by_air(capillary_number: ArrayLike) -> Number:
    """Share of the volume of a pipe that stays on its wall when air has driven the product out.

    Parameters
    ----------
    capillary_number : float or ndarray
        mu U/sigma with the speed of the air front [-].

    Returns
    -------
    float or ndarray
        Share [-], rising to 0.64 for a thick product.

    Raises
    ------
    FlowOutOfRange
        If the number is negative.

    Notes
    -----
    1 - (1 - h/R)^2 with h/R = c/(1 + 3.35 c/1.3375), c the film of `tube_film` over the radius (form of
    Aussillous & Quere 2000, remembered). Newtonian; with an apparent viscosity an estimate. The limit is that
    of a thin fluid pushed through a thick one, about 60 % of the section (physics book 5.9).
    """
    one, ca = _tube(1.0, capillary_number)
    thin = TUBE * one * np.cbrt(ca**2)
    film = thin / (1.0 + THICK_TUBE / TUBE * thin)
    return finish(np.asarray(1.0 - (1.0 - film) ** 2))


def _tube(radius: ArrayLike, capillary_number: ArrayLike) -> tuple[Array, Array]:
    r, ca = arrays(radius, capillary_number)
    require_positive("radius", r)
    require_not_negative("capillary number", ca)
    return r, ca
