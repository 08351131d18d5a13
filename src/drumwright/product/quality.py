"""Whether a flow curve and its fit deserve belief: pattern of residuals, hysteresis, slip, shape."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from drumwright.flow.numbers import Array

LEAST_FOR_RUNS = 8
LEAST_FOR_SLIP = 9
KINK = 0.15  # how much steeper the low third may be than the middle third, in log-log slope, assumed
FALL = 0.03  # relative fall of stress at the low end that is no scatter, assumed
VISIBLE_LOOP = 0.10  # relative area or stress ratio of a loop worth naming, assumed
GRID = 64


class Runs(NamedTuple):
    """Runs of signs of the residuals: how many, how many are usual, and how many deviations that is below."""

    found: int
    usual: float
    deviations: float

    @property
    def pattern(self) -> bool:
        """Whether the signs hang together too much for scatter (one-sided 2.5 %)."""
        return self.deviations < -1.96


class Hysteresis(NamedTuple):
    """Up sweep against down sweep over the shear rates both have [1/s].

    `area` is the area between them over the area below the up sweep [-], `ratio` the greatest ratio up over
    down at one shear rate [-], `at` that shear rate.
    """

    area: float
    ratio: float
    at: float
    shear_rate_low: float
    shear_rate_high: float

    @property
    def visible(self) -> bool:
        """Whether the loop is greater than scatter."""
        return abs(self.area) > VISIBLE_LOOP or abs(math.log(self.ratio)) > VISIBLE_LOOP


class SlipLine(NamedTuple):
    """Slip at one stress [Pa] from two gaps or more: true shear rate [1/s] and slip velocity [m/s]."""

    stress: float
    shear_rate: float
    velocity: float


def runs_of_signs(residual: Array) -> Runs | None:
    """Count the runs of signs of residuals in the order of shear rate.

    Parameters
    ----------
    residual : ndarray, shape (m,)
        [-]

    Returns
    -------
    Runs or None
        None below eight residuals or where all have one sign.

    Notes
    -----
    Wald and Wolfowitz (1940), normal approximation with a half as continuity correction, from memory.
    """
    signs = residual[residual != 0.0] > 0.0
    plus = int(signs.sum())
    minus = int(signs.size - plus)
    if signs.size < LEAST_FOR_RUNS or not (plus and minus):
        return None
    found = 1 + int(np.count_nonzero(signs[1:] != signs[:-1]))
    total = plus + minus
    usual = 1.0 + 2.0 * plus * minus / total
    variance = 2.0 * plus * minus * (2.0 * plus * minus - total) / (total**2 * (total - 1.0))
    return Runs(found, usual, (found + 0.5 - usual) / math.sqrt(max(variance, 1e-12)))


def hysteresis(up: tuple[Array, Array], down: tuple[Array, Array]) -> Hysteresis | None:
    """Compare an up sweep with a down sweep.

    Parameters
    ----------
    up, down : tuple of ndarray
        Shear rates [1/s] and stresses [Pa], any order.

    Returns
    -------
    Hysteresis or None
        None where they share no range of shear rates.
    """
    sweeps = [_sorted(*sweep) for sweep in (up, down)]
    low, high = max(s[0][0] for s in sweeps), min(s[0][-1] for s in sweeps)
    if high <= low * (1.0 + 1e-9):
        return None
    grid = np.geomspace(low, high, GRID)
    rising, falling = (np.exp(np.interp(np.log(grid), np.log(g), np.log(t))) for g, t in sweeps)
    below = float(np.trapezoid(rising, grid))
    area = float(np.trapezoid(rising - falling, grid)) / below
    logs = np.log(rising / falling)
    place = int(np.argmax(np.abs(logs)))
    return Hysteresis(area, float(np.exp(logs[place])), float(grid[place]), float(low), float(high))


def _sorted(rate: Array, stress: Array) -> tuple[Array, Array]:
    """Rising shear rates; repeats become their geometric mean."""
    distinct, place = np.unique(rate, return_inverse=True)
    mean = np.bincount(place, np.log(stress)) / np.bincount(place)
    return distinct, np.exp(mean)


def slip_signs(shear_rate: Array, stress: Array) -> tuple[str, ...]:
    """Signs of wall slip or fracture in one curve.

    Parameters
    ----------
    shear_rate : ndarray, shape (m,)
        [1/s]
    stress : ndarray, shape (m,)
        [Pa]

    Returns
    -------
    tuple of str
        "falls_at_low_rate": stress falls with shear rate in the lowest third; "kink": the curve is steeper
        in its lowest third than in its middle, which no flow law of a paste is; "falls_at_high_rate": stress
        falls in the highest third, as where the sample leaves the gap.

    Notes
    -----
    The slope d ln(tau)/d ln(g) of a Herschel-Bulkley, Bingham or power law never falls with shear rate.
    """
    rate, tau = _sorted(shear_rate, stress)
    if rate.size < LEAST_FOR_SLIP:
        return ()
    x, y = np.log(rate), np.log(tau)
    thirds = np.searchsorted(x, x[0] + (x[-1] - x[0]) * np.array([1.0, 2.0]) / 3.0)
    low, middle, high = slice(0, thirds[0]), slice(thirds[0], thirds[1]), slice(thirds[1], None)
    found = []
    falls = [_fall(y[part]) for part in (low, high)]
    if falls[0] > FALL:
        found.append("falls_at_low_rate")
    slopes = [_slope(x[part], y[part]) for part in (low, middle)]
    if min(x[low].size, x[middle].size) >= 3 and slopes[0] > slopes[1] + KINK:
        found.append("kink")
    if falls[1] > FALL:
        found.append("falls_at_high_rate")
    return tuple(found)


def _fall(y: Array) -> float:
    """How far the logarithm of stress falls from the mean of the first half to the mean of the second."""
    half = y.size // 2
    return float(y[:half].mean() - y[half:].mean()) if half >= 2 else 0.0


def _slope(x: Array, y: Array) -> float:
    if x.size < 2:
        return 0.0
    centred = x - x.mean()
    return float(centred @ y / (centred @ centred))


def mooney(curves: Sequence[tuple[float, Array, Array]], count: int = 5) -> tuple[SlipLine, ...]:
    """Slip velocity from curves of one product in different gaps.

    Parameters
    ----------
    curves : sequence of (float, ndarray, ndarray)
        Gap [m], apparent shear rates [1/s] and stresses [Pa].
    count : int
        Number of stresses within the range that all curves share.

    Returns
    -------
    tuple of SlipLine
        Empty where there is one gap only or no shared range of stress.

    Notes
    -----
    At one stress the apparent shear rate is the true one plus 2 u_s / gap (Mooney 1931 for two faces, from
    memory); a straight line through the gaps gives both.
    """
    sweeps = [(gap, *_sorted(rate, stress)) for gap, rate, stress in curves]
    gaps = np.array([gap for gap, _, _ in sweeps])
    low, high = max(t.min() for _, _, t in sweeps), min(t.max() for _, _, t in sweeps)
    if np.unique(gaps).size < 2 or high <= low:
        return ()
    found = []
    for stress in np.geomspace(low * (1.0 + 1e-9), high * (1.0 - 1e-9), count):
        rates = np.array([_rate_at(stress, g, t) for _, g, t in sweeps])
        slope = _slope(1.0 / gaps, rates)
        true = float(rates.mean() - slope * (1.0 / gaps).mean())
        found.append(SlipLine(float(stress), true, 0.5 * slope))
    return tuple(found)


def _rate_at(stress: float, rate: Array, tau: Array) -> float:
    rising = np.maximum.accumulate(tau)
    return float(np.exp(np.interp(np.log(stress), np.log(rising), np.log(rate))))
