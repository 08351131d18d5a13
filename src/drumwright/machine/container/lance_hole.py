"""A container emptied by a lance through its opening: hole, heel and what comes up on the lance."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.floor import round_floor
from drumwright.flow.levelling import heel
from drumwright.flow.rat_hole import share_beside_hole, standing_depth
from drumwright.flow.withdrawn_film import withdrawn_film
from drumwright.machine.container.shape import Shape
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class LanceHole:
    """Depth to which the hole may stand [m], whether through all of the filling, and what stays [m3]."""

    standing: Array
    through: NDArray[np.bool_]
    beside_hole: Array
    heel: Array


def lance_hole(
    shape: Shape,
    filled_height: ArrayLike,
    hole_radius: ArrayLike,
    static_yield_stress: ArrayLike,
    flowing_yield_stress: ArrayLike,
    density: ArrayLike,
) -> LanceHole:
    """Whether a lance in the middle bores a hole that stands, and what it leaves.

    Parameters
    ----------
    shape : Shape
    filled_height : array_like
        Of the full container [m].
    hole_radius : array_like
        Of the hole about the foot of the lance [m].
    static_yield_stress, flowing_yield_stress : array_like
        Of the rested product, which holds the hole, and of the flowing one, which sets the heel [Pa].
    density : array_like
        [kg/m3]

    Notes
    -----
    While the hole falls in, the level sinks; once no more than the standing depth is left, the hole stands
    and the pump draws air: what is beside it stays. The depth is an upper bound (`standing_depth`).
    A bin has its lance in the middle too: its heel is that of the disc of equal area.
    """
    tall = np.asarray(filled_height, float)
    depth = np.asarray(standing_depth(hole_radius, static_yield_stress, density))
    radius = 0.5 * shape.diameter(0.0)
    volume = shape.volume_to(np.minimum(depth, tall))
    beside = np.asarray(share_beside_hole(hole_radius, radius)) * volume
    left = heel(round_floor(radius), tall, flowing_yield_stress, density)
    return LanceHole(depth, np.asarray(depth >= tall), np.asarray(beside), np.asarray(left))


def carried_out(
    diameter: ArrayLike,
    wetted_length: ArrayLike,
    speed: ArrayLike,
    law: FlowLaw,
    density: ArrayLike,
    tension: ArrayLike,
) -> Array:
    """Most product [m3] that comes up on a lance when it is drawn out, and drips.

    Parameters
    ----------
    diameter, wetted_length : array_like
        Outside diameter, and length that stood in the product [m].
    speed : array_like
        At which it is drawn up [m/s].
    law : FlowLaw
    density : array_like
        [kg/m3]
    tension : array_like
        Surface tension [N/m].

    Notes
    -----
    `withdrawn_film` over the surface of the lance: an upper bound, far above what a stiff product does.
    """
    held = (law.yield_stress, law.consistency, law.exponent)
    film = np.asarray(withdrawn_film(speed, density, *held, tension))
    return np.asarray(np.pi * np.asarray(diameter) * film * np.asarray(wetted_length))
