"""What a thin fluid leaves at the wall of a pipe when it pushes a thick one out."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.numbers import Number, arrays, finish, require_not_negative, require_positive

MOST_LEFT = (
    0.60  # of the cross-section at a high capillary number: limit of Taylor and Cox (physics book 5.9)
)
THIN_FILM = 1.34  # h/R = 1.34 Ca^(2/3), Bretherton (1961), from memory
BLEND = 2.5  # Aussillous & Quere (2000), from memory


def capillary_number(viscosity: ArrayLike, speed: ArrayLike, surface_tension: ArrayLike) -> Number:
    """Viscous over surface force of a moving front: mu V/sigma [-].

    Parameters
    ----------
    viscosity : array_like
        Of the product that is pushed [Pa s].
    speed : array_like
        Of the front [m/s].
    surface_tension : array_like
        [N/m]; a pushing liquid that mixes with the product has none: the number is infinite.

    Raises
    ------
    FlowOutOfRange
        If viscosity or speed is negative, or the surface tension not positive.
    """
    mu, speed_, sigma = arrays(viscosity, speed, surface_tension)
    require_not_negative("viscosity", mu)
    require_not_negative("speed", speed_)
    require_positive("surface tension", sigma)
    return finish(mu * speed_ / sigma)


def newtonian_left(capillary: ArrayLike) -> Number:
    """Share of the cross-section a Newtonian product keeps when a thin fluid has broken through.

    Parameters
    ----------
    capillary : array_like
        `capillary_number` [-]; infinite where the two mix.

    Returns
    -------
    float or ndarray
        Share [-], at most 0.60.

    Raises
    ------
    FlowOutOfRange
        If the number is negative.

    Notes
    -----
    h/R = 1.34 Ca^(2/3)/(1 + 2.5 * 1.34 Ca^(2/3)) (Bretherton 1961; Aussillous & Quere 2000; both from
    memory), m = 1 - (1 - h/R)^2, held at 0.60 (Taylor, Cox; physics book 5.9). Creeping flow, no gravity.
    """
    (ca,) = arrays(capillary)
    require_not_negative("capillary number", ca)
    grown = THIN_FILM * np.where(np.isinf(ca), 1.0, ca) ** (2.0 / 3.0)
    film = np.where(np.isinf(ca), 1.0 / BLEND, grown / (1.0 + BLEND * grown))
    return finish(np.asarray(np.minimum(1.0 - np.square(1.0 - film), MOST_LEFT)))


def static_layer(
    flow_rate: ArrayLike,
    diameter: ArrayLike,
    yield_stress: ArrayLike,
    density: ArrayLike,
    viscosity: ArrayLike,
) -> Number:
    """Share of the cross-section of a layer that a thin liquid, flowing past it, cannot move.

    Parameters
    ----------
    flow_rate : array_like
        Of the pushing liquid [m3/s].
    diameter : array_like
        Inside diameter of the pipe [m].
    yield_stress : array_like
        Of the product [Pa].
    density, viscosity : array_like
        Of the pushing liquid [kg/m3], [Pa s].

    Returns
    -------
    float or ndarray
        1 - (d/D)^2 [-], d the widest channel in which the liquid's pressure gradient still shears the wall
        of the pipe at the yield stress; 0 without yield stress.

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    Static where G D/4 < tau_y at the wall (physics book 5.9). G of the channel: the greater of laminar
    128 mu Q/(pi d^4) and smooth turbulent 0.241 rho^0.75 mu^0.25 Q^1.75/d^4.75 (Blasius, from memory). The
    layer is taken as even and whole; washing out piecewise or dissolving is not in it.
    """
    q, bore, tau = arrays(flow_rate, diameter, yield_stress)
    rho, mu = arrays(density, viscosity)
    for name, value in (("diameter", bore), ("density", rho), ("viscosity", mu)):
        require_positive(name, value)
    require_not_negative("flow", q)
    require_not_negative("yield stress", tau)
    needed = np.where(tau > 0.0, 4.0 * tau / bore, 1.0)
    laminar = (128.0 * mu * q / (np.pi * needed)) ** 0.25
    blasius = 2.0 * 0.079 * (4.0 / np.pi) ** 1.75
    turbulent = (blasius * rho**0.75 * mu**0.25 * q**1.75 / needed) ** (1.0 / 4.75)
    channel = np.minimum(np.maximum(laminar, turbulent) / bore, 1.0)
    return finish(np.asarray(np.where(tau > 0.0, 1.0 - np.square(channel), 0.0)))
