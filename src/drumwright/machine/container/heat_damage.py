"""What warming does to the product at the wall: time above a limit, and damage that grows with heat."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.conduction import Cylinder, remaining, time_to
from drumwright.flow.numbers import Number, arrays, finish, require_not_negative, require_positive

NODES = 24  # of Gauss over the root of time, where the wall's temperature is smooth


def hottest(body: Cylinder, start: ArrayLike, ambient: ArrayLike, time: ArrayLike) -> Number:
    """Highest temperature [K] in a drum that has been warmed for a time: at the lower or upper edge.

    Parameters
    ----------
    body : Cylinder
        As of `warm_up.cylinder`.
    start, ambient : array_like
        Temperatures [K].
    time : array_like
        [s], zero or more.
    """
    begin, air = arrays(start, ambient)
    left = np.asarray(remaining(body, time, "edge"))
    return finish(np.where(air > begin, air + (begin - air) * left, begin))


def time_above(
    body: Cylinder, start: ArrayLike, ambient: ArrayLike, limit: ArrayLike, time: ArrayLike
) -> Number:
    """Time [s] for which the edge of the product is warmer than a limit while it stands in the warm.

    Parameters
    ----------
    body : Cylinder
        As of `warm_up.cylinder`.
    start, ambient, limit : array_like
        Temperatures [K].
    time : array_like
        How long it stands there [s], zero or more.

    Notes
    -----
    By conduction; a product that turns over has a cooler edge. Cooling afterwards is not counted.
    """
    begin, air, most, seconds = arrays(start, ambient, limit, time)
    require_not_negative("time", seconds)
    rise = air - begin
    share = np.where(rise > 0.0, (air - most) / np.where(rise > 0.0, rise, 1.0), 0.0)
    until = np.where(begin > most, 0.0, np.asarray(time_to(body, share, "edge")))
    return finish(np.asarray(np.maximum(seconds - until, 0.0)))


def damage(
    body: Cylinder,
    start: ArrayLike,
    ambient: ArrayLike,
    reference: ArrayLike,
    z_value: ArrayLike,
    time: ArrayLike,
) -> Number:
    """Equivalent time [s] at a reference temperature for the edge of the product.

    Parameters
    ----------
    body : Cylinder
        As of `warm_up.cylinder`.
    start, ambient, reference : array_like
        Temperatures [K].
    z_value : array_like
        Rise that makes the damage e times as fast [K]; a decimal z-value is divided by ln 10 first.
    time : array_like
        How long it stands there [s], zero or more.

    Notes
    -----
    Integral of exp((T - T_ref)/z) over time (physics book 7), at the edge, which warms first.
    """
    begin, air, base, z, seconds = arrays(start, ambient, reference, z_value, time)
    require_positive("z-value", z)
    points, weights = np.polynomial.legendre.leggauss(NODES)
    total = np.asarray(0.0)
    for point, weight in zip(0.5 * (points + 1.0), 0.5 * weights, strict=True):
        left = np.asarray(remaining(body, seconds * point**2, "edge"))
        total = total + 2.0 * point * weight * np.exp((air + (begin - air) * left - base) / z)
    return finish(np.asarray(total * seconds))
