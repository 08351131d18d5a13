"""Does the product in a warmed drum stand still or turn over, and how fast does it warm if it turns?"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.numbers import GRAVITY, Array, Number, arrays, finish, require_not_negative

STILL_FACTOR = 0.25  # one-sided heating of a slot; 0.19 long cylinder (correction C1)
PLATE_FACTOR = (
    0.59  # Nu = 0.59 Ra^(1/4), laminar on a vertical plate; from memory, with physics book 7's numbers
)
WALL_STEPS = 12  # of the fixed point for the temperature of the wall
Viscosity: TypeAlias = Callable[[Array], Array]


def buoyancy_stress(
    density: ArrayLike, expansion: ArrayLike, difference: ArrayLike, radius: ArrayLike
) -> Number:
    """Yield stress [Pa] from which a warmed product certainly stands still.

    Parameters
    ----------
    density : array_like
        [kg/m3].
    expansion : array_like
        Of volume [1/K].
    difference : array_like
        Greatest difference of temperature inside the product [K]; its sign does not matter.
    radius : array_like
        Of the container [m].

    Notes
    -----
    0.25 rho g beta dT R, the slot heated on one side; a long vertical cylinder needs 0.19 (physics book 14.1
    C1). Compare with the *flowing* yield stress. Ends of the drum and vibration are not in it.
    """
    rho, beta, rise, r = arrays(density, expansion, difference, radius)
    return finish(np.asarray(STILL_FACTOR * rho * GRAVITY * beta * np.abs(rise) * r))


def rayleigh(
    density: ArrayLike,
    expansion: ArrayLike,
    difference: ArrayLike,
    height: ArrayLike,
    viscosity: ArrayLike,
    diffusivity: ArrayLike,
) -> Number:
    """Rayleigh number [-] over the fill height: rho g beta dT H^3/(mu alpha).

    Parameters
    ----------
    density, expansion : array_like
        [kg/m3], [1/K].
    difference : array_like
        Between wall and product [K]; its sign does not matter.
    height : array_like
        Fill height [m].
    viscosity : array_like
        Newtonian [Pa s].
    diffusivity : array_like
        Conductivity over density times heat capacity [m2/s].
    """
    rho, beta, rise, tall, mu, alpha = arrays(density, expansion, difference, height, viscosity, diffusivity)
    return finish(np.asarray(rho * GRAVITY * beta * np.abs(rise) * tall**3 / (mu * alpha)))


def inside_coefficient(rayleigh_number: ArrayLike, conductivity: ArrayLike, height: ArrayLike) -> Number:
    """Surface coefficient [W/(m2 K)] between wall and a product that turns over: 0.59 Ra^(1/4) k/H.

    Parameters
    ----------
    rayleigh_number : array_like
        As in `rayleigh` [-].
    conductivity : array_like
        [W/(m K)].
    height : array_like
        Fill height [m].
    """
    number, k, tall = arrays(rayleigh_number, conductivity, height)
    require_not_negative("Rayleigh number", number)
    return finish(np.asarray(PLATE_FACTOR * number**0.25 * k / tall))


def mixing_time(
    start: ArrayLike,
    target: ArrayLike,
    ambient: ArrayLike,
    heat: ArrayLike,
    area: ArrayLike,
    outside: ArrayLike,
    inside: Callable[[Array, Array], Array],
    steps: int = 24,
) -> Number:
    """Time [s] until a product that turns over has a wanted mean temperature.

    Parameters
    ----------
    start, target, ambient : array_like
        Temperatures [K]; the target lies between start and ambient, else the time is infinite (0 if reached).
    heat : array_like
        Mass times heat capacity [J/K].
    area : array_like
        Surface that passes heat [m2].
    outside : array_like
        Surface coefficient outside [W/(m2 K)].
    inside : callable
        Surface coefficient inside [W/(m2 K)] of the difference between wall and product [K] and of the mean
        temperature of the two [K], both arrays; see `plate_inside`.
    steps : int
        Parts of the way.

    Notes
    -----
    m c dT/dt = U A (T_ambient - T), 1/U = 1/h_outside + 1/h_inside, the way cut into equal parts of the
    logarithm of the difference, U at the middle of each; the wall's temperature by a fixed point. The inside
    follows the falling difference and the viscosity of the film (physics book 14.2 A17). The top and the
    bottom of the drum and its layers of temperature are left out: the product counts as mixed.
    """
    begin, end, air, stored, surface, out = arrays(start, target, ambient, heat, area, outside)
    whole = air - begin
    reachable = (air - end) * np.sign(whole) > 0.0
    left = np.where(reachable, (air - end) / np.where(whole == 0.0, 1.0, whole), 0.5)
    length = np.log(1.0 / np.clip(left, 1e-12, 1.0)) / steps
    total = np.zeros(np.broadcast_shapes(length.shape, stored.shape, surface.shape, out.shape))
    for step in range(steps):
        rest = whole * np.exp(-length * (step + 0.5))
        total = total + stored / surface * length / _overall(air - rest, rest, out, inside)
    reached = (begin - end) * np.sign(whole) >= 0.0
    return finish(np.where(reached, 0.0, np.where(reachable, total, np.inf)))


def mixed_remaining(
    start: ArrayLike,
    ambient: ArrayLike,
    time: ArrayLike,
    heat: ArrayLike,
    area: ArrayLike,
    outside: ArrayLike,
    inside: Callable[[Array, Array], Array],
    steps: int = 48,
) -> Number:
    """Share [-] of the first difference that remains in a product that turns over, at a time.

    Parameters
    ----------
    start, ambient : array_like
        Temperatures [K].
    time : array_like
        [s], zero or more.
    heat, area, outside : array_like
        As in `mixing_time` [J/K], [m2], [W/(m2 K)].
    inside : callable
        As in `mixing_time`.
    steps : int
        Equal parts of the time, each with the coefficient at its middle.
    """
    begin, air, seconds, stored, surface, out = arrays(start, ambient, time, heat, area, outside)
    require_not_negative("time", seconds)
    rate = surface * seconds / (stored * steps)
    rest = np.broadcast_arrays(air - begin, rate)[0].astype(np.float64)
    for _ in range(steps):
        half = rest * np.exp(-0.5 * rate * _overall(air - rest, rest, out, inside))
        rest = rest * np.exp(-rate * _overall(air - half, half, out, inside))
    whole = air - begin
    return finish(np.where(whole == 0.0, 0.0, rest / np.where(whole == 0.0, 1.0, whole)))


def _overall(product: Array, rest: Array, outside: Array, inside: Callable[[Array, Array], Array]) -> Array:
    """Coefficient from the surroundings to the product, whose wall stands between the two."""
    part = np.full_like(rest, 0.5)
    for _ in range(WALL_STEPS):
        film = np.maximum(inside(np.abs(part * rest), product + 0.5 * part * rest), 1e-9)
        part = 0.5 * (part + outside / (outside + film))
    return np.asarray(1.0 / (1.0 / outside + 1.0 / film))


def plate_inside(
    density: ArrayLike,
    expansion: ArrayLike,
    conductivity: ArrayLike,
    diffusivity: ArrayLike,
    height: ArrayLike,
    viscosity: Viscosity,
) -> Callable[[Array, Array], Array]:
    """Inside coefficient for `mixing_time` of a Newtonian product whose viscosity follows temperature.

    Parameters
    ----------
    density, expansion : array_like
        [kg/m3], [1/K].
    conductivity, diffusivity : array_like
        [W/(m K)], [m2/s].
    height : array_like
        Fill height [m].
    viscosity : callable
        Viscosity [Pa s] at temperatures [K], array in, array out.
    """

    def coefficient(difference: Array, film: Array) -> Array:
        number = rayleigh(density, expansion, difference, height, viscosity(film), diffusivity)
        return np.asarray(inside_coefficient(number, conductivity, height))

    return coefficient
