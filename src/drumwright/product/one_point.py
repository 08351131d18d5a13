"""What one viscosity number can mean: a band of flow laws, and the pressures at its ends."""

from __future__ import annotations

from itertools import product
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.numbers import Number, arrays, finish, require_not_negative, require_positive
from drumwright.flow.pipe import pressure_drop
from drumwright.product.law import FlowLaw

# Band of the unknown where only one viscosity was given (physics book 0.1); assumed, not measured.
SHEAR_RATE_BAND = (0.3, 10.0)  # 1/s, log-uniform: spindle viscometer of unknown speed
EXPONENT_BAND = (0.2, 0.6)  # uniform
YIELD_SHARE_BAND = (0.0, 0.7)  # uniform, share of the stress read
# Where the shear rate is known: low, middle and high (exponent, yield share), crossed (correction C9).
CASES_AT_KNOWN_RATE = ((0.25, 0.7), (0.4, 0.45), (0.6, 0.2))


class Extremes(NamedTuple):
    """Lowest and highest friction over the whole band [Pa]."""

    lowest: float
    highest: float


def law_from_one_point(
    viscosity: ArrayLike, shear_rate: ArrayLike, exponent: ArrayLike, yield_share: ArrayLike
) -> FlowLaw:
    """Flow law through one viscosity reading, for a given exponent and share of yield stress.

    Parameters
    ----------
    viscosity : float or ndarray
        Apparent viscosity read [Pa s].
    shear_rate : float or ndarray
        Shear rate of the reading [1/s].
    exponent : float or ndarray
        n [-]
    yield_share : float or ndarray
        Yield stress over the stress read [-], 0 or more and below 1.

    Returns
    -------
    FlowLaw
        tau_y = share * stress, K = (1 - share) * stress / g^n with stress = viscosity * g.

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.
    """
    mu, g, n, share = arrays(viscosity, shear_rate, exponent, yield_share)
    require_positive("viscosity", mu)
    require_positive("shear rate", g)
    require_not_negative("yield share", share)
    require_positive("one less yield share", 1.0 - share)
    stress = mu * g
    return FlowLaw(finish(share * stress), finish(np.asarray((1.0 - share) * stress * g**-n)), finish(n))


def extremes(viscosity: float, flow: float, diameter: float, length: float) -> Extremes:
    """Lowest and highest laminar friction that one viscosity of unknown shear rate allows.

    Parameters
    ----------
    viscosity : float
        Apparent viscosity stated [Pa s].
    flow : float
        Volume flow [m3/s].
    diameter, length : float
        Inside diameter and length of the line [m].

    Returns
    -------
    Extremes
        Pressure differences [Pa] over the whole box of shear rate, exponent and yield share.

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    The eight corners of the box: highest at 10 1/s, n = 0.6, no yield; lowest at 0.3 1/s, n = 0.2 with 70 %
    yield where the pipe shears faster than the reading, which is the usual case.
    """
    corners = [
        float(pressure_drop(flow, diameter, length, law.yield_stress, law.consistency, law.exponent))
        for law in (
            law_from_one_point(viscosity, *corner)
            for corner in product(SHEAR_RATE_BAND, EXPONENT_BAND, YIELD_SHARE_BAND)
        )
    ]
    return Extremes(min(corners), max(corners))


def stress_spread(shear_rate: Number, wanted_shear_rate: Number) -> Number:
    """Highest over lowest stress that a viscosity at a known shear rate allows at another.

    Parameters
    ----------
    shear_rate, wanted_shear_rate : float or ndarray
        Shear rate of the reading and the one wanted [1/s].

    Returns
    -------
    float or ndarray
        Ratio over the three crossed cases [-].
    """
    ratio = arrays(np.asarray(wanted_shear_rate) / np.asarray(shear_rate))[0]
    stresses = [share + (1.0 - share) * ratio**n for n, share in CASES_AT_KNOWN_RATE]
    return finish(np.max(stresses, axis=0) / np.min(stresses, axis=0))
