"""Floor of a container about its outlet: how wide it is at a distance, and how much of it lies nearer.

Distances are straight lines on the floor, counted from the middle of the outlet. Every value may be a float
or an array over samples.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.numbers import Array, arrays, require_positive

AT_WALL = 1e-6  # share of a side: an outlet that near a wall is at it
NEAREST = 1e-12  # [m]
Form = Literal["disc_centre", "disc_wall", "rectangle"]


@dataclass(frozen=True, slots=True)
class Corner:
    """Right-angled part of a floor with the outlet in its corner: its two sides [m], how often it occurs."""

    one: Array
    other: Array
    times: int


@dataclass(frozen=True, slots=True)
class Floor:
    """Floor and the place of its outlet; made by `round_floor` or `rectangular_floor`.

    A disc uses `radius`, a rectangle `corners`; what a form does not use is 0 or empty.
    """

    form: Form
    area: Array  # [m2]
    farthest: Array  # [m] of the floor from the outlet
    radius: Array  # [m]
    corners: tuple[Corner, ...]

    def arc(self, distance: ArrayLike) -> Array:
        """Length [m] of the line on the floor that lies a distance [m] from the outlet."""
        d = np.asarray(distance, float)
        if self.form == "disc_centre":
            return np.asarray(np.where(d <= self.radius, 2.0 * np.pi * d, 0.0))
        if self.form == "disc_wall":
            return np.asarray(2.0 * d * np.arccos(np.minimum(0.5 * d / self.radius, 1.0)))
        return np.asarray(d * sum(each.times * _angle(each, d) for each in self.corners))

    def within(self, distance: ArrayLike) -> Array:
        """Area of the floor [m2] nearer to the outlet than a distance [m]."""
        d = np.asarray(distance, float)
        if self.form == "disc_centre":
            return np.asarray(np.pi * np.minimum(d, self.radius) ** 2)
        if self.form == "disc_wall":
            return _two_discs(np.minimum(d, 2.0 * self.radius), self.radius)
        return np.asarray(sum(each.times * _corner_within(each, d) for each in self.corners))


def round_floor(radius: ArrayLike, at_wall: bool = False) -> Floor:
    """Floor of a round container.

    Parameters
    ----------
    radius : array_like
        Inside radius at the bottom [m].
    at_wall : bool
        Whether the outlet is at the wall and not in the middle.

    Raises
    ------
    FlowOutOfRange
        If the radius is not more than zero.
    """
    (r,) = arrays(radius)
    require_positive("radius", r)
    area = np.asarray(np.pi * r**2)
    return Floor("disc_wall", area, 2.0 * r, r, ()) if at_wall else Floor("disc_centre", area, r, r, ())


def rectangular_floor(length: ArrayLike, width: ArrayLike, along: float = 0.0, across: float = 0.5) -> Floor:
    """Floor of a rectangular bin; the default outlet is in the middle of a short side.

    Parameters
    ----------
    length, width : array_like
        Inside [m]; shapes that broadcast. Rounded upright edges are not counted: what they take away lies
        farthest from the outlet.
    along, across : float
        Place of the outlet as a share of the length and of the width [-], 0 to 1.

    Raises
    ------
    FlowOutOfRange
        If a side is not more than zero.
    ValueError
        If the outlet does not lie on the floor.
    """
    long, wide = arrays(length, width)
    require_positive("length", long)
    require_positive("width", wide)
    if not (0.0 <= along <= 1.0 and 0.0 <= across <= 1.0):
        raise ValueError("the outlet must lie on the floor: shares from 0 to 1")
    none = np.zeros(())
    sides = [[each for each in (at, 1.0 - at) if each > AT_WALL] for at in (along, across)]
    shares = [(a, b) for a in sides[0] for b in sides[1]]
    corners = tuple(Corner(a * long, b * wide, shares.count((a, b))) for a, b in dict.fromkeys(shares))
    far = np.hypot(max(along, 1.0 - along) * long, max(across, 1.0 - across) * wide)
    return Floor("rectangle", np.asarray(long * wide), np.asarray(far), none, corners)


def _angle(part: Corner, d: Array) -> Array:
    """Angle of the arc inside a corner part [rad]."""
    safe = np.maximum(d, NEAREST)
    start = np.arccos(np.minimum(part.one / safe, 1.0))
    end = np.arcsin(np.minimum(part.other / safe, 1.0))
    return np.asarray(np.maximum(end - start, 0.0))


def _corner_within(part: Corner, d: Array) -> Array:
    """Area of a corner part nearer than a distance: one sector and two triangles."""
    d = np.minimum(d, np.hypot(part.one, part.other))
    beside = [0.5 * a * np.sqrt(np.maximum(d**2 - a**2, 0.0)) for a in (part.one, part.other)]
    return np.asarray(0.5 * d**2 * _angle(part, d) + beside[0] + beside[1])


def _two_discs(d: Array, radius: Array) -> Array:
    """Area common to a disc and a disc of radius d about a point of its rim."""
    half = 0.5 * d / radius
    return np.asarray(
        d**2 * np.arccos(np.minimum(half, 1.0))
        + radius**2 * 2.0 * np.arcsin(np.minimum(half, 1.0))
        - 0.5 * d * np.sqrt(np.maximum(4.0 * radius**2 - d**2, 0.0))
    )
