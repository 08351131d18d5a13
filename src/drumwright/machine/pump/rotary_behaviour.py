"""All that is said of a pump that turns: speeds, shear, stall, wear."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.pump import gap
from drumwright.machine.pump.base import OVERLOAD, PULL_OUT, ROTOR_STEP, thin, thin_law, thin_model
from drumwright.machine.pump.motor import mains_of, smallest_motor
from drumwright.machine.pump.records import (
    Behaviour,
    Duty,
    Load,
    Operation,
    Pump,
    Shear,
    Speeds,
    Stall,
    Wear,
)
from drumwright.machine.pump.wear import END_SHARE, end_clearance, wear_of

if TYPE_CHECKING:
    from drumwright.machine.pump.rotary_family import RotaryFamily

Array = NDArray[np.float64]


def rotary_behaviour(family: RotaryFamily, pump: Pump, duty: Duty) -> Behaviour:
    """Everything that is said of a pump that turns at one duty.

    Parameters
    ----------
    family : RotaryFamily
    pump : Pump
    duty : Duty

    Notes
    -----
    Stall counts with the gear that gives rated motor speed at the median speed of the samples.
    """
    law, model = duty.law, duty.model
    base = family.inlet_base(pump, duty.atmosphere, law, model)
    caps = family.caps(pump, duty.abrasion, duty.inlet_absolute - base, law, model)
    clearance = family.clearance(pump, law, model)
    pressure = family.working_pressure(pump, duty.abrasion, duty.inlet_absolute, duty.outlet_absolute)
    state, worn = (
        family.operation(
            pump, duty.flow, family.leak(pump, pressure, c, duty.density, law, model), base, caps, law, model
        )
        for c in (clearance, clearance + ROTOR_STEP)
    )
    added = duty.outlet_absolute - duty.inlet_absolute
    load = family.load(pump, duty.abrasion, state.speed, added, duty.restart_pressure, law, model)
    motor = duty.motor_power or smallest_motor(float(np.max(load.motor_required)), mains_of(duty.model))
    speed = float(np.median(state.speed))
    stall = [
        np.broadcast_to(family.stall_pressure(pump, motor, speed, model, by), duty.flow.shape)
        for by in (OVERLOAD, PULL_OUT)
    ]
    missing = [
        np.full_like(duty.flow, by * pump.displacement / family.pockets(pump))
        for by in family.pulsation_share
    ]
    return Behaviour(
        operation=state,
        worn=worn,
        load=load,
        speeds=_speeds(pump, duty, state, caps),
        shear=_shear(family, pump, duty, state, load, clearance),
        stall=Stall(stall[0], stall[1]),
        particle_limits=family.particle_limits(pump),
        dry_run_time=family.dry_run_time(pump, state.speed, model),
        wear=_wear(family, pump, duty, state.speed, pressure),
        air=None,
        pulsation=(missing[0], missing[1]),
        character=family.character(),
    )


def _speeds(pump: Pump, duty: Duty, state: Operation, found: dict[str, Array]) -> Speeds:
    caps = {name: np.broadcast_to(cap, duty.flow.shape) for name, cap in found.items()}
    fed = np.maximum(pump.displacement * caps["filling"] - state.slip, 0.0)
    return Speeds(state.speed, caps, np.argmin(np.stack(list(caps.values())), axis=0), (fed, fed))


def _shear(
    family: RotaryFamily, pump: Pump, duty: Duty, state: Operation, load: Load, clearance: Array
) -> Shear:
    """Chamber as a pipe; the film at the seal lines, and the share of the flow dragged through it."""
    chamber, line = family.chamber(pump), family.seal_line(pump)
    dragged = 0.5 * load.sliding_speed * family.film(pump, duty.law, duty.model) * line + state.slip
    share = np.where(duty.flow > 0.0, np.minimum(dragged / np.maximum(duty.flow, 1e-30), 1.0), 1.0)
    mean = 8.0 * chamber.advance * state.speed / chamber.diameter
    return Shear(mean, load.seal_shear_rate, share, gap.shear_rate(state.slip, clearance, line))


def _wear(family: RotaryFamily, pump: Pump, duty: Duty, speed: Array, pressure: Array) -> Wear:
    """Life of at most `THINNED` samples, so that a stock of pumps is judged in no time."""
    n, dp, rho, flow = thin(speed, pressure, duty.density, duty.flow)
    law, model = thin_law(duty.law, speed), thin_model(duty.model, speed)
    start = np.broadcast_to(family.clearance(pump, law, model), n.shape)
    end = end_clearance(
        lambda c: family.leak(pump, dp, c, rho, law, model), start, END_SHARE * pump.displacement * n
    )
    contact = family.contact_pressure(pump, dp)
    return wear_of(duty.abrasion, start, end, family.sliding(pump, n), contact, flow, duty.container_volume)
