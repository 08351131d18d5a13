"""A heater round the drum: what its power, its height and the limit of its wall let into the product."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.conduction import Cylinder, Place, remaining, time_to
from drumwright.flow.convection import mixed_remaining, mixing_time
from drumwright.flow.numbers import Array, Number, arrays, finish, require_positive
from drumwright.machine.container.warm_up import HeatCard, WarmUp, inside_film, modes

HELD = 1e6  # surface coefficient [W/(m2 K)] of a wall whose temperature is held
FIRST_ROOT = 5.783  # square of the first zero of J0
END = 0.17  # of the radius: as if the product beyond the bands were longer by it; from a grid of our own
LEAST_FREE = 1e-3  # [m] of product beyond the heater, below which it counts as covered
LONG = 1e12  # [s] in place of never, where a series is evaluated


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


@dataclass(frozen=True, slots=True)
class _Parts:
    """The drum in two: under the bands, and beyond them."""

    start: Array
    ceiling: Array  # wall of a heater without limit when no heat enters any more [K]
    wall: Array  # the hottest it gets: limit or ceiling [K]
    zone: Cylinder  # under the bands, before the wall has its limit
    held: Cylinder  # the same with the wall held
    free: Cylinder  # beyond the bands, warmed through its end
    covered: NDArray[np.bool_]  # nothing is beyond
    lag: Array  # of the core behind the wall [s]
    switch: Array  # when the wall has its limit [s]
    late: Array  # by how much the clock of a held wall starts late [s]
    heat: Array  # of the whole product [J/K]
    passed: Array  # conductance from the bands to the air [W/K]
    area: Array  # under the bands [m2]


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


def _parts(
    diameter: ArrayLike, fill_height: ArrayLike, product: HeatCard, heater: BandHeater, start: ArrayLike
) -> _Parts:
    across, tall, k, rho, c = arrays(
        diameter, fill_height, product.conductivity, product.density, product.heat_capacity
    )
    power, bands, limit, hall, loss = arrays(
        heater.power, heater.height, heater.limit, heater.hall, heater.loss
    )
    begin, stored = np.asarray(start, np.float64), rho * c
    bands = np.minimum(bands, tall)
    beyond = np.maximum(tall - bands, LEAST_FREE) + END * 0.5 * across
    area = math.pi * across * bands
    ceiling = hall + np.asarray(wall_flux(power, across, bands)) / loss
    zone = Cylinder(0.5 * across, bands, k, stored, loss, 0.0, 0.0)
    held = replace(zone, side=HELD)
    switch, late = _limit_reached(zone, held, begin, ceiling, limit)
    return _Parts(
        begin,
        ceiling,
        np.minimum(limit, ceiling),
        zone,
        held,
        Cylinder(0.5 * across, beyond, k, stored, 0.0, HELD, 0.0),
        tall - bands < LEAST_FREE,
        np.asarray(core_lag(across, product)),
        switch,
        late,
        0.25 * math.pi * across**2 * tall * stored,
        loss * area,
        area,
    )


def _share(top: Array, to: Array, start: Array) -> Array:
    """Part of the way from start to top that is left at a temperature; 0 where the top is no warmer."""
    whole = top - start
    return np.where(whole > 0.0, (top - to) / np.where(whole > 0.0, whole, 1.0), 0.0)


def _limit_reached(
    zone: Cylinder, held: Cylinder, start: Array, ceiling: Array, limit: Array
) -> tuple[Array, Array]:
    """When the wall has its limit, and by how much the clock of a held wall is late: equal mean then [s]."""
    switch = np.asarray(time_to(zone, np.where(limit > start, _share(ceiling, limit, start), 1.0), "wall"))
    at = np.where(np.isfinite(switch), switch, 0.0)
    mean = ceiling + (start - ceiling) * np.asarray(remaining(zone, at, "mean"))
    same = np.asarray(time_to(held, np.clip(_share(limit, mean, start), 1e-9, 1.0), "mean"))
    return switch, np.maximum(at - same, 0.0)


def limit_after(
    diameter: ArrayLike, fill_height: ArrayLike, product: HeatCard, heater: BandHeater, start: ArrayLike
) -> Number:
    """Time [s] after which the wall under the bands has its limit; infinite if the power does not suffice.

    Parameters
    ----------
    diameter, fill_height : array_like
        Inside diameter and height of the product [m].
    product : HeatCard
        What conducts.
    heater : BandHeater
        What warms.
    start : array_like
        Temperature at the start [K].
    """
    return finish(_parts(diameter, fill_height, product, heater, start).switch)


def wall_without_limit(
    diameter: ArrayLike,
    fill_height: ArrayLike,
    product: HeatCard,
    heater: BandHeater,
    start: ArrayLike,
    time: ArrayLike,
) -> Number:
    """Temperature [K] of the wall under the bands after a time, were there no limit.

    Parameters
    ----------
    diameter, fill_height : array_like
        Inside diameter and height of the product [m].
    product : HeatCard
        What conducts.
    heater : BandHeater
        What warms.
    start : array_like
        Temperature at the start [K].
    time : array_like
        [s], zero or more.
    """
    parts = _parts(diameter, fill_height, product, heater, start)
    left = np.asarray(remaining(parts.zone, time, "wall"))
    return finish(parts.ceiling + (parts.start - parts.ceiling) * left)


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


def _conducted_time(parts: _Parts, target: Array, place: Place) -> Array:
    """Time to the target [s]: under the bands, beyond them, and by the power; the longest of the three."""
    slow = np.asarray(time_to(parts.zone, _share(parts.ceiling, target, parts.start), place))
    held = parts.late + np.asarray(time_to(parts.held, _share(parts.wall, target, parts.start), place))
    under = np.where(slow <= parts.switch, slow, np.maximum(np.maximum(held, parts.switch), slow))
    along = parts.lag + np.asarray(time_to(parts.free, _share(parts.wall, target, parts.start), place))
    longest = np.maximum(under, np.where(parts.covered, 0.0, along))
    longest = np.maximum(longest, _power_time(parts, target))
    return np.where(target <= parts.start, 0.0, np.where(parts.wall <= target, np.inf, longest))


def _power_time(parts: _Parts, target: Array) -> Array:
    """Time in which the heater gives the heat that the whole product needs, its loss counted [s]."""
    left = np.clip(_share(parts.ceiling, target, parts.start), 1e-300, 1.0)
    return np.asarray(parts.heat / parts.passed * np.log(1.0 / left))


def _powered(parts: _Parts, time: Array) -> Array:
    """Temperature that the power allows the whole product after a time [K]."""
    left = np.exp(-time * parts.passed / parts.heat)
    return np.asarray(parts.ceiling + (parts.start - parts.ceiling) * left)


def _under(parts: _Parts, time: Array, place: Place) -> Array:
    """Temperature under the bands after a time [K]."""
    slow = parts.ceiling + (parts.start - parts.ceiling) * np.asarray(remaining(parts.zone, time, place))
    later = np.maximum(time - parts.late, 0.0)
    held = parts.wall + (parts.start - parts.wall) * np.asarray(remaining(parts.held, later, place))
    return np.asarray(np.where(time <= parts.switch, slow, np.minimum(slow, held)))


def _beyond(parts: _Parts, time: Array, place: Place) -> Array:
    """Temperature beyond the bands after a time [K], at the far end for the core."""
    left = np.asarray(remaining(parts.free, np.maximum(time - parts.lag, 0.0), place))
    return np.asarray(parts.wall + (parts.start - parts.wall) * left)


def warm_up_by_bands(
    diameter: ArrayLike,
    fill_height: ArrayLike,
    product: HeatCard,
    heater: BandHeater,
    start: ArrayLike,
    target: ArrayLike,
) -> WarmUp:
    """Time, energy and expansion until a drum under band heaters has a wanted temperature everywhere.

    Parameters
    ----------
    diameter, fill_height : array_like
        Inside diameter and height of the product [m].
    product : HeatCard
        What conducts.
    heater : BandHeater
        What warms.
    start, target : array_like
        Temperature at the start, the same everywhere, and wanted [K].

    Notes
    -----
    Under the bands: until the wall has its limit, the power less the loss to the hall, which is a surface
    coefficient h towards hall + P/(h A); afterwards a held wall whose clock starts so late that the mean is
    the same. Product beyond the bands is warmed through its end alone, its side lagged, after the lag
    R^2/(5.78 a) of the core. No drum is warm before the heater has given m c dT and its loss. A product that
    turns over takes the heat through the wall under the bands. Ends insulated (physics book 7); the bands sit
    at one end. Against a grid: within 1 % where all is covered, -3 to +15 % where not (oracle test).
    """
    parts = _parts(diameter, fill_height, product, heater, start)
    end, tall = arrays(target, fill_height)
    by_conduction = _conducted_time(parts, end, "core")
    mixed = np.full_like(by_conduction, np.inf)
    inside = inside_film(product, replace(parts.zone, height=tall))
    if inside is not None:
        film = mixing_time(parts.start, end, parts.wall, parts.heat, parts.area, HELD, inside)
        mixed = np.where(parts.wall <= end, np.inf, np.maximum(np.asarray(film), _power_time(parts, end)))
    mode = modes(product, replace(parts.zone, height=tall), parts.start, parts.wall)
    turns = (mode == "convection") & (mixed < by_conduction)
    core_time = np.where(turns, mixed, by_conduction)
    at = np.where(np.isfinite(core_time), core_time, LONG)
    part = np.asarray(heater.height) / tall
    part = np.where(parts.covered, 1.0, np.minimum(part, 1.0))
    mean = part * _under(parts, at, "mean") + (1.0 - part) * _beyond(parts, at, "mean")
    mean_at_end = np.where(turns, end, np.minimum(mean, _powered(parts, at)))
    rise = mean_at_end - parts.start
    volume = parts.heat / np.asarray(parts.zone.heat_per_volume)
    return WarmUp(
        mode,
        finish(core_time),
        finish(np.where(turns, mixed, _conducted_time(parts, end, "mean"))),
        finish(by_conduction),
        finish(mixed),
        finish(mean_at_end),
        finish(np.asarray(parts.heat * rise)),
        finish(np.asarray(volume * np.asarray(product.expansion) * rise)),
    )


def core_after_bands(
    diameter: ArrayLike,
    fill_height: ArrayLike,
    product: HeatCard,
    heater: BandHeater,
    start: ArrayLike,
    time: ArrayLike,
) -> Number:
    """Coldest place [K] after a time under band heaters; the inverse of `warm_up_by_bands`.

    Parameters
    ----------
    diameter, fill_height : array_like
        Inside diameter and height of the product [m].
    product : HeatCard
        What conducts.
    heater : BandHeater
        What warms.
    start : array_like
        Temperature at the start [K].
    time : array_like
        [s], zero or more.
    """
    parts = _parts(diameter, fill_height, product, heater, start)
    seconds, tall = arrays(time, fill_height)
    far = np.where(parts.covered, np.inf, _beyond(parts, seconds, "core"))
    allowed = _powered(parts, seconds)
    core = np.minimum(np.minimum(_under(parts, seconds, "core"), far), allowed)
    inside = inside_film(product, replace(parts.zone, height=tall))
    if inside is not None:
        left = np.asarray(
            mixed_remaining(parts.start, parts.wall, seconds, parts.heat, parts.area, HELD, inside)
        )
        mixed = np.minimum(parts.wall + (parts.start - parts.wall) * left, allowed)
        turns = modes(product, replace(parts.zone, height=tall), parts.start, parts.wall)
        core = np.where(turns == "convection", np.maximum(core, mixed), core)
    return finish(core)
