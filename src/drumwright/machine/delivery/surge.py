"""Pressure waves and the column of product: bounds on what a model without inertia leaves out."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import GRAVITY, arrays, require_not_negative, require_positive

Array = NDArray[np.float64]


def wave_speed(density: ArrayLike, bulk_modulus: ArrayLike, wall_growth: ArrayLike = 0.0) -> Array:
    """Speed of a pressure wave in a full line [m/s].

    Parameters
    ----------
    density : array_like
        [kg/m3]
    bulk_modulus : array_like
        Of the product, with its entrained air where it has some [Pa].
    wall_growth : array_like
        Growth of the volume of the line for each pascal [1/Pa]: D/(E t) of a thin wall (`wall_growth` of the
        dead-head model), 0.5e-8 to 5e-8 of a hose.

    Raises
    ------
    FlowOutOfRange
        If density or modulus is not positive, or the growth negative.

    Notes
    -----
    a = sqrt(K/rho/(1 + K D/(E t))): Subramanya, Problem 14.12.
    """
    rho, modulus, growth = arrays(density, bulk_modulus, wall_growth)
    require_positive("density", rho)
    require_positive("bulk modulus", modulus)
    require_not_negative("growth of the wall", growth)
    return np.asarray(1.0 / np.sqrt(rho * (1.0 / modulus + growth)))


def surge_bound(density: ArrayLike, speed: ArrayLike, velocity_change: ArrayLike) -> Array:
    """Greatest rise of pressure when the flow is stopped at once: rho a dV [Pa].

    Parameters
    ----------
    density : array_like
        [kg/m3]
    speed : array_like
        Of the wave [m/s].
    velocity_change : array_like
        Mean velocity that is taken away [m/s].

    Raises
    ------
    FlowOutOfRange
        If a value is negative.

    Notes
    -----
    Joukowsky (Subramanya, Problem 14.14 as a head). Added as a margin to peaks of the model without inertia
    (physics book 6.1): it is not lowered for a valve that closes slowly.
    """
    rho, a, change = arrays(density, speed, velocity_change)
    for name, value in (("density", rho), ("wave speed", a), ("change of velocity", change)):
        require_not_negative(name, value)
    return np.asarray(rho * a * change)


def return_time(length: ArrayLike, speed: ArrayLike) -> Array:
    """Time a wave needs along the line and back: 2 L/a [s]; a valve that closes faster closes at once.

    Parameters
    ----------
    length : array_like
        Of the line [m].
    speed : array_like
        Of the wave [m/s].

    Raises
    ------
    FlowOutOfRange
        If the length is negative or the speed not positive.
    """
    along, a = arrays(length, speed)
    require_not_negative("length", along)
    require_positive("wave speed", a)
    return np.asarray(2.0 * along / a)


def closes_at_once(closing_time: ArrayLike, length: ArrayLike, speed: ArrayLike) -> NDArray[np.bool_]:
    """Whether a valve shuts within the time of a wave along the line and back.

    Parameters
    ----------
    closing_time : array_like
        Of the valve [s].
    length, speed : array_like
        Of the line [m], of the wave [m/s].

    Raises
    ------
    FlowOutOfRange
        If the closing time is negative.
    """
    (shuts,) = arrays(closing_time)
    require_not_negative("closing time", shuts)
    return np.asarray(shuts <= return_time(length, speed))


def settled_velocity(
    head: ArrayLike, length: ArrayLike, bore: ArrayLike, friction: ArrayLike, entrance: ArrayLike = 0.5
) -> Array:
    """Velocity a pipe of constant friction factor settles at under a head [m/s].

    Parameters
    ----------
    head, length, bore : array_like
        Height of liquid over the outlet, length and inside diameter [m].
    friction : array_like
        Darcy factor [-].
    entrance : array_like
        Loss of the entrance in velocity heads [-].

    Raises
    ------
    FlowOutOfRange
        If head or bore is not positive, or another value negative.

    Notes
    -----
    H = (1 + k + f L/D) V^2/(2 g): Daugherty and Franzini, Example 13.3. Only to check the rigid column; thick
    products have no constant factor.
    """
    over, along, across, factor = arrays(head, length, bore, friction)
    (lost,) = arrays(entrance)
    require_positive("head", over)
    require_positive("bore", across)
    for name, value in (("length", along), ("friction factor", factor), ("entrance loss", lost)):
        require_not_negative(name, value)
    return np.asarray(np.sqrt(2.0 * GRAVITY * over / (1.0 + lost + factor * along / across)))


def rigid_column_time(
    length: ArrayLike, settled: ArrayLike, drive: ArrayLike, density: ArrayLike, share: ArrayLike
) -> Array:
    """Time until a rigid column reaches a share of the velocity it settles at [s].

    Parameters
    ----------
    length : array_like
        Of the column [m].
    settled : array_like
        Velocity it settles at [m/s].
    drive : array_like
        Pressure that moves it, suddenly there [Pa].
    density : array_like
        [kg/m3]
    share : array_like
        Of the settled velocity, 0 to below 1 [-].

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.

    Notes
    -----
    t = L V_0/(2 g H) ln((1 + s)/(1 - s)), friction with the square of the velocity (Daugherty and Franzini,
    Example 13.3). With friction in proportion to the velocity or constant it is of the same size:
    milliseconds in lines of thick product, so that inertia is no state of the model.
    """
    along, end, pressure, rho = arrays(length, settled, drive, density)
    (part,) = arrays(share)
    require_not_negative("length", along)
    require_not_negative("share", part)
    for name, value in (("settled velocity", end), ("driving pressure", pressure), ("density", rho),
                        ("rest of the share", 1.0 - part)):  # fmt: skip
        require_positive(name, value)
    return np.asarray(along * end * rho / (2.0 * pressure) * np.log((1.0 + part) / (1.0 - part)))
