"""A body of one temperature that gives its heat through a surface, and a surface that gets a heat flux."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.numbers import Number, arrays, finish, require_not_negative, require_positive


def lumped_time(heat: ArrayLike, conductance: ArrayLike, share: ArrayLike) -> Number:
    """Time [s] until a share of the first difference to the surroundings remains in a well-mixed body.

    Parameters
    ----------
    heat : array_like
        Mass times heat capacity [J/K].
    conductance : array_like
        Surface coefficient times area [W/K].
    share : array_like
        Remaining share [-], above 0 and at most 1.

    Raises
    ------
    FlowOutOfRange
        If a value is not above zero.

    Notes
    -----
    t = (m c/(h A)) ln(1/share), Holman, Example 4-1.
    """
    stored, passed, left = arrays(heat, conductance, share)
    for name, value in (("heat", stored), ("conductance", passed), ("share", left)):
        require_positive(name, value)
    return finish(stored / passed * np.log(1.0 / left))


def flux_rise(
    flux: ArrayLike, time: ArrayLike, conductivity: ArrayLike, heat_per_volume: ArrayLike
) -> Number:
    """Rise [K] of a thick body's surface under a constant heat flux, as under a band heater.

    Parameters
    ----------
    flux : array_like
        Heat that enters the product [W/m2]; what the outside air takes is not in it.
    time : array_like
        Since the heater went on [s].
    conductivity, heat_per_volume : array_like
        Of the product [W/(m K)], [J/(m3 K)].

    Notes
    -----
    2 q sqrt(t/(pi k rho c)), physics book 7; the curve of the wall is left out, good while alpha t << R^2.
    """
    q, seconds, k, heat = arrays(flux, time, conductivity, heat_per_volume)
    require_not_negative("time", seconds)
    return finish(np.asarray(2.0 * q * np.sqrt(seconds / (math.pi * k * heat))))


def time_to_rise(
    rise: ArrayLike, flux: ArrayLike, conductivity: ArrayLike, heat_per_volume: ArrayLike
) -> Number:
    """Time [s] until the surface is a wanted rise warmer; inverse of `flux_rise`.

    Parameters
    ----------
    rise : array_like
        Allowed over-temperature [K], zero or more.
    flux : array_like
        As in `flux_rise` [W/m2], above zero.
    conductivity, heat_per_volume : array_like
        As in `flux_rise` [W/(m K)], [J/(m3 K)].
    """
    wanted, q, k, heat = arrays(rise, flux, conductivity, heat_per_volume)
    require_not_negative("rise", wanted)
    require_positive("flux", q)
    return finish(np.asarray(0.25 * math.pi * k * heat * (wanted / q) ** 2))
