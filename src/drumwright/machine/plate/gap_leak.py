"""What passes a seal that does not touch the wall everywhere."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.slot import flow_per_width

Array = NDArray[np.float64]


def gap_stress(rim_pressure: ArrayLike, gap: ArrayLike, land: ArrayLike) -> Array:
    """Shear stress [Pa] at the walls of a gap beside the plate: p_rim c/(2 b).

    Parameters
    ----------
    rim_pressure : array_like
        Gauge pressure at the rim [Pa(g)].
    gap, land : array_like
        Width c of the gap and its length b along the wall [m].
    """
    driven = np.maximum(np.asarray(rim_pressure, float), 0.0)
    return np.asarray(driven * np.asarray(gap) / (2.0 * np.asarray(land)))


def passed(
    perimeter: ArrayLike,
    stroke: ArrayLike,
    plate_speed: ArrayLike,
    rim_pressure: ArrayLike,
    gap: ArrayLike,
    land: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Array:
    """Volume [m3] that a gap beside the plate leaves behind over a stroke.

    Parameters
    ----------
    perimeter, stroke : array_like
        Length of the gap round the plate and way of the plate [m].
    plate_speed : array_like
        [m/s], more than zero.
    rim_pressure : array_like
        Gauge pressure at the rim [Pa(g)].
    gap, land : array_like
        Width c of the gap and its length b along the wall [m].
    yield_stress, consistency, exponent : array_like
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].

    Notes
    -----
    Dragged along (half the gap, Couette) and pressed through (slot flow at the stress of `gap_stress`), added
    up: exact for a Newtonian product, an estimate for others (physics book 2.2).
    """
    width = np.asarray(gap, float)
    speed = np.asarray(plate_speed, float)
    pressed = flow_per_width(
        gap_stress(rim_pressure, width, land), width, yield_stress, consistency, exponent
    )
    layer = 0.5 * width + np.asarray(pressed) / speed
    return np.asarray(np.asarray(perimeter) * np.asarray(stroke) * layer)
