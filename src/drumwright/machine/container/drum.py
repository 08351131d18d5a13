"""Geometry of a container and whether a follower plate can enter it."""

from __future__ import annotations

import math
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import GRAVITY

Entry = Literal["enters", "cannot_enter", "not_judged"]

# A plate cannot pass a bung or a filling mouth; what is not modelled yet is said, never guessed.
_ENTRY: dict[str, Entry] = {
    "straight_drum": "enters",
    "tight_head_drum": "cannot_enter",
    "rigid_ibc": "cannot_enter",
    "conical_drum": "not_judged",
    "fibre_drum": "not_judged",
    "plastic_drum": "not_judged",
    "pail": "not_judged",
    "folding_bin": "not_judged",
    "bag_in_bin": "not_judged",
}


def plate_entry(kind: str) -> Entry:
    """Say whether a rigid follower plate can enter a container of this kind.

    Parameters
    ----------
    kind : str
        Container kind of the case file.

    Raises
    ------
    KeyError
        If the kind is unknown.

    Notes
    -----
    Tight-head drums open through bungs of about 57 mm, rigid IBCs through a mouth of 150-225 mm
    (trade book 2.4, from memory): both narrower than any plate that could wipe the wall.
    """
    return _ENTRY[kind]


def disc_area(diameter: ArrayLike) -> NDArray[np.float64]:
    """Area of a disc [m2] of this diameter [m], shape of the input."""
    return np.asarray(0.25 * math.pi * np.square(diameter))


def cylinder_volume(diameter: ArrayLike, height: ArrayLike) -> NDArray[np.float64]:
    """Volume [m3] of a straight drum from inside diameter and height [m].

    Parameters
    ----------
    diameter, height : array_like
        Inside diameter and height [m]; shapes that broadcast.
    """
    return np.asarray(disc_area(diameter) * np.asarray(height))


def hoop_volume(depth: ArrayLike, width: ArrayLike, diameter: ArrayLike) -> NDArray[np.float64]:
    """Volume [m3] of one outward rolling hoop: half-sine groove of depth and width [m] round the drum.

    Parameters
    ----------
    depth, width : array_like
        Of the groove [m].
    diameter : array_like
        Inside diameter of the drum [m].

    Notes
    -----
    V = 2 b d D: half-sine area 2 b d / pi times perimeter pi D (physics book 2.2, derived).
    """
    return np.asarray(2.0 * np.asarray(width) * np.asarray(depth) * np.asarray(diameter))


def left_by_layers(
    diameter: ArrayLike, height: ArrayLike, wall_film: ArrayLike, bottom_layer: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Volume left [m3] by a wall film and a bottom layer [m], and the share recovered.

    Parameters
    ----------
    diameter, height : array_like
        Inside diameter and height of the drum [m].
    wall_film, bottom_layer : array_like
        Mean thickness of the film on the wall and of the layer on the bottom [m].

    Returns
    -------
    tuple of ndarray
        Volume left [m3] and share of the drum's volume recovered [-].

    Notes
    -----
    recovery = 1 - (4 s / D + b / H), s film, b bottom layer (geometry).
    """
    d, h = np.asarray(diameter, float), np.asarray(height, float)
    share = 4.0 * np.asarray(wall_film) / d + np.asarray(bottom_layer) / h
    return share * cylinder_volume(d, h), 1.0 - share


def heel_bound(
    yield_stress: ArrayLike, density: ArrayLike, length: float, width: float
) -> NDArray[np.float64]:
    """Volume [m3] that stays in a rectangular bin emptied by its outlet without a plate: a lower bound.

    Parameters
    ----------
    yield_stress, density : array_like
        [Pa], [kg/m3]
    length, width : float
        Floor inside, outlet in the middle of a side of this width [m].

    Notes
    -----
    At rest h(x) = sqrt(2 tau_y x / (rho g)), bottom friction only; heel = (2/3) h(L) L W (trade book 2.5).
    """
    height = np.sqrt(2.0 * np.asarray(yield_stress) * length / (np.asarray(density) * GRAVITY))
    return np.asarray(2.0 / 3.0 * height * length * width)


def pallet_pattern(diameter: float, length: float, width: float) -> tuple[float, bool, tuple[float, float]]:
    """Four drums of this outside diameter [m] on a pallet: footprint side [m], fit, overhang a side [m].

    Parameters
    ----------
    diameter : float
        Outside diameter over the hoops [m].
    length, width : float
        Pallet sides [m].

    Returns
    -------
    tuple
        Side of the square two-by-two pattern, whether it fits without overhang, and the overhang
        on each side along length and width (0 where it fits).
    """
    side = 2.0 * diameter
    overhang = (max(0.0, (side - length) / 2.0), max(0.0, (side - width) / 2.0))
    return side, max(overhang) == 0.0, overhang


def staggered_length(diameter: float, width: float) -> float:
    """Length [m] of four drums set in a zigzag on a pallet `width` [m] wide.

    Parameters
    ----------
    diameter : float
        Outside diameter over the hoops [m].
    width : float
        Width of the pallet [m].

    Raises
    ------
    ValueError
        If the pallet is narrower than one drum or wide enough for two side by side.
    """
    offset = width - diameter
    if not 0.0 <= offset < diameter:
        raise ValueError("the zigzag needs a width between one and two drum diameters")
    return 3.0 * math.sqrt(diameter**2 - offset**2) + diameter
