"""Eigenvalues of a slab whose two faces differ in surface coefficient; one may be insulated."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from drumwright.flow.numbers import Array

STEPS = 5  # of Newton, which approaches from below and is exact to rounding after four
LEAST = 1e-12  # an insulated face is taken with this Biot number


class SlabRoot(NamedTuple):
    """One eigenvalue mu [-] over the whole thickness with the phases of its cosine at both faces [-]."""

    value: Array
    lower_phase: Array
    upper_phase: Array


def slab_root(index: int, lower: Array, upper: Array) -> SlabRoot:
    """Return one eigenvalue of a slab of thickness H with surface coefficients on both faces.

    Parameters
    ----------
    index : int
        Number of the root, counted from 0; odd ones vanish from a slab with two equal faces.
    lower, upper : ndarray
        Biot numbers h H/k of the two faces [-], zero or more, any shape.

    Returns
    -------
    SlabRoot
        mu and the phases d = atan(Bi/mu) of both faces; the eigenfunction is cos(mu x/H - d_lower).

    Notes
    -----
    mu = i pi + atan(Bi_lower/mu) + atan(Bi_upper/mu), the phase form of tan mu = mu (B1 + B2)/(mu^2 - B1 B2);
    two equal faces give mu tan mu = Bi of the half thickness (physics book 7). The right side falls with mu,
    ever more slowly, so five steps of Newton are exact to rounding.
    """
    low, high = np.maximum(lower, LEAST), np.maximum(upper, LEAST)
    both = low + high
    start = np.sqrt(both / (1.0 + both * 4.0 / math.pi**2)) if index == 0 else np.full_like(both, 1.0)
    mu = np.minimum(start, math.pi) if index == 0 else start * index * math.pi
    for _ in range(STEPS):
        slope = 1.0 + low / (mu**2 + low**2) + high / (mu**2 + high**2)
        miss = mu - index * math.pi - np.arctan(low / mu) - np.arctan(high / mu)
        mu = mu - miss / slope
    return SlabRoot(mu, np.arctan(low / mu), np.arctan(high / mu))
