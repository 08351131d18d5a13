"""What stays in a container under a plate, by place: straight drum, cone, bin."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.film import wiper_film
from drumwright.flow.numbers import GRAVITY
from drumwright.machine.container.drum import disc_area, hoop_volume

Array = NDArray[np.float64]


def wall(diameter: ArrayLike, height: ArrayLike, gap: ArrayLike) -> Array:
    """Volume [m3] on the wall from lack of fit, mean thickness `gap` [m] (physics book 2.2).

    Parameters
    ----------
    diameter, height : array_like
        Inside diameter and wiped height [m].
    gap : array_like
        Mean gap between lip and wall [m].
    """
    return wall_layer(math.pi * np.asarray(diameter) * np.asarray(height), gap)


def wall_layer(wall_area: ArrayLike, thickness: ArrayLike) -> Array:
    """Volume [m3] of a layer on the wall of any shape.

    Parameters
    ----------
    wall_area : array_like
        Wiped area of the wall [m2].
    thickness : array_like
        Mean thickness of the layer [m].
    """
    return np.asarray(np.asarray(wall_area) * np.asarray(thickness))


def film(
    diameter: ArrayLike,
    height: ArrayLike,
    plate_speed: ArrayLike,
    gradient: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Array:
    """Volume [m3] of the hydrodynamic film the lip leaves (physics book 2.1).

    Parameters
    ----------
    diameter, height : array_like
        Inside diameter and wiped height [m].
    plate_speed : array_like
        [m/s]
    gradient : array_like
        Greatest gradient of the lip's contact pressure [Pa/m].
    consistency, exponent : array_like
        Of the product [Pa s^n, -].
    """
    thickness = wiper_film(plate_speed, gradient, consistency, exponent)
    return np.asarray(math.pi * np.asarray(diameter) * np.asarray(height) * np.asarray(thickness))


def hoops(
    count: ArrayLike, depth: ArrayLike, width: ArrayLike, diameter: ArrayLike, retained: ArrayLike
) -> Array:
    """Volume [m3] held in the rolling hoops, `retained` share of the groove (physics book 2.2).

    Parameters
    ----------
    count : array_like
        Number of hoops [-].
    depth, width : array_like
        Of one groove [m].
    diameter : array_like
        Inside diameter of the drum [m].
    retained : array_like
        Share of the groove that keeps product [-].
    """
    return np.asarray(np.asarray(count) * hoop_volume(depth, width, diameter) * np.asarray(retained))


def standing_layer(yield_stress: ArrayLike, density: ArrayLike) -> Array:
    """Thickness [m] up to which a layer never drains from an upright wall: tau_y/(rho g).

    Parameters
    ----------
    yield_stress, density : array_like
        Of the product [Pa], [kg/m3].

    Notes
    -----
    Physics book 2.2: a groove that is no deeper stays full; a deeper one drains.
    """
    return np.asarray(np.asarray(yield_stress) / (np.asarray(density) * GRAVITY))


def heel(diameter: ArrayLike, flow_gap: ArrayLike, mismatch: ArrayLike, mix: ArrayLike) -> Array:
    """Volume [m3] under the plate at the end.

    Parameters
    ----------
    diameter : array_like
        Inside diameter at the bottom [m].
    flow_gap : array_like
        Gap at which the wanted last rate can no longer be fed [m].
    mismatch : array_like
        Mean gap between plate and bottom [m].
    mix : array_like
        0 takes the greater of the two gaps, 1 their sum [-] (physics book 2.2: sampled uniformly between).
    """
    return heel_over(disc_area(diameter), flow_gap, mismatch, mix)


def heel_over(bottom_area: ArrayLike, flow_gap: ArrayLike, mismatch: ArrayLike, mix: ArrayLike) -> Array:
    """Volume [m3] under the plate at the end, over a bottom of any shape.

    Parameters
    ----------
    bottom_area : array_like
        Area of the bottom [m2].
    flow_gap, mismatch, mix : array_like
        As in `heel`.
    """
    flow_gap, mismatch = np.asarray(flow_gap), np.asarray(mismatch)
    greater, total = np.maximum(flow_gap, mismatch), flow_gap + mismatch
    return np.asarray(np.asarray(bottom_area) * (greater + np.asarray(mix) * (total - greater)))


def pocket(stand_off: ArrayLike, clearance: ArrayLike, bottom_diameter: ArrayLike) -> Array:
    """Volume [m3] beside the disc below an expanding seal, at the bottom (physics book 2.5).

    Parameters
    ----------
    stand_off : array_like
        Height of the seal above the lower edge of the disc [m].
    clearance : array_like
        Gap between disc and wall at the bottom, each side [m].
    bottom_diameter : array_like
        Inside diameter at the bottom [m].
    """
    ring = math.pi * np.asarray(bottom_diameter) * np.asarray(clearance)
    return np.asarray(np.asarray(stand_off) * ring)


def bag_folds(mass: ArrayLike, density: ArrayLike) -> Array:
    """Volume [m3] in the folds of a bag.

    Parameters
    ----------
    mass : array_like
        Product in the folds [kg].
    density : array_like
        Of the product [kg/m3].
    """
    return np.asarray(np.asarray(mass) / np.asarray(density))


def bin_corners(
    follower_radius: ArrayLike, bin_radius: ArrayLike, height: ArrayLike, retained: ArrayLike
) -> Array:
    """Volume [m3] in the four upright corners of a bin that a rounder follower does not reach.

    Parameters
    ----------
    follower_radius, bin_radius : array_like
        Corner radius of the follower and of the bin [m]; nothing stays where the follower is the sharper.
    height : array_like
        Filled height [m].
    retained : array_like
        Share of that space that keeps product [-].

    Notes
    -----
    V = (4 - pi)(r_f^2 - r_b^2) H times the retained share: a square less its quarter circle, four times,
    the two arcs touching the same two walls.
    """
    beyond = np.maximum(np.square(follower_radius) - np.square(bin_radius), 0.0)
    return np.asarray((4.0 - math.pi) * beyond * np.asarray(height) * np.asarray(retained))
