"""Room for the containers that stand in the warm: how many, on which floor, with how much heat a day."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.container.kinds import kind
from drumwright.machine.container.store import drums_under_heat, energy_a_day, floor_area
from drumwright.machine.container.warm_up import WarmUp
from drumwright.station.inputs import Inputs, Sample

Array = NDArray[np.float64]
PALLET_SIDE, AISLES = 1.2, 2.0  # [m] pallet of four, and floor over pallet area; the latter assumed
BESIDE = 0.1  # [m] free between containers that stand by themselves; assumed
OVERHANG = 0.05  # [m] of the containers over their pallet, that still stand four on it; assumed


@dataclass(frozen=True, slots=True)
class Room:
    """Containers in the warm; arrays over samples."""

    stock: Array  # containers
    floor: Array  # [m2]
    energy: Array  # into the product of a day [J]


def _place(inputs: Inputs) -> tuple[float, float, float]:
    """Containers on one place of the floor, and its length and width [m]: a pallet, or a bin by itself."""
    sides = [inputs.estimates.get(f"container.{name}") for name in ("length", "width")]
    if kind(inputs.kind).section == "rectangular" and sides[0] is not None and sides[1] is not None:
        return 1.0, sides[0].likely + BESIDE, sides[1].likely + BESIDE
    across = inputs.likely("container.outside_diameter")
    if inputs.choices["site.pallet"] == "single":
        return 1.0, across + BESIDE, across + BESIDE
    in_a_row = max(math.floor((PALLET_SIDE + OVERHANG) / across), 1)
    return float(in_a_row**2), PALLET_SIDE, PALLET_SIDE


def room_of(inputs: Inputs, sample: Sample, result: WarmUp) -> Room | None:
    """Containers under heat, the floor they take and the heat of a day; None where no drums were named.

    Parameters
    ----------
    inputs : Inputs
    sample : mapping of ndarray, shape (n,)
    result : WarmUp
        Of one container.
    """
    if "enquiry.drums_per_shift" not in sample:
        return None
    each_day = sample["enquiry.drums_per_shift"] * sample["enquiry.shifts_per_day"]
    stock = np.asarray(drums_under_heat(each_day, result.core_time, sample["model.stock_reserve"]))
    floor = np.asarray(floor_area(stock, *_place(inputs), AISLES))
    return Room(stock, floor, np.asarray(energy_a_day(each_day, result.energy)))
