"""Pressure of product that warms between two closed valves."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import arrays, require_not_negative, require_positive

Array = NDArray[np.float64]


class BlockedIn(NamedTuple):
    """Rise of pressure [Pa]; arrays over samples."""

    rise: Array  # with the wall's own expansion taken off
    worst: Array  # without it
    stiffness: Array  # pressure for each share of volume [Pa]


def blocked_in_stiffness(bulk_modulus: ArrayLike, expansion: ArrayLike) -> Array:
    """Stiffness of a closed section [Pa]: moduli add as reciprocals, no air credited.

    Parameters
    ----------
    bulk_modulus : array_like
        Of the product without air [Pa].
    expansion : array_like
        Growth of the section's volume for each pascal [1/Pa]: steel 1e-10, hose 0.5e-8 to 5e-8.

    Raises
    ------
    FlowOutOfRange
        If the modulus is not positive or the expansion negative.
    """
    modulus, kappa = arrays(bulk_modulus, expansion)
    require_positive("bulk modulus", modulus)
    require_not_negative("expansion", kappa)
    return np.asarray(1.0 / (1.0 / modulus + kappa))


def blocked_in_rise(
    warming: ArrayLike,
    thermal_expansion: ArrayLike,
    bulk_modulus: ArrayLike,
    expansion: ArrayLike,
    wall_thermal_expansion: ArrayLike,
) -> BlockedIn:
    """Rise of pressure of a section closed full and warmed.

    Parameters
    ----------
    warming : array_like
        From the coldest when it was closed to the hottest it stands in [K]: sun, heat tracing, hot cleaning.
    thermal_expansion : array_like
        Of the product, by volume [1/K]; 4e-4 pastes and syrups, 7e-4 greases (physics book 0.2).
    bulk_modulus : array_like
        Of the product without air [Pa].
    expansion : array_like
        Growth of the section's volume for each pascal [1/Pa].
    wall_thermal_expansion : array_like
        Of the wall, by volume [1/K]: three times the linear one, steel 3.6e-5 from memory; 0 where unknown.

    Raises
    ------
    FlowOutOfRange
        If a value is negative or the modulus not positive.

    Notes
    -----
    dp = (beta - beta_wall) K_eff dT (physics book 5.6, note A12). Air in the product softens it and is not
    credited; the worst figure is the one to print.
    """
    hotter, beta, wall = arrays(warming, thermal_expansion, wall_thermal_expansion)
    for name, value in (("warming", hotter), ("thermal expansion", beta), ("that of the wall", wall)):
        require_not_negative(name, value)
    stiff = blocked_in_stiffness(bulk_modulus, expansion)
    worst = beta * hotter * stiff
    return BlockedIn(np.asarray(np.maximum(beta - wall, 0.0) * hotter * stiff), np.asarray(worst), stiff)


def warming_to(
    allowed: ArrayLike, thermal_expansion: ArrayLike, bulk_modulus: ArrayLike, expansion: ArrayLike
) -> Array:
    """Warming [K] that takes a closed section from no pressure to the allowed one; worst case.

    Parameters
    ----------
    allowed : array_like
        Allowed pressure of the weakest part of the section [Pa(g)].
    thermal_expansion : array_like
        Of the product, by volume [1/K], above zero.
    bulk_modulus, expansion : array_like
        As in `blocked_in_rise` [Pa], [1/Pa].

    Raises
    ------
    FlowOutOfRange
        If the thermal expansion or modulus is not positive.
    """
    limit, beta = arrays(allowed, thermal_expansion)
    require_positive("thermal expansion", beta)
    return np.asarray(np.maximum(limit, 0.0) / (beta * blocked_in_stiffness(bulk_modulus, expansion)))
