"""Emptying a container by its own outlet: all of it at once, and the time it takes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.machine.container.open_outlet import (
    HANGING_LIKELY,
    Outlet,
    air_entry,
    fed_flow,
    floor_of,
    heel_band,
    inlet_gauge,
    stall_head,
    wall_left,
)
from drumwright.machine.container.shape import Shape
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)


@dataclass(frozen=True, slots=True)
class Emptied:
    """What a container does at its own outlet; arrays over samples.

    Pressures [Pa(g)] at the pump at the flow wanted; flows that are fed [m3/s]; depth far from the outlet at
    which air is drawn [m]; volumes [m3]; time [s], infinite where nothing is fed or the flow dies away
    before air comes.
    """

    inlet_gauge_full: Array
    inlet_gauge_end: Array
    fed_full: Array
    fed_end: Array
    air_depth: Array
    left_on_floor: Array
    heel_at_rest: tuple[Array, Array, Array]
    walls: Array
    time: Array


def empty_by_outlet(
    shape: Shape,
    way: Outlet,
    filled_height: ArrayLike,
    flow: ArrayLike,
    last_flow: ArrayLike,
    inlet_needed: ArrayLike,
    law: FlowLaw,
    density: ArrayLike,
    hanging: ArrayLike = HANGING_LIKELY,
) -> Emptied:
    """Feed, heel and time of a container emptied by its own outlet.

    Parameters
    ----------
    shape : Shape
        A drum has its outlet in the middle.
    way : Outlet
    filled_height : array_like
        Of the full container [m].
    flow, last_flow : array_like
        Wanted, and wanted at the end [m3/s].
    inlet_needed : array_like
        Pressure the pump needs at its inlet [Pa(g)].
    law : FlowLaw
    density : array_like
        [kg/m3]
    hanging : array_like
        As in `wall_left` [-].

    Notes
    -----
    Left on the floor: the profile of `air_entry` at the last rate, which is never above what is fed with the
    outlet just covered; at least the level of `stall_head`; never more than was filled in, and all of it
    where nothing is fed from the start. Walls after the time of emptying.
    """
    floor, tall = floor_of(shape), np.asarray(filled_height, float)
    filled = np.asarray(shape.volume_to(tall))
    fed_full = fed_flow(way, tall, inlet_needed, law, density)
    fed_end = fed_flow(way, way.bore, inlet_needed, law, density)
    profile = air_entry(floor, way, np.minimum(last_flow, fed_end), law, density)
    stalled = np.minimum(stall_head(way, law.yield_stress, density, inlet_needed), tall)
    left = np.minimum(np.maximum(profile.volume, shape.volume_to(stalled)), filled)
    left = np.where(fed_full > 0.0, left, filled)
    end = np.minimum(shape.height_of(left), tall)
    time = emptying_time(shape, way, (tall, end), flow, inlet_needed, law, density)
    time = np.where((fed_full > 0.0) & (left > shape.volume_to(stalled)), time, np.inf)
    waited = np.where(np.isfinite(time), np.maximum(time, 1.0), 1.0)
    walls = wall_left(shape.wall_area(end, tall), np.maximum(tall - end, 1e-6), waited, law, density, hanging)
    return Emptied(
        inlet_gauge(way, tall, flow, law, density),
        inlet_gauge(way, way.bore, flow, law, density),
        fed_full,
        fed_end,
        profile.depth,
        np.asarray(left),
        heel_band(floor, tall, law.yield_stress, density),
        np.asarray(np.minimum(walls, filled - left)),
        np.asarray(time),
    )


def emptying_time(
    shape: Shape,
    way: Outlet,
    heights: tuple[ArrayLike, ArrayLike],
    flow: ArrayLike,
    inlet_needed: ArrayLike,
    law: FlowLaw,
    density: ArrayLike,
) -> Array:
    """Time [s] to bring the level from one height down to another; infinite where the product stands still.

    Parameters
    ----------
    shape : Shape
    way : Outlet
    heights : tuple of array_like
        Level at the start and at the end [m].
    flow : array_like
        What the pump takes where it is fed [m3/s].
    inlet_needed : array_like
        Pressure the pump needs at its inlet [Pa(g)].
    law : FlowLaw
    density : array_like
        [kg/m3]

    Notes
    -----
    Integral of A dz over the lesser of the pump's flow and `fed_flow`, eight Gauss nodes on the root of the
    height above the end.
    """
    start, end = (np.asarray(each, float) for each in heights)
    total = np.zeros(())
    for node, weight in zip(0.5 * (_NODES + 1.0), 0.5 * _WEIGHTS, strict=True):
        level = end + (start - end) * node**2
        running = np.minimum(flow, fed_flow(way, level, inlet_needed, law, density))
        still = running <= 0.0
        slow = np.where(still, np.inf, shape.area(level) / np.where(still, 1.0, running))
        total = total + 2.0 * node * weight * slow
    falling = start > end
    return np.asarray(np.where(falling, np.where(falling, start - end, 1.0) * total, 0.0))
