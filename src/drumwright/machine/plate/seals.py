"""Seals of a follower plate: what each covers over the stroke, presses, rubs, and lets through."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.basis.estimate import Estimate
from drumwright.basis.tables import read_toml
from drumwright.machine.container.shape import Shape

Array = NDArray[np.float64]
RESERVE = 1.3  # contact pressure over rim pressure (physics book 1.3 and 2.5)
PASSING = 0.001  # gap each side when the disc goes through the mouth [m], assumed
FRICTION_SHARE = 0.5  # of weight and ram that the friction of the seal may take (physics book 2.5)


@dataclass(frozen=True, slots=True)
class Seal:
    """A kind of seal of the table `data/seals.toml`; its numbers in SI units with their source as note."""

    name: str
    order: int
    lips: int
    follows: bool
    numbers: Mapping[str, Estimate]

    def likely(self, quantity: str) -> float:
        """Return the likely value of a number of the seal [SI], 0 where the seal has no such number."""
        return self.numbers[quantity].likely if quantity in self.numbers else 0.0


@cache
def seals() -> Mapping[str, Seal]:
    """Every kind of seal by name, plainest first."""
    found = {}
    for name, row in read_toml("seals.toml").items():
        numbers = {
            key: Estimate(each["low"], each["likely"], each["high"], each["basis"], note=each["source"])
            for key, each in row["numbers"].items()
        }
        found[name] = Seal(name, row["order"], row["lips"], row["follows"], MappingProxyType(numbers))
    return MappingProxyType(found)


def disc_diameter(
    shape: Shape, clearance: ArrayLike, tolerance: ArrayLike = 0.0, opening: ArrayLike = np.inf
) -> Array:
    """Diameter of the rigid disc that passes the narrowest place [m]; of the disc of equal area for a bin.

    Parameters
    ----------
    shape : Shape
        Inside of the container.
    clearance : array_like
        Gap between disc and wall, each side [m].
    tolerance : array_like
        By how much the least diameter may be less than stated [m].
    opening : array_like
        Diameter of the mouth that the disc must pass [m]; infinite where it is as wide as the container.
    """
    inside = shape.least_diameter - np.asarray(tolerance, float) - 2.0 * np.asarray(clearance)
    return np.asarray(np.minimum(inside, np.asarray(opening, float) - 2.0 * PASSING))


def sealed_share(shape: Shape, disc: ArrayLike, reach: ArrayLike) -> Array:
    """Share of the height over which a seal of this reach touches the wall [-].

    Parameters
    ----------
    shape : Shape
        Inside of the container.
    disc : array_like
        Diameter of the rigid disc [m].
    reach : array_like
        Greatest gap between disc and wall that the seal bridges [m].

    Notes
    -----
    The diameter changes linearly with height: the share where D(z) <= disc + 2 reach. Upright walls: all
    or nothing.
    """
    spare = np.asarray(disc, float) + 2.0 * np.asarray(reach, float) - shape.least_diameter
    taper = shape.greatest_diameter - shape.least_diameter
    slender = taper <= 1e-12 * shape.greatest_diameter
    part = np.clip(spare / np.where(slender, 1.0, taper), 0.0, 1.0)
    return np.asarray(np.where(slender, np.where(spare >= 0.0, 1.0, 0.0), part))


def annulus_share(shape: Shape, disc: ArrayLike) -> Array:
    """Share of the greatest section that a disc leaves open [-]: 1 - (disc/D)^2.

    Parameters
    ----------
    shape : Shape
        Inside of the container.
    disc : array_like
        Diameter of the rigid disc [m].
    """
    return np.asarray(1.0 - (np.asarray(disc, float) / shape.greatest_diameter) ** 2)


def free_strain(shape: Shape, disc: ArrayLike) -> Array:
    """Stretch of a tube from lying on the disc to the greatest diameter [-]: (D - disc)/disc.

    Parameters
    ----------
    shape : Shape
        Inside of the container.
    disc : array_like
        Diameter of the rigid disc [m].

    Notes
    -----
    Strain along the perimeter of the outer face; physics book 2.5 allows 20-40 %, an estimate.
    """
    rest = np.asarray(disc, float)
    return np.asarray((shape.greatest_diameter - rest) / rest)


def normal_force(contact_pressure: ArrayLike, contact_width: ArrayLike, perimeter: ArrayLike) -> Array:
    """Force [N] of a seal on the wall: p_c b_c times the perimeter, pi D of a round section.

    Parameters
    ----------
    contact_pressure : array_like
        Mean pressure on the wall [Pa].
    contact_width : array_like
        Along the wall [m], all lips together.
    perimeter : array_like
        Of the section [m].
    """
    return np.asarray(np.asarray(contact_pressure) * np.asarray(contact_width) * np.asarray(perimeter))


def wedge_force(normal: ArrayLike, half_angle: ArrayLike) -> Array:
    """Force [N] by which a seal on a widening wall is pressed upwards: p_s pi D b tan(alpha).

    Parameters
    ----------
    normal : array_like
        Force of the seal on the wall [N].
    half_angle : array_like
        Of the wall against the axis [rad].

    Notes
    -----
    Physics book 1.1 and 2.5; 0 for upright walls.
    """
    return np.asarray(np.asarray(normal) * np.tan(np.asarray(half_angle, float)))


def allowed_rim_pressure(contact_pressure: ArrayLike, energised_share: ArrayLike = 0.0) -> Array:
    """Greatest gauge pressure at the rim that the seal holds with reserve [Pa(g)].

    Parameters
    ----------
    contact_pressure : array_like
        Mean pressure of the seal on the wall without pressure under the plate [Pa].
    energised_share : array_like
        Share of the rim pressure that is added to the contact pressure [-]; 0 for a lip that carries alone.

    Returns
    -------
    ndarray
        p_c/(1.3 - share); infinite from a share of 1.3 on.

    Notes
    -----
    Rule p_c + share p_rim >= 1.3 p_rim (physics book 1.3: pressure-energised, or p_c >= 1.3 p_rim).
    """
    short = RESERVE - np.asarray(energised_share, float)
    contact = np.asarray(contact_pressure, float)
    return np.asarray(np.where(short > 0.0, contact / np.where(short > 0.0, short, 1.0), np.inf))


def inflation_range(
    rim_pressure: ArrayLike,
    push: ArrayLike,
    friction: ArrayLike,
    contact_width: ArrayLike,
    perimeter: ArrayLike,
) -> tuple[Array, Array]:
    """Least and greatest inflation [Pa(g)] of an expanding seal; there is none where least > greatest.

    Parameters
    ----------
    rim_pressure : array_like
        Gauge pressure at the rim [Pa(g)].
    push : array_like
        Weight of the plate and force of the ram [N].
    friction : array_like
        Friction coefficient of the seal on the wall [-].
    contact_width : array_like
        Of the seal along the wall [m].
    perimeter : array_like
        Of the section where the plate stands [m].

    Notes
    -----
    p_s >= 1.3 p_rim and mu p_s b pi D <= 0.5 (W + F_ram) (physics book 2.5); both may change over the stroke.
    """
    least = RESERVE * np.maximum(np.asarray(rim_pressure, float), 0.0)
    rubbing = np.asarray(friction, float) * np.asarray(contact_width) * np.asarray(perimeter)
    most = FRICTION_SHARE * np.maximum(np.asarray(push, float), 0.0) / rubbing
    least, most = np.broadcast_arrays(least, most)
    return np.asarray(least), np.asarray(most)
