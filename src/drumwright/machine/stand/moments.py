"""What the plate force does to the stand: moment at the mast, corner of the pallet, anchors.

Static sums for a first judgement. Floor, anchors and steelwork belong to a licensed structural engineer.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import GRAVITY

Array = NDArray[np.float64]


def pressing_moment(force: ArrayLike, riding_mass: ArrayLike, radius: ArrayLike) -> Array:
    """Bending moment at the foot of the mast while the plate presses [N m]; the reaction lifts the arm.

    Parameters
    ----------
    force : array_like
        Downward force of the ram on the plate [N]; float or shape (n,).
    riding_mass : array_like
        Of arm and drive that hang on the mast at that radius [kg]; takes moment off, 0 is the careful side.
    radius : array_like
        From the middle of the mast to the middle of the container [m].

    Notes
    -----
    M = (F - m g) R, not below zero. Trade book 1.4: 9.4 kN at 1.24 m give 11.7 kN m.
    """
    up = np.asarray(force, float) - np.asarray(riding_mass) * GRAVITY
    return np.asarray(np.maximum(up, 0.0) * np.asarray(radius))


def raising_moment(pull: ArrayLike, riding_mass: ArrayLike, radius: ArrayLike) -> Array:
    """Bending moment at the foot of the mast while the plate is raised [N m]; the load hangs on the arm.

    Parameters
    ----------
    pull : array_like
        Force that raises the plate, its weight included [N]; float or shape (n,).
    riding_mass : array_like
        Of arm and drive at that radius [kg].
    radius : array_like
        From the middle of the mast to the middle of the container [m].
    """
    return np.asarray(
        (np.asarray(pull, float) + np.asarray(riding_mass) * GRAVITY) * np.asarray(radius, float)
    )


def corner_load(gross_mass: ArrayLike, force: ArrayLike) -> Array:
    """Load of the quarter of a pallet under the container that is emptied [N].

    Parameters
    ----------
    gross_mass : array_like
        Of the full container [kg].
    force : array_like
        Downward force of plate and ram [N].

    Notes
    -----
    m g + F (trade book 1.4: 270 kg and 9.4 kN are 1.2 t on one quarter).
    """
    return np.asarray(np.asarray(gross_mass, float) * GRAVITY + np.asarray(force))


def anchor_tension(
    moment: ArrayLike,
    uplift: ArrayLike,
    own_mass: ArrayLike,
    base: float,
    pulling: int,
    edge: float | None = None,
) -> Array:
    """Tension in the most loaded anchor of a square base plate [N]; 0 where the own weight holds.

    Parameters
    ----------
    moment : array_like
        At the foot of the mast [N m].
    uplift : array_like
        Net upward force on the stand [N].
    own_mass : array_like
        Of the stand [kg].
    base : float
        Distance between the two rows of anchors [m].
    pulling : int
        Anchors in the row that pulls.
    edge : float, optional
        From the middle of the mast to the edge the base turns about [m]; left out, its far row of anchors.

    Raises
    ------
    ValueError
        If there is no row or no distance to carry a moment.

    Notes
    -----
    Stiff base that turns about an edge at e: T = (M + (F_up - m g) e) / ((e + b / 2) n); at the far row e is
    b / 2. Moment of the plate force and the upward force belong together: a load that hangs is F_up < 0.
    """
    if base <= 0.0 or pulling < 1:
        raise ValueError("a moment needs anchors that pull, at a distance")
    lifted = np.asarray(uplift, float) - np.asarray(own_mass) * GRAVITY
    turning = 0.5 * base if edge is None else edge
    tension = (np.asarray(moment, float) + lifted * turning) / ((turning + 0.5 * base) * pulling)
    return np.asarray(np.maximum(tension, 0.0))


def foot_pressure(load: ArrayLike, area: float) -> Array:
    """Pressure of a foot or a pallet block on the floor [Pa].

    Parameters
    ----------
    load : array_like
        On the foot [N].
    area : float
        Of the foot [m2].
    """
    return np.asarray(np.asarray(load, float) / area)
