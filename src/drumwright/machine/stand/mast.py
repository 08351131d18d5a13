"""Kinds of stand over containers of any size: stroke, height, reach, footprint."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Reach:
    """Where the containers stand, seen from the middle of the mast [m]."""

    near: float
    far: float
    swing: float  # angle from the nearest to the farthest place the arm turns through [rad]

    @property
    def longest(self) -> float:
        """Radius with the greatest moment."""
        return max(self.near, self.far)


def single_reach(outside: float, mast_half: float, gap: float) -> Reach:
    """One container straight before the mast.

    Parameters
    ----------
    outside : float
        Outside diameter, or depth of a bin towards the mast [m].
    mast_half : float
        Half the depth of the mast [m].
    gap : float
        Room between mast and container [m].
    """
    radius = mast_half + gap + 0.5 * outside
    return Reach(radius, radius, 0.0)


def pallet_reach(outside: float, pallet_length: float, pallet_width: float, mast_clearance: float) -> Reach:
    """An arm over four round containers, two by two on a pallet.

    Parameters
    ----------
    outside : float
        Outside diameter over the hoops [m].
    pallet_length : float
        Side that stands away from the mast [m].
    pallet_width : float
        Side along which the mast stands, on its middle [m].
    mast_clearance : float
        From the edge of the pallet to the middle of the mast [m].

    Notes
    -----
    Containers stand in the middle of the quarters, or touch where they are wider than a quarter. Trade book
    1.2: 0.67 m and 1.24 m for 585 mm drums on 1200 x 1200 mm, mast 300 mm outside.
    """
    (near_x, across), (far_x, _) = pallet_places(outside, pallet_length, pallet_width, mast_clearance)[1::2]
    near, far = math.hypot(near_x, across), math.hypot(far_x, across)
    swing = 2.0 * math.atan2(across, near_x)
    return Reach(near, far, swing)


def pallet_places(
    outside: float, pallet_length: float, pallet_width: float, mast_clearance: float
) -> tuple[tuple[float, float], ...]:
    """Middles of four round containers on their pallet: away from the mast and along its side [m].

    Parameters
    ----------
    outside : float
        Outside diameter over the hoops [m].
    pallet_length : float
        Side that stands away from the mast [m].
    pallet_width : float
        Side along which the mast stands, on its middle [m].
    mast_clearance : float
        From the edge of the pallet to the middle of the mast [m].
    """
    along = 0.5 * max(outside, 0.5 * pallet_length)
    across = 0.5 * max(outside, 0.5 * pallet_width)
    middle = mast_clearance + 0.5 * pallet_length
    return tuple((middle + row, side * across) for row in (-along, along) for side in (-1.0, 1.0))


def stroke(inside_height: ArrayLike, rim_clearance: ArrayLike, plate_height: ArrayLike) -> Array:
    """Way of the plate from the bottom of the container to clear of its rim [m].

    Parameters
    ----------
    inside_height : array_like
        Of the container [m].
    rim_clearance : array_like
        Between the rim and the lowest point of the raised plate [m].
    plate_height : array_like
        Of a part that hangs below the plate into the container, 0 for a flat one [m].
    """
    return np.asarray(np.asarray(inside_height, float) + np.asarray(rim_clearance) + np.asarray(plate_height))


def folded_height(stroke_length: ArrayLike, foot: ArrayLike, head: ArrayLike) -> tuple[Array, Array]:
    """Height of a mast with the plate down and with it up [m], cylinders beside the plate.

    Parameters
    ----------
    stroke_length : array_like
        Of the plate [m].
    foot, head : array_like
        Height below the cylinders, and of crosshead and fittings above the rods [m].
    """
    down = np.asarray(foot, float) + np.asarray(stroke_length) + np.asarray(head)
    return np.asarray(down), np.asarray(down + np.asarray(stroke_length))


def footprint(kind: str, outside: float, pallet_length: float, pallet_width: float, aisle: float) -> float:
    """Floor a station takes [m2], with room to bring and take containers.

    Parameters
    ----------
    kind : str
        fixed_mast, moving_arm or tandem.
    outside : float
        Outside diameter or side of a container [m].
    pallet_length, pallet_width : float
        Sides of the pallet under a moving arm [m].
    aisle : float
        Free strip before the station [m].

    Raises
    ------
    ValueError
        If the kind of stand is not known.
    """
    mast = 0.6  # depth of mast, valves and hose loop behind the container [m]; assumed
    side = 0.3  # room to each side [m]; assumed
    if kind == "fixed_mast":
        return (outside + mast + aisle) * (outside + 2.0 * side)
    if kind == "tandem":
        return (outside + mast + aisle) * (2.0 * outside + 3.0 * side)
    if kind == "moving_arm":
        return (pallet_length + mast + aisle) * (pallet_width + 2.0 * side)
    raise ValueError(f"no such stand: {kind}")
