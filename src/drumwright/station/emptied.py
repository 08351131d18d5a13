"""What stays in an emptied container of one arrangement, over the samples."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.disc_gap import smallest_gap
from drumwright.flow.film import wiper_film
from drumwright.machine.plate import residue
from drumwright.machine.plate.gap_leak import passed
from drumwright.machine.plate.recovery import total
from drumwright.machine.plate.seals import Seal, seals
from drumwright.machine.pump.stock import Abrasion
from drumwright.station.arrangement import Choice
from drumwright.station.balance import Balance, inlet_needed
from drumwright.station.inputs import Sample
from drumwright.station.vessel import filled_height

Array = NDArray[np.float64]
MOST_GAP = 0.2  # share of the radius beyond which the thin-gap law is not used


@dataclass(frozen=True, slots=True)
class Residue:
    """Product left by place [m3], arrays over samples; the gap at the end and the pressure that sets it."""

    places: Mapping[str, Array]
    flow_gap: Array  # [m]
    port_absolute: Array  # pressure to which the pump draws the port down at the end [Pa(a)]
    total: Array


def residue_of(
    sample: Sample,
    state: Balance,
    choice: Choice,
    abrasion: Abrasion,
    bag: bool,
) -> Residue:
    """Residue under a follower plate at the end of emptying, place by place.

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    state : Balance
        Of the season.
    choice : Choice
        With a plate.
    abrasion : str
        Abrasion class.
    bag : bool
        Whether the container holds a bag whose folds keep product.

    Notes
    -----
    The last rate is fed until the gap needs more force than plate and suction give:
    F_visc(Q_last, h) = F + A (p_atm - p_port), p_port what the pump needs at that rate (physics book 1.4).
    The last rate is never above the flow that is reached (the wanted one where nothing flows at all).
    A gap above a fifth of the radius is outside the thin-gap law and is held there.
    A hoop deeper than tau_y/(rho g) drains, a shallower one keeps its product (physics book 2.2).
    """
    law, shape = state.law, state.feed.shape
    density = sample["product.density"]
    port_absolute = port_at_end(sample, state, choice, abrasion)
    flow_gap = _flow_gap(sample, state, choice, port_absolute)
    height = filled_height(sample, shape)
    wall = shape.wall_area(0.0, height)
    gradient = sample["model.film_gradient"] / 1.0e-3
    film = wiper_film(state.plate_speed, gradient, law.consistency, law.exponent)
    drains = sample["container.hoop_depth"] > residue.standing_layer(law.yield_stress, density)
    retained = np.where(drains, sample["model.hoop_drained"], sample["model.hoop_retained"])
    places = {
        "wall": residue.wall_layer(wall, sample["model.wall_gap"]),
        "film": residue.wall_layer(wall, film),
        "hoops": residue.hoops(
            sample["container.hoops"],
            sample["container.hoop_depth"],
            sample["container.hoop_width"],
            sample["container.inside_diameter"],
            retained,
        ),
        "heel": residue.heel_over(
            shape.bottom_area, flow_gap, sample["container.bottom_mismatch"], sample["model.heel_mix"]
        ),
        "corner": sample["model.corner"],
    }
    places |= _beside_the_plate(sample, state, choice, height)
    if not seals()[choice.seal].lips:
        places["leak"] = _leak(sample, state, choice, height)
    if bag:
        places["liner"] = residue.bag_folds(sample["model.liner_residue"], density)
    filled = sample["container.usable_volume"]
    return Residue(places, flow_gap, port_absolute, total(places, filled))


def clearance_of(sample: Sample, seal: Seal) -> Array:
    """Gap beside a plate without a lip [m]: as stated, else that of the table.

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    seal : Seal
    """
    usual = np.full_like(sample["product.density"], seal.likely("disc_clearance"))
    return sample.get("machine.plate_clearance", usual)


def _leak(sample: Sample, state: Balance, choice: Choice, height: Array) -> Array:
    """What a plate without a lip leaves on the wall: dragged along and pressed through its gap [m3]."""
    seal, shape, law = seals()[choice.seal], state.feed.shape, state.law
    under = np.maximum(state.under_plate_gauge, 0.0)  # over the way; the end has more, for a few millimetres
    speed = np.maximum(state.plate_speed, 1e-9)
    volume = passed(
        shape.perimeter(0.0), height, speed, under, clearance_of(sample, seal), seal.likely("contact_width"),
        law.yield_stress, law.consistency, law.exponent,
    )  # fmt: skip
    return np.minimum(volume, sample["container.usable_volume"])


def _beside_the_plate(sample: Sample, state: Balance, choice: Choice, height: Array) -> dict[str, Array]:
    """Pocket beside the disc of an expanding seal, and the corners of a bin behind a rounder follower."""
    found: dict[str, Array] = {}
    seal, shape = seals()[choice.seal], state.feed.shape
    if seal.follows:
        clearance = seal.likely("disc_clearance")
        found["pocket"] = residue.pocket(sample["model.stand_off"], clearance, shape.diameter(0.0))
    if shape.section == "rectangular" and seal.lips:
        own = shape.corner_radius
        follower = np.maximum(seal.likely("least_bend"), own)
        found["bin_corners"] = residue.bin_corners(follower, own, height, sample["model.hoop_retained"])
    return found


def port_at_end(sample: Sample, state: Balance, choice: Choice, abrasion: Abrasion) -> Array:
    """Pressure to which the pump draws the port down at the last rate [Pa(a)].

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    state : Balance
    choice : Choice
    abrasion : str
    """
    return inlet_needed(sample, state, choice, abrasion, last_rate(sample, state))


def last_rate(sample: Sample, state: Balance) -> Array:
    """Flow at the end of a container [m3/s]: as stated, never above the flow that is reached.

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    state : Balance
    """
    running = np.where(state.flow > 0.0, state.flow, state.wanted_flow)
    return np.asarray(np.minimum(sample["machine.last_rate"], running))


def _flow_gap(sample: Sample, state: Balance, choice: Choice, port_absolute: Array) -> Array:
    """Gap under the plate at which the last rate can no longer be fed [m]."""
    law, bottom = state.law, state.feed.shape.bottom_area
    radius = np.sqrt(bottom / np.pi)
    force = state.force + bottom * (state.atmosphere - port_absolute)
    gap = smallest_gap(
        last_rate(sample, state),
        np.maximum(force, 1.0),
        radius,
        0.5 * choice.port,
        law.yield_stress,
        law.consistency,
        law.exponent,
    )
    return np.asarray(np.minimum(np.asarray(gap), MOST_GAP * radius))
