"""Surface of a product that runs over a floor to an outlet: how deep it must stand far off to feed a flow.

When the level falls to that depth the surface has sunk to the outlet and air is drawn; what lies under the
profile is what stays at that flow.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.floor import Floor
from drumwright.flow.inverse import SLOT, excess
from drumwright.flow.numbers import (
    GRAVITY,
    Array,
    Number,
    arrays,
    finish,
    require_law,
    require_not_negative,
    require_positive,
)
from drumwright.flow.slot import viscous_stress

STEPS = 4  # within 0.1 % of the depth and 0.4 % of the volume on discs, 0.9 % of both in bins (n 0.15-1.2)
TINY = 1e-60  # stands for Z = 0
FULL_CIRCLE, HALF_CIRCLE = 2.0 * np.pi, np.pi


class DrawDown(NamedTuple):
    """Depth far from the outlet [m] at which air is drawn, and the volume [m3] under that profile."""

    depth: Array
    volume: Array


def film_flow(
    slope: ArrayLike,
    depth: ArrayLike,
    density: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> Number:
    """Flow per width of a layer that runs over a floor by the slope of its surface.

    Parameters
    ----------
    slope : float or ndarray
        Fall of the surface over length [-].
    depth : float or ndarray
        [m]
    density : float or ndarray
        [kg/m3]
    yield_stress, consistency, exponent : float or ndarray
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].

    Returns
    -------
    float or ndarray
        Flow per width [m2/s]; zero at and below the slope the yield stress holds.

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    q = n hy^(1+1/n) (rho g S/K)^(1/n) [(n+1) h + n h_0]/((n+1)(2n+1)), h_0 = tau_y/(rho g S), hy = h - h_0
    (physics book 1.5): half of a slot of twice the depth.
    """
    s, h, rho, tau, k, n = arrays(slope, depth, density, yield_stress, consistency, exponent)
    require_not_negative("slope", s)
    require_not_negative("depth", h)
    require_positive("density", rho)
    require_law(tau, k, n)
    drive = rho * GRAVITY * s
    held = np.minimum(tau / np.where(drive > 0.0, drive, 1.0), h)
    moving = np.where(drive > 0.0, h - held, 0.0)
    shape = n * ((n + 1.0) * h + n * held) / ((n + 1.0) * (2.0 * n + 1.0))
    return finish(np.asarray(shape * moving ** (1.0 + 1.0 / n) * (drive / k) ** (1.0 / n)))


def sector_draw_down(
    flow: ArrayLike,
    radius: ArrayLike,
    edge_radius: ArrayLike,
    edge_depth: ArrayLike,
    density: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
    sector: float = FULL_CIRCLE,
) -> DrawDown:
    """Draw-down over a sector of a disc when all of the flow comes from its far side.

    Parameters
    ----------
    flow : array_like
        Volume flow [m3/s]; zero gives the profile at rest.
    radius, edge_radius : array_like
        Far side and edge of the outlet [m].
    edge_depth : array_like
        Depth at the edge of the outlet [m], zero or more; 5 to 40 mm change the result by 6 % (A2).
    density : array_like
        [kg/m3]
    yield_stress, consistency, exponent : array_like
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].
    sector : float
        Angle [rad]: the full circle for an outlet in the middle, half of it for one at a wall.

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range; the radius must be more than that of the edge.

    Notes
    -----
    dh/dr = S(h, Q/(sector r)), S from `film_flow` (physics book 1.5): the book's printed depths. Without
    taper; `floor_draw_down` takes the flow from the falling level, which is what a container does.
    """
    q, big, edge = arrays(flow, radius, edge_radius)

    def path(r: Array) -> tuple[Array, Array]:
        return q / (sector * r), np.asarray(0.5 * sector * r**2)

    return _march(path, big, edge, edge_depth, (density, yield_stress, consistency, exponent), q)


def floor_draw_down(
    floor: Floor,
    flow: ArrayLike,
    edge_radius: ArrayLike,
    edge_depth: ArrayLike,
    density: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> DrawDown:
    """Draw-down over the floor of a container whose level falls evenly.

    Parameters
    ----------
    floor : Floor
        With its outlet.
    flow : array_like
        Volume flow [m3/s]; zero gives the profile at rest.
    edge_radius, edge_depth : array_like
        Radius of the edge of the outlet on the floor and depth there [m].
    density : array_like
        [kg/m3]
    yield_stress, consistency, exponent : array_like
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    As `sector_draw_down` with q = Q (1 - A(d)/A)/(arc at d), A(d) the floor nearer than d: lines of equal
    depth are taken as arcs about the outlet, cut off by the walls. Against a solution of the whole floor a
    Newtonian product stands within 3 % of this in a bin 1.10 x 0.93 m (tests); exact for a disc about its
    middle.
    """
    (q,) = arrays(flow)

    def path(d: Array) -> tuple[Array, Array]:
        arc, within = floor.arc(d), floor.within(d)
        wide = arc > 1e-9 * floor.farthest
        beyond = np.maximum(1.0 - within / floor.area, 0.0)
        return q * np.where(wide, beyond / np.where(wide, arc, 1.0), 0.0), within

    (edge,) = arrays(edge_radius)
    law = (density, yield_stress, consistency, exponent)
    return _march(path, floor.farthest, edge, edge_depth, law, q)


def newtonian_depth(
    flow: ArrayLike,
    radius: ArrayLike,
    edge_radius: ArrayLike,
    edge_depth: ArrayLike,
    density: ArrayLike,
    viscosity: ArrayLike,
    sector: float = FULL_CIRCLE,
) -> Number:
    """Depth at which air is drawn from a Newtonian product, all of the flow from the far side.

    Parameters
    ----------
    flow : array_like
        [m3/s]
    radius, edge_radius, edge_depth : array_like
        As in `sector_draw_down` [m].
    density, viscosity : array_like
        [kg/m3], [Pa s]
    sector : float
        Angle [rad].

    Notes
    -----
    h^4 = h0^4 + (12 mu Q/(sector rho g)) ln(R/r0) (physics book 1.5, derived there).
    """
    q, big, edge, h0, rho, mu = arrays(flow, radius, edge_radius, edge_depth, density, viscosity)
    rise = 12.0 * mu * q / (sector * rho * GRAVITY) * np.log(big / edge)
    return finish(np.asarray((h0**4 + rise) ** 0.25))


def _march(
    path: Callable[[Array], tuple[Array, Array]],
    far: ArrayLike,
    edge: Array,
    edge_depth: ArrayLike,
    law: tuple[ArrayLike, ...],
    flow: Array,
) -> DrawDown:
    """Integrate the profile from the edge to the far side by equal steps of x, fourth order.

    ln(r/r0) = ln(R/r0) x (2 - x) sets the steps closer at the far side, where the slope ends sharply if the
    flow fades there and n is small. The path gives flow per width and floor within a distance. The unknown is
    Z = z^(1+n), z = h^2 less the part 2 tau_y (r - r0)/(rho g) known beforehand: regular where the depth at
    the edge is zero, and only the viscous part is left to the steps. Volume = h(far) A - integral of A dh, A
    the floor beyond the edge.
    """
    big, h0, rho, tau, k, n = arrays(far, edge_depth, *law)
    require_not_negative("flow", flow)
    require_not_negative("depth at the edge", h0)
    require_positive("edge of the outlet", edge)
    require_positive("floor beyond the edge", big - edge)
    require_positive("density", rho)
    require_law(tau, k, n)
    weight, reach = 2.0 / (rho * GRAVITY), np.log(big / edge)
    none = path(edge)[1]

    def rates(x: float, unknown: Array) -> tuple[Array, Array]:
        r = edge * np.exp(reach * x * (2.0 - x))
        per_width, within = path(r)
        kept = np.maximum(unknown, TINY)
        z = kept ** (1.0 / (1.0 + n))
        h = np.sqrt(z + weight * tau * (r - edge))
        above = excess(SLOT, viscous_stress(2.0 * per_width, 2.0 * h, k, n), tau, n)
        stretch = 2.0 * (1.0 - x) * reach * r * weight
        return stretch * (1.0 + n) * kept / z * above, stretch * 0.5 * (tau + above) / h * (within - none)

    shape = np.broadcast_shapes(*(each.shape for each in (flow, big, edge, h0, rho, tau, k, n)))
    unknown, under = np.broadcast_to(h0 ** (2.0 + 2.0 * n), shape), np.zeros(shape)
    step = 1.0 / STEPS
    for start in np.arange(STEPS) * step:
        first = rates(start, unknown)
        second = rates(start + 0.5 * step, unknown + 0.5 * step * first[0])
        third = rates(start + 0.5 * step, unknown + 0.5 * step * second[0])
        last = rates(start + step, unknown + step * third[0])
        change, more = (a + 2.0 * (b + c) + d for a, b, c, d in zip(first, second, third, last, strict=True))
        unknown, under = unknown + step / 6.0 * change, under + step / 6.0 * more
    depth = np.sqrt(unknown ** (1.0 / (1.0 + n)) + weight * tau * (big - edge))
    return DrawDown(np.asarray(depth), np.asarray(depth * (path(big)[1] - none) - under))
