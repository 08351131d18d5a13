"""A heater round the drum: heat flux, the wall's limit, how much of the drum it reaches, energy."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.conduction import Cylinder, heat_share
from drumwright.flow.numbers import Number, arrays, finish, require_not_negative, require_positive

HELD = 1e9  # surface coefficient [W/(m2 K)] of a wall whose temperature is held


def wall_flux(power: ArrayLike, diameter: ArrayLike, height: ArrayLike) -> Number:
    """Heat flux [W/m2] of a band heater that gives all its power to the drum.

    Parameters
    ----------
    power : array_like
        [W].
    diameter, height : array_like
        Of the drum, and of the heater along it [m].
    """
    watt, across, tall = arrays(power, diameter, height)
    require_positive("heated area", np.asarray(across * tall))
    return finish(np.asarray(watt / (math.pi * across * tall)))


def mean_share(
    time: ArrayLike,
    radius: ArrayLike,
    conductivity: ArrayLike,
    heat_per_volume: ArrayLike,
    limited_after: ArrayLike = 0.0,
) -> Number:
    """Mean rise of the heated product over the allowed rise of its wall.

    Parameters
    ----------
    time : array_like
        Since the heater went on [s].
    radius : array_like
        Of the drum [m].
    conductivity, heat_per_volume : array_like
        Of the product [W/(m K)], [J/(m3 K)].
    limited_after : array_like
        Time at which the wall has its limit [s], see `flow.lumped.time_to_rise`; zero holds it at once.

    Returns
    -------
    float or ndarray
        Share [-].

    Notes
    -----
    Full heater height, ends insulated, wall held at its limit (physics book 7). Until the limit the flux is
    constant and the share 2 q t/(R rho c dT). Afterwards a held wall would have given the same heat in
    (pi/4)^2 of the time to the limit, so its clock started 1 - (pi/4)^2 of that time late (flat wall).
    """
    seconds, r, k, heat, limit = arrays(time, radius, conductivity, heat_per_volume, limited_after)
    require_not_negative("time", seconds)
    require_not_negative("time to the limit", limit)
    held = Cylinder(finish(r), 1.0, finish(k), finish(heat), HELD, 0.0, 0.0)
    late = (1.0 - (0.25 * math.pi) ** 2) * limit
    after = np.asarray(heat_share(held, np.maximum(seconds - late, 0.0)))
    flux_share = seconds / r * np.sqrt(math.pi * k / (heat * np.where(limit > 0.0, limit, 1.0)))
    return finish(np.where(seconds < limit, flux_share, after))


def surface_loss(coefficient: ArrayLike, area: ArrayLike, difference: ArrayLike, time: ArrayLike) -> Number:
    """Heat [J] lost to the room by the bare outside of heater and drum: h A dT t.

    Parameters
    ----------
    coefficient : array_like
        Of the surface [W/(m2 K)].
    area : array_like
        Bare surface [m2].
    difference : array_like
        Between surface and room [K].
    time : array_like
        [s].
    """
    h, bare, rise, seconds = arrays(coefficient, area, difference, time)
    return finish(np.asarray(h * bare * rise * seconds))


def warming_energy(volume: ArrayLike, heat_per_volume: ArrayLike, rise: ArrayLike) -> Number:
    """Heat [J] that warms the product: V rho c dT.

    Parameters
    ----------
    volume : array_like
        Of the product [m3].
    heat_per_volume : array_like
        [J/(m3 K)].
    rise : array_like
        Of its mean temperature [K].
    """
    room, heat, warmer = arrays(volume, heat_per_volume, rise)
    return finish(np.asarray(room * heat * warmer))
