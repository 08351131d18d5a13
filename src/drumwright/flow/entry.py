"""Loss of a sharp entry from a deep product into a pipe or port."""

from __future__ import annotations

import math

from numpy.typing import ArrayLike

from drumwright.flow.numbers import Number, arrays, finish
from drumwright.flow.pipe import pressure_drop

SHARP_ENTRY_RADII = 3.0 * math.pi / 16.0  # 0.589: half of Sampson's orifice, 1.5 mu Q/r^3, in radii of pipe


def entry_length(diameter: ArrayLike) -> Number:
    """Length of pipe that loses as much as a sharp entry.

    Parameters
    ----------
    diameter : float or ndarray
        Inside diameter [m].

    Returns
    -------
    float or ndarray
        Length [m], 0.59 radii.

    Notes
    -----
    Sampson's orifice, inlet half (physics book 5.3): exact for a Newtonian product in creeping flow; for
    others taken over as a length, which is an estimate.
    """
    (bore,) = arrays(diameter)
    return finish(0.5 * SHARP_ENTRY_RADII * bore)


def entry_loss(
    flow_rate: ArrayLike,
    diameter: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Number:
    """Pressure a sharp entry takes in creeping flow.

    Parameters
    ----------
    flow_rate : float or ndarray
        Volume flow [m3/s].
    diameter : float or ndarray
        Inside diameter of the pipe behind the entry [m].
    yield_stress, consistency, exponent : float or ndarray
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].

    Returns
    -------
    float or ndarray
        Pressure difference [Pa].

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.
    """
    return pressure_drop(flow_rate, diameter, entry_length(diameter), yield_stress, consistency, exponent)
