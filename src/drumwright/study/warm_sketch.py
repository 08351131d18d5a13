"""Numbers behind the picture of the warm-up: a product that stands still, turns over, or is frozen."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.conduction import Cylinder, remaining
from drumwright.flow.convection import mixing_time, plate_inside
from drumwright.machine.container.band_heater import BandHeater
from drumwright.machine.container.band_warm_up import mean_and_wall_after_bands
from drumwright.machine.container.thaw import drum_history
from drumwright.machine.container.warm_up import HeatCard, Store, cylinder, freezes, modes
from drumwright.station.frozen import dimensions_of, single
from drumwright.station.heating import store_of, surroundings_of, way_of_heating
from drumwright.station.warm_up import heat_card, reached_after
from drumwright.study.evaluation import Problem
from drumwright.study.result import WarmCurves
from drumwright.study.warming import law_of

Array = NDArray[np.float64]
SAMPLES, TIMES = 129, 21
AFTER = 1.6  # the curves end this much later than the core is ready
CLOSER = 1.5  # exponent that sets the times closer where wall and mean rise steeply
LEVELS, LAST = 24, 0.05  # steps of temperature of a product that turns over, and where they end


@dataclass(frozen=True, slots=True)
class _Setting:
    """Container and surroundings over some samples."""

    start: Array
    around: Array
    card: HeatCard
    store: Store
    body: Cylinder
    size: tuple[Array, Array]  # diameter and height of the product [m]
    heater: BandHeater | None  # bands round it
    hall: Store  # the air outside the bands


def warm_curves(problem: Problem, target: float | None, ready: float | None) -> WarmCurves | None:
    """Core, mean and wall over time in the warm; None where nothing is warmed.

    Parameters
    ----------
    problem : Problem
    target : float or None
        Core temperature wanted [K].
    ready : float or None
        When the core has it at likely inputs, the figure `warm_up.core_time` [s].
    """
    if target is None or ready is None or not 0.0 < ready < np.inf or problem.known.kind == "none":
        return None
    point = _setting(problem, target, 1)
    if freezes(point.card, point.store, point.start):
        return _thawed(point, target, ready) if point.heater is None else None
    all_of_them = _setting(problem, target, SAMPLES)
    if all_of_them.heater is not None:
        return _banded(all_of_them, all_of_them.heater, target, ready)
    mode = str(modes(point.card, point.body, point.start, point.around).flat[0])
    if mode == "convection":
        return _mixed(all_of_them, target, ready)
    return _conducted(
        point, all_of_them, target, ready, "conduction" if mode == "conduction" else "may_convect"
    )


def _setting(problem: Problem, target: float, count: int) -> _Setting:
    sample = {key: values[:count] for key, values in problem.sample.items()}
    start = sample["product.temperature.low"]
    size, how = dimensions_of(sample), way_of_heating(problem.inputs, target)
    store, heater = surroundings_of(problem.inputs, sample, size, target, how)
    hall = store_of(problem.inputs, sample, target, "hall_air")
    around = np.broadcast_to(np.asarray(store.ambient, float), start.shape)
    card = heat_card(problem.inputs, sample, law_of(problem, sample), np.maximum(around, start))
    return _Setting(start, around, card, store, cylinder(*size, card, store), size, heater, hall)


def _conducted(point: _Setting, spread: _Setting, target: float, ready: float, mode: str) -> WarmCurves:
    """Heat conducted into a product that stands still."""
    times = AFTER * ready * np.linspace(0.0, 1.0, TIMES) ** CLOSER
    core = np.vstack([spread.start, _after(spread, times[1:], "core")])
    mean, wall = (
        np.concatenate([point.start, _after(point, times[1:], place)[:, 0]]) for place in ("mean", "wall")
    )
    return _curves(times, core, mean, wall, target, float(point.around[0]), ready, mode)


def _after(found: _Setting, times: Array, place: Any) -> Array:
    left = np.asarray(remaining(found.body, times[:, None], place))
    return np.asarray(found.around + (found.start - found.around) * left)


def _mixed(found: _Setting, target: float, ready: float) -> WarmCurves:
    """A Newtonian product that turns over: one temperature, its time added up from level to level.

    Notes
    -----
    The levels are equal parts of the logarithm of the difference, as the steps of `mixing_time`.
    """
    body, card = found.body, found.card
    assert card.viscosity is not None  # else it would not be known to turn over
    whole = found.around - found.start
    end = LAST * (found.around - target) / whole
    rest = whole * np.power(end, np.linspace(0.0, 1.0, LEVELS + 1)[:, None])
    levels = found.around - rest
    inside = plate_inside(
        card.density, card.expansion, card.conductivity, body.diffusivity, body.height, card.viscosity
    )
    radius, tall = np.asarray(body.radius), np.asarray(body.height)
    heat, area = np.pi * radius**2 * tall * body.heat_per_volume, 2.0 * np.pi * radius * tall
    steps = mixing_time(levels[:-1], levels[1:], found.around, heat, area, body.side, inside, steps=1)
    taken = np.vstack([np.zeros_like(found.start), np.cumsum(np.asarray(steps), axis=0)])
    times = AFTER * ready * np.linspace(0.0, 1.0, TIMES)
    core = np.array([np.interp(times, taken[:, i], levels[:, i]) for i in range(found.start.size)]).T
    return _curves(times, core, core[:, 0], core[:, 0], target, float(found.around[0]), ready, "convection")


def _banded(found: _Setting, heater: BandHeater, target: float, ready: float) -> WarmCurves:
    """Under bands: the coldest place, the mean and the wall under them, the hall helping where it is warm."""
    times = AFTER * ready * np.linspace(0.0, 1.0, TIMES) ** CLOSER
    at = times[:, None]
    bands, alone = (
        reached_after(found.size, found.card, store, each, found.start, at)
        for store, each in ((found.store, heater), (found.hall, None))
    )
    core = np.maximum(bands, alone)
    both = mean_and_wall_after_bands(*found.size, found.card, heater, found.start, at)
    mean, wall = (np.maximum(np.asarray(each), core) for each in both)
    mode = str(modes(found.card, found.body, found.start, found.around).flat[0])
    around = float(found.around[0])
    return _curves(times, core, mean[:, 0], wall[:, 0], target, around, ready, mode)


def _thawed(point: _Setting, target: float, ready: float) -> WarmCurves:
    """A frozen product at likely inputs: its coldest place, with the plateau of its latent heat."""
    card, store = single(point.card), single(point.store)
    diameter, height = (float(each[0]) for each in point.size)
    history = drum_history(diameter, height, card, store, float(point.start[0]), AFTER * ready)
    chosen = np.unique(np.linspace(0, history.times.size - 1, 2 * TIMES - 1).round().astype(int))
    times = history.times[chosen]
    core, mean, wall = (each[chosen] for each in (history.coldest, history.mean, history.wall))
    wall[0] = point.start[0]  # the history gives the surface just after it came into the warm
    found = _curves(times, core[:, None], mean, wall, target, float(point.around[0]), ready, "phase_change")
    return replace(found, core_low=(), core_high=(), melts=card.freezes_at)


def _curves(
    times: Array, core: Array, mean: Array, wall: Array, target: float, around: float, ready: float, mode: Any
) -> WarmCurves:
    """The record; `core` holds times over samples, the point of likely values first."""
    rest = core[:, 1:] if core.shape[1] > 1 else core
    low, high = np.quantile(rest, (0.05, 0.95), axis=1)
    rows = [tuple(float(each) for each in row) for row in (times, core[:, 0], mean, wall, low, high)]
    return WarmCurves(rows[0], rows[1], rows[2], rows[3], rows[4], rows[5], target, around, ready, mode)
