"""What a container bears: collapse under suction, lifting off its floor, and pressure from inside.

Not modelled: seams, dents beyond a knock-down, creep of plastic, the stiffening of a dished bottom.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import GRAVITY

Array = NDArray[np.float64]


def free_length(height: ArrayLike, rings: ArrayLike, spacing: ArrayLike) -> Array:
    """Height of wall [m] between two stiff rings; the whole height where there are none.

    Parameters
    ----------
    height : array_like
        Inside height [m].
    rings : array_like
        Number of rolling hoops [-]; each is taken as a rigid ring (physics book 14.2 A5).
    spacing : array_like
        Greatest height between two rings, bottom or brim [m].
    """
    tall = np.asarray(height, float)
    return np.asarray(np.where(np.asarray(rings) >= 1.0, np.minimum(np.asarray(spacing), tall), tall))


def collapse_pressure(
    modulus: ArrayLike, poisson: ArrayLike, wall: ArrayLike, diameter: ArrayLike, length: ArrayLike
) -> Array:
    """Outer over inner pressure [Pa] at which a perfect thin shell buckles.

    Parameters
    ----------
    modulus : array_like
        Young's modulus [Pa].
    poisson : array_like
        Poisson's ratio [-].
    wall, diameter, length : array_like
        Thickness, diameter and height between stiff rings [m].

    Notes
    -----
    Windenburg and Trilling (physics book 3, from memory): 2.42 E (t/D)^2.5 /
    [(1 - nu^2)^0.75 (L/D - 0.45 sqrt(t/D))], elastic, simply supported ends, short to middle lengths.
    A used container bears a share of it: multiply by `materials.knock_down`.
    """
    slender = np.asarray(wall, float) / np.asarray(diameter)
    slack = np.asarray(length, float) / np.asarray(diameter) - 0.45 * np.sqrt(slender)
    plain = 2.42 * np.asarray(modulus) * slender**2.5
    return np.asarray(plain / ((1.0 - np.square(poisson)) ** 0.75 * slack))


def lift_off_suction(held_mass: ArrayLike, hold_down: ArrayLike, area: ArrayLike) -> Array:
    """Suction under the plate at which the container leaves the floor [Pa].

    Parameters
    ----------
    held_mass : array_like
        Tare and product still inside [kg].
    hold_down : array_like
        Force that holds it down [N].
    area : array_like
        Of the plate [m2].

    Notes
    -----
    (m g + F)/A (physics book 3). Friction of the seal pulls as well: see `floor_force`.
    """
    held = np.asarray(held_mass, float) * GRAVITY + np.asarray(hold_down)
    return np.asarray(held / np.asarray(area))


def floor_force(
    held_mass: ArrayLike,
    hold_down: ArrayLike,
    pressure_under: ArrayLike,
    area: ArrayLike,
    friction: ArrayLike,
) -> Array:
    """Force of the container on its floor while the plate is raised [N]; it lifts where this is negative.

    Parameters
    ----------
    held_mass : array_like
        Tare and product still inside [kg].
    hold_down : array_like
        Force that holds it down [N].
    pressure_under : array_like
        Gauge pressure under the plate [Pa(g)], negative for suction.
    area : array_like
        Of the section at the plate [m2].
    friction : array_like
        Of the seal on the wall, upwards [N].

    Notes
    -----
    m g + F + p A - F_seal: pressure under the plate presses the container down, so it never lifts it.
    """
    weight = np.asarray(held_mass, float) * GRAVITY + np.asarray(hold_down)
    return np.asarray(weight + np.asarray(pressure_under) * np.asarray(area) - np.asarray(friction))


def hoop_stress(pressure: ArrayLike, diameter: ArrayLike, wall: ArrayLike) -> Array:
    """Stress round the wall [Pa] from inner pressure: p D/(2 t), thin wall.

    Parameters
    ----------
    pressure : array_like
        Inner gauge pressure [Pa(g)].
    diameter, wall : array_like
        Inside diameter and thickness [m].
    """
    return np.asarray(np.asarray(pressure) * np.asarray(diameter) / (2.0 * np.asarray(wall)))


def hoop_limit(allowed_stress: ArrayLike, diameter: ArrayLike, wall: ArrayLike) -> Array:
    """Inner pressure [Pa(g)] at which the wall reaches its allowed stress.

    Parameters
    ----------
    allowed_stress : array_like
        Of the wall [Pa].
    diameter, wall : array_like
        Inside diameter and thickness [m].
    """
    return np.asarray(2.0 * np.asarray(allowed_stress) * np.asarray(wall) / np.asarray(diameter))


def suction_limits(collapse: ArrayLike | None, lift_off: ArrayLike) -> dict[str, Array]:
    """Suction [Pa] that the container bears while the plate is raised, by what would happen.

    Parameters
    ----------
    collapse : array_like or None
        Collapse pressure after the knock-down [Pa], None where it is not known.
    lift_off : array_like
        Suction at which the container leaves the floor [Pa].
    """
    found = {"lift_off": np.asarray(lift_off, float)}
    return found if collapse is None else {"collapse": np.asarray(collapse, float), **found}


def assist_limits(
    general: ArrayLike, hoop: ArrayLike | None, bottom: ArrayLike | None, stated: ArrayLike | None = None
) -> dict[str, Array]:
    """Pressure of assist air [Pa(g)] that the container bears, by what would happen.

    Parameters
    ----------
    general : array_like
        Held to in any container [Pa(g)], an assumption: the lid seam is not modelled.
    hoop, bottom : array_like or None
        Limits of wall and bottom [Pa(g)], None where the material is not known.
    stated : array_like or None
        Limit of the container's maker or a test [Pa(g)].

    Notes
    -----
    Lifting off is no limit here: pressure under the plate presses the container onto its floor.
    """
    rows = {"general": general, "hoop": hoop, "bottom": bottom, "stated": stated}
    return {name: np.asarray(row, float) for name, row in rows.items() if row is not None}


def deciding(limits: Mapping[str, Array]) -> tuple[str, Array]:
    """The least of several limits over the samples, and the name that is least most often.

    Parameters
    ----------
    limits : mapping of ndarray
        Limits by name, of one unit.
    """
    names = list(limits)
    rows = np.array(np.broadcast_arrays(*(limits[name] for name in names)))
    first = np.bincount(np.argmin(rows, axis=0).ravel(), minlength=len(names))
    return names[int(np.argmax(first))], np.asarray(rows.min(axis=0))
