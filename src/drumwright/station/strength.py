"""What the container bears over the samples: suction, inner pressure, assist air, and the air it lets in."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.container.bottom_plate import bottom_limit
from drumwright.machine.container.kinds import kind
from drumwright.machine.container.materials import Material, general_limit, material
from drumwright.machine.container.shape import Shape
from drumwright.machine.container.strength import (
    assist_limits,
    collapse_pressure,
    deciding,
    free_length,
    hoop_limit,
    lift_off_suction,
)
from drumwright.station.inputs import Inputs, Sample

Array = NDArray[np.float64]
# A pump that draws on a plate which sticks: 0.6-0.8 bar (physics book 3, from memory); the higher is careful.
PUMP_PULL = 0.8e5


@dataclass(frozen=True, slots=True)
class Strength:
    """Limits of a container, arrays over samples; None where they are not known and must be asked for."""

    collapse: Array | None  # suction at which the wall buckles, dents counted [Pa]
    lift_off: Array  # suction at which the empty container leaves the floor [Pa]
    inner: Array | None  # inner pressure of wall and bottom [Pa(g)]
    assist: Array  # pressure of assist air [Pa(g)]
    assist_by: str  # general, hoop, bottom or stated: what limits it


def strength_of(inputs: Inputs, sample: Sample, shape: Shape) -> Strength:
    """Limits of the container of a case.

    Parameters
    ----------
    inputs : Inputs
    sample : mapping of ndarray, shape (n,)
    shape : Shape

    Notes
    -----
    Stated limits go before computed ones. Thin round walls only: a bin with flat walls, or a wall of unknown
    material, is not computed. Modulus and allowed stress of the wall are taken at their likely values, the
    wall and the knock-down for dents are sampled.
    """
    own = kind(inputs.kind)
    wall = material(inputs.choices["container.material"] or own.material)
    round_wall = shape.section == "round" and "container.wall" in sample
    collapse = _stated(sample, "container.allowed_suction")
    inner = _stated(sample, "container.allowed_pressure")
    hoop = bottom = None
    if wall is not None and round_wall:
        if collapse is None:
            collapse = _collapse(sample, shape, wall)
        hoop = hoop_limit(wall.allowed_stress.likely, shape.greatest_diameter, sample["container.wall"])
        bottom = _bottom(inputs, shape, wall)
        if inner is None:
            inner = hoop if bottom is None else np.minimum(hoop, bottom)
    held = sample["container.tare"]
    hold_down = sample.get("container.hold_down", np.zeros_like(held))
    general = np.full_like(held, general_limit("assist_regulated").likely)
    stated = _stated(sample, "container.allowed_pressure")
    name, assist = deciding(assist_limits(general, hoop, bottom, stated))
    lift_off = lift_off_suction(held, hold_down, shape.mean_area)
    return Strength(collapse, lift_off, inner, np.broadcast_to(assist, held.shape), name)


def wall_limit(inputs: Inputs, sample: Sample, shape: Shape) -> Array | None:
    """Inner pressure that the wall bears beside the product [Pa(g)]; None where it is not known.

    Parameters
    ----------
    inputs : Inputs
    sample : mapping of ndarray, shape (n,)
    shape : Shape

    Notes
    -----
    The bottom stands on the floor under the plate's force and is not counted here.
    """
    stated = sample.get("container.allowed_pressure")
    if stated is not None:
        return stated
    wall = material(inputs.choices["container.material"] or kind(inputs.kind).material)
    if wall is None or shape.section != "round" or "container.wall" not in sample:
        return None
    return hoop_limit(wall.allowed_stress.likely, shape.greatest_diameter, sample["container.wall"])


def _stated(sample: Sample, key: str) -> Array | None:
    return sample.get(key)


def _collapse(sample: Sample, shape: Shape, wall: Material) -> Array:
    """Suction at which the wall buckles between two stiff rings [Pa], the dents of use counted."""
    height = sample.get("container.inside_height", shape.height)
    spacing = sample.get("container.hoop_spacing", height)
    free = free_length(height, sample["container.hoops"], spacing)
    perfect = collapse_pressure(
        wall.modulus.likely, wall.poisson.likely, sample["container.wall"], shape.greatest_diameter, free
    )
    return np.asarray(sample["model.knock_down"] * perfect)


def _bottom(inputs: Inputs, shape: Shape, wall: Material) -> Array | None:
    """Inner pressure that the bottom bears over its floor [Pa(g)]; None where the kind says nothing."""
    own = kind(inputs.kind)
    thickness, clearance = own.known("bottom_wall"), own.known("standing_clearance")
    if thickness is None:
        return None
    return bottom_limit(
        wall.allowed_stress.likely,
        0.5 * shape.diameter(0.0),
        thickness.likely,
        wall.modulus.likely,
        wall.poisson.likely,
        clearance.likely if clearance is not None else np.inf,
    )
