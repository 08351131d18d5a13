"""Which seal fits a container, and the number that speaks against each of the others."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

from drumwright.machine.container.shape import Shape
from drumwright.machine.plate import seals as _seals
from drumwright.machine.plate.gap_leak import gap_stress
from drumwright.machine.plate.seals import FRICTION_SHARE, Seal

Criterion = Literal[
    "sealed_share", "reach", "strain", "bend", "rim_pressure", "inflation", "friction", "leak_stress"
]


@dataclass(frozen=True, slots=True)
class Rejection:
    """One number that speaks against a seal, and the limit it breaks; SI units."""

    criterion: Criterion
    value: float
    limit: float


@dataclass(frozen=True, slots=True)
class SealFit:
    """A seal in a container: lengths [m], pressures [Pa(g)], forces [N], shares and strain [-].

    `open_annulus` is the share of the greatest section that stays open, 0 where the seal reaches the wall
    there. `inflation` is 0 to 0 for a seal without air. `rejections` is empty where the seal fits;
    `conditions` are broken rules that the make of the seal can meet (a lip that the product presses on).
    """

    seal: str
    disc_diameter: float
    needed_reach: float
    offered_reach: float
    needed_travel: float
    offered_travel: float
    sealed_share: float
    open_annulus: float
    strain: float
    friction: float
    wedge: float
    allowed_rim_pressure: float
    inflation: tuple[float, float]
    rejections: tuple[Rejection, ...] = ()
    conditions: tuple[Rejection, ...] = ()

    @property
    def fits(self) -> bool:
        """Whether nothing speaks against the seal."""
        return not self.rejections


def fit_seal(
    seal: Seal,
    shape: Shape,
    rim_pressure: float,
    push: float,
    yield_stress: float,
    tolerance: float = 0.0,
    opening: float = math.inf,
) -> SealFit:
    """Judge one seal in one container at the likely numbers of the seal.

    Parameters
    ----------
    seal : Seal
        Kind of seal.
    shape : Shape
        Inside of the container, of single numbers.
    rim_pressure : float
        Greatest gauge pressure at the rim [Pa(g)].
    push : float
        Weight of the plate and force of the ram [N].
    yield_stress : float
        Of the product [Pa].
    tolerance : float
        By how much a diameter may differ from the stated one [m], both ways.
    opening : float
        Diameter of the mouth that the disc must pass [m].

    Notes
    -----
    Friction and inflation are taken at the greatest perimeter. A seal that follows is pressed with the least
    inflation the rule asks, never less than its likely one where the rule allows that.
    """
    disc = float(_seals.disc_diameter(shape, seal.likely("disc_clearance"), tolerance, opening))
    widest = float(shape.greatest_diameter) + tolerance
    needed = 0.5 * (widest - disc)
    offered = seal.likely("reach_most")
    share = float(_seals.sealed_share(shape, disc - tolerance, offered))
    perimeter = float(shape.perimeter(shape.height))
    contact, inflation = _pressed(seal, rim_pressure, push, perimeter)
    width = seal.lips * seal.likely("contact_width")
    normal = float(_seals.normal_force(contact, width, perimeter))
    found = SealFit(
        seal=seal.name,
        disc_diameter=disc,
        needed_reach=needed,
        offered_reach=offered,
        needed_travel=float(shape.radial_travel) + tolerance,
        offered_travel=offered - seal.likely("reach_least"),
        sealed_share=share,
        open_annulus=0.0 if needed <= offered else float(_seals.annulus_share(shape, disc)),
        strain=float(_seals.free_strain(shape, disc)) if seal.follows else 0.0,
        friction=seal.likely("friction") * normal,
        wedge=float(_seals.wedge_force(normal, shape.half_angle)),
        allowed_rim_pressure=float(_seals.allowed_rim_pressure(contact, seal.likely("energised_share"))),
        inflation=inflation,
    )
    return _judged(found, seal, shape, rim_pressure, push, yield_stress)


def choose_seal(
    shape: Shape,
    rim_pressure: float,
    push: float,
    yield_stress: float,
    tolerance: float = 0.0,
    opening: float = math.inf,
) -> tuple[SealFit, ...]:
    """Every kind of seal, best first: those that fit, plainest first, then the others by what they seal.

    Parameters
    ----------
    shape : Shape
        Inside of the container, of single numbers.
    rim_pressure : float
        Greatest gauge pressure at the rim [Pa(g)].
    push : float
        Weight of the plate and force of the ram [N].
    yield_stress : float
        Of the product [Pa].
    tolerance : float
        By how much a diameter may differ from the stated one [m], both ways.
    opening : float
        Diameter of the mouth that the disc must pass [m].
    """
    table = _seals.seals()
    fits = [
        fit_seal(each, shape, rim_pressure, push, yield_stress, tolerance, opening) for each in table.values()
    ]
    return tuple(
        sorted(fits, key=lambda fit: (len(fit.rejections), -fit.sealed_share, table[fit.seal].order))
    )


def _pressed(
    seal: Seal, rim_pressure: float, push: float, perimeter: float
) -> tuple[float, tuple[float, float]]:
    """Contact pressure [Pa] and the range of inflation [Pa(g)] of a seal."""
    contact = seal.likely("contact_pressure")
    if not seal.follows:
        return contact, (0.0, 0.0)
    least, most = _seals.inflation_range(
        rim_pressure, push, seal.likely("friction"), seal.likely("contact_width"), perimeter
    )
    return max(float(least), min(contact, float(most))), (float(least), float(most))


def _judged(
    fit: SealFit, seal: Seal, shape: Shape, rim_pressure: float, push: float, yield_stress: float
) -> SealFit:
    """The same with what speaks against it."""
    conditions: tuple[Rejection, ...] = ()
    rows: list[tuple[Criterion, float, float]] = []
    if not seal.lips:
        land = seal.likely("contact_width")
        stress = float(gap_stress(rim_pressure, fit.needed_reach, land))
        rows = [("leak_stress", stress, yield_stress)]
    else:
        rows = [
            ("reach", fit.needed_reach, fit.offered_reach),
            ("friction", fit.friction, FRICTION_SHARE * push),
        ]
        bend = seal.likely("least_bend")
        if shape.section == "rectangular":
            rows.append(("bend", bend, float(shape.corner_radius)))
        if seal.follows:
            rows += [("strain", fit.strain, seal.likely("allowed_strain")), ("inflation", *fit.inflation)]
        elif rim_pressure > fit.allowed_rim_pressure:
            conditions = (Rejection("rim_pressure", rim_pressure, fit.allowed_rim_pressure),)
    broken = [Rejection(*row) for row in rows if row[1] > row[2] * (1.0 + 1e-12)]
    if seal.lips and fit.sealed_share < 1.0:
        broken.insert(0, Rejection("sealed_share", fit.sealed_share, 1.0))
    if conditions and rim_pressure > _energised(seal):
        broken, conditions = [*broken, *conditions], ()
    return replace(fit, rejections=tuple(broken), conditions=conditions)


def _energised(seal: Seal) -> float:
    """Rim pressure [Pa(g)] that a lip holds which the product presses on."""
    share = seal.numbers["energised_share"].high
    return float(_seals.allowed_rim_pressure(seal.likely("contact_pressure"), share))
