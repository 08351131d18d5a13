"""Pipe flow of a product that slips on a film of thin liquid at the wall."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.numbers import Number, arrays, finish, require_not_negative, require_positive
from drumwright.flow.pipe import flow_from_wall_stress, wall_stress

STEPS = 60


def slipping_wall_stress(
    flow_rate: ArrayLike,
    diameter: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
    film: ArrayLike,
    film_viscosity: ArrayLike,
) -> Number:
    """Wall stress of a Herschel-Bulkley product that slips on a film.

    Parameters
    ----------
    flow_rate : float or ndarray
        Volume flow [m3/s].
    diameter : float or ndarray
        Inside diameter [m].
    yield_stress, consistency, exponent : float or ndarray
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].
    film : float or ndarray
        Thickness of the film [m]; zero is no slip.
    film_viscosity : float or ndarray
        Of the liquid in the film [Pa s].

    Returns
    -------
    float or ndarray
        Shear stress at the wall [Pa], never above that without slip; below the yield stress the product
        moves as a plug on its film.

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    Q = Q_HB(tau_w) + pi R^2 u_s, u_s = film tau_w/film viscosity (physics book 0.1 and 5.2). The flow rises
    with the stress, so halving between zero and the stress without slip, 60 times, closes on the root.
    """
    q, bore, thick, mu = arrays(flow_rate, diameter, film, film_viscosity)
    require_not_negative("film", thick)
    require_positive("film viscosity", mu)
    high = np.asarray(wall_stress(q, bore, yield_stress, consistency, exponent))
    slide = 0.25 * np.pi * bore**2 * thick / mu
    high = high + np.zeros(np.broadcast_shapes(high.shape, slide.shape))
    low = np.zeros_like(high)
    for _ in range(STEPS):
        middle = 0.5 * (low + high)
        moved = np.asarray(flow_from_wall_stress(middle, bore, yield_stress, consistency, exponent))
        more = moved + slide * middle > q
        low, high = np.where(more, low, middle), np.where(more, middle, high)
    return finish(high)
