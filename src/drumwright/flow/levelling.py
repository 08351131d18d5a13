"""What a product with a yield stress leaves when it has come to rest about an outlet, level or sloped floor.

At rest the bottom carries the slope of the surface: rho g h dh/dx = tau_y. Bottom friction alone, shallow,
so the true heel may be about 30 % more or less (physics book 1.5), and the last of it arrives slowly.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.floor import Corner, Floor
from drumwright.flow.numbers import (
    GRAVITY,
    Array,
    Number,
    arrays,
    finish,
    require_not_negative,
    require_positive,
)

HEEL_SPREAD = 0.30  # of the depth at rest, both ways (physics book 1.5: slump tests against the theory)
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(10)
_HALVES, _SHARES = 0.5 * (_NODES + 1.0), 0.5 * _WEIGHTS  # on 0 to 1


def rest_depth(
    distance: ArrayLike, yield_stress: ArrayLike, density: ArrayLike, edge_depth: ArrayLike = 0.0
) -> Number:
    """Depth of a product at rest on a level floor at a distance from the outlet.

    Parameters
    ----------
    distance : float or ndarray
        From the edge at which the product runs out [m].
    yield_stress, density : float or ndarray
        [Pa], [kg/m3]; the flowing yield stress, since the product comes to rest out of flow.
    edge_depth : float or ndarray
        Depth at that edge [m].

    Returns
    -------
    float or ndarray
        Depth [m].

    Raises
    ------
    FlowOutOfRange
        If a value is negative or the density not positive.

    Notes
    -----
    h^2 = h0^2 + 2 tau_y x/(rho g) (physics book 1.5; Liu & Mei, remembered).
    """
    x, steepness, edge = arrays(distance, _steepness(yield_stress, density), edge_depth)
    require_not_negative("distance", x)
    require_not_negative("depth at the edge", edge)
    return finish(np.sqrt(edge**2 + steepness * x))


def rest_volume_per_width(
    length: ArrayLike, yield_stress: ArrayLike, density: ArrayLike, edge_depth: ArrayLike = 0.0
) -> Number:
    """Volume under the profile at rest per metre of width, up to a distance from a straight edge.

    Parameters
    ----------
    length : float or ndarray
        Distance from the edge [m].
    yield_stress, density : float or ndarray
        [Pa], [kg/m3]
    edge_depth : float or ndarray
        Depth at the edge [m].

    Returns
    -------
    float or ndarray
        Volume per width [m2].

    Raises
    ------
    FlowOutOfRange
        As `rest_depth`.

    Notes
    -----
    Integral of `rest_depth`: (2/3) x (h^2 + h h0 + h0^2)/(h + h0).
    """
    x, edge = arrays(length, edge_depth)
    h = np.asarray(rest_depth(x, yield_stress, density, edge))
    both = h + edge
    safe = np.where(both > 0.0, both, 1.0)
    return finish(np.asarray(2.0 / 3.0 * x * (h**2 + h * edge + edge**2) / safe))


def heel(floor: Floor, height: ArrayLike, yield_stress: ArrayLike, density: ArrayLike) -> Number:
    """Volume that stays on a level floor about a small outlet when the product has come to rest.

    Parameters
    ----------
    floor : Floor
        With its outlet.
    height : float or ndarray
        Height to which the container was filled [m]: the profile is cut there.
    yield_stress, density : float or ndarray
        [Pa], [kg/m3]; zero yield stress leaves nothing.

    Returns
    -------
    float or ndarray
        Volume [m3].

    Raises
    ------
    FlowOutOfRange
        If the yield stress is negative, the height or density not positive.

    Notes
    -----
    Integral over the floor of min(sqrt(2 tau_y d/(rho g)), H), d the distance to the outlet (physics
    book 1.5). A disc about its middle has the closed form (4 pi/5) sqrt(2 tau_y/(rho g)) R^2.5 where the cut
    is not reached; the other floors use ten Gauss nodes on smooth pieces (1e-10 of the volume).
    """
    tall, steepness = arrays(height, _steepness(yield_stress, density))
    require_positive("height", tall)
    reach = tall**2 / np.maximum(steepness, 1e-30)  # where the profile meets the filling level
    if floor.form == "rectangle":
        parts = [each.times * _corner_heel(each, tall, steepness, reach) for each in floor.corners]
        return finish(np.asarray(sum(parts)))
    cut = np.minimum(reach, floor.farthest)
    beyond = np.where(reach < floor.farthest, tall * np.maximum(floor.area - floor.within(cut), 0.0), 0.0)
    if floor.form == "disc_centre":
        return finish(np.asarray(0.8 * np.pi * np.sqrt(steepness) * cut**2.5 + beyond))
    return finish(np.asarray(np.sqrt(steepness) * _moment_at_wall(cut, floor.radius) + beyond))


def static_layer(yield_stress: ArrayLike, density: ArrayLike, angle: ArrayLike) -> Number:
    """Thickness of the even layer that stays on a sloped floor, or on an upright wall.

    Parameters
    ----------
    yield_stress, density : float or ndarray
        [Pa], [kg/m3]; the static yield stress for a layer that has stood.
    angle : float or ndarray
        Slope against level [rad], above 0 up to pi/2.

    Returns
    -------
    float or ndarray
        Thickness at right angles to the floor [m].

    Raises
    ------
    FlowOutOfRange
        If the angle is not positive or a value out of its range.

    Notes
    -----
    tau_y/(rho g sin(theta)): a force balance; on an upright wall tau_y/(rho g).
    """
    theta, steepness = arrays(angle, _steepness(yield_stress, density))
    require_positive("angle", theta)
    return finish(np.asarray(0.5 * steepness / np.sin(theta)))


def critical_angle(layer: ArrayLike, yield_stress: ArrayLike, density: ArrayLike) -> Number:
    """Slope at which an even layer begins to run.

    Parameters
    ----------
    layer : float or ndarray
        Thickness at right angles to the floor [m].
    yield_stress, density : float or ndarray
        [Pa], [kg/m3]

    Returns
    -------
    float or ndarray
        Angle against level [rad]; pi/2 where even an upright wall holds the layer.

    Raises
    ------
    FlowOutOfRange
        If the layer is not positive or a value out of its range.

    Notes
    -----
    sin(theta) = tau_y/(rho g h).
    """
    thick, steepness = arrays(layer, _steepness(yield_stress, density))
    require_positive("layer", thick)
    return finish(np.arcsin(np.minimum(0.5 * steepness / thick, 1.0)))


def sloped_rest_depth(
    distance: ArrayLike, slope: ArrayLike, yield_stress: ArrayLike, density: ArrayLike
) -> Number:
    """Depth at rest on a floor that falls towards a straight outlet edge.

    Parameters
    ----------
    distance : float or ndarray
        From the edge, uphill [m].
    slope : float or ndarray
        Fall of the floor over length [-], zero or more.
    yield_stress, density : float or ndarray
        [Pa], [kg/m3]

    Returns
    -------
    float or ndarray
        Depth [m]: `rest_depth` on a level floor, the even layer tau_y/(rho g slope) far from the edge.

    Raises
    ------
    FlowOutOfRange
        If a value is negative or the density not positive.

    Notes
    -----
    rho g h (dh/dx + s) = tau_y with h(0) = 0 gives s^2 x/L = -u - ln(1 - u), u = h s/L, L = tau_y/(rho g);
    derived here. Small slopes: the sine is taken as the slope.
    """
    x, s, steepness = arrays(distance, slope, _steepness(yield_stress, density))
    require_not_negative("distance", x)
    require_not_negative("slope", s)
    x, s, steepness = np.broadcast_arrays(x, s, steepness)
    layer = 0.5 * np.maximum(steepness, 1e-30)
    u = _filled_share(s**2 * x / layer)
    level = np.sqrt(steepness * x)
    near = s**2 * x < 1e-12 * layer
    return finish(np.where(steepness > 0.0, np.where(near, level, u * layer / np.where(near, 1.0, s)), 0.0))


def slope_share(length: ArrayLike, slope: ArrayLike, yield_stress: ArrayLike, density: ArrayLike) -> Number:
    """Heel on a floor that falls to the outlet, as a share of the heel on a level floor.

    Parameters
    ----------
    length : float or ndarray
        Of the floor [m].
    slope : float or ndarray
        Fall of the floor over length [-].
    yield_stress, density : float or ndarray
        [Pa], [kg/m3]

    Returns
    -------
    float or ndarray
        Share [-], 1 for a level floor or no yield stress.

    Raises
    ------
    FlowOutOfRange
        If the length or density is not positive, a value negative.

    Notes
    -----
    Ratio of the two volumes per width; sloped: integral of h = (L x - h^2/2)/s with the names of
    `sloped_rest_depth`, by ten Gauss nodes where the slope is too small for it. Straight edge: for a point
    outlet an estimate.
    """
    long, s = arrays(length, slope)
    require_positive("length", long)
    tau, rho = np.asarray(yield_stress, float), np.asarray(density, float)
    layer = 0.5 * _steepness(tau, rho)
    end = np.asarray(sloped_rest_depth(long, s, tau, rho))
    nodes = zip(_HALVES, _SHARES, strict=True)
    level_like = [v * w * np.asarray(sloped_rest_depth(v**2 * long, s, tau, rho)) for v, w in nodes]
    steep = s**2 * long > 0.01 * layer
    closed = (layer - 0.5 * end**2 / long) / np.where(steep, s, 1.0)
    level = 2.0 / 3.0 * np.asarray(rest_depth(long, tau, rho))
    mean = np.where(steep, closed, 2.0 * np.asarray(sum(level_like)))
    return finish(np.where(level > 0.0, mean / np.where(level > 0.0, level, 1.0), 1.0))


def _steepness(yield_stress: ArrayLike, density: ArrayLike) -> Array:
    """Return 2 tau_y/(rho g) [m], after checking the range."""
    tau, rho = arrays(yield_stress, density)
    require_not_negative("yield stress", tau)
    require_positive("density", rho)
    return np.asarray(2.0 * tau / (rho * GRAVITY))


def _corner_heel(part: Corner, tall: Array, steepness: Array, reach: Array) -> Array:
    """Heel on a right-angled floor with the outlet in its corner: two triangles from there."""
    sides = (part.one, part.other)
    found = [_triangle(p, far / p, tall, steepness, reach) for p, far in (sides, sides[::-1])]
    return found[0] + found[1]


def _triangle(near: Array, slant: Array, tall: Array, steepness: Array, reach: Array) -> Array:
    """Heel on a right-angled triangle: outlet at the end of the side `near` [m], other side `slant` times it.

    With u = asinh(tan(angle)) the part below the cut is p^2.5/2.5 times the integral of cosh(u)^1.5.
    """
    turn = np.sqrt(np.maximum((reach / near) ** 2 - 1.0, 0.0))  # tangent at which the ray meets the cut
    below = np.minimum(turn, slant)
    u = np.arcsinh(below)
    moment = np.zeros(np.broadcast_shapes(u.shape, near.shape))
    for node, weight in zip(_HALVES, _SHARES, strict=True):
        moment = moment + weight * np.cosh(node * u) ** 1.5
    curved = np.sqrt(steepness) * near**2.5 / 2.5 * u * moment
    angle = np.arctan(slant) - np.arctan(below)  # of the rays that pass the cut
    cut = np.minimum(reach, near * np.sqrt(1.0 + slant**2))
    inner = np.sqrt(steepness) * cut**2.5 / 2.5 * angle
    outer = 0.5 * tall * (near**2 * (slant - below) - cut**2 * angle)
    return np.asarray(curved + inner + outer)


def _moment_at_wall(cut: Array, radius: Array) -> Array:
    """Integral of sqrt(d) over the part of a disc nearer than `cut` to a point of its rim [m2.5]."""
    w = np.minimum(0.5 * cut / radius, 1.0)
    whole = np.arcsin(w)  # w = sin(t): the integral of u^1.5 acos(u) by parts
    turned = np.zeros(w.shape)
    for node, weight in zip(_HALVES, _SHARES, strict=True):
        turned = turned + 2.0 * node * weight * np.sin(node**2 * whole) ** 2.5
    integral = 0.4 * (w**2.5 * np.arccos(w) + whole * turned)
    return np.asarray(4.0 * math.sqrt(2.0) * radius**2.5 * 2.0 * integral)


def _filled_share(reach: Array) -> Array:
    """Root u of -u - ln(1 - u) = reach, 0 to 1: Newton on u while it is small, on ln(1 - u) beyond."""
    small, great = np.minimum(reach, 1.0), np.maximum(reach, 1.0)
    root = np.sqrt(2.0 * small)
    u, w = root / (1.0 + root / 3.0), -1.0 - great
    for _ in range(4):
        u = u - (-u - np.log1p(-u) - small) * (1.0 - u) / np.where(u > 0.0, u, 1.0)
        w = w - (np.exp(w) - w - 1.0 - great) / np.expm1(w)
    return np.asarray(np.where(reach < 1.0, u, -np.expm1(w)))
