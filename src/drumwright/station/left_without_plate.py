"""What stays in a bin that is emptied through its own outlet, and the level at which air is drawn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.drainage import floor_constant, floor_mean_depth, time_to_drain
from drumwright.flow.levelling import heel
from drumwright.machine.container.open_outlet import air_entry, floor_of, wall_left
from drumwright.station.balance import Balance
from drumwright.station.emptied import Residue, last_rate
from drumwright.station.inputs import Sample
from drumwright.station.outlet_feed import outlet_of
from drumwright.station.vessel import filled_height
from drumwright.station.warm_up import NEWTONIAN

Array = NDArray[np.float64]
LONGEST = 1.0e5  # [s] of emptying counted for the walls where nothing flows


@dataclass(frozen=True, slots=True)
class Drained:
    """A bin at its end; arrays over samples."""

    air_depth: Array  # depth at the far wall at which air is drawn at the wanted flow [m]
    left: Residue


def drained(sample: Sample, state: Balance) -> Drained:
    """What stays when air is drawn at the last rate, or at rest where the yield stress holds more.

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
        With `container.outlet_bore`.
    state : Balance
        Of the season, without a plate.

    Notes
    -----
    The heel is the volume under the profile at the last rate, never less than that of the product at rest,
    times the spread of the levelling law (physics book 1.5: +-30 %); the walls keep a film that has drained
    for the time of emptying, and a share of the layer the yield stress can hold. A Newtonian product is left
    to drain for a while after its bulk has gone.
    """
    law, shape, density = state.law, state.feed.shape, sample["product.density"]
    floor, way, height = floor_of(shape), outlet_of(sample), filled_height(sample, shape)
    end = np.asarray(air_entry(floor, way, last_rate(sample, state), law, density).volume)
    drains = np.asarray(law.yield_stress) <= 0.0
    wait = sample["model.drain_time"]
    constant = floor_constant(floor, 0.5 * way.bore)
    shallow = floor.area * np.asarray(floor_mean_depth(constant, wait, density, law.consistency))
    end = np.where(drains & (np.asarray(law.exponent) > NEWTONIAN), np.minimum(end, shallow), end)
    resting = np.asarray(heel(floor, height, law.yield_stress, density))
    running = air_entry(floor, way, state.wanted_flow, law, density)
    filled = sample["container.usable_volume"]
    bottom = np.minimum(sample["model.levelling"] * np.maximum(end, resting), filled)
    time = np.minimum(state.emptying_time, LONGEST) + wait
    film = wall_left(shape.wall_area(0.0, height), height, time, law, density)
    walls = np.clip(film, 0.0, filled - bottom)
    left = Residue({"heel": bottom, "wall": walls}, np.zeros_like(bottom), state.atmosphere, bottom + walls)
    return Drained(np.asarray(running.depth), left)


def waiting_time(sample: Sample, state: Balance, wanted: Array) -> Array:
    """Time until a Newtonian product has drained to a wanted volume, bulk gone [s].

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    state : Balance
    wanted : ndarray, shape (n,)
        Volume that may stay [m3].
    """
    shape = state.feed.shape
    height = filled_height(sample, shape)
    constant = floor_constant(floor_of(shape), 0.5 * sample["container.outlet_bore"])
    walls = shape.wall_area(0.0, height)
    viscosity = np.asarray(state.law.consistency)
    area = shape.bottom_area
    return np.asarray(
        time_to_drain(wanted, area, constant, walls, height, sample["product.density"], viscosity)
    )
