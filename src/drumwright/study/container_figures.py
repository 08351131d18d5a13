"""Figures of the container and the plate in it: shape, seal, strength, withdrawal, air, pallet."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.container.outlet_emptying import empty_by_outlet
from drumwright.machine.container.pallet import layout, usual_pallet
from drumwright.machine.line.route import volume
from drumwright.machine.plate.end_gap import available_force
from drumwright.machine.plate.recovery import assumed, hold_up
from drumwright.station.arrangement import Choice
from drumwright.station.balance import Balance
from drumwright.station.emptied import last_rate
from drumwright.station.inputs import Inputs
from drumwright.station.outlet_feed import outlet_of
from drumwright.station.plate_feed import rim_at_end
from drumwright.station.stand_state import riding_pump
from drumwright.station.strength import strength_of
from drumwright.station.vessel import filled_height, likely_shape_of
from drumwright.station.withdrawal import air_in, withdrawal_of
from drumwright.study.container_checks import seal_fit
from drumwright.study.stand_findings import STAND_KEYS, stand_values

Array = NDArray[np.float64]
KEYS = (
    "container.volume", "plate.radial_travel", "plate.sealed_share", "plate.open_annulus", "plate.friction",
    "plate.inflation", "plate.rim", "plate.end_force", "container.collapse", "container.lift_off",
    "container.inner_limit", "container.assist_limit", "withdrawal.force", "withdrawal.suction",
    "withdrawal.vent_bore", "withdrawal.orifice", "withdrawal.time", "withdrawal.air", "withdrawal.thrust",
    "withdrawal.energy", "air.let_in", "air.share", "air.lasts", "pallet.overhang", "residue.hold_up",
    "outlet.fed_full", "outlet.fed_low", "outlet.emptying_time", *STAND_KEYS,
)  # fmt: skip


def container_values(scene: Any) -> dict[str, Array]:
    """Values of `KEYS` that exist for a scene, arrays over samples.

    Parameters
    ----------
    scene : figures.Scene
        The coldest season of an evaluation.
    """
    problem, choice = scene.problem, scene.evaluation.choice
    found = {**_shape(problem.inputs, scene.state.feed.shape), **_pallet(problem.inputs)}
    found["residue.hold_up"] = held_up(choice, scene.state)
    if scene.left is None:
        return found
    if not choice.plated:
        return found | _outlet(scene)
    return found | _seal(scene) | _strength(scene)


def _outlet(scene: Any) -> dict[str, Array]:
    """Flow that reaches the pump by head and suction, full and low, and the time with what that allows."""
    sample, state = scene.problem.sample, scene.state
    shape, needed = state.feed.shape, state.inlet_required - state.atmosphere
    found = empty_by_outlet(
        shape, outlet_of(sample), filled_height(sample, shape), state.wanted_flow, last_rate(sample, state),
        needed, state.law, sample["product.density"],
    )  # fmt: skip
    values = {"outlet.fed_full": found.fed_full, "outlet.fed_low": found.fed_end}
    if np.isfinite(found.time).all():  # a product that dies away before air comes has no time
        values["outlet.emptying_time"] = found.time
    return values


def _shape(inputs: Inputs, shape: Any) -> dict[str, Array]:
    """Brimful volume, where the inside height was said, and how far a seal must move."""
    found = {}
    if "container.inside_height" in inputs.estimates and "container.inside_height" not in inputs.defaulted:
        height = inputs.likely("container.inside_height")
        found["container.volume"] = np.asarray(shape.mean_area * height)
    travel = float(likely_shape_of(inputs).radial_travel)
    if travel > 0.0:
        found["plate.radial_travel"] = np.array([travel])
    return found


def _pallet(inputs: Inputs) -> dict[str, Array]:
    """Overhang of four containers on their pallet, over the side where it is greatest."""
    if inputs.choices["site.pallet"] != "four":
        return {}
    usual = usual_pallet()
    length = _likely(inputs, "site.pallet_length", usual.length)
    width = _likely(inputs, "site.pallet_width", usual.width)
    found = layout(inputs.likely("container.outside_diameter"), length, width)
    return {"pallet.overhang": np.array([max(found.overhang_length, found.overhang_width)])}


def _likely(inputs: Inputs, key: str, otherwise: float) -> float:
    return inputs.likely(key) if key in inputs.estimates else otherwise


def held_up(choice: Choice, state: Balance) -> Array:
    """Product that is lost when the product changes: plate, pump and line [m3]."""
    route = state.route
    pump = choice.pump
    cavities = pump.displacement * max(pump.stages, 1)
    places = hold_up(
        assumed("hold_up", "port_and_plate").likely if choice.plated else 0.0,
        cavities,
        assumed("hold_up", "suction_chamber").likely,
        route.bore,
        0.0,
    )
    return np.asarray(sum(places.values()) + volume(route))


def _seal(scene: Any) -> dict[str, Array]:
    inputs, state, choice = scene.problem.inputs, scene.state, scene.evaluation.choice
    fit = seal_fit(inputs, choice.seal)
    feed = state.feed
    found = {
        "plate.sealed_share": np.array([fit.sealed_share]),
        "plate.friction": feed.friction,
        "plate.rim": rim_at_end(feed, choice, scene.left.port_absolute),
        "plate.end_force": available_force(
            feed.force, feed.shape.bottom_area, state.atmosphere, scene.left.port_absolute
        ),
    }
    if fit.open_annulus > 0.0:
        found["plate.open_annulus"] = np.array([fit.open_annulus])
    if choice.seal == "inflatable_seal":
        found["plate.inflation"] = feed.inflation
    return found


def _strength(scene: Any) -> dict[str, Array]:
    problem, state, choice = scene.problem, scene.state, scene.evaluation.choice
    limits = strength_of(problem.inputs, problem.sample, state.feed.shape)
    raised = withdrawal_of(
        problem.inputs, problem.sample, state, scene.left, limits, riding_pump(problem.inputs, choice)
    )
    air = air_in(problem.inputs, problem.sample, state, choice, volume(state.route))
    found = {
        "container.lift_off": limits.lift_off,
        "container.assist_limit": limits.assist,
        "withdrawal.force": raised.force,
        "withdrawal.suction": raised.suction,
        "withdrawal.vent_bore": raised.vent_bore,
        "withdrawal.orifice": raised.orifice,
        "withdrawal.time": raised.time,
        "withdrawal.air": raised.air,
        "withdrawal.thrust": raised.thrust,
        "withdrawal.energy": raised.energy,
        "air.let_in": air.free,
        "air.share": air.share,
    }
    if np.isfinite(air.lasts).all():  # a pump that stands carries no air away
        found["air.lasts"] = air.lasts
    found |= stand_values(problem, choice, raised.force)
    if limits.collapse is not None:
        found["container.collapse"] = limits.collapse
    if limits.inner is not None and np.isfinite(limits.inner[:1]).all():
        found["container.inner_limit"] = limits.inner
    return found
