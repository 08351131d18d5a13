"""Raising the plate out of the emptied container, and the air that a change of container lets in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.container.kinds import headspace
from drumwright.machine.container.strength import deciding, suction_limits
from drumwright.machine.plate import air as let_in
from drumwright.machine.plate.seals import seals
from drumwright.machine.plate.squeeze import squeeze_force
from drumwright.machine.plate.withdrawal import (
    assist_air,
    assist_orifice,
    lift_parts,
    raise_time,
    stored_energy,
    up_thrust,
    vent_bore,
)
from drumwright.station.arrangement import Choice
from drumwright.station.balance import Balance
from drumwright.station.emptied import Residue
from drumwright.station.inputs import Inputs, Sample
from drumwright.station.strength import Strength

Array = NDArray[np.float64]
SUCTION_SHARE = 0.5  # of what lifts or crushes the container that the vent may leave; assumed
SLOW_START = 0.1  # of the lift speed while the plate comes off the bottom; assumed


@dataclass(frozen=True, slots=True)
class Withdrawal:
    """Raising the plate; arrays over samples."""

    suction: Array  # allowed under the rising plate [Pa]
    force: Array  # least pull of the drive: weight, friction, suction, adhesion [N]
    vent_bore: Array  # free bore of a vent without assist air [m]
    orifice: Array  # orifice of assist air [m]
    time: Array  # [s]
    air: Array  # free assist air for a container [m3]
    thrust: Array  # of assist air at its limit on the plate [N]
    energy: Array  # stored in the assist air [J]


def withdrawal_of(
    inputs: Inputs, sample: Sample, state: Balance, left: Residue, limits: Strength, riding: float = 0.0
) -> Withdrawal:
    """Pull, vent and assist air for raising the plate.

    Parameters
    ----------
    inputs : Inputs
    sample : mapping of ndarray, shape (n,)
    state : Balance
        Of the season.
    left : Residue
        Of the season: the plate comes off at the gap where the flow ended.
    limits : Strength
        Of the container.
    riding : float
        Mass of a pump on the plate that the mass of the plate leaves out [kg].

    Notes
    -----
    Adhesion at a tenth of the lift speed from the end gap, capped at the atmosphere on the plate; the vent
    leaves half of the suction that lifts or crushes the container (physics book 3).
    """
    shape, law = state.feed.shape, state.law
    area, bottom = shape.mean_area, shape.bottom_area
    _, least = deciding(suction_limits(limits.collapse, limits.lift_off))
    suction = SUCTION_SHARE * least
    speed = sample["model.lift_speed"]
    adhesion = squeeze_force(
        SLOW_START * speed,
        left.flow_gap,
        np.sqrt(bottom / np.pi),
        law.yield_stress,
        law.consistency,
        law.exponent,
    )
    parts = lift_parts(
        sample["machine.plate_mass"] + riding,
        state.feed.friction,
        suction,
        adhesion,
        bottom,
        state.atmosphere,
    )
    pull = sum(parts.values(), np.zeros_like(suction))
    supply = state.atmosphere + sample["site.air_pressure"]
    stroke = sample["container.usable_volume"] / area
    return Withdrawal(
        suction=suction,
        force=np.asarray(pull),
        vent_bore=vent_bore(speed, area, suction),
        orifice=assist_orifice(speed, area, supply),
        time=raise_time(stroke, speed, speed * area, area),
        air=assist_air(sample["container.usable_volume"], limits.assist, state.atmosphere),
        thrust=up_thrust(limits.assist, bottom),
        energy=stored_energy(limits.assist, sample["container.usable_volume"]),
    )


@dataclass(frozen=True, slots=True)
class AirIn:
    """Air that goes to the pump at a change of container; arrays over samples."""

    free: Array  # at atmospheric pressure [m3]
    share: Array  # of what arrives at the destination [-]
    after: Array  # pumping starts to arrival [s]
    lasts: Array  # [s]


def air_in(inputs: Inputs, sample: Sample, state: Balance, choice: Choice, line_volume: Array) -> AirIn:
    """Air under the plate that the bleed leaves, and when it arrives.

    Parameters
    ----------
    inputs : Inputs
    sample : mapping of ndarray, shape (n,)
    state : Balance
    choice : Choice
    line_volume : ndarray, shape (n,)
        Between pump and destination [m3].
    """
    shape = state.feed.shape
    seal = seals()[choice.seal]
    usual = np.full_like(state.flow, headspace(inputs.kind).likely)
    free_height = sample.get("container.headspace", usual)
    clearance = seal.likely("disc_clearance")
    stand_off = sample["model.stand_off"] if seal.follows else np.zeros_like(state.flow)
    under = let_in.air_under_plate(
        shape.area(shape.height), free_height, stand_off, clearance, shape.diameter(shape.height)
    )
    free = let_in.air_let_in(under, sample["model.bled_share"])
    carried = sample["model.air_carried"]
    arriving = let_in.at_pressure(free, state.atmosphere, state.atmosphere + sample["destination.pressure"])
    after, lasts = let_in.arrival(arriving, carried, line_volume, np.maximum(state.flow, 1e-12))
    flows = state.flow > 0.0
    after, lasts = np.where(flows, after, np.inf), np.where(flows, lasts, np.inf)
    return AirIn(free, let_in.air_share(arriving, carried), after, lasts)
