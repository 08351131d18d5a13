"""A stand that is not anchored: the plate force that turns it over, the load that tips it."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import GRAVITY

Array = NDArray[np.float64]
SAFETY = 1.5  # holding moment over turning moment of a stand nobody anchored; assumed


def allowed_force(own_mass: ArrayLike, behind: ArrayLike, radius: ArrayLike, safety: float = SAFETY) -> Array:
    """Plate force that a free stand carries when the container stands on the floor beside it [N].

    Parameters
    ----------
    own_mass : array_like
        Of the stand, its centre over the mast [kg].
    behind : array_like
        From the middle of the mast to the edge the stand would turn about, away from the container [m].
    radius : array_like
        From the middle of the mast to the middle of the container [m].
    safety : float
        Holding moment over turning moment [-].

    Notes
    -----
    The reaction F lifts the arm and turns the stand about its far edge: F (R + b) <= m g b / S.
    """
    arm = np.asarray(radius, float) + np.asarray(behind)
    return np.asarray(np.asarray(own_mass) * GRAVITY * np.asarray(behind) / (safety * arm))


def needed_mass(force: ArrayLike, behind: ArrayLike, radius: ArrayLike, safety: float = SAFETY) -> Array:
    """Mass a free stand needs to carry a plate force on a container beside it [kg]; see `allowed_force`.

    Parameters
    ----------
    force : array_like
        Of the ram [N].
    behind, radius : array_like
        Far edge and container from the middle of the mast [m].
    safety : float
        Holding moment over turning moment [-].
    """
    arm = np.asarray(radius, float) + np.asarray(behind)
    return np.asarray(np.asarray(force) * safety * arm / (GRAVITY * np.asarray(behind)))


def raised_load(own_mass: ArrayLike, before: ArrayLike, radius: ArrayLike, safety: float = SAFETY) -> Array:
    """Load that may hang on the arm of a free stand before it tips towards the container [N].

    Parameters
    ----------
    own_mass : array_like
        Of the stand, its centre over the mast [kg].
    before : array_like
        From the middle of the mast to the edge on the side of the container [m].
    radius : array_like
        From the middle of the mast to the load [m].
    safety : float
        Holding moment over turning moment [-].

    Notes
    -----
    L (R - b) <= m g b / S; infinite where the load hangs within the base.
    """
    arm = np.asarray(radius, float) - np.asarray(before)
    holding = np.asarray(own_mass) * GRAVITY * np.asarray(before) / safety
    with np.errstate(divide="ignore"):
        return np.asarray(np.where(arm > 0.0, holding / np.where(arm > 0.0, arm, 1.0), np.inf))


def push_that_tips(mass: ArrayLike, track: ArrayLike, height: ArrayLike) -> Array:
    """Horizontal push at a height that tips a stand on wheels [N].

    Parameters
    ----------
    mass : array_like
        Of stand and load [kg].
    track : array_like
        Least distance between the wheels [m].
    height : array_like
        Of the push over the floor [m].

    Notes
    -----
    P h = m g t / 2 on a level floor; a pipe that pulls, a wheel that catches on a drain push as well.
    """
    return np.asarray(np.asarray(mass, float) * GRAVITY * 0.5 * np.asarray(track) / np.asarray(height, float))


def slope_that_tips(track: ArrayLike, centre_height: ArrayLike) -> Array:
    """Slope of the floor at which a stand on wheels tips over sideways [-]: t / (2 h).

    Parameters
    ----------
    track : array_like
        Least distance between the wheels [m].
    centre_height : array_like
        Of the common centre of mass over the floor [m].
    """
    return np.asarray(0.5 * np.asarray(track, float) / np.asarray(centre_height))
