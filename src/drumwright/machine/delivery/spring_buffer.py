"""A buffer of a piston under a spring, the product flowing through it: no gas, nothing left to stand."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import arrays, require_not_negative, require_positive

Array = NDArray[np.float64]


class SpringBuffer(NamedTuple):
    """A piston, its spring and its stroke; arrays over samples."""

    area: ArrayLike  # of the piston [m2]
    preload: ArrayLike  # force of the spring at the beginning of the stroke [N]
    rate: ArrayLike  # of the spring [N/m]
    stroke: ArrayLike  # between the end stops [m]


def begins_at(buffer: SpringBuffer) -> Array:
    """Pressure at which the piston leaves its lower stop [Pa(g)].

    Parameters
    ----------
    buffer : SpringBuffer
    """
    area, preload, _, _ = _checked(buffer)
    return np.asarray(preload / area)


def full_at(buffer: SpringBuffer) -> Array:
    """Pressure at which it reaches the upper stop and the line is as stiff as without it [Pa(g)].

    Parameters
    ----------
    buffer : SpringBuffer
    """
    area, preload, rate, stroke = _checked(buffer)
    return np.asarray((preload + rate * stroke) / area)


def stored(buffer: SpringBuffer, gauge: ArrayLike) -> Array:
    """Product the piston has taken up at a pressure [m3].

    Parameters
    ----------
    buffer : SpringBuffer
    gauge : array_like
        [Pa(g)]; the spring side is open to the air.

    Raises
    ------
    FlowOutOfRange
        If area or rate is not positive, or preload or stroke negative.

    Notes
    -----
    A x with x = (p A - F_0)/k between 0 and the stroke; balance of forces, friction apart.
    """
    area, preload, rate, stroke = _checked(buffer)
    (p,) = arrays(gauge)
    return np.asarray(area * np.clip((p * area - preload) / rate, 0.0, stroke))


def compliance(buffer: SpringBuffer, gauge: ArrayLike) -> Array:
    """Product it takes up for each pascal [m3/Pa]: A^2/k between the stops, nothing at them.

    Parameters
    ----------
    buffer : SpringBuffer
    gauge : array_like
        [Pa(g)]
    """
    area, preload, rate, stroke = _checked(buffer)
    (p,) = arrays(gauge)
    along = (p * area - preload) / rate
    return np.asarray(np.where((along >= 0.0) & (along < stroke), area**2 / rate, 0.0))


def friction_band(area: ArrayLike, friction: ArrayLike) -> Array:
    """Pressure by which it may stand off its balance, either way, by the friction of its seals [Pa].

    Parameters
    ----------
    area : array_like
        Of the piston [m2].
    friction : array_like
        Force that moves the piston without pressure and spring [N].

    Raises
    ------
    FlowOutOfRange
        If the area is not positive or the friction negative.
    """
    across, force = arrays(area, friction)
    require_positive("area", across)
    require_not_negative("friction", force)
    return np.asarray(force / across)


def storage_spring(
    delivered: ArrayLike, area: ArrayLike, begins: ArrayLike, least: ArrayLike, most: ArrayLike
) -> SpringBuffer:
    """Spring and stroke that store an amount of product between two working pressures.

    Parameters
    ----------
    delivered : array_like
        Product between the two pressures [m3].
    area : array_like
        Of the piston [m2].
    begins, least, most : array_like
        Pressure at which the piston leaves its stop, at most the least working one, and the two working
        pressures [Pa(g)].

    Raises
    ------
    FlowOutOfRange
        If the pressures are not in this order, or area or volume is not positive.

    Notes
    -----
    k = A^2 (p_2 - p_1)/dV; stroke from where it begins to the greatest pressure.
    """
    moved, across, start = arrays(delivered, area, begins)
    low, high = arrays(least, most)
    require_positive("volume of product", moved)
    require_positive("area", across)
    require_not_negative("pressure at which it begins", start)
    require_not_negative("least working pressure over the beginning", low - start)
    require_positive("greatest over least working pressure", high - low)
    rate = across**2 * (high - low) / moved
    return SpringBuffer(
        across, np.asarray(start * across), np.asarray(rate), np.asarray((high - start) * across / rate)
    )


def protection_spring(
    pumped: ArrayLike, area: ArrayLike, running: ArrayLike, allowed: ArrayLike
) -> SpringBuffer:
    """Spring and stroke that take up what a stopping pump still moves, within an allowed peak.

    Parameters
    ----------
    pumped : array_like
        Product still moved after the stop [m3].
    area : array_like
        Of the piston [m2].
    running, allowed : array_like
        Pressure at the stop, where the piston leaves its stop, and allowed peak [Pa(g)].

    Raises
    ------
    FlowOutOfRange
        If the allowed peak is not above the pressure of the stop, or area or volume is not positive.
    """
    return storage_spring(pumped, area, running, running, allowed)


def _checked(buffer: SpringBuffer) -> tuple[Array, Array, Array, Array]:
    area, preload, rate, stroke = arrays(*buffer)
    require_positive("area", area)
    require_positive("spring rate", rate)
    require_not_negative("preload", preload)
    require_not_negative("stroke", stroke)
    return area, preload, rate, stroke
