"""Pressure and height along the line, for the picture and for the check of every part."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.line_cooling import running_share
from drumwright.flow.numbers import GRAVITY
from drumwright.machine.line.losses import RouteLoss, elevation
from drumwright.machine.line.segments import Segment

Array = NDArray[np.float64]


class Profile(NamedTuple):
    """The line at the m + 1 ends of its segments, the pump outlet first."""

    distance: Array  # along the centre line [m], shape (m + 1, n)
    height: Array  # over the pump outlet [m], shape (m + 1, n)
    gauge: Array  # pressure in the full line [Pa(g)], shape (m + 1, n)

    @property
    def least_gauge(self) -> Array:
        """Lowest pressure of the line [Pa(g)], shape (n,); below zero a high point draws air or breaks."""
        return np.asarray(np.min(self.gauge, axis=0))


def profile(
    segments: Sequence[Segment], loss: RouteLoss, density: ArrayLike, destination_gauge: ArrayLike
) -> Profile:
    """Distance, height and pressure along a line that runs full.

    Parameters
    ----------
    segments : sequence of Segment
    loss : RouteLoss
        Of the same segments (`losses`).
    density : array_like
        [kg/m3]
    destination_gauge : array_like
        Pressure at the end of the line [Pa(g)].

    Notes
    -----
    From the end backwards: p_k = p_end + friction and head of all that follows.
    """
    shape = np.broadcast_shapes(loss.total.shape, np.shape(destination_gauge))
    height = elevation(segments, shape)
    lengths = np.zeros((len(segments) + 1, *shape))
    friction = np.zeros((len(segments) + 1, *shape))
    for index, segment in enumerate(segments):
        lengths[index + 1] = np.asarray(segment.length)
        friction[index] = loss.friction[index]
    behind = np.cumsum(friction[::-1], axis=0)[::-1]
    heads = np.asarray(density) * GRAVITY * (height[-1] - height)
    return Profile(np.cumsum(lengths, axis=0), height, np.asarray(destination_gauge) + behind + heads)


def temperature_along(
    segments: Sequence[Segment],
    flow: ArrayLike,
    start: ArrayLike,
    surroundings: ArrayLike,
    coefficient: ArrayLike,
    density: ArrayLike,
    heat_capacity: ArrayLike,
) -> Array:
    """Mean temperature of the product at the ends of the segments while the line runs [K].

    Parameters
    ----------
    segments : sequence of Segment
    flow : array_like
        [m3/s], above zero.
    start, surroundings : array_like
        Temperature at the pump outlet, and of the air along the line [K].
    coefficient : array_like
        From the product to the air, on the inner surface [W/(m2 K)].
    density, heat_capacity : array_like
        [kg/m3], [J/(kg K)]

    Returns
    -------
    ndarray
        Shape (m + 1, n).

    Notes
    -----
    `flow.line_cooling.running_share` of each segment in turn; friction heat is left out (physics book 5.6).
    """
    air = np.asarray(surroundings, float)
    difference = np.asarray(start, float) - air
    steps = [difference]
    for each in segments:
        share = running_share(flow, each.bore, each.length, coefficient, density, heat_capacity)
        steps.append(np.asarray(steps[-1] * share))
    return np.asarray(air + np.stack(np.broadcast_arrays(*steps)))


def margin_of_segments(gauge: Array, ratings: ArrayLike) -> Array:
    """Rated pressure less the greatest pressure of each segment [Pa], negative where it is exceeded.

    Parameters
    ----------
    gauge : ndarray
        Pressure at the ends of the segments [Pa(g)], shape (m + 1, n) (`Profile.gauge`).
    ratings : array_like
        Allowed pressure of each segment [Pa(g)], shape (m,) or (m, n).

    Notes
    -----
    Running pressure only. A closed end brings the pump's full pressure to every segment: see the relief path.
    """
    greatest = np.maximum(gauge[:-1], gauge[1:])
    allowed = np.asarray(ratings, float)
    if allowed.ndim == 1 and greatest.ndim > 1:
        allowed = allowed[:, np.newaxis]
    return np.asarray(allowed - greatest)
