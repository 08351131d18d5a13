"""What stays in a straight drum under a lip-seal plate, by place."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.film import wiper_film
from drumwright.machine.container.drum import disc_area, hoop_volume

Array = NDArray[np.float64]


def wall(diameter: ArrayLike, height: ArrayLike, gap: ArrayLike) -> Array:
    """Volume [m3] on the wall from lack of fit, mean thickness `gap` [m] (physics book 2.2).

    Parameters
    ----------
    diameter, height : array_like
        Inside diameter and wiped height [m].
    gap : array_like
        Mean gap between lip and wall [m].
    """
    return np.asarray(math.pi * np.asarray(diameter) * np.asarray(height) * np.asarray(gap))


def film(
    diameter: ArrayLike,
    height: ArrayLike,
    plate_speed: ArrayLike,
    gradient: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Array:
    """Volume [m3] of the hydrodynamic film the lip leaves (physics book 2.1).

    Parameters
    ----------
    diameter, height : array_like
        Inside diameter and wiped height [m].
    plate_speed : array_like
        [m/s]
    gradient : array_like
        Greatest gradient of the lip's contact pressure [Pa/m].
    consistency, exponent : array_like
        Of the product [Pa s^n, -].
    """
    thickness = wiper_film(plate_speed, gradient, consistency, exponent)
    return np.asarray(math.pi * np.asarray(diameter) * np.asarray(height) * np.asarray(thickness))


def hoops(
    count: ArrayLike, depth: ArrayLike, width: ArrayLike, diameter: ArrayLike, retained: ArrayLike
) -> Array:
    """Volume [m3] held in the rolling hoops, `retained` share of the groove (physics book 2.2).

    Parameters
    ----------
    count : array_like
        Number of hoops [-].
    depth, width : array_like
        Of one groove [m].
    diameter : array_like
        Inside diameter of the drum [m].
    retained : array_like
        Share of the groove that keeps product [-].
    """
    return np.asarray(np.asarray(count) * hoop_volume(depth, width, diameter) * np.asarray(retained))


def heel(diameter: ArrayLike, flow_gap: ArrayLike, mismatch: ArrayLike, mix: ArrayLike) -> Array:
    """Volume [m3] under the plate at the end.

    Parameters
    ----------
    diameter : array_like
        Inside diameter [m].
    flow_gap : array_like
        Gap at which the wanted last rate can no longer be fed [m].
    mismatch : array_like
        Mean gap between plate and bottom [m].
    mix : array_like
        0 takes the greater of the two gaps, 1 their sum [-] (physics book 2.2: sampled uniformly between).
    """
    flow_gap, mismatch = np.asarray(flow_gap), np.asarray(mismatch)
    greater, total = np.maximum(flow_gap, mismatch), flow_gap + mismatch
    return np.asarray(disc_area(diameter) * (greater + np.asarray(mix) * (total - greater)))
