"""Numbers behind the pictures of the pump: its curve and limits, suction, torque or air."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import fields, replace
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.pipe import pressure_drop
from drumwright.machine.line.route import Route, line_loss
from drumwright.machine.pump.operate import Operation, load, operate, stall_pressure
from drumwright.machine.pump.records import Pump
from drumwright.machine.pump.stock import rated_pressure
from drumwright.product.law import FlowLaw
from drumwright.station.balance import feed_of
from drumwright.station.plate_feed import Feed, throat_of
from drumwright.study.checks import weakest_part
from drumwright.study.figures import Scene
from drumwright.study.machine_sketch import AirCurves, Suction, TorqueCurves
from drumwright.study.pump_figures import drive_of, overload_reached

Array = NDArray[np.float64]
SHOWN = ("winter", "norm")
SAMPLES = 129  # the point of likely values and the first 128
POINTS, FURTHER = 25, 16  # flows up to a little past the wanted one, and from there on
SEEN, PAST = 1.6, 1.25  # curves end this far past the wanted flow, or past the crossing
SPEEDS, FASTER = 25, 1.05
CLOSER = 1.7  # exponent that sets the flows closer where the curves bend
HALVINGS, EVERY = 12, 3  # of the air pressure, at every so many of the flows
ROUNDS, PARTS = 4, 12  # a flow is narrowed this often, each time to one of these parts


class Along(NamedTuple):
    """A machine at several flows, shape (k, n); the point of likely values is the first sample."""

    flow: Array  # (k,) [m3/s]
    inlet: Array  # absolute [Pa]
    outlet: Array  # absolute [Pa]
    operation: Operation
    feed: Feed
    law: FlowLaw
    sample: Mapping[str, Array]


def thinned(scene: Scene, count: int = SAMPLES) -> tuple[dict[str, Array], FlowLaw, Route]:
    """Sample, law and line of a scene over its first samples.

    Parameters
    ----------
    scene : Scene
    count : int
        How many, the point of likely values first.
    """
    full = scene.state.flow.size
    sample = {key: _first(value, full, count) for key, value in _sample(scene).items()}
    law, route = scene.state.law, scene.state.route
    return (
        sample,
        FlowLaw(*(_first(np.asarray(part, float), full, count) for part in _parts(law))),
        _cut(route, full, count),
    )


def _sample(scene: Scene) -> Mapping[str, Array]:
    return scene.problem.sample_of(scene.evaluation.choice)


def _parts(law: FlowLaw) -> tuple[Any, Any, Any]:
    return law.yield_stress, law.consistency, law.exponent


def _first(value: Any, full: int, count: int) -> Any:
    """The first samples of what is an array over samples; anything else as it is."""
    return value[:count] if isinstance(value, np.ndarray) and value.shape == (full,) else value


def _cut(record: Any, full: int, count: int) -> Any:
    """The same record over the first samples."""
    values = {each.name: getattr(record, each.name) for each in fields(record)}
    changed = {
        name: tuple(_cut(piece, full, count) for piece in value)
        if isinstance(value, tuple)
        else _first(value, full, count)
        for name, value in values.items()
    }
    return replace(record, **changed)


def along(scene: Scene, flows: Array) -> Along:
    """Inlet, outlet and pump at several flows.

    Parameters
    ----------
    scene : Scene
    flows : ndarray, shape (k,)
        [m3/s]
    """
    sample, law, route = thinned(scene)
    choice, problem = scene.evaluation.choice, scene.problem
    feed = feed_of(sample, law, choice)
    column = flows[:, np.newaxis]
    loss = line_loss(route, column, sample["product.density"], law)
    outlet = feed.atmosphere + sample["destination.pressure"] + loss.total
    inlet = feed.atmosphere + feed.inlet_gauge(column)
    at = np.broadcast_to(column, outlet.shape)
    found = operate(
        choice.pump, problem.abrasion, at, inlet, outlet, feed.atmosphere, sample["product.density"], law,
        sample,
    )  # fmt: skip
    return Along(flows, inlet, outlet, found, feed, law, sample)


def band_of(table: Array) -> tuple[Array, Array, Array]:
    """P5, likely and P95 along the samples of a table (k, n).

    Parameters
    ----------
    table : ndarray, shape (k, n)
        The point of likely values first [any].
    """
    rest = table[:, 1:] if table.shape[1] > 1 else table
    low, high = np.quantile(rest, (0.05, 0.95), axis=1, method="nearest")  # some may be infinite
    return low, table[:, 0], high


def plain(values: Any) -> tuple[float, ...]:
    """An array as a tuple of floats.

    Parameters
    ----------
    values : array_like
        [any]
    """
    return tuple(float(each) for each in np.ravel(values))


def pump_curve(scene: Scene, points: int) -> tuple[Array, Array]:
    """Flow the pump gives [m3/s] against gauge pressures [Pa(g)], likely inputs.

    Parameters
    ----------
    scene : Scene
    points : int

    Notes
    -----
    A pump that turns: displacement times its speed at the flow that is reached, less the slip, up to its
    rated pressure. A pump on air: the most that all its air moves, up to its stall.
    """
    choice = scene.evaluation.choice
    sample, law, _ = thinned(scene, 1)
    if choice.pump.turns:
        return _turned(scene, points, sample, law)
    return _on_air(scene, points, sample, law, feed_of(sample, law, choice))


def _turned(scene: Scene, points: int, sample: Mapping[str, Array], law: FlowLaw) -> tuple[Array, Array]:
    state, pump = scene.state, scene.evaluation.choice.pump
    inlet, atmosphere = float(state.inlet_absolute[0]), float(state.atmosphere[0])
    end = rated_pressure(pump, scene.problem.abrasion) + max(inlet, 0.0) - atmosphere
    pressures = np.linspace(0.0, end, points)
    flow = np.full_like(pressures, float(state.flow[0]))
    slip = _at(scene, flow, np.full_like(flow, inlet), pressures, sample, law).slip
    return np.maximum(float(state.pump.speed[0]) * pump.displacement - slip, 0.0), pressures


def _on_air(
    scene: Scene, points: int, sample: Mapping[str, Array], law: FlowLaw, feed: Feed
) -> tuple[Array, Array]:
    """Greatest flow without lack at each pressure, narrowed part by part."""
    pump = scene.evaluation.choice.pump
    pressures = np.linspace(0.0, float(stall_pressure(pump, 0.0, 0.0, sample)[0]), points)
    low, high = np.zeros_like(pressures), np.full_like(pressures, _free_flow(pump))
    share = np.linspace(0.0, 1.0, PARTS + 1)
    for _ in range(ROUNDS):
        flows = np.maximum(low + share[:, np.newaxis] * (high - low), 1e-12)
        inlet = np.broadcast_to(feed.atmosphere + feed.inlet_gauge(flows), flows.shape)
        moves = _at(scene, flows, inlet, pressures, sample, law).excess >= 0.0
        last = np.maximum(np.minimum.accumulate(moves, axis=0).sum(axis=0) - 1, 0)
        step = (high - low) / PARTS
        low, high = low + step * last, low + step * np.minimum(last + 1, PARTS)
    moved = low > 0.0
    return low[moved], pressures[moved]


def _at(
    scene: Scene, flow: Array, inlet: Array, pressures: Array, sample: Mapping[str, Array], law: FlowLaw
) -> Operation:
    atmosphere = scene.state.atmosphere[:1]
    outlet = np.broadcast_to(pressures + atmosphere, flow.shape)
    return operate(
        scene.evaluation.choice.pump, scene.problem.abrasion, flow, inlet, outlet, atmosphere,
        sample["product.density"], law, sample,
    )  # fmt: skip


def _free_flow(pump: Pump) -> float:
    """Greatest flow of a pump on air [m3/s]."""
    return float(getattr(pump.geometry, "free_flow", pump.displacement * pump.maximum_speed))


def limits_of(scene: Scene, coldest: Scene) -> tuple[tuple[str, float], ...]:
    """Pressures that end what a pump may do, by name, likely inputs [Pa(g)].

    Parameters
    ----------
    scene : Scene
    coldest : Scene
        Season that sets motor and torque limit.
    """
    problem, choice = scene.problem, scene.evaluation.choice
    weakest = float(weakest_part(problem.inputs, problem.sample, choice)[0])
    found = {"allowed": float(problem.sample["line.working_share"][0]) * weakest, "weakest": weakest}
    if not problem.size_withheld:
        found["rated"] = rated_pressure(choice.pump, problem.abrasion)
        drive = drive_of(coldest)
        if drive is not None:
            found["torque"] = float(overload_reached(scene, drive)[0])
        elif not choice.pump.turns:
            found["stall"] = float(stall_pressure(choice.pump, 0.0, 0.0, problem.sample_of(choice))[0])
    return tuple(found.items())


def suctions(scenes: Sequence[Scene], tables: Mapping[str, Along]) -> tuple[Suction, ...]:
    """Suction of the seasons that are shown.

    Parameters
    ----------
    scenes : sequence of Scene
        Of one arrangement.
    tables : mapping
        Season -> machine along the flows.
    """
    return tuple(_suction(scene, tables[scene.season]) for scene in scenes if scene.season in tables)


def _suction(scene: Scene, found: Along) -> Suction:
    state = scene.state
    wanted = float(state.wanted_flow[0])
    margin = found.inlet - found.operation.inlet_required
    crossing = np.array([_crossing(found.flow, margin[:, place]) for place in range(margin.shape[1])])
    end = max(SEEN * wanted, PAST * crossing[0])  # a crossing is infinite where every speed of the pump fills
    shown = found.flow <= end * (1.0 + 1e-9)
    there = [plain(each[shown]) for each in band_of(found.inlet)]
    asks = [plain(each[shown]) for each in band_of(found.operation.inlet_required)]
    under, atmosphere = float(found.feed.under_plate_gauge[0]), float(state.atmosphere[0])
    lost = under + atmosphere - float(state.inlet_absolute[0])
    throat = _throat(scene, found, wanted)
    rest = crossing[1:] if crossing.size > 1 else crossing
    low, high = (float(each) for each in np.quantile(rest, (0.05, 0.95), method="nearest"))
    return Suction(
        scene.season, atmosphere, under, lost - throat, throat, _band(state.inlet_absolute),
        _band(state.inlet_required), wanted, plain(found.flow[shown]), there[1], there[0], there[2],
        asks[1], asks[0], asks[2], (low, float(crossing[0]), high),
    )  # fmt: skip


def _band(values: Array) -> tuple[float, float, float]:
    low, likely, high = band_of(values[np.newaxis])
    return float(low[0]), float(likely[0]), float(high[0])


def _throat(scene: Scene, found: Along, wanted: float) -> float:
    """Loss between port and pump [Pa]; the whole way of a bin that levels itself."""
    choice = scene.evaluation.choice
    if not choice.plated:
        return float(scene.state.atmosphere[0] - scene.state.inlet_absolute[0])
    length = float(throat_of(found.sample, choice)[0])
    law = (float(np.ravel(part)[0]) for part in _parts(found.law))
    return float(np.asarray(pressure_drop(wanted, choice.port, length, *law)))


def _crossing(flow: Array, margin: Array) -> float:
    """Flow at which the margin turns negative for good [m3/s]; 0 where none is fed, else infinite."""
    short = np.flatnonzero(margin < 0.0)
    if short.size == 0:
        return float("inf")
    place = int(short[0])
    if place == 0:
        return 0.0
    before, after = margin[place - 1], margin[place]
    return float(flow[place - 1] + before / (before - after) * (flow[place] - flow[place - 1]))


def flows_of(scene: Scene) -> Array:
    """Flows of the curves [m3/s], from next to nothing to what the pump moves at its greatest speed.

    Parameters
    ----------
    scene : Scene
    """
    wanted = float(scene.state.wanted_flow[0])
    most = max(_free_flow(scene.evaluation.choice.pump), 2.0 * SEEN * wanted)
    near = wanted * (1e-3 + (SEEN - 1e-3) * np.linspace(0.0, 1.0, POINTS) ** CLOSER)
    return np.concatenate([near, np.geomspace(near[-1], most, FURTHER + 1)[1:]])


def torque_curves(scene: Scene, found: Along) -> TorqueCurves | None:
    """Torque over speed along the line; None for a pump on air or past the motor series.

    Parameters
    ----------
    scene : Scene
        Of the coldest season.
    found : Along

    Notes
    -----
    The band is that of the torque at one flow, drawn at the likely speed of that flow.
    """
    drive, choice = drive_of(scene), scene.evaluation.choice
    if drive is None or scene.problem.size_withheld:
        return None
    operation, state = found.operation, scene.state
    added = found.outlet - found.inlet
    restart = np.broadcast_to(state.restart_gauge[: added.shape[1]], added.shape)
    driven = load(
        choice.pump, scene.problem.abrasion, operation.speed, added, restart, found.law, found.sample
    )
    fastest = FASTER * max(drive.fastest, float(state.pump_wanted.speed[0]))
    shown = operation.speed[:, 0] <= fastest
    low, likely, high = (plain(each[shown]) for each in band_of(driven.torque))
    speeds = np.linspace(0.0, fastest, SPEEDS)
    own, forced = (replace(drive, forced_cooling=by).lasting_torque(speeds) for by in (False, True))
    return TorqueCurves(
        scene.season, plain(operation.speed[shown, 0]), likely, low, high, _band(state.load.start_torque),
        (float(state.pump_wanted.speed[0]), float(state.load.torque[0])), drive.motor_power, plain(speeds),
        plain(own), plain(forced) if drive.forced_cooling else (), plain(drive.short_torque(speeds)),
        drive.overload_torque, drive.slowest, drive.fastest,
    )  # fmt: skip


def air_curves(scene: Scene, found: Along) -> AirCurves | None:
    """Air pressure over flow along the line; None for a pump that turns.

    Parameters
    ----------
    scene : Scene
        Of the coldest season.
    found : Along

    Notes
    -----
    The regulator is set so that the stall on a closed line stays below the weakest part.
    """
    choice, problem = scene.evaluation.choice, scene.problem
    if choice.pump.turns or problem.size_withheld:
        return None
    there = float(problem.sample["site.air_pressure"][0])
    most = float(getattr(choice.pump.geometry, "maximum_air_pressure", choice.pump.maximum_pressure))
    places = np.arange(0, POINTS, EVERY)
    flows = found.flow[places]
    needed = _air_needed(scene, found, places, max(there, most))
    low, likely, high = band_of(needed)
    stall = float(stall_pressure(choice.pump, 0.0, 0.0, problem.sample)[0])
    weakest = float(weakest_part(problem.inputs, problem.sample, choice)[0])
    wanted = float(scene.state.wanted_flow[0])
    at = float(np.interp(wanted, flows, likely))
    return AirCurves(
        scene.season, plain(flows), plain(likely), plain(low), plain(high), (wanted, at), there, most,
        min(there, most, weakest * there / stall),
    )  # fmt: skip


def _air_needed(scene: Scene, found: Along, places: NDArray[np.intp], most: float) -> Array:
    """Least air pressure at which the pump has no lack [Pa(g)], by halving; infinite where none is enough."""
    choice, inlet, outlet = scene.evaluation.choice, found.inlet[places], found.outlet[places]
    flow = np.broadcast_to(found.flow[places, np.newaxis], outlet.shape)

    def lacks(air: Array) -> Array:
        model = {**found.sample, "pump.air_pressure": air}
        return operate(
            choice.pump, scene.problem.abrasion, flow, inlet, outlet, found.feed.atmosphere,
            found.sample["product.density"], found.law, model,
        ).excess  # fmt: skip

    low, high = np.zeros_like(outlet), np.full_like(outlet, most)
    never = lacks(high) < 0.0
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        short = lacks(middle) < 0.0
        low, high = np.where(short, middle, low), np.where(short, high, middle)
    return np.where(never, np.inf, high)
