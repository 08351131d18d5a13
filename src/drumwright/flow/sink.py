"""Converging flow of a deep product to the port of the plate."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.numbers import (
    Number,
    arrays,
    finish,
    require_law,
    require_not_negative,
    require_positive,
)

YIELD_FACTOR = 4.0  # plate without slip; 2 sqrt(3) = 3.46 would be a plate that slips (correction C7)
NO_SLIP_AT_ZERO, NO_SLIP_AT_ONE = 4.0 / (2.0 * math.sqrt(3.0)), 0.75 * math.pi  # 1.155 and 2.356


def port_loss(
    flow: ArrayLike,
    port_radius: ArrayLike,
    radius: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Number:
    """Pressure that brings a deep product from the container to the port.

    Parameters
    ----------
    flow : float or ndarray
        Volume flow [m3/s]; zero gives the yield part.
    port_radius, radius : float or ndarray
        Radius of the port and of the container [m].
    yield_stress, consistency, exponent : float or ndarray
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].

    Returns
    -------
    float or ndarray
        Difference of normal stress [Pa].

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    The greater of two estimates (physics book 1.2 i with correction C7). Hemispherical sink, von Mises:
    4 tau_y ln(R/r0) + c(n) 2 sqrt3 K (sqrt3 Q/pi)^n (r0^-3n - R^-3n)/(3n). The factor c corrects for a plate
    that does not slip: 1.155 at n = 0 and 2.356 at n = 1 (where it meets Sampson); straight line between
    and beyond is our assumption. Sampson inlet half 1.5 mu Q/r0^3 with mu the apparent viscosity at
    sqrt3 Q/(pi r0^3).
    """
    q, r0, big, tau_y, k, n = arrays(flow, port_radius, radius, yield_stress, consistency, exponent)
    require_not_negative("flow", q)
    require_positive("port radius", r0)
    require_positive("radius beyond the port", big - r0)
    require_law(tau_y, k, n)
    shear_rate = math.sqrt(3.0) * q / (math.pi * r0**3)
    viscous = k * shear_rate**n
    no_slip = NO_SLIP_AT_ZERO + (NO_SLIP_AT_ONE - NO_SLIP_AT_ZERO) * n
    reach = (1.0 - (r0 / big) ** (3.0 * n)) / (3.0 * n)
    sink = YIELD_FACTOR * tau_y * np.log(big / r0) + no_slip * 2.0 * math.sqrt(3.0) * viscous * reach
    sampson = 1.5 * math.pi / math.sqrt(3.0) * (tau_y + viscous)
    return finish(np.maximum(sink, np.where(q > 0.0, sampson, 0.0)))
