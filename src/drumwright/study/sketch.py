"""Numbers behind the pictures of container and plate."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.disc_gap import plate_force, yield_plate_force
from drumwright.machine.container.kinds import kind
from drumwright.machine.container.pallet import layout, usual_pallet
from drumwright.machine.plate.end_gap import available_force
from drumwright.machine.plate.seals import seals
from drumwright.station.emptied import last_rate
from drumwright.station.inputs import Inputs
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
    inputs, shape = problem.inputs, likely_shape_of(problem.inputs)
    round_one = shape.section == "round"
    point = {key: values[:1] for key, values in problem.sample.items()}
    hoops = round(inputs.likely("container.hoops")) if round_one else 0
    found = Section(
        section=shape.section,
        top=float(shape.top if round_one else shape.length),
        bottom=float(shape.bottom if round_one else shape.length),
        height=max(float(np.ravel(shape.height)[0]), _said(inputs, "container.inside_height")),
        filled=float(np.ravel(filled_height(point, shape))[0]),
        hoops=hoops,
        hoop_depth=inputs.likely("container.hoop_depth") if hoops else 0.0,
        seal="", disc=0.0, reach=0.0, port=0.0,
        heel=_heel(scene, float(np.ravel(shape.bottom_area)[0])),
        pallet=None,
        width=0.0 if round_one else float(shape.width),
        hoop_width=inputs.likely("container.hoop_width") if hoops else 0.0,
        hoop_spacing=_said(inputs, "container.hoop_spacing") if hoops else 0.0,
    )  # fmt: skip
    found = replace(found, **(_pallet(problem) if round_one else {}))
    if not scene.evaluation.choice.plated:
        return replace(found, outlet=_said(inputs, "container.outlet_bore"))
    return replace(found, **_plate(problem, scene))


def _said(inputs: Inputs, key: str) -> float:
    estimate = inputs.estimates.get(key)
    return estimate.likely if estimate is not None else 0.0


def _heel(scene: Scene, bottom: float) -> float:
    if scene.left is None or "heel" not in scene.left.places:
        return 0.0
    return float(scene.left.places["heel"][0]) / bottom


def _plate(problem: Problem, scene: Scene) -> dict[str, Any]:
    """Disc, seal and port, and the bottom the plate meets.

    Notes
    -----
    A dished bottom is drawn as deep as its mean gap to the plate asks, twice that in the middle: the number
    the heel was computed with.
    """
    inputs, choice = problem.inputs, scene.evaluation.choice
    shape, fit, seal = likely_shape_of(inputs), seal_fit(inputs, choice.seal), seals()[choice.seal]
    disc = fit.disc_diameter
    if shape.section == "rectangular":  # the fit speaks of the disc of equal area
        disc = float(shape.length) - (float(shape.diameter(0.0)) - disc)
    dished = kind(inputs.kind).bottom == "dished" or "container.bottom_depth" in inputs.estimates
    return {
        "seal": choice.seal,
        "disc": disc,
        "reach": seal.likely("reach_most") if seal.lips else 0.0,
        "lips": seal.lips,
        "port": choice.port,
        "gap": float(scene.left.flow_gap[0]) if scene.left is not None else 0.0,
        "dish": 2.0 * inputs.likely("container.bottom_mismatch") if dished else 0.0,
    }


def _pallet(problem: Problem) -> dict[str, Any]:
    """Four on a pallet, where four come on one."""
    inputs = problem.inputs
    if inputs.choices["site.pallet"] != "four":
        return {}
    usual = usual_pallet()
    length, width = (
        _said(inputs, key) or otherwise
        for key, otherwise in (("site.pallet_length", usual.length), ("site.pallet_width", usual.width))
    )
    outside = inputs.likely("container.outside_diameter")
    stands = layout(outside, length, width)
    return {
        "pallet": (length, width, outside),
        "overhang": (stands.overhang_length, stands.overhang_width),
    }
