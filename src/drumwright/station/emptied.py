"""What stays in an emptied drum of one arrangement, over the samples."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.disc_gap import smallest_gap
from drumwright.machine.container.drum import disc_area
from drumwright.machine.plate import residue
from drumwright.machine.pump.stock import Abrasion
from drumwright.station.arrangement import Choice
from drumwright.station.balance import Balance, inlet_needed
from drumwright.station.inputs import Sample

Array = NDArray[np.float64]
MOST_GAP = 0.2  # share of the radius beyond which the thin-gap law is not used


@dataclass(frozen=True, slots=True)
class Residue:
    """Product left by place [m3], arrays over samples, and the flow-limited gap [m]."""

    places: Mapping[str, Array]
    flow_gap: Array
    total: Array


def residue_of(sample: Sample, state: Balance, choice: Choice, abrasion: Abrasion, bag: bool) -> Residue:
    """Residue of a straight drum under a lip-seal plate at the end of emptying.

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    state : Balance
        Of the season.
    choice : Choice
    abrasion : str
        Abrasion class.
    bag : bool
        Whether the drum holds a bag whose folds keep product.

    Notes
    -----
    The last rate is fed until the gap needs more force than plate and suction give:
    F_visc(Q_last, h) = F + A (p_atm - p_port), p_port what the pump needs at that rate (physics book 1.4).
    The last rate is never above the flow that is reached (the wanted one where nothing flows at all).
    A gap above a fifth of the radius is outside the thin-gap law and is held there.
    """
    law, diameter = state.law, sample["container.inside_diameter"]
    flow_gap = _flow_gap(sample, state, choice, abrasion)
    height = sample["container.usable_volume"] / disc_area(diameter)
    places = {
        "wall": residue.wall(diameter, height, sample["model.wall_gap"]),
        "film": residue.film(
            diameter,
            height,
            state.plate_speed,
            sample["model.film_gradient"] / 1.0e-3,
            law.consistency,
            law.exponent,
        ),
        "hoops": residue.hoops(
            sample["container.hoops"],
            sample["container.hoop_depth"],
            sample["container.hoop_width"],
            diameter,
            sample["model.hoop_retained"],
        ),
        "heel": residue.heel(
            diameter, flow_gap, sample["container.bottom_mismatch"], sample["model.heel_mix"]
        ),
        "corner": sample["model.corner"],
    }
    if bag:
        places["liner"] = sample["model.liner_residue"] / sample["product.density"]
    total = np.minimum(sum(places.values(), np.zeros_like(height)), sample["container.usable_volume"])
    return Residue(places, flow_gap, total)


def _flow_gap(sample: Sample, state: Balance, choice: Choice, abrasion: Abrasion) -> Array:
    """Gap under the plate at which the last rate can no longer be fed [m]."""
    law, diameter = state.law, sample["container.inside_diameter"]
    running = np.where(state.flow > 0.0, state.flow, state.wanted_flow)
    last = np.minimum(sample["machine.last_rate"], running)
    port_absolute = inlet_needed(sample, state, choice, abrasion, last)
    force = state.force + disc_area(diameter) * (state.atmosphere - port_absolute)
    gap = smallest_gap(
        last,
        np.maximum(force, 1.0),
        0.5 * diameter,
        0.5 * choice.port,
        law.yield_stress,
        law.consistency,
        law.exponent,
    )
    return np.asarray(np.minimum(np.asarray(gap), MOST_GAP * 0.5 * diameter))
