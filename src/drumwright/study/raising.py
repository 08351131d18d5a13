"""What raising the plate and drawing from an outlet bring along: plug, lift-off, tilt, air in the line."""

from __future__ import annotations

import math
from typing import Any, Literal

import numpy as np

from drumwright.basis.phrases import phrase
from drumwright.flow.levelling import slope_share, static_layer
from drumwright.flow.numbers import GRAVITY
from drumwright.flow.sink import port_loss
from drumwright.machine.container.open_outlet import air_in_suction_line
from drumwright.machine.plate.port import BULK, paste_entry
from drumwright.machine.plate.seals import seals
from drumwright.machine.plate.withdrawal import least_pressure, moves_by_itself, plug_pressure
from drumwright.station.balance import Balance
from drumwright.station.outlet_feed import outlet_of
from drumwright.station.strength import strength_of
from drumwright.study.evaluation import Evaluation, Problem
from drumwright.study.result import Finding

HOLE_BORE, HOLE_LENGTH = 0.010, 0.040  # [m] of the air through the plate, the example of physics book 3
TILT = math.radians(10.0)  # a bin set up on one side; common practice, no source
TENSION = 0.05  # [N/m] between syrup and oil, from memory: only the order of magnitude counts


def lift_off(problem: Problem, found: Evaluation, state: Balance) -> list[Finding]:
    """Say that the seal would pull up the empty container: a condition where no air may press it down.

    Parameters
    ----------
    problem : Problem
    found : Evaluation
        With a plate.
    state : Balance
        Of the coldest season.

    Notes
    -----
    An inflatable seal is let off before the lift pulls and does not hold the container.
    """
    if seals()[found.choice.seal].follows:
        return []
    area, friction = _area(state), float(state.feed.friction[0])
    tare = problem.inputs.likely("container.tare")
    known = problem.inputs.estimates.get("container.hold_down")
    held = known.likely if known is not None else 0.0
    pressure = float(least_pressure(tare, held, friction, area))
    if pressure <= 0.0:
        return []
    weight = tare * GRAVITY + held
    assist = float(strength_of(problem.inputs, problem.sample, state.feed.shape).assist[0])
    clamped = pressure > assist
    key = "FND-container.clamped" if clamped else "FND-container.lifts"
    text = phrase(key, value=friction, limit=weight, pressure=pressure)
    role: Literal["condition", "note"] = "condition" if clamped else "note"
    return [Finding("container.lifts", role, "container_plate", text, "", friction, weight, "force")]


def raising_notes(scene: Any) -> list[Finding]:
    """Notes on a container that lifts, a plate that rises by itself, a plugged hole, another law of the port.

    Parameters
    ----------
    scene : figures.Scene
        With a plate.
    """
    problem, state = scene.problem, scene.state
    assist = float(strength_of(problem.inputs, problem.sample, state.feed.shape).assist[0])
    area = _area(state)
    mass, friction = problem.inputs.likely("machine.plate_mass"), float(state.feed.friction[0])
    rises = float(moves_by_itself(mass, friction, 0.0, area))
    found = [item for item in lift_off(problem, scene.evaluation, state) if item.role == "note"]
    if assist > rises:
        found.append(_note("withdrawal.self_rise", assist, rises))
    return found + _plugged_hole(scene, assist) + _other_port_law(scene)


def _plugged_hole(scene: Any, assist: float) -> list[Finding]:
    """Rested product in the air hole of the plate that holds more than the assist air may push with."""
    tau_y = float(np.asarray(scene.state.law.yield_stress).flat[0])
    rested = tau_y * scene.problem.inputs.likely("product.restart_factor")
    plug = float(plug_pressure(rested, HOLE_LENGTH, HOLE_BORE))
    return [_note("withdrawal.plug", plug, assist, bore=HOLE_BORE)] if plug > assist else []


def _other_port_law(scene: Any) -> list[Finding]:
    """A paste that enters its port plastically: said where that law would leave the pump unfed."""
    state, choice, first = scene.state, scene.evaluation.choice, slice(0, 1)
    law = [np.broadcast_to(np.asarray(v, float), state.flow.shape)[first] for v in _columns(state)]
    radius = math.sqrt(float(np.asarray(state.feed.area).flat[0]) / math.pi)
    ours = float(np.asarray(port_loss(state.wanted_flow[first], 0.5 * choice.port, radius, *law)).flat[0])
    other = float(paste_entry(BULK * float(law[0][0]), 0.0, 1.0, 0.0, 2.0 * radius, choice.port))
    margin = float(state.feed_margin[0])
    if not 0.0 <= margin < other - ours:
        return []
    return [_note("feed.port_law", other, ours, margin=margin)]


def outlet_notes(scene: Any) -> list[Finding]:
    """Notes on an outlet bin: what a tilt gains, and the air in a suction line that was run dry.

    Parameters
    ----------
    scene : figures.Scene
        Without a plate.
    """
    state, sample, found = scene.state, scene.problem.sample, []
    density = float(sample["product.density"][0])
    tau_y = float(np.asarray(state.law.yield_stress).flat[0])
    if tau_y > 0.0:
        length = float(np.asarray(state.feed.shape.length).flat[0])
        share = float(slope_share(length, math.tan(TILT), tau_y, density))
        layer = float(static_layer(tau_y, density, TILT))
        found.append(_note("outlet.tilt", share, None, angle=TILT, layer=layer))
    flow = float(state.flow[0])
    if flow > 0.0:
        way = outlet_of(sample)
        air, _ = air_in_suction_line(way, sample["container.outlet_length"], flow, state.law, TENSION)
        found.append(_note("outlet.line_air", float(air[0]), None))
    return found


def _area(state: Balance) -> float:
    return float(np.asarray(state.feed.shape.mean_area).flat[0])


def _columns(state: Balance) -> tuple[Any, Any, Any]:
    return state.law.yield_stress, state.law.consistency, state.law.exponent


def _note(key: str, value: float, limit: float | None, **slots: float) -> Finding:
    given = slots if limit is None else {"limit": limit, **slots}
    return Finding(key, "note", "", phrase(f"FND-{key}", value=value, **given), "", value, limit, "")
