"""One small interface over the pump families: what a pump does at a flow between two pressures.

Arrays in, arrays out; a family that is not here is not judged.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.pump import air_diaphragm, progressing_cavity
from drumwright.machine.pump.motor import required_power
from drumwright.machine.pump.stock import Abrasion, Pump, rated_pressure, sliding_limit, stage_limit
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]


class Operation(NamedTuple):
    """A pump at one flow; arrays over samples, SI units."""

    excess: Array  # >= 0 where the pump can carry this flow; falls with flow
    inlet_required: Array  # absolute pressure that filling needs [Pa]
    speed: Array  # that the flow needs [1/s]; 0 for an air pump
    speed_limit: Array  # lowest of filling, sliding and maximum speed [1/s]
    slip: Array  # [m3/s]
    suction_yield: Array  # yield-only loss before the valves [Pa]; 0 for a cavity pump


class Load(NamedTuple):
    """Torques and power of a pump."""

    torque: Array  # [N m]
    start_torque: Array
    shaft_power: Array  # [W]
    motor_required: Array  # rated power needed [W]; 0 for an air pump
    sliding_speed: Array  # [m/s]
    seal_shear_rate: Array  # [1/s]


def operate(
    pump: Pump,
    abrasion: Abrasion,
    flow: Array,
    inlet_absolute: Array,
    outlet_absolute: Array,
    atmosphere: Array,
    density: Array,
    law: FlowLaw,
    model: Mapping[str, Array],
) -> Operation:
    """Evaluate a pump at a flow between inlet and outlet pressure.

    Parameters
    ----------
    pump : Pump
    abrasion : str
        clean, mild or abrasive.
    flow, inlet_absolute, outlet_absolute, atmosphere : ndarray, shape (n,)
        [m3/s], [Pa]
    density : ndarray
        [kg/m3]
    law : FlowLaw
    model : mapping of ndarray
        Sampled model quantities ("model.*", "product.vapour_pressure", "site.air_pressure").

    Raises
    ------
    KeyError
        If the family is not judged.
    """
    return _FAMILIES[pump.family](
        pump, abrasion, flow, inlet_absolute, outlet_absolute, atmosphere, density, law, model
    )


def load(
    pump: Pump,
    abrasion: Abrasion,
    speed: Array,
    pressure: Array,
    restart_pressure: Array,
    law: FlowLaw,
    model: Mapping[str, Array],
) -> Load:
    """Torque, power and motor at a speed against a pressure; an air pump has none.

    Parameters
    ----------
    pump : Pump
    abrasion : str
        clean, sensitive, mild or abrasive.
    speed : ndarray, shape (n,)
        [1/s]
    pressure, restart_pressure : ndarray, shape (n,)
        Pressure the pump adds when running and when starting the rested line [Pa].
    law : FlowLaw
        Product at the temperature of the pump.
    model : mapping of ndarray
        Sampled model quantities ("model.*").
    """
    if pump.family != "progressing_cavity":
        zero = np.zeros_like(pressure)
        return Load(zero, zero, zero, zero, zero, zero)
    e, d, pitch = pump.eccentricity, pump.rotor_diameter, pump.stator_pitch
    # the press fit is made for clean product: its torque follows the clean stage pressure
    rated = pump.stages * stage_limit("clean")
    friction = progressing_cavity.interference_torque(pump.displacement, rated, model["model.friction_share"])
    drag = progressing_cavity.drag_torque(
        speed, e, d, pitch, pump.stages, model["model.seal_line_length"], model["model.drag_film"], law
    )
    torque = progressing_cavity.hydraulic_torque(pump.displacement, np.maximum(pressure, 0.0))
    torque = torque + friction + drag
    start = progressing_cavity.hydraulic_torque(pump.displacement, np.maximum(restart_pressure, 0.0))
    start = start + model["model.start_factor"] * friction
    angular = 2.0 * math.pi * speed
    power = torque * angular
    sliding = progressing_cavity.sliding_speed(speed, e, d)
    shear = sliding / model["model.drag_film"]
    return Load(torque, start, power, required_power(power, start, angular), sliding, shear)


def stall_pressure(pump: Pump, motor_power: float, speed: float, model: Mapping[str, Array]) -> Array:
    """Pressure at which the drive stalls on a closed outlet [Pa]; an air pump stalls at its air pressure.

    Parameters
    ----------
    pump : Pump
    motor_power : float
        Rated power of the motor [W].
    speed : float
        Pump speed at which the gear gives rated motor speed [1/s].
    model : mapping of ndarray
        Sampled model quantities ("model.friction_share", "site.air_pressure").
    """
    if pump.family != "progressing_cavity":
        return np.asarray(model["site.air_pressure"])
    rated = pump.stages * stage_limit("clean")
    friction = progressing_cavity.interference_torque(pump.displacement, rated, model["model.friction_share"])
    torque = 1.5 * motor_power / (2.0 * math.pi * max(speed, 1e-9))
    return progressing_cavity.stall_pressure(torque, friction, pump.displacement)


def _cavity(
    pump: Pump,
    abrasion: Abrasion,
    flow: Array,
    inlet: Array,
    outlet: Array,
    atmosphere: Array,
    density: Array,
    law: FlowLaw,
    model: Mapping[str, Array],
) -> Operation:
    e, d, pitch = pump.eccentricity, pump.rotor_diameter, pump.stator_pitch
    slip = progressing_cavity.slip(
        # a pump never works against more than it is rated for: beyond, leakage would say nothing about feed
        np.minimum(outlet - inlet, rated_pressure(pump, abrasion)) / pump.stages,
        model["model.clearance"],
        model["model.seal_line_length"],
        progressing_cavity.seal_line_per_stage(e, d, pitch),
        density,
        law,
        model["model.high_shear_floor"],
    )
    speed = (flow + slip) / pump.displacement
    base = model["product.vapour_pressure"] + model["model.feed_margin"]
    factor = model["model.filling_factor"]
    filling = progressing_cavity.filling_speed(inlet - base, e, d, pitch, law, factor)
    sliding = sliding_limit(abrasion) / progressing_cavity.sliding_speed(1.0, e, d)
    limit = np.minimum(filling, np.minimum(sliding, pump.maximum_speed))
    required = base + progressing_cavity.filling_loss(speed, e, d, pitch, law, factor)
    return Operation(
        pump.displacement * limit - slip - flow, required, speed, limit, slip, np.zeros_like(flow)
    )


def _diaphragm(
    pump: Pump,
    abrasion: Abrasion,
    flow: Array,
    inlet: Array,
    outlet: Array,
    atmosphere: Array,
    density: Array,
    law: FlowLaw,
    model: Mapping[str, Array],
) -> Operation:
    loss = air_diaphragm.suction_loss(flow, pump.port, pump.suction_length, pump.suction_diameters, law)
    # pressure the chamber can draw down to; below its vapour pressure the product boils
    lowest = np.maximum(atmosphere - model["model.suction_net"], model["product.vapour_pressure"])
    air = np.minimum(model["site.air_pressure"], pump.maximum_pressure)
    delivery = air_diaphragm.delivery_pressure(
        flow, air, pump.free_flow, pump.port, pump.discharge_diameters, law
    )
    required = lowest + loss
    suction_excess = (inlet - required) / atmosphere
    delivery_excess = (delivery - (outlet - atmosphere)) / atmosphere
    zero = np.zeros_like(flow)
    held = air_diaphragm.suction_yield(pump.port, pump.suction_length, pump.suction_diameters, law)
    return Operation(
        np.minimum(suction_excess, delivery_excess), required, zero, zero, zero, np.asarray(held)
    )


_FAMILIES = {"progressing_cavity": _cavity, "air_diaphragm": _diaphragm}

__all__ = ["Load", "Operation", "load", "operate", "rated_pressure", "stall_pressure"]
