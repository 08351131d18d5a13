"""Numbers behind the pictures of the stand and of the line: its elevation, and length against bore."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.pipe import restart_pressure
from drumwright.machine.line.limits import LengthBoreMap, length_bore_map
from drumwright.machine.line.route import Route, line_loss, rebored, restart
from drumwright.machine.pump.stock import rated_pressure
from drumwright.machine.stand.height import BESIDE_HEIGHT, CLEARANCE, PALLET_HEIGHT
from drumwright.machine.stand.mast import pallet_places
from drumwright.station.arrangement import plate_with_port, pressure_classes
from drumwright.station.inputs import Inputs
from drumwright.station.stand_state import MAST_CLEARANCE, MAST_HALF, PALLET, RIM_CLEARANCE, reach_of
from drumwright.study.checks import height, weakest_part
from drumwright.study.figures import Scene
from drumwright.study.machine_sketch import LengthBore, MachineSketch, StandSketch
from drumwright.study.pump_sketch import (
    SHOWN,
    air_curves,
    along,
    flows_of,
    plain,
    suctions,
    thinned,
    torque_curves,
)
from drumwright.study.result import Section

Array = NDArray[np.float64]
BORES, NARROWER, WIDER = (
    21,
    0.6,
    1.9,
)  # bores of the map, and its ends over the narrowest and widest bore drawn
SURE = 0.05  # share of the samples whose line must be shorter


def machine_sketch(scenes: Sequence[Scene], section: Section | None) -> MachineSketch:
    """Numbers of the pictures of pump, line and stand of an arrangement.

    Parameters
    ----------
    scenes : sequence of Scene
        Of the arrangement shown, the coldest season first.
    section : Section or None
        Of the container, for the disc of the plate.
    """
    if not scenes or not bool(np.all(scenes[0].state.wanted_flow > 0.0)):
        return MachineSketch()
    shown = [scene for scene in scenes if scene.season in SHOWN] or [scenes[0]]
    tables = {scene.season: along(scene, flows_of(scene)) for scene in shown}
    first = shown[0]
    return MachineSketch(
        suction=suctions(shown, tables),
        torque=torque_curves(first, tables[first.season]),
        air=air_curves(first, tables[first.season]),
        length_bore=length_bore(scenes),
        stand=stand_sketch(first, section),
    )


def stand_sketch(scene: Scene, section: Section | None) -> StandSketch | None:
    """The stand of an arrangement over its container; None without a plate.

    Parameters
    ----------
    scene : Scene
    section : Section or None
        Of the container.
    """
    choice, problem = scene.evaluation.choice, scene.problem
    if not choice.plated or section is None:
        return None
    inputs, sample = problem.inputs, {key: values[:1] for key, values in problem.sample.items()}
    reach, tall = reach_of(inputs, choice), float(sample["container.outside_height"][0])
    plate = plate_with_port(choice.port)
    found = StandSketch(
        kind=choice.stand, stations=choice.stations, beside=choice.beside,
        outside=_outside(inputs), container=tall, pallet=PALLET_HEIGHT, clearance=CLEARANCE,
        plate=float(plate["height"]), disc=section.disc, port=choice.port,
        above=BESIDE_HEIGHT if choice.beside else choice.pump.height, pump=choice.pump.height,
        stroke=tall + RIM_CLEARANCE, needed=float(height(sample, choice)[0]),
        there=float(sample["site.ceiling"][0]), there_said="site.ceiling" not in inputs.defaulted,
        mast=MAST_HALF, near=reach.near, far=reach.far,
    )  # fmt: skip
    if choice.stand != "moving_arm":
        return found
    size = (_side(inputs, "length"), _side(inputs, "width"))
    places = pallet_places(found.outside, *size, MAST_CLEARANCE)
    return replace(found, pallet_size=size, places=places)


def _outside(inputs: Inputs) -> float:
    estimate = inputs.estimates.get("container.outside_diameter") or inputs.estimates.get("container.length")
    return estimate.likely if estimate is not None else PALLET


def _side(inputs: Inputs, name: str) -> float:
    estimate = inputs.estimates.get(f"site.pallet_{name}")
    return estimate.likely if estimate is not None else PALLET


class _Line(NamedTuple):
    """The line of a scene over some bores: what does not grow with the length of its pipe."""

    bores: Array  # (b,) [m]
    length: float  # of the pipe, likely inputs [m]
    running: Array  # (b, n) [Pa(g)]
    restart: Array  # (b, n) [Pa(g)]
    map: LengthBoreMap


def length_bore(scenes: Sequence[Scene]) -> LengthBore | None:
    """Longest line over its bore in the season with the greatest pressure; None where there is no pipe.

    Parameters
    ----------
    scenes : sequence of Scene

    Notes
    -----
    Own hose, fittings, lift and destination are taken off first, at each bore with the law of that bore.
    """
    scene = max(scenes, key=lambda each: float(each.state.running_gauge[0]))
    choice, problem = scene.evaluation.choice, scene.problem
    bore = float(np.ravel(scene.state.route.bore)[0])
    asked = float(problem.sample["line.bore"][0]) if "line.bore" not in problem.inputs.defaulted else None
    ends = (bore, asked or bore)
    bores = np.geomspace(NARROWER * min(ends), WIDER * max(ends), BORES)
    weakest = weakest_part(problem.inputs, problem.sample, choice)
    share = float(problem.sample["line.working_share"][0])
    allowed = min(share * float(weakest[0]), rated_pressure(choice.pump, problem.abrasion))
    classes = [each for each in pressure_classes() if share * each > 0.0]
    line = _line(scene, bores, [allowed, *(share * each for each in classes)])
    if not line.length > 0.0:
        return None
    longest = _sure(line.map.longest)
    point = (bore, line.length)
    return LengthBore(
        scene.season, float(scene.state.wanted_flow[0]), allowed, plain(bores),
        plain(line.map.running[0, :, 0]), plain(_sure(line.map.running[0])),
        plain(_sure(line.map.restart[0])), plain(_sure(line.map.yield_only[0])),
        tuple((each, plain(longest[place])) for place, each in enumerate(classes, 1)),
        None if asked is None else (asked, line.length),
        None if asked is not None and abs(asked - bore) < 1e-9 else point,
    )  # fmt: skip


def _sure(lengths: Array) -> Array:
    """Length that all but a small share of the samples exceed [m]; the point of likely values left out."""
    rest = lengths[..., 1:] if lengths.shape[-1] > 1 else lengths
    return np.asarray(np.quantile(rest, SURE, axis=-1, method="lower"))


def _line(scene: Scene, bores: Array, limits: ArrayLike) -> _Line:
    sample, law, route = thinned(scene)
    density, flow = sample["product.density"], scene.state.wanted_flow[: sample["product.density"].size]
    whole = _with_bore(route, bores[:, np.newaxis], scene)
    length, end = _pipe_of(route), sample["destination.pressure"]
    loss = line_loss(whole, flow, density, law)
    running = end + loss.total - (loss.pipe - loss.hose)
    factor = sample["product.restart_factor"]
    started = restart(whole, law, factor, density)
    held = restart_pressure(law.yield_stress, factor, length, bores[:, np.newaxis])
    rested = np.asarray(law.yield_stress) * factor
    found = length_bore_map(bores, limits, flow, density, law, rested, running, end + started - held)
    return _Line(bores, float(np.ravel(length)[0]), running, end + started - held, found)


def _with_bore(route: Route, bore: Array, scene: Scene) -> Route:
    """The same line with another bore in pipe and hose; a hose whose bore was stated keeps it."""
    own = scene.problem.sample.get("line.own_hose_bore")
    kept = own is not None and not scene.evaluation.choice.bore
    hose = route.hose_bore if kept else bore
    return replace(route, bore=bore, hose_bore=hose, segments=rebored(route.segments, bore))


def _pipe_of(route: Route) -> ArrayLike:
    """Straight length of the customer's pipe [m]."""
    straight = [np.asarray(each.length, float) for each in route.segments if each.straight]
    return np.asarray(sum(straight)) if route.segments else route.length
