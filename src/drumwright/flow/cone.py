"""Laminar loss of a slender cone: reducer, expander, tapered nozzle."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.entry import SHARP_ENTRY_RADII
from drumwright.flow.numbers import Array, Number, arrays, finish, require_not_negative, require_positive
from drumwright.flow.pipe import wall_stress

NODES = 6
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(NODES)
SHARES = 0.5 * (1.0 + _POINTS)  # of the logarithm of the bore, from one end to the other
WEIGHTS = 0.5 * _WEIGHTS


def log_mean_bore(bore: ArrayLike, outlet_bore: ArrayLike) -> Number:
    """Logarithmic mean of the two bores of a cone, the bore itself where they are equal.

    Parameters
    ----------
    bore, outlet_bore : float or ndarray
        Inside diameters of the two ends [m].

    Returns
    -------
    float or ndarray
        (D2 - D1)/ln(D2/D1) [m].

    Raises
    ------
    FlowOutOfRange
        If a bore is not positive.
    """
    first, last = arrays(bore, outlet_bore)
    require_positive("bore", first)
    require_positive("outlet bore", last)
    ratio = np.log(last / first)
    equal = np.abs(ratio) < 1e-6
    mean = (last - first) / np.where(equal, 1.0, ratio)
    return finish(np.where(equal, np.sqrt(first * last), mean))


def cone_entry_length(bore: ArrayLike, outlet_bore: ArrayLike) -> Number:
    """Length of the narrow pipe that loses as much as the turning of the flow at the narrow end.

    Parameters
    ----------
    bore, outlet_bore : float or ndarray
        Inside diameters of the two ends [m].

    Returns
    -------
    float or ndarray
        0.589 r (1 - (D_small/D_large)^3) [m]; zero for equal bores.

    Notes
    -----
    Half of Sampson's orifice less what a point sink loses beyond the wide bore, where its dissipation falls
    with the third power of the radius. An upper estimate: a slender cone turns the flow gently. Creeping flow
    loses the same in both directions.
    """
    first, last = arrays(bore, outlet_bore)
    small, large = np.minimum(first, last), np.maximum(first, last)
    return finish(np.asarray(0.5 * SHARP_ENTRY_RADII * small * (1.0 - (small / large) ** 3)))


def cone_pressure(
    flow_rate: ArrayLike,
    bore: ArrayLike,
    outlet_bore: ArrayLike,
    length: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Number:
    """Friction pressure of a Herschel-Bulkley product in a cone, with its entry.

    Parameters
    ----------
    flow_rate : float or ndarray
        Volume flow [m3/s], in either direction; zero gives the pressure that yield alone holds.
    bore, outlet_bore, length : float or ndarray
        Inside diameters of the two ends, and the length between them [m].
    yield_stress, consistency, exponent : float or ndarray
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].

    Returns
    -------
    float or ndarray
        Pressure difference [Pa], without inertia and head.

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    dp = int 4 tau_w(D)/D dx (physics book 5.3), over ln D by six Gauss nodes, plus `cone_entry_length` at
    the wall stress of the narrow end. Lubrication form: each slice flows as a pipe of its bore.
    """
    first, last, long = arrays(bore, outlet_bore, length)
    require_not_negative("length", long)
    mean = np.asarray(log_mean_bore(first, last))
    total: Array = np.asarray(0.0)
    for share, weight in zip(SHARES, WEIGHTS, strict=True):
        between = first ** (1.0 - share) * last**share
        total = total + weight * np.asarray(
            wall_stress(flow_rate, between, yield_stress, consistency, exponent)
        )
    small = np.minimum(first, last)
    turning = np.asarray(cone_entry_length(first, last))
    at_small = np.asarray(wall_stress(flow_rate, small, yield_stress, consistency, exponent))
    return finish(np.asarray(4.0 * (long / mean * total + turning / small * at_small)))


def cone_yield_pressure(
    yield_stress: ArrayLike, bore: ArrayLike, outlet_bore: ArrayLike, length: ArrayLike
) -> Number:
    """Pressure a full cone holds without flow, its entry counted.

    Parameters
    ----------
    yield_stress : float or ndarray
        [Pa], flowing or rested.
    bore, outlet_bore, length : float or ndarray
        Inside diameters of the two ends, and the length between them [m].

    Returns
    -------
    float or ndarray
        4 tau_y L/D_m + entry [Pa], D_m the logarithmic mean bore.
    """
    tau_y, first, last, long = arrays(yield_stress, bore, outlet_bore, length)
    require_not_negative("yield stress", tau_y)
    mean = np.asarray(log_mean_bore(first, last))
    turning = np.asarray(cone_entry_length(first, last)) / np.minimum(first, last)
    return finish(np.asarray(4.0 * tau_y * (long / mean + turning)))
