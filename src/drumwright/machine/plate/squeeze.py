"""Force between plate and bottom when product passes the rim alone: sinking without a port, or lifting.

Lubrication approximation (gap much smaller than the radius), uniform gap, no slip, laminar. Lifting draws in
what sinking squeezes out: the same force with the other sign.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.inverse import SLOT, excess_and_slope
from drumwright.flow.numbers import arrays, require_law, require_not_negative, require_positive
from drumwright.flow.slot import viscous_stress

Array = NDArray[np.float64]
NODES = 6  # Gauss nodes over the radius
GAP_STEPS = 4

_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(NODES)
_T, _W = 0.5 * (_POINTS + 1.0), 0.5 * _WEIGHTS


def _loads(
    speed: Array, radius: Array, consistency: Array, exponent: Array, axes: int
) -> tuple[Array, Array]:
    """Weights of the wall stress at the nodes [m3], and the stress without yield at one metre of gap [Pa]."""
    shape = (NODES,) + (1,) * axes
    r = radius * _T.reshape(shape)
    weight = 2.0 * np.pi * r**2 * radius * _W.reshape(shape)
    return weight, viscous_stress(0.5 * speed * r, np.ones(()), consistency, exponent)


def squeeze_force(
    plate_speed: ArrayLike,
    gap: ArrayLike,
    radius: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Array:
    """Force [N] that moves a plate without an open port towards or away from the bottom.

    Parameters
    ----------
    plate_speed : array_like
        Speed of the plate [m/s]; zero gives the yield part.
    gap, radius : array_like
        Distance of plate and bottom, radius of the plate [m].
    yield_stress, consistency, exponent : array_like
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    F = int 2 tau_w/h pi r^2 dr with the flow v r/2 per width in the slot law (physics book 1.2, 14.2 A6).
    Limits: 3 pi mu v R^4/(2 h^3) Newtonian, 2 pi tau_y R^3/(3 h) at rest. The port counts as closed disc.
    """
    speed, h, big, tau_y, k, n = arrays(plate_speed, gap, radius, yield_stress, consistency, exponent)
    require_not_negative("plate speed", speed)
    require_positive("gap", h)
    require_law(tau_y, k, n)
    axes = len(np.broadcast_shapes(*(each.shape for each in (speed, h, big, tau_y, k, n))))
    weight, at_one = _loads(speed, big, k, n, axes)
    above, _ = excess_and_slope(SLOT, at_one * h ** (-2.0 * n), tau_y, n)
    return np.asarray(np.sum(weight * (tau_y + above), axis=0) / h)


def squeeze_gap(
    force: ArrayLike,
    plate_speed: ArrayLike,
    radius: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Array:
    """Gap [m] at which a force just keeps the plate moving: the inverse of `squeeze_force`.

    Parameters
    ----------
    force : array_like
        On the plate [N], more than zero.
    plate_speed, radius, yield_stress, consistency, exponent : array_like
        As in `squeeze_force`.

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    Newton in the logarithm of the gap, as `disc_gap.smallest_gap`.
    """
    push, speed, big, tau_y, k, n = arrays(force, plate_speed, radius, yield_stress, consistency, exponent)
    require_positive("force", push)
    require_not_negative("plate speed", speed)
    require_law(tau_y, k, n)
    axes = len(np.broadcast_shapes(*(each.shape for each in (push, speed, big, tau_y, k, n))))
    weight, at_one = _loads(speed, big, k, n, axes)
    plastic = np.sum(weight * tau_y, axis=0)
    viscous = np.sum(weight * at_one, axis=0)
    gap = np.maximum(plastic / push, (viscous / push) ** (1.0 / (1.0 + 2.0 * n)))
    require_positive("speed or yield stress", gap)
    for _ in range(GAP_STEPS):
        above, slope = excess_and_slope(SLOT, at_one * gap ** (-2.0 * n), tau_y, n)
        load = plastic + np.sum(weight * above, axis=0)
        steep = 1.0 + 2.0 * np.sum(weight * slope, axis=0) / load
        gap = gap * (load / (push * gap)) ** (1.0 / steep)
    return np.asarray(gap)


def port_shape(radius: ArrayLike, port_radius: ArrayLike) -> Array:
    """Shape number G [-] of the Newtonian force above a port: ln(R/r0) - 3/4 + x - x^2/4, x = (r0/R)^2.

    Parameters
    ----------
    radius, port_radius : array_like
        Of plate and port [m].
    """
    x = (np.asarray(port_radius, float) / np.asarray(radius, float)) ** 2
    return np.asarray(-0.5 * np.log(x) - 0.75 + x - 0.25 * x * x)


def newtonian_time(
    force: ArrayLike,
    viscosity: ArrayLike,
    radius: ArrayLike,
    start_gap: ArrayLike,
    end_gap: ArrayLike,
    shape: ArrayLike = 0.25,
) -> Array:
    """Time [s] in which a constant force thins a Newtonian layer.

    Parameters
    ----------
    force : array_like
        On the plate, suction at the port included [N].
    viscosity : array_like
        [Pa s]
    radius, start_gap, end_gap : array_like
        Of the plate, and gaps at start and end [m].
    shape : array_like
        `port_shape` for a central port [-]; a quarter for flow out through the rim (Stefan).

    Notes
    -----
    t = (3 pi mu R^4 G/F)(1/h2^2 - 1/h1^2) (physics book 1.4).
    """
    thinning = 1.0 / np.square(end_gap) - 1.0 / np.square(start_gap)
    slow = 3.0 * np.pi * np.asarray(viscosity) * np.power(radius, 4) * np.asarray(shape)
    return np.asarray(slow / np.asarray(force) * thinning)
