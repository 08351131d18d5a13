"""Growth of a clearance by wear and the life it leaves, as ranges (physics book 4.7, 8.3)."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.machine.pump.limits import wear_range
from drumwright.machine.pump.records import Abrasion, Wear

Array = NDArray[np.float64]
END_SHARE = 0.2  # slip over displaced flow at which a pump counts as worn; physics book 4.7
EXPONENTS = (1.0, 2.0)  # m of the sliding speed; physics book 4.7
REFERENCE_SPEED, REFERENCE_PRESSURE = 1.0, 1.0e5  # m/s, Pa
WIDEST = 5.0e-3  # m; no clearance is followed further
NARROWEST = 1.0e-7  # m
STEPS = 16
TINY = 1.0e-300
CLOSE = 1.0e-9  # of the slip against its target, as a logarithm


def growth(speed: ArrayLike, pressure: ArrayLike, rate: ArrayLike, exponent: ArrayLike) -> Array:
    """Growth of the clearance [m/s]: dc/dt = w (v/1 m/s)^m (p/1 bar).

    Parameters
    ----------
    speed : array_like
        Sliding speed v [m/s].
    pressure : array_like
        Contact or stage pressure p [Pa]; below zero counts as none.
    rate : array_like
        w at 1 m/s and 1 bar [m/s].
    exponent : array_like
        m [-], 1 to 2.

    Notes
    -----
    dc/dt = k_w v^m p (physics book 4.7). w has no source: assumed and two decades wide, to be fitted from a
    log (8.3): read S at a reference pressure, invert the slip for c, take the slope over running time.
    """
    v = np.asarray(speed) / REFERENCE_SPEED
    p = np.maximum(np.asarray(pressure), 0.0) / REFERENCE_PRESSURE
    return np.asarray(np.asarray(rate) * v ** np.asarray(exponent) * p)


def end_clearance(slip_at: Callable[[Array], Array], start: Array, target: Array) -> Array:
    """Clearance [m] at which the slip reaches a target, at least the start, at most `WIDEST`.

    Parameters
    ----------
    slip_at : callable
        Slip [m3/s] of a clearance [m], rising.
    start : ndarray
        Clearance today [m].
    target : ndarray
        [m3/s]

    Notes
    -----
    False position on ln(slip/target) over ln(clearance), an end kept twice in a row counted half (Illinois):
    a slip is close to a power of its gap, so `STEPS` suffice (oracle test against a bracketed root).
    """
    first = np.broadcast_to(np.maximum(start, NARROWEST), target.shape)
    low, high = np.log(first), np.full(target.shape, np.log(WIDEST))
    below, above = _short(slip_at(np.exp(low)), target), _short(slip_at(np.exp(high)), target)
    done, never = below >= 0.0, above <= 0.0
    below, above = np.where(done, -1.0, below), np.where(never, 1.0, above)
    moved = np.zeros(target.shape)  # which end moved last: 1 high, -1 low
    for _ in range(STEPS):
        middle = low + below / (below - above) * (high - low)
        value = _short(slip_at(np.exp(middle)), target)
        upper = value > 0.0
        below = np.where(upper, np.where(moved > 0.0, 0.5, 1.0) * below, value)
        above = np.where(upper, value, np.where(moved < 0.0, 0.5, 1.0) * above)
        below, above = np.minimum(below, -TINY), np.maximum(above, TINY)
        high, low = np.where(upper, middle, high), np.where(upper, low, middle)
        if np.all((np.abs(value) < CLOSE) | done | never):
            break
        moved = np.where(upper, 1.0, -1.0)
    found = np.exp(low + below / (below - above) * (high - low))
    return np.asarray(np.where(done, first, np.where(never, WIDEST, found)))


def _short(slip: Array, target: Array) -> Array:
    """Logarithm of slip over target; a slip of nothing counts as far too small."""
    return np.log(np.maximum(slip, 1e-30 * target + 1e-300) / np.maximum(target, 1e-300))


def wear_of(
    abrasion: Abrasion,
    start: Array,
    end: Array,
    sliding: Array,
    pressure: Array,
    flow: Array,
    container: float,
) -> Wear:
    """Range of growth and life over the samples, the rates of the class and both exponents.

    Parameters
    ----------
    abrasion : str
        clean, sensitive, mild or abrasive.
    start, end : ndarray
        Clearance today and at the end of life [m].
    sliding : ndarray
        Sliding speed [m/s].
    pressure : ndarray
        Contact or stage pressure [Pa].
    flow : ndarray
        [m3/s]
    container : float
        Volume that counts as one container [m3].
    """
    low, high = wear_range(abrasion)
    rates = np.stack([growth(sliding, pressure, w, m) for w in (low, high) for m in EXPONENTS])
    with np.errstate(divide="ignore", invalid="ignore"):
        life = np.where(end > start, (end - start) / rates, 0.0)
        counted = np.where(flow > 0.0, life * flow / container, 0.0)
    return Wear(_ends(rates), _ends(life), _ends(counted), _ends(end))


def _ends(values: Array) -> tuple[float, float]:
    return float(np.min(values)), float(np.max(values))
