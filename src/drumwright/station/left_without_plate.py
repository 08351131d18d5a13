"""What stays in a bin that is emptied through its own outlet, and the level at which air is drawn."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.kept import Kept
from drumwright.flow.drainage import floor_constant, floor_mean_depth, time_to_drain
from drumwright.flow.levelling import heel
from drumwright.machine.container.open_outlet import air_entry, floor_of, wall_left
from drumwright.product.law import FlowLaw
from drumwright.station.balance import Balance
from drumwright.station.emptied import Residue, last_rate
from drumwright.station.inputs import Sample
from drumwright.station.outlet_feed import outlet_of
from drumwright.station.vessel import filled_height, shape_of
from drumwright.station.warm_up import NEWTONIAN

Array = NDArray[np.float64]
LONGEST = 1.0e5  # [s] of emptying counted for the walls where nothing flows


def drained(sample: Sample, state: Balance, kept: Kept | None = None) -> Residue:
    """What stays when air is drawn at the last rate, or at rest where the yield stress holds more.

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
        With `container.outlet_bore`.
    state : Balance
        Of the season, without a plate.
    kept : Kept, optional
        Store of this sample and law: pumps that end at one rate leave the same floor.

    Notes
    -----
    The heel is the volume under the profile at the last rate, never less than that of the product at rest,
    times the spread of the levelling law (physics book 1.5: +-30 %); the walls keep a film that has drained
    for the time of emptying, and a share of the layer the yield stress can hold. A Newtonian product is left
    to drain for a while after its bulk has gone.
    """
    kept = Kept() if kept is None else kept
    law, shape, density = state.law, state.feed.shape, sample["product.density"]
    height, filled = filled_height(sample, shape), sample["container.usable_volume"]
    last = last_rate(sample, state)
    bottom = kept.once(("floor", last.tobytes()), lambda: _floor(sample, state, last))
    time = np.minimum(state.emptying_time, LONGEST) + sample["model.drain_time"]
    film = wall_left(shape.wall_area(0.0, height), height, time, law, density)
    walls = np.clip(film, 0.0, filled - bottom)
    return Residue({"heel": bottom, "wall": walls}, np.zeros_like(bottom), state.atmosphere, bottom + walls)


def _floor(sample: Sample, state: Balance, last: Array) -> Array:
    """Heel on the floor of the bin at the last rate [m3]."""
    law, shape, density = state.law, state.feed.shape, sample["product.density"]
    floor, way, height = floor_of(shape), outlet_of(sample), filled_height(sample, shape)
    end = np.asarray(air_entry(floor, way, last, law, density).volume)
    drains = (np.asarray(law.yield_stress) <= 0.0) & (np.asarray(law.exponent) > NEWTONIAN)
    if np.any(drains):
        constant = floor_constant(floor, 0.5 * way.bore)
        mean = floor_mean_depth(constant, sample["model.drain_time"], density, law.consistency)
        end = np.where(drains, np.minimum(end, floor.area * np.asarray(mean)), end)
    resting = np.asarray(heel(floor, height, law.yield_stress, density))
    most = sample["model.levelling"] * np.maximum(end, resting)
    return np.asarray(np.minimum(most, sample["container.usable_volume"]))


def air_depth(sample: Sample, state: Balance) -> float:
    """Depth at the far wall at which air is drawn at the wanted flow [m], at likely values.

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
        With `container.outlet_bore`.
    state : Balance
        Of the season, without a plate.
    """
    first = {key: values[:1] for key, values in sample.items()}
    shape = shape_of(first)
    columns = (state.law.yield_stress, state.law.consistency, state.law.exponent)
    law = FlowLaw(*(np.atleast_1d(np.asarray(column))[:1] for column in columns))
    found = air_entry(floor_of(shape), outlet_of(first), state.wanted_flow[:1], law, first["product.density"])
    return float(np.asarray(found.depth)[0])


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
