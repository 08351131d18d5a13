"""Laminar flow of a Herschel-Bulkley product in a wide flat slot, per metre of width."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.inverse import SLOT, excess
from drumwright.flow.numbers import (
    Array,
    Number,
    arrays,
    finish,
    require_law,
    require_not_negative,
    require_positive,
)


def flow_per_width(
    wall_stress: ArrayLike,
    gap: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Number:
    """Laminar flow per width between two fixed parallel walls at a wall shear stress.

    Parameters
    ----------
    wall_stress : float or ndarray
        Shear stress at both walls [Pa]; at or below the yield stress the flow is zero.
    gap : float or ndarray
        Distance of the walls [m].
    yield_stress, consistency, exponent : float or ndarray
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].

    Returns
    -------
    float or ndarray
        Flow per width [m2/s].

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    q = (h^2/2) n/(2n+1) (tau_w/K)^(1/n) (1-phi)^(1+1/n) (1 + n phi/(n+1)), phi = tau_y/tau_w
    (physics book 1.2; standard result, held against quadrature in the tests). Pressure gradient 2 tau_w/h.
    """
    tau_w, height, tau_y, k, n = arrays(wall_stress, gap, yield_stress, consistency, exponent)
    require_not_negative("wall stress", tau_w)
    require_positive("gap", height)
    require_law(tau_y, k, n)
    above = np.maximum(tau_w - tau_y, 0.0)
    safe = np.where(tau_w > 0.0, tau_w, 1.0)
    f = np.minimum(tau_y / safe, 1.0)
    shape = n / (2.0 * n + 1.0) * (1.0 + n / (n + 1.0) * f)
    return finish(0.5 * height**2 * shape * (above / k) ** (1.0 / n) * above / safe)


def viscous_stress(per_width: Array, gap: Array, consistency: Array, exponent: Array) -> Array:
    """Wall stress [Pa] a flow per width [m2/s] would need without yield stress (no range checks).

    Parameters
    ----------
    per_width : ndarray
        Flow per metre of width [m2/s].
    gap : ndarray
        Distance of the walls [m].
    consistency, exponent : ndarray
        [Pa s^n], [-]; all of shapes that broadcast.

    Returns
    -------
    ndarray
        Wall stress [Pa].
    """
    nominal = (2.0 * exponent + 1.0) / exponent * 2.0 * per_width / gap**2
    return np.asarray(consistency * nominal**exponent)


def wall_stress(
    flow_per_width: ArrayLike,
    gap: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Number:
    """Wall shear stress of laminar flow between two fixed parallel walls.

    Parameters
    ----------
    flow_per_width : float or ndarray
        Flow per metre of width [m2/s]; zero gives the yield stress.
    gap : float or ndarray
        Distance of the walls [m].
    yield_stress, consistency, exponent : float or ndarray
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].

    Returns
    -------
    float or ndarray
        Shear stress at the walls [Pa].

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    Fixed number of steps, as for the pipe (`drumwright.flow.inverse`).
    """
    q, height, tau_y, k, n = arrays(flow_per_width, gap, yield_stress, consistency, exponent)
    require_not_negative("flow per width", q)
    require_positive("gap", height)
    require_law(tau_y, k, n)
    return finish(tau_y + excess(SLOT, viscous_stress(q, height, k, n), tau_y, n))
