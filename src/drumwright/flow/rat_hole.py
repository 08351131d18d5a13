"""A hole bored into a product with a yield stress, as under a lance, and the depth to which it stands.

The depth is an upper bound: a real hole collapses earlier (physics book 12). So it is good for the warning
that a hole may stand and never for the promise that it falls in.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.numbers import (
    GRAVITY,
    Array,
    Number,
    arrays,
    finish,
    require_not_negative,
    require_positive,
)

LEAST, GREATEST, NODES = 1e-4, 1e4, 700  # depth over radius of the table
GOLDEN = 0.5 * (5.0**0.5 - 1.0)
SEARCH_STEPS = 40


def stability_number(depth_over_radius: ArrayLike) -> Number:
    """Stability number of an upright round hole: rho g H/tau_y above it, the wall falls in.

    Parameters
    ----------
    depth_over_radius : float or ndarray
        Depth H over radius a [-], zero or more.

    Returns
    -------
    float or ndarray
        N [-]; 4 for a wide hole, 5.62/6.70/8.84/11.02 at H/a = 1/2/5/10.

    Raises
    ------
    FlowOutOfRange
        If the ratio is negative.

    Notes
    -----
    Upper bound from a conical wedge, von Mises (physics book 1.5 with correction C8): least over the
    angle psi of 4 k I + 4/sin(2 psi), k = sqrt(3 + sec(psi)^2)/2,
    I = integral over s from 0 to cot(psi) of (1 - s tan(psi))/(a/H + s) = (1 + w) ln(1 + 1/w) - 1,
    w = (a/H) tan(psi). Curved slip surfaces give 2 to 5 % less, no lower bound is known here; the wall of the
    container makes the hole more stable and is not counted.
    """
    (x,) = arrays(depth_over_radius)
    require_not_negative("depth over radius", x)
    low, high = np.full(x.shape, 0.05), np.full(x.shape, 0.5 * np.pi - 0.01)
    one, other = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
    for _ in range(SEARCH_STEPS):
        left = _wedge(one, x) < _wedge(other, x)
        low, high = np.where(left, low, one), np.where(left, other, high)
        one, other = high - GOLDEN * (high - low), low + GOLDEN * (high - low)
    return finish(_wedge(0.5 * (low + high), x))


def standing_depth(radius: ArrayLike, static_yield_stress: ArrayLike, density: ArrayLike) -> Number:
    """Greatest depth to which an upright round hole may stand.

    Parameters
    ----------
    radius : float or ndarray
        Of the hole [m].
    static_yield_stress : float or ndarray
        Of the rested product [Pa]: it governs, not the flowing one (correction C8).
    density : float or ndarray
        [kg/m3]

    Returns
    -------
    float or ndarray
        Depth [m].

    Raises
    ------
    FlowOutOfRange
        If the radius or density is not positive, the yield stress negative.

    Notes
    -----
    rho g H = N(H/a) tau_y, from a table over H/a 1e-4 to 1e4 (3e-5 of the depth); beyond it N is held.
    """
    a, tau, rho = arrays(radius, static_yield_stress, density)
    require_positive("radius", a)
    require_not_negative("static yield stress", tau)
    require_positive("density", rho)
    strength = tau / (rho * GRAVITY * a)
    logs, ratios = _table()
    wanted = np.log(np.maximum(strength, 1e-300))
    ratio = np.interp(wanted, logs, ratios)
    held = wanted - np.clip(wanted, logs[0], logs[-1])
    return finish(np.asarray(np.where(tau > 0.0, a * np.exp(ratio + held), 0.0)))


def share_beside_hole(hole_radius: ArrayLike, radius: ArrayLike) -> Number:
    """Share of the product that stands beside a hole bored through all of it.

    Parameters
    ----------
    hole_radius, radius : float or ndarray
        Of the hole and of the container [m].

    Returns
    -------
    float or ndarray
        Share [-].

    Raises
    ------
    FlowOutOfRange
        If the container is not wider than nothing or the hole negative.
    """
    a, big = arrays(hole_radius, radius)
    require_not_negative("radius of the hole", a)
    require_positive("radius", big)
    return finish(np.asarray(1.0 - np.minimum(a / big, 1.0) ** 2))


def _wedge(psi: Array, ratio: Array) -> Array:
    """Right side of the bound at an angle psi [rad] and a depth over radius."""
    k = 0.5 * np.sqrt(3.0 + np.cos(psi) ** -2.0)
    turned = ratio / np.tan(psi)  # 1/w
    small = turned < 1e-4
    safe = np.where(small, 1.0, turned)
    integral = np.where(small, 0.5 * turned - turned**2 / 6.0, (1.0 + 1.0 / safe) * np.log1p(safe) - 1.0)
    return np.asarray(4.0 * k * integral + 4.0 / np.sin(2.0 * psi))


@cache
def _table() -> tuple[Array, Array]:
    """Return ln(tau_y/(rho g a)) and ln(H/a) at which the hole just stands."""
    ratios = np.geomspace(LEAST, GREATEST, NODES)
    return np.log(ratios / np.asarray(stability_number(ratios))), np.log(ratios)
