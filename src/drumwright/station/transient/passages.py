"""Flow of a passage over its pressure as a table for the kernel, filled by the laws of the steady balance."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.station.transient.layout import POINTS, TABLE_SIZE

Array = NDArray[np.float64]
RANGE = 1.0e-7  # of the greatest flow: where a table begins; below it follows its first slope


def from_excess(flow: Callable[[Array], Array], least: ArrayLike, most: ArrayLike) -> Array:
    """Table of a passage whose flow is known at every pressure.

    Parameters
    ----------
    flow : callable
        Flow [m3/s] at pressures beyond what holds the passage [Pa], shape (points, n); above zero, rising.
    least, most : array_like, shape (n,)
        Pressures the table reaches from and to [Pa]; outside it follows its first and last slope.

    Returns
    -------
    ndarray, shape (n, TABLE_SIZE)
        First logarithm, step, logarithms of the flow and their slopes over a step.
    """
    low, high = np.log(np.atleast_1d(least)), np.log(np.atleast_1d(most))
    step = (high - low) / (POINTS - 1)
    grid = np.exp(low + np.arange(POINTS)[:, None] * step)
    return _table(low, step, np.log(np.maximum(flow(grid), 1e-30)).T)


def from_flow(pressure: Callable[[Array], Array], held: ArrayLike, most: ArrayLike) -> Array:
    """Table of a passage whose pressure is known at every flow, by inverting it.

    Parameters
    ----------
    pressure : callable
        Pressure [Pa] at flows [m3/s], shape (points, n): rising.
    held : array_like, shape (n,)
        Pressure at which it begins to flow [Pa].
    most : array_like, shape (n,)
        Greatest flow of the table [m3/s].

    Notes
    -----
    Between 400 flows spaced by their logarithm the inverse is a cubic through value and slope in logarithms;
    the table lies within 1e-5 of the law it was filled from (oracle test).
    """
    greatest = np.atleast_1d(np.asarray(most, float))
    count = 4 * POINTS
    rate = greatest * np.exp(np.linspace(np.log(RANGE), 0.0, count))[:, None]
    excess = np.maximum(pressure(rate) - np.asarray(held, float), 1e-9)
    x, y = np.maximum.accumulate(np.log(excess), axis=0), np.log(rate)
    low, high = x[0], x[-1]
    step = (high - low) / (POINTS - 1)
    wanted = low + np.arange(POINTS)[:, None] * step
    values = np.stack([_cubic(wanted[:, k], x[:, k], y[:, k]) for k in range(x.shape[1])])
    return _table(low, step, values)


def linear(pressure: ArrayLike, flow: ArrayLike) -> Array:
    """Table of a passage whose flow is in proportion to the pressure.

    Parameters
    ----------
    pressure, flow : array_like, shape (n,)
        A pressure [Pa] and the flow at it [m3/s].
    """
    each, rate = np.broadcast_arrays(np.atleast_1d(pressure), np.atleast_1d(flow))
    return from_excess(lambda excess: excess / each * rate, 1e-3 * each, 1e3 * each)


def saturating(pressure: ArrayLike, flow: ArrayLike) -> Array:
    """Table of a filler that draws a flow once the pressure is there.

    Parameters
    ----------
    pressure, flow : array_like, shape (n,)
        Pressure at which it draws half of the flow [Pa], and the flow [m3/s].
    """
    half, rate = np.broadcast_arrays(np.atleast_1d(pressure), np.atleast_1d(flow))
    return from_excess(lambda excess: rate * excess / (excess + half), 1e-3 * half, 1e6 * half)


def _cubic(wanted: Array, x: Array, y: Array) -> Array:
    """Cubic through rising points that are not evenly spaced, slopes by three of them."""
    width = np.maximum(np.diff(x), 1e-12)
    secant = np.diff(y) / width
    inner = (secant[:-1] * width[1:] + secant[1:] * width[:-1]) / (width[:-1] + width[1:])
    inner = np.minimum(inner, 3.0 * np.minimum(secant[:-1], secant[1:]))
    slope = np.concatenate([secant[:1], inner, secant[-1:]])
    place = np.clip(np.searchsorted(x, wanted) - 1, 0, len(x) - 2)
    h = width[place]
    s = np.clip((wanted - x[place]) / h, 0.0, 1.0)
    left, right, rise = slope[place] * h, slope[place + 1] * h, y[place + 1] - y[place]
    c = left + right - 2.0 * rise
    return np.asarray(y[place] + s * (left + s * ((rise - left - c) + s * c)))


def _table(low: Array, step: Array, values: Array) -> Array:
    """Values by rows with their slopes over a step, by five points; held so that the cubic rises."""
    secant = np.maximum(np.diff(values, axis=1), 1e-12)
    slope = np.empty_like(values)
    slope[:, 2:-2] = (8.0 * (values[:, 3:-1] - values[:, 1:-3]) - values[:, 4:] + values[:, :-4]) / 12.0
    slope[:, 1], slope[:, -2] = 0.5 * (values[:, 2] - values[:, 0]), 0.5 * (values[:, -1] - values[:, -3])
    slope[:, 0], slope[:, -1] = secant[:, 0], secant[:, -1]
    slope[:, 1:-1] = np.clip(slope[:, 1:-1], 0.0, 3.0 * np.minimum(secant[:, :-1], secant[:, 1:]))
    table = np.empty((values.shape[0], TABLE_SIZE))
    table[:, 0], table[:, 1] = low, step
    table[:, 2 : 2 + POINTS], table[:, 2 + POINTS :] = values, slope
    return table
