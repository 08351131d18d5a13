"""Numbers behind the pictures of container and plate."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.disc_gap import plate_force, yield_plate_force
from drumwright.machine.container.pallet import pallets
from drumwright.machine.plate.end_gap import available_force
from drumwright.machine.plate.seals import seals
from drumwright.station.emptied import last_rate
from drumwright.station.vessel import filled_height, likely_shape_of
from drumwright.study.container_checks import seal_fit
from drumwright.study.evaluation import Problem
from drumwright.study.figures import Scene
from drumwright.study.picture import band
from drumwright.study.result import PlateForce, Section

Array = NDArray[np.float64]
SHOWN = ("winter", "norm")
POINTS, LAWS = 21, 128  # gaps of the curve, and first samples of its band
NARROWER, WIDER = 0.5, 4.0  # ends of the curve over the least and the greatest end gap


def plate_forces(scenes: Sequence[Scene]) -> tuple[PlateForce, ...]:
    """Force against gap of the seasons that are shown, over the same gaps.

    Parameters
    ----------
    scenes : sequence of Scene
        Of one arrangement.
    """
    shown = [s for s in scenes if s.season in SHOWN and s.evaluation.choice.plated and s.left is not None]
    ends = [band(scene.left.flow_gap) for scene in shown if scene.left is not None]
    if not ends:
        return ()
    narrow, wide = min(min(each) for each in ends), max(max(each) for each in ends)
    gaps = np.geomspace(max(NARROWER * narrow, 1e-5), max(WIDER * wide, 1e-4), POINTS)
    return tuple(_plate_force(scene, gaps) for scene in shown)


def _plate_force(scene: Any, gaps: Array) -> PlateForce:
    state, left, choice = scene.state, scene.left, scene.evaluation.choice
    bottom = float(np.ravel(state.feed.shape.bottom_area)[0])
    radius, port = float(np.sqrt(bottom / np.pi)), 0.5 * choice.port
    rate = float(last_rate(scene.problem.sample, state)[0])
    law = [
        np.broadcast_to(np.asarray(part, float), state.flow.shape)[: LAWS + 1]
        for part in (state.law.yield_stress, state.law.consistency, state.law.exponent)
    ]
    curves = np.asarray(plate_force(rate, gaps[:, None], radius, port, *law))
    rest = curves[:, 1:] if curves.shape[1] > 1 else curves
    low, high = np.quantile(rest, (0.05, 0.95), axis=1)
    there = available_force(state.force[0], bottom, state.atmosphere[0], left.port_absolute[0])
    still = np.asarray(yield_plate_force(gaps, radius, port, law[0][0]))
    needed = curves[:, 0]
    return PlateForce(
        scene.season, _plain(gaps), _plain(needed), _plain(low), _plain(high), float(there),
        band(left.flow_gap), _plain(still),
    )  # fmt: skip


def _plain(values: Array) -> tuple[float, ...]:
    return tuple(float(each) for each in values)


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
