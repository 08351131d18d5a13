"""Inside of a container in numbers: a frustum, which may be straight, or a bin with upright walls.

Height z is counted from the bottom edge of the wall. Every value may be a float or an array over samples.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.machine.container.kinds import Kind, Section

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Shape:
    """Inside of a container [m]; made by `frustum`, `rectangular_bin` or `likely_shape`.

    A round section uses `top` and `bottom`, a rectangular one `length`, `width` and `corner_radius`;
    what a section does not use is 0.
    """

    section: Section
    height: Array
    top: Array
    bottom: Array
    length: Array
    width: Array
    corner_radius: Array

    def diameter(self, z: ArrayLike) -> Array:
        """Inside diameter [m] at height z [m]; of the disc of equal area for a bin."""
        if self.section == "rectangular":
            return np.asarray(np.sqrt(4.0 / np.pi * self.area(z)))
        return np.asarray(self.bottom + (self.top - self.bottom) * np.asarray(z, float) / self.height)

    def area(self, z: ArrayLike) -> Array:
        """Area of the section [m2] at height z [m]."""
        if self.section == "rectangular":
            cut = (4.0 - np.pi) * self.corner_radius**2
            return np.asarray(self.length * self.width - cut + 0.0 * np.asarray(z, float))
        return np.asarray(0.25 * np.pi * self.diameter(z) ** 2)

    def perimeter(self, z: ArrayLike) -> Array:
        """Length of the wall round the section [m] at height z [m]: what a seal runs along."""
        if self.section == "rectangular":
            cut = (8.0 - 2.0 * np.pi) * self.corner_radius
            return np.asarray(2.0 * (self.length + self.width) - cut + 0.0 * np.asarray(z, float))
        return np.asarray(np.pi * self.diameter(z))

    def volume_to(self, z: ArrayLike) -> Array:
        """Volume [m3] below height z [m]: pi z (Db^2 + Db D + D^2)/12 of a frustum."""
        height = np.asarray(z, float)
        if self.section == "rectangular":
            return np.asarray(self.area(0.0) * height)
        there = self.diameter(height)
        return np.asarray(np.pi / 12.0 * height * (self.bottom**2 + self.bottom * there + there**2))

    def height_of(self, volume: ArrayLike) -> Array:
        """Height [m] up to which a volume [m3] stands: the inverse of `volume_to`.

        Notes
        -----
        With s = (Dt - Db)/H and D^3 = Db^3 + 12 s V/pi: z = (12 V/pi)/(D^2 + D Db + Db^2), which holds for
        s = 0 as well.
        """
        held = np.asarray(volume, float)
        if self.section == "rectangular":
            return np.asarray(held / self.area(0.0))
        slope = (self.top - self.bottom) / self.height
        scaled = 12.0 / np.pi * held
        there = np.cbrt(self.bottom**3 + slope * scaled)
        return np.asarray(scaled / (there**2 + there * self.bottom + self.bottom**2))

    def wall_area(self, low: ArrayLike = 0.0, high: ArrayLike | None = None) -> Array:
        """Area of the wall [m2] between two heights.

        Parameters
        ----------
        low, high : array_like
            Heights [m]; None means the brim.
        """
        start, end = np.asarray(low, float), self.height if high is None else np.asarray(high, float)
        mean = 0.5 * (self.perimeter(start) + self.perimeter(end))
        return np.asarray(mean * (end - start) / np.cos(self.half_angle))

    @property
    def volume(self) -> Array:
        """Brimful volume [m3], hoops and dish of the bottom not counted."""
        return self.volume_to(self.height)

    @property
    def bottom_area(self) -> Array:
        """Area of the section at the bottom [m2]."""
        return self.area(0.0)

    @property
    def mean_area(self) -> Array:
        """Volume over height [m2]."""
        return np.asarray(self.volume / self.height)

    @property
    def least_diameter(self) -> Array:
        """Least inside diameter [m] over the height; of the disc of equal area for a bin."""
        return np.asarray(np.minimum(self.diameter(0.0), self.diameter(self.height)))

    @property
    def greatest_diameter(self) -> Array:
        """Greatest inside diameter [m] over the height."""
        return np.asarray(np.maximum(self.diameter(0.0), self.diameter(self.height)))

    @property
    def radial_travel(self) -> Array:
        """How far a seal must move radially between top and bottom [m]; 0 for upright walls."""
        return np.asarray(0.5 * (self.greatest_diameter - self.least_diameter))

    @property
    def perimeter_change(self) -> Array:
        """Perimeter at the top less perimeter at the bottom [m]."""
        return np.asarray(self.perimeter(self.height) - self.perimeter(0.0))

    @property
    def half_angle(self) -> Array:
        """Angle of the wall against the axis [rad], positive where it widens upwards."""
        if self.section == "rectangular":
            return np.zeros_like(self.height)
        return np.asarray(np.arctan(0.5 * (self.top - self.bottom) / self.height))


def frustum(top: ArrayLike, bottom: ArrayLike, height: ArrayLike) -> Shape:
    """Shape of a round container, straight where top and bottom are equal.

    Parameters
    ----------
    top, bottom, height : array_like
        Inside diameters at brim and bottom, inside height [m]; shapes that broadcast.

    Raises
    ------
    ValueError
        If a dimension is not more than zero.
    """
    upper, lower, tall = _positive(top, bottom, height)
    none = np.zeros(())
    return Shape("round", tall, upper, lower, none, none, none)


def rectangular_bin(
    length: ArrayLike, width: ArrayLike, height: ArrayLike, corner_radius: ArrayLike = 0.0
) -> Shape:
    """Shape of a bin with upright walls and rounded upright edges.

    Parameters
    ----------
    length, width, height : array_like
        Inside dimensions [m]; shapes that broadcast.
    corner_radius : array_like
        Radius of the upright edges [m], at most half of the shorter side.

    Raises
    ------
    ValueError
        If a dimension is not more than zero or the radius does not fit.
    """
    long, wide, tall = _positive(length, width, height)
    radius = np.asarray(corner_radius, float)
    if np.any(radius < 0.0) or np.any(2.0 * radius > np.minimum(long, wide)):
        raise ValueError("the corner radius must lie between zero and half of the shorter side")
    none = np.zeros(())
    return Shape("rectangular", tall, none, none, long, wide, radius)


def likely_shape(kind: Kind) -> Shape:
    """Shape of a kind of container at its likely dimensions.

    Parameters
    ----------
    kind : Kind
        Row of the table of containers.
    """
    numbers = {key: estimate.likely for key, estimate in kind.numbers.items()}
    if kind.section == "rectangular":
        return rectangular_bin(
            numbers["length"], numbers["width"], numbers["inside_height"], numbers["corner_radius"]
        )
    return frustum(numbers["diameter_top"], numbers["diameter_bottom"], numbers["inside_height"])


def _positive(*values: ArrayLike) -> tuple[Array, ...]:
    found = tuple(np.asarray(value, float) for value in values)
    if not all(np.all(value > 0.0) for value in found):
        raise ValueError("inside dimensions must be more than zero")
    return found
