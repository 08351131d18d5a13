"""Numbers behind the pictures of container, plate and warm-up."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.conduction import remaining
from drumwright.machine.container.pallet import pallets
from drumwright.machine.container.warm_up import cylinder
from drumwright.machine.plate.end_gap import available_force, force_curve
from drumwright.machine.plate.seals import seals
from drumwright.station.emptied import last_rate
from drumwright.station.vessel import filled_height, likely_shape_of
from drumwright.station.warm_up import dimensions_of, heat_card, store_of
from drumwright.study.container_checks import seal_fit
from drumwright.study.evaluation import Problem
from drumwright.study.figures import Scene
from drumwright.study.picture import band
from drumwright.study.result import PlateForce, Section, WarmCurves
from drumwright.study.warming import law_of, warmed

Array = NDArray[np.float64]
SHOWN = ("winter", "norm")
POINTS, LAWS, TIMES, SAMPLES = 25, 64, 41, 257


def plate_forces(scenes: Sequence[Scene]) -> tuple[PlateForce, ...]:
    """Force against gap of the seasons that are shown.

    Parameters
    ----------
    scenes : sequence of Scene
        Of one arrangement.
    """
    found = [_plate_force(s) for s in scenes if s.season in SHOWN and s.evaluation.choice.plated and s.left]
    return tuple(found)


def _plate_force(scene: Any) -> PlateForce:
    state, left, choice = scene.state, scene.left, scene.evaluation.choice
    bottom = np.broadcast_to(state.feed.shape.bottom_area, state.flow.shape)
    radius, gap = float(np.sqrt(bottom[0] / np.pi)), band(left.flow_gap)
    gaps = np.geomspace(0.3 * gap[1], 6.0 * gap[1], POINTS)
    rate = float(last_rate(scene.problem.sample, state)[0])
    law = [
        np.broadcast_to(np.asarray(part, float), state.flow.shape)[: LAWS + 1]
        for part in (state.law.yield_stress, state.law.consistency, state.law.exponent)
    ]
    curves = np.array(
        [
            force_curve(gaps, rate, radius, 0.5 * choice.port, *(float(part[i]) for part in law))
            for i in range(law[0].size)
        ]
    )
    rest = curves[1:] if len(curves) > 1 else curves
    low, high = np.quantile(rest, (0.05, 0.95), axis=0)
    there = available_force(state.force[0], bottom[0], state.atmosphere[0], left.port_absolute[0])
    return PlateForce(scene.season, tuple(gaps), tuple(curves[0]), tuple(low), tuple(high), float(there), gap)


def warm_curves(problem: Problem, target: float | None) -> WarmCurves | None:
    """Core, mean and wall over time in the warm; None where nothing is warmed, or it is frozen first.

    Parameters
    ----------
    problem : Problem
    target : float or None
        Core temperature wanted [K].
    """
    found = warmed(problem, target)
    if found is None or str(found.result.mode.flat[0]) in ("phase_change", "convection"):
        return None
    sample = {key: values[:SAMPLES] for key, values in problem.sample.items()}
    start = sample["product.temperature.low"]
    store = store_of(problem.inputs, sample, found.target)
    around = np.broadcast_to(np.asarray(store.ambient, float), start.shape)
    card = heat_card(problem.inputs, sample, law_of(problem, sample), np.maximum(around, start))
    body = cylinder(*dimensions_of(sample), card, store)
    ready = float(np.asarray(found.result.core_time).flat[0])
    times = np.linspace(0.0, 1.6 * ready, TIMES)
    shown = {
        place: around + (start - around) * np.asarray(remaining(body, times[:, None], place))
        for place in ("core", "mean", "wall")
    }
    low, high = np.quantile(shown["core"][:, 1:], (0.05, 0.95), axis=1)
    core, mean, wall = (tuple(shown[place][:, 0]) for place in ("core", "mean", "wall"))
    return WarmCurves(
        tuple(times), core, mean, wall, tuple(low), tuple(high), found.target, float(around[0]), ready
    )


def section_of(problem: Problem, scene: Scene | None) -> Section | None:
    """Section of the container at the likely dimensions.

    Parameters
    ----------
    problem : Problem
    scene : Scene or None
        Of the arrangement shown, for its plate and heel.
    """
    if scene is None:
        return None
    inputs, shape, choice = problem.inputs, likely_shape_of(problem.inputs), scene.evaluation.choice
    round_one = shape.section == "round"
    point = {key: values[:1] for key, values in problem.sample.items()}
    filled = float(np.ravel(filled_height(point, shape))[0])
    plated = choice.plated and scene.left is not None
    fit = seal_fit(inputs, choice.seal) if plated else None
    reach = seals()[choice.seal].likely("reach_most") if plated and seals()[choice.seal].lips else 0.0
    heel = _heel(scene, float(np.ravel(shape.bottom_area)[0]))
    return Section(
        section=shape.section,
        top=float(shape.top if round_one else shape.length),
        bottom=float(shape.bottom if round_one else shape.length),
        height=max(float(np.ravel(shape.height)[0]), _inside(inputs)),
        filled=filled,
        hoops=round(inputs.likely("container.hoops")) if round_one else 0,
        hoop_depth=inputs.likely("container.hoop_depth"),
        seal=choice.seal if plated else "",
        disc=fit.disc_diameter if fit is not None else 0.0,
        reach=reach,
        port=choice.port if plated else inputs.estimates["container.outlet_bore"].likely
        if "container.outlet_bore" in inputs.estimates else 0.0,
        heel=heel,
        pallet=_pallet(problem) if round_one else None,
    )  # fmt: skip


def _inside(inputs: Any) -> float:
    estimate = inputs.estimates.get("container.inside_height")
    return estimate.likely if estimate is not None else 0.0


def _heel(scene: Scene, bottom: float) -> float:
    if scene.left is None or "heel" not in scene.left.places:
        return 0.0
    return float(scene.left.places["heel"][0]) / bottom


def _pallet(problem: Problem) -> tuple[float, float, float] | None:
    inputs = problem.inputs
    if inputs.choices["site.pallet"] != "four":
        return None
    usual = pallets()["eur2"]
    sides = [
        inputs.likely(key) if key in inputs.estimates else otherwise
        for key, otherwise in (("site.pallet_length", usual.length), ("site.pallet_width", usual.width))
    ]
    return sides[0], sides[1], inputs.likely("container.outside_diameter")
