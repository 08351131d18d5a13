"""A heater round the drum: its power, its height, the limit of its wall, what it loses to the hall."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.numbers import Number, arrays, finish, require_positive
from drumwright.machine.container.warm_up import HeatCard

FIRST_ROOT = 5.783  # square of the first zero of J0


@dataclass(frozen=True, slots=True)
class BandHeater:
    """A heater round the drum with its own limit of the wall; floats or one value per sample.

    Parameters
    ----------
    power : float or ndarray
        Electric, of all bands together [W].
    height : float or ndarray
        Of the drum that the bands cover, together [m]; more than the product is high counts as all of it.
    limit : float or ndarray
        Temperature at which the wall under them is held [K].
    hall : float or ndarray
        Air outside [K].
    loss : float or ndarray
        Surface coefficient from the outside of the bands to that air [W/(m2 K)].
    """

    power: Number
    height: Number
    limit: Number
    hall: Number
    loss: Number


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


def core_lag(diameter: ArrayLike, product: HeatCard) -> Number:
    """Time [s] by which the core of a drum runs behind its wall: R^2/(5.78 a), the first root of its series.

    Parameters
    ----------
    diameter : array_like
        Inside [m].
    product : HeatCard
        What conducts.
    """
    across, k, rho, c = arrays(diameter, product.conductivity, product.density, product.heat_capacity)
    return finish(np.asarray((0.5 * across) ** 2 * rho * c / (FIRST_ROOT * k)))


def wall_held(heater: BandHeater, diameter: ArrayLike) -> Number:
    """Hottest temperature [K] of the wall under the bands: the limit, or less where the power ends before.

    Parameters
    ----------
    heater : BandHeater
        What warms.
    diameter : array_like
        Of the drum [m].
    """
    limit, hall, loss = arrays(heater.limit, heater.hall, heater.loss)
    flux = np.asarray(wall_flux(heater.power, diameter, heater.height))
    return finish(np.asarray(np.minimum(limit, hall + flux / loss)))


def heating_time(energy: ArrayLike, heater: BandHeater, diameter: ArrayLike, target: ArrayLike) -> Number:
    """Least time [s] in which the heater gives a heat: energy over power less the loss at the target.

    Parameters
    ----------
    energy : array_like
        Into the product [J].
    heater : BandHeater
        What warms.
    diameter : array_like
        Of the drum [m].
    target : array_like
        Temperature wanted [K]; the bands are no colder when it is reached.
    """
    wanted, power, tall, hall, loss, across, end = arrays(
        energy, heater.power, heater.height, heater.hall, heater.loss, diameter, target
    )
    net = power - loss * math.pi * across * tall * np.maximum(end - hall, 0.0)
    return finish(np.where(net > 0.0, wanted / np.where(net > 0.0, net, 1.0), np.inf))
