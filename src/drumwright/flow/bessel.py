"""Bessel functions of the first kind, order zero and one, for arguments of zero and more."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.numbers import Array

JOIN = 25.0  # from here ten terms of each large-argument sum are exact to rounding
NODES = 18  # the midpoint rule leaves J of order 72 at 25, below 1e-22
FAR_TERMS = 10


def bessel_zero_and_one(argument: ArrayLike) -> tuple[Array, Array]:
    """J0 and J1 of an argument of zero or more, any shape.

    Parameters
    ----------
    argument : array_like
        [-]

    Notes
    -----
    J0(x) = (2/pi) int_0^(pi/2) cos(x sin u) du, J1(x) = (2/pi) int_0^(pi/2) sin u sin(x sin u) du by the
    midpoint rule up to 25, which converges exponentially; Hankel's large-argument sums beyond. Standard
    results from memory; the absolute error stays below 1e-14 (oracle test).
    """
    x = np.asarray(argument, dtype=np.float64)
    zero, one = np.empty_like(x), np.empty_like(x)
    far = x > JOIN
    zero[~far], one[~far] = _near(x[~far])
    if far.any():
        zero[far], one[far] = _expansion(x[far], 0), _expansion(x[far], 1)
    return zero, one


def _near(x: Array) -> tuple[Array, Array]:
    """Midpoint rule over one quarter of a turn."""
    zero, one = np.zeros_like(x), np.zeros_like(x)
    for node in range(NODES):
        sine = math.sin((node + 0.5) * 0.5 * math.pi / NODES)
        zero += np.cos(x * sine)
        one += sine * np.sin(x * sine)
    return zero / NODES, one / NODES


def _expansion(x: Array, order: int) -> Array:
    """sqrt(2/(pi x)) (P cos(chi) - Q sin(chi)), chi = x - order pi/2 - pi/4."""
    m = 4.0 * order * order
    term = np.ones_like(x)
    even, odd = np.ones_like(x), np.zeros_like(x)
    for k in range(1, 2 * FAR_TERMS):
        term = term * (m - (2 * k - 1) ** 2) / (8.0 * k * x)
        sign = -1.0 if (k // 2) % 2 else 1.0
        if k % 2:
            odd = odd + sign * term
        else:
            even = even + sign * term
    angle = x - (0.5 * order + 0.25) * np.pi
    return np.asarray(np.sqrt(2.0 / (np.pi * x)) * (even * np.cos(angle) - odd * np.sin(angle)))
