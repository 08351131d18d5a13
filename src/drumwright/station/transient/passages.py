"""Flow of a passage over its pressure as a table for the kernel, filled by the laws of the steady balance."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.station.transient.layout import OCTAVES, PARTS, POINTS, TABLE_SIZE

Array = NDArray[np.float64]
NODES = np.append(
    (2.0 ** np.arange(OCTAVES)[:, None] * (1.0 + np.arange(PARTS) / PARTS)).ravel(), 2.0**OCTAVES
)  # Pa
RANGE = 1.0e-9  # of the greatest flow: where the search for the inverse begins
GUESSES = 160  # flows at which the law is looked at first
CORRECTIONS = 3
NUDGE = 1.0e-5


def from_excess(flow: Callable[[Array], Array]) -> Array:
    """Table of a passage whose flow is known at every pressure.

    Parameters
    ----------
    flow : callable
        Flow [m3/s] at pressures beyond what holds the passage [Pa], shape (points, 1), giving shape
        (points, n); above zero, rising or level.

    Returns
    -------
    ndarray, shape (n, TABLE_SIZE)
        Flows [m3/s] and their slopes [m3/(s Pa)].
    """
    at = NODES[:, None]
    low, high = flow(at * (1.0 - NUDGE)), flow(at * (1.0 + NUDGE))
    return _table(flow(at), (high - low) / (2.0 * NUDGE * at))


def from_flow(pressure: Callable[[Array], Array], held: ArrayLike, most: ArrayLike) -> Array:
    """Table of a passage whose pressure is known at every flow, by inverting it.

    Parameters
    ----------
    pressure : callable
        Pressure [Pa] at flows [m3/s], shape (points, n): rising.
    held : array_like, shape (n,)
        Pressure at which it begins to flow [Pa].
    most : array_like, shape (n,)
        Greatest flow of interest [m3/s]; the table goes further by its power.

    Notes
    -----
    A first guess through `GUESSES` flows, then Newton steps of the flow in logarithms; pressures so close to
    the yield that rounding hides them follow the power next to them. The kernel's cubic lies within 1e-4 of
    the law (oracle test).
    """
    greatest, rest = np.atleast_1d(np.asarray(most, float)), np.atleast_1d(np.asarray(held, float))
    rate = greatest * np.exp(np.linspace(np.log(RANGE), 0.0, GUESSES))[:, None]
    floor = 1e-9 * np.maximum(rest, 1.0)
    x = np.log(np.maximum(pressure(rate) - rest, floor))
    y, wanted = np.log(rate), np.log(NODES)
    flow = np.exp(np.stack([_through(wanted, x[:, k], y[:, k]) for k in range(x.shape[1])], axis=1))
    slope = np.ones_like(flow)
    for _ in range(CORRECTIONS):
        there = np.maximum(pressure(flow) - rest, floor)
        more = np.maximum(pressure(flow * (1.0 + NUDGE)) - rest, floor)
        power = np.clip(np.log(more / there) / np.log1p(NUDGE), 0.02, 5.0)  # of the pressure over the flow
        step = np.clip((wanted[:, None] - np.log(there)) / power, -2.0, 2.0)
        flow, slope = flow * np.exp(step), 1.0 / power
    return _table(flow, slope * flow / NODES[:, None])


def linear(pressure: ArrayLike, flow: ArrayLike) -> Array:
    """Table of a passage whose flow is in proportion to the pressure.

    Parameters
    ----------
    pressure, flow : array_like, shape (n,)
        A pressure [Pa] and the flow at it [m3/s].
    """
    each, rate = np.broadcast_arrays(np.atleast_1d(pressure), np.atleast_1d(flow))
    return from_excess(lambda excess: np.asarray(excess / each * rate))


def saturating(pressure: ArrayLike, flow: ArrayLike) -> Array:
    """Table of a filler that draws a flow once the pressure is there.

    Parameters
    ----------
    pressure, flow : array_like, shape (n,)
        Pressure at which it draws half of the flow [Pa], and the flow [m3/s].
    """
    half, rate = np.broadcast_arrays(np.atleast_1d(pressure), np.atleast_1d(flow))
    return from_excess(lambda excess: np.asarray(rate * excess / (excess + half)))


def _through(wanted: Array, x: Array, y: Array) -> Array:
    """Straight lines through rising points, the first and last of them extended."""
    distinct = np.concatenate([[True], np.diff(np.maximum.accumulate(x)) > 1e-9])
    x, y = x[distinct], y[distinct]
    inside = np.interp(wanted, x, y)
    first, last = (y[1] - y[0]) / (x[1] - x[0]), (y[-1] - y[-2]) / (x[-1] - x[-2])
    below, above = y[0] + first * (wanted - x[0]), y[-1] + last * (wanted - x[-1])
    return np.asarray(np.where(wanted < x[0], below, np.where(wanted > x[-1], above, inside)))


def _table(flow: Array, slope: Array) -> Array:
    """Flows and slopes by rows; slopes held so that the cubic never falls (Fritsch and Carlson 1980)."""
    values = np.maximum.accumulate(np.maximum(flow, 0.0), axis=0)
    secant = np.diff(values, axis=0) / np.diff(NODES)[:, None]
    least = 3.0 * np.minimum(np.vstack([secant[:1], secant]), np.vstack([secant, secant[-1:]]))
    table = np.empty((values.shape[1], TABLE_SIZE))
    table[:, :POINTS], table[:, POINTS:] = values.T, np.clip(slope, 0.0, least).T
    return table
