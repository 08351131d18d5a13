"""Pressure at the rim of a follower plate at the end of a drum: the load of its lip."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray


def rim_factor(radius: ArrayLike, port_radius: ArrayLike) -> NDArray[np.float64]:
    """Rim over mean pressure above the port, for a yield-stress product at rest under the plate.

    Parameters
    ----------
    radius, port_radius : array_like
        Of plate and throat [m].

    Notes
    -----
    k = (R - r0) R^2 / [2 (R^3/3 - r0 R^2/2 + r0^3/6)]; 1.5 for r0 -> 0 (physics book 14.1 C5).
    """
    r, r0 = np.asarray(radius, float), np.asarray(port_radius, float)
    return np.asarray((r - r0) * r**2 / (2.0 * (r**3 / 3.0 - r0 * r**2 / 2.0 + r0**3 / 6.0)))


def rim_pressure(
    mean_gauge: ArrayLike, port_gauge: ArrayLike, radius: ArrayLike, port_radius: ArrayLike
) -> NDArray[np.float64]:
    """Gauge pressure at the rim [Pa] when the pump draws the port down as far as it fills.

    Parameters
    ----------
    mean_gauge, port_gauge : array_like
        Mean pressure under the plate F/A and pressure at the port [Pa(g)].
    radius, port_radius : array_like
        [m]

    Notes
    -----
    p_rim = p_port + k (F/A - p_port): it rises as the pump slows, so the limit of no flow is the design value
    (physics book 14.1 C5).
    """
    mean, port = np.asarray(mean_gauge), np.asarray(port_gauge)
    return np.asarray(port + rim_factor(radius, port_radius) * (mean - port))
