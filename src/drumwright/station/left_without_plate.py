"""What stays in a bin that is emptied through its own outlet, and the level at which air is drawn."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.drainage import floor_constant, time_to_drain, wall_film_mean
from drumwright.flow.draw_down import floor_draw_down
from drumwright.flow.floor import Floor, rectangular_floor, round_floor
from drumwright.flow.levelling import heel
from drumwright.station.balance import Balance
from drumwright.station.emptied import Residue, last_rate
from drumwright.station.inputs import Sample
from drumwright.station.vessel import filled_height

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Drained:
    """A bin at its end; arrays over samples."""

    air_depth: Array  # depth at the far wall at which air is drawn at the wanted flow [m]
    left: Residue


def floor_of(state: Balance) -> Floor:
    """Floor of the container with its outlet: middle of a short side, or at the wall of a round one.

    Parameters
    ----------
    state : Balance
    """
    shape = state.feed.shape
    if shape.section == "rectangular":
        return rectangular_floor(shape.length, shape.width)
    return round_floor(0.5 * shape.diameter(0.0), at_wall=True)


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
    Air is drawn once the edge of the outlet stands half a bore deep. The heel is the volume under the profile
    at the last rate, never less than that of the product at rest, times the spread of the levelling law
    (physics book 1.5: +-30 %); the walls keep a film that has drained for the time of emptying, never less
    than the layer the yield stress holds.
    """
    law, shape, density = state.law, state.feed.shape, sample["product.density"]
    floor = floor_of(state)
    edge = 0.5 * sample["container.outlet_bore"]
    height = filled_height(sample, shape)
    end = _under(floor, last_rate(sample, state), edge, state, density)
    resting = np.asarray(heel(floor, height, law.yield_stress, density))
    running = floor_draw_down(
        floor, state.wanted_flow, edge, edge, density, law.yield_stress, law.consistency, law.exponent
    )
    filled = sample["container.usable_volume"]
    bottom = np.minimum(sample["model.levelling"] * np.maximum(end, resting), filled)
    time = np.where(np.isfinite(state.emptying_time), state.emptying_time, 1.0e5)
    film = wall_film_mean(height, time, density, law.yield_stress, law.consistency, law.exponent)
    walls = np.minimum(shape.wall_area(0.0, height) * np.asarray(film), filled - bottom)
    places = {"heel": bottom, "wall": walls}
    none = np.zeros_like(bottom)
    left = Residue(places, none, state.atmosphere, bottom + walls)
    return Drained(np.asarray(running.depth), left)


def _under(floor: Floor, flow: Array, edge: Array, state: Balance, density: Array) -> Array:
    law = state.law
    profile = floor_draw_down(
        floor, flow, edge, edge, density, law.yield_stress, law.consistency, law.exponent
    )
    return np.asarray(profile.volume)


def waiting_time(sample: Sample, state: Balance, wanted: Array) -> Array:
    """Time until a Newtonian product has drained to a wanted volume, bulk gone [s].

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    state : Balance
    wanted : ndarray, shape (n,)
        Volume that may stay [m3].
    """
    shape, floor = state.feed.shape, floor_of(state)
    height = filled_height(sample, shape)
    constant = floor_constant(floor, 0.5 * sample["container.outlet_bore"])
    walls = shape.wall_area(0.0, height)
    viscosity = np.asarray(state.law.consistency)
    area = shape.bottom_area
    return np.asarray(
        time_to_drain(wanted, area, constant, walls, height, sample["product.density"], viscosity)
    )
