"""What the plate force and the raising do to the stand of an arrangement."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.numbers import GRAVITY
from drumwright.machine.stand.lift import (
    BUCKLING_SAFETY,
    air_per_cycle,
    buckling_force,
    cylinder_forces,
    fall,
    holding_pressure,
)
from drumwright.machine.stand.mast import Reach, pallet_reach, single_reach, stroke
from drumwright.machine.stand.moments import anchor_tension, corner_load, pressing_moment, raising_moment
from drumwright.machine.stand.tipping import allowed_force, needed_mass, raised_load
from drumwright.station.arrangement import Choice, stand_row
from drumwright.station.inputs import Inputs, Sample

Array = NDArray[np.float64]
MAST_HALF, MAST_GAP = 0.10, 0.05  # half the mast and room to a single container [m]; assumed
MAST_CLEARANCE = 0.30  # from the edge of the pallet to the middle of the mast [m]; trade book 1.2
RIM_CLEARANCE = 0.10  # of the raised plate over the rim [m]; trade book 1.4
MOTOR_SHARE = 0.5  # mass of motor and gear over that of the pump they drive; assumed
ATMOSPHERE = 101325.0  # [Pa]
PALLET = 1.20  # side of a pallet for four drums [m]; trade book 1.2


@dataclass(frozen=True, slots=True)
class StandState:
    """A stand under its loads; arrays over samples, SI units."""

    reach: Reach
    closed: bool  # whether the plate force stays inside the stand
    stroke: Array
    moment: Array  # at the foot of the mast, the greater of pressing and raising [N m]
    anchor_tension: Array  # of the most loaded anchor [N]
    corner_load: Array  # of the quarter of a pallet, or of the base under the container [N]
    free_force: Array  # plate force a stand that nobody anchored carries [N]; infinite where closed
    free_mass: Array  # mass the stand would need for the plate force without anchors [kg]
    raised: Array  # weight that hangs on the mast while the plate goes up [N]
    free_raised: Array  # of it that a stand carries that nobody anchored [N]; infinite within its base
    riding: Array  # mass of plate, pump and drive that the mast carries [kg]
    lift_available: Array  # pull of the cylinders [N]
    air: Array  # free air of one way down and up [m3]
    drop_energy: Array  # of the raised plate [J]
    holding_pressure: Array  # locked in the cylinders while the plate is up [Pa(g)]


def reach_of(inputs: Inputs, choice: Choice) -> Reach:
    """Where the containers stand before the mast of an arrangement.

    Parameters
    ----------
    inputs : Inputs
    choice : Choice
        With a plate.
    """
    outside = inputs.estimates.get("container.outside_diameter") or inputs.estimates.get("container.length")
    size = outside.likely if outside is not None else PALLET
    if choice.stand != "moving_arm":
        return single_reach(size, MAST_HALF, MAST_GAP)
    sides = (inputs.estimates.get(f"site.pallet_{side}") for side in ("length", "width"))
    length, width = (PALLET if side is None else side.likely for side in sides)
    return pallet_reach(size, length, width, MAST_CLEARANCE)


def riding_pump(inputs: Inputs, choice: Choice) -> float:
    """Mass of a pump that rides on the plate, with its motor [kg].

    Parameters
    ----------
    inputs : Inputs
    choice : Choice

    Notes
    -----
    A stated mass is that of the plate with its pump; an assumed one is without. The pump is counted where its
    weight is a load, not in the force that presses, where it would help.
    """
    if choice.beside or not choice.plated or "machine.plate_mass" not in inputs.defaulted:
        return 0.0
    return choice.pump.mass * (1.0 + MOTOR_SHARE if choice.pump.turns else 1.0)


def ram_of(sample: Sample, choice: Choice, push: Array) -> Array:
    """Downward force of the ram, which the stand must hold [N]: the push less the weight of the plate.

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    choice : Choice
    push : ndarray, shape (n,)
        Weight of the plate and force of the ram [N].
    """
    weight = GRAVITY * sample["machine.plate_mass"]
    return np.asarray(np.maximum(push - weight, 0.0))


def stand_of(inputs: Inputs, sample: Sample, choice: Choice, push: Array, pull: Array) -> StandState:
    """Loads of the stand of an arrangement.

    Parameters
    ----------
    inputs : Inputs
    sample : mapping of ndarray, shape (n,)
    choice : Choice
        With a plate.
    push : ndarray, shape (n,)
        Weight of the plate and force of the ram, seal friction not taken off [N].
    pull : ndarray, shape (n,)
        Force that raises the plate [N].

    Notes
    -----
    Pressing, the reaction lifts the arm; a container on the base of the stand closes the force, so that only
    the weight of plate, pump and arm turns the base. Raising, the pull hangs on the arm as long as the
    container is held down; at most what the cylinders give.
    """
    row = stand_row(choice.stand)
    reach = reach_of(inputs, choice)
    radius, cylinders = reach.longest, int(row["cylinders"])
    bore, rod = row["cylinder_bore"], row["cylinder_rod"]
    pressure, share = sample["site.air_pressure"], sample["model.cylinder_efficiency"]
    _, ring = cylinder_forces(pressure, cylinders, bore, rod, share)
    ram = ram_of(sample, choice, push)
    way = stroke(sample["container.outside_height"], RIM_CLEARANCE, 0.0)
    # rods in compression while the plate goes up
    most = cylinders * buckling_force(rod, way) / BUCKLING_SAFETY
    lift = np.minimum(ring, most)
    pump = riding_pump(inputs, choice)
    carried = sample["machine.plate_mass"] + pump
    pressing = pressing_moment(ram, 0.0, radius)
    raising = raising_moment(np.minimum(pull, lift), row["riding_mass"], radius)
    gross = sample["product.density"] * sample["container.usable_volume"] + sample["container.tare"]
    mass = carried + row["riding_mass"]
    _, energy = fall(mass, way)
    section = 0.25 * math.pi * (bore**2 - rod**2)
    free = np.full_like(ram, np.inf) if row["closed"] else allowed_force(row["mass"], row["behind"], radius)
    hung = GRAVITY * mass
    if not row["closed"]:  # a container that is held down gives all that the cylinders pull
        hung = np.maximum(hung, lift + GRAVITY * row["riding_mass"])
    return StandState(
        reach=reach,
        closed=bool(row["closed"]),
        stroke=way,
        moment=np.maximum(pressing, raising),
        anchor_tension=_tension(row, ram, np.minimum(pull, lift), mass, radius),
        corner_load=corner_load(gross, push + GRAVITY * pump),
        free_force=np.broadcast_to(free, ram.shape),
        free_mass=np.zeros_like(ram) if row["closed"] else needed_mass(ram, row["behind"], radius),
        raised=hung,
        free_raised=np.broadcast_to(raised_load(row["mass"], row["before"], radius), ram.shape),
        riding=mass,
        lift_available=lift,
        air=air_per_cycle(pressure, ATMOSPHERE, cylinders, bore, rod, way),
        drop_energy=energy,
        holding_pressure=holding_pressure(mass, cylinders, section),
    )


def _tension(row: Mapping[str, Any], ram: Array, pull: Array, mass: Array, radius: float) -> Array:
    """Tension of an anchor, pressing and raising [N], about the edge of the base on that side.

    On a base that closes the force only the weight of what hangs there turns it, over the edge before it.
    """
    hung = GRAVITY * mass
    if not row["closed"]:
        hung = np.maximum(hung, pull + GRAVITY * row["riding_mass"])
    own = (row["mass"], row["base"], row["pulling"])
    raising = anchor_tension(hung * radius, -hung, *own, edge=row["before"])
    if row["closed"]:
        return raising
    return np.maximum(raising, anchor_tension(ram * radius, ram, *own, edge=row["behind"]))
