"""Roots of mu J1(mu) = Bi J0(mu) from tables that the first call of each root makes."""

from __future__ import annotations

import math
from functools import cache
from typing import NamedTuple

import numpy as np

from drumwright.flow.bessel import bessel_zero_and_one
from drumwright.flow.numbers import Array

NODES = 257
SMALL = 1e-3  # Biot number below which the first root follows its power series
LEAST = 1e-12  # an insulated surface is taken with this Biot number


class _Table(NamedTuple):
    """Square of one root and J0^2 + J1^2 there over x = Bi/(Bi + scale), with derivatives."""

    scale: float
    square: Array
    square_slope: Array
    amplitude: Array
    amplitude_slope: Array


def _solve(index: int, x: Array, scale: float) -> Array:
    """Newton for (1 - x) mu J1 = x scale J0 between the zeros of J1 and J0."""
    low = math.pi * (index + 0.25) - 3.0 / (8.0 * math.pi * (index + 0.25)) if index else 0.0
    biot = scale * x / np.maximum(1.0 - x, 1e-300)
    if index:
        mu = low + np.arctan(biot / (low + 0.8)) * (1.0 - 0.02 / low)
    else:
        mu = np.sqrt(2.0 * biot / (1.0 + biot * 2.0 / 5.78319))
    for _ in range(6):
        j0, j1 = bessel_zero_and_one(mu)
        slope = (1.0 - x) * mu * j0 + x * scale * j1
        step = ((1.0 - x) * mu * j1 - x * scale * j0) / np.where(slope == 0.0, 1.0, slope)
        mu = np.maximum(mu - np.clip(step, -0.4, 0.4), low)
    return np.asarray(mu)


@cache
def _table(index: int) -> _Table:
    scale = math.pi * (index + 0.75)
    x = np.linspace(0.0, 1.0, NODES)
    mu = _solve(index, x, scale)
    j0, j1 = bessel_zero_and_one(mu)
    square = mu**2
    bottom = square * (1.0 - x) ** 2 + (scale * x) ** 2
    slope = 2.0 * square * scale / np.where(bottom == 0.0, 1.0, bottom)
    ratio = np.where(mu > 0.0, j1 / np.where(mu > 0.0, mu, 1.0), 0.5)
    if index == 0:
        slope[0] = 2.0 * scale
    return _Table(scale, square, slope, j0**2 + j1**2, -(ratio**2) * slope)


def _hermite(x: Array, values: Array, slopes: Array) -> Array:
    """Cubic through the nodes of [0, 1] with the given slopes."""
    steps = NODES - 1
    place = np.minimum((x * steps).astype(np.intp), steps - 1)
    t = x * steps - place
    left, right = values[place], values[place + 1]
    at_left, at_right = slopes[place] / steps, slopes[place + 1] / steps
    rise = right - left
    bend = (1.0 - t) * (at_left - rise) - t * (at_right - rise)
    return np.asarray(left + t * rise + t * (1.0 - t) * bend)


def root(index: int, biot: Array) -> tuple[Array, Array]:
    """Return the square of a root and the signed size of (J0, J1) there.

    Parameters
    ----------
    index : int
        Number of the root, counted from 0.
    biot : ndarray
        Biot number h R/k [-], zero or more, any shape.

    Returns
    -------
    tuple of ndarray
        mu^2 and A, both [-], with J0(mu) = A mu/sqrt(mu^2 + Bi^2) and J1(mu) = A Bi/sqrt(mu^2 + Bi^2).

    Notes
    -----
    mu^2 and A^2 are smooth in x = Bi/(Bi + pi (i + 3/4)) and are interpolated by cubics with exact slopes:
    dmu/dBi = mu/(mu^2 + Bi^2) and d(J0^2 + J1^2)/dmu = -2 J1^2/mu, both from the equation itself.
    """
    table = _table(index)
    x = biot / (biot + table.scale)
    square = _hermite(x, table.square, table.square_slope)
    if index == 0:
        square = np.where(biot < SMALL, 2.0 * biot * (1.0 - biot / 4.0 + biot**2 / 24.0), square)
    amplitude = np.sqrt(_hermite(x, table.amplitude, table.amplitude_slope))
    return square, amplitude if index % 2 == 0 else -amplitude
