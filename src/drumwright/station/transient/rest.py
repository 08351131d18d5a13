"""The state a plant begins in: all stands, the column held at one end where no yield stress holds it."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from drumwright.station.transient.equations import buffer_pressure
from drumwright.station.transient.layout import (
    AIR_1,
    AIR_2,
    ATMOSPHERE,
    BUFFER_KIND,
    BUFFER_NODE,
    BUFFER_VOLUME,
    BUFFERED,
    FLEXIBILITY_1,
    FLEXIBILITY_2,
    LINE_YIELD,
    MEASURED_1,
    MEASURED_2,
    NECK_YIELD,
    STATE,
    STATIC_HEAD,
    STORED_1,
    STORED_2,
    SWITCH,
    VOLUME_1,
    VOLUME_2,
)

Array = NDArray[np.float64]
HALVINGS = 60


def standing(parameters: Array) -> Array:
    """State of a plant whose line is full and stands.

    Parameters
    ----------
    parameters : ndarray, shape (len(PARAMETERS),)

    Returns
    -------
    ndarray, shape (len(STATE),)

    Notes
    -----
    The least pressures at which the column stands: what the flowing yield stress does not hold of a rise
    stands on the pump, of a fall on the closed end. Without them a thin product would fall back through the
    line within a nanosecond, for the plant has no inertia.
    """
    start = np.zeros(len(STATE))
    head, held = parameters[STATIC_HEAD], parameters[LINE_YIELD]
    first, second = max(head - held, 0.0), max(-head - held, 0.0)
    start[STORED_1] = stored(parameters, first, VOLUME_1, FLEXIBILITY_1, AIR_1)
    start[STORED_2] = stored(parameters, second, VOLUME_2, FLEXIBILITY_2, AIR_2)
    start[MEASURED_1] = start[SWITCH] = first
    start[MEASURED_2] = second
    start[BUFFERED] = _buffered(parameters, first if parameters[BUFFER_NODE] < 1.5 else second)
    return start


def _buffered(parameters: Array, gauge: float) -> float:
    """Product a buffer has taken while its node stands at a pressure its neck does not hold [m3]."""
    pressed = gauge - parameters[NECK_YIELD]
    if parameters[BUFFER_KIND] < 0.5 or pressed <= 0.0:
        return 0.0
    low, high = 0.0, float(parameters[BUFFER_VOLUME])
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if buffer_pressure(parameters, middle)[0] < pressed:
            low = middle
        else:
            high = middle
    return low


def stored(parameters: Array, gauge: float, volume: int, flexibility: int, air: int) -> float:
    """Volume a stretch of line holds over that at atmospheric pressure [m3].

    Parameters
    ----------
    parameters : ndarray
    gauge : float
        [Pa(g)]
    volume, flexibility, air : int
        Places of its parameters (`layout`).

    Notes
    -----
    V (b p + alpha (1 - p_a / (p_a + p))), what `equations.node` turns around (physics book 6.1).
    """
    atmosphere = parameters[ATMOSPHERE]
    air_pressed = parameters[air] * (1.0 - atmosphere / (atmosphere + gauge))
    return float(parameters[volume] * (parameters[flexibility] * gauge + air_pressed))
