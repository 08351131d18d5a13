"""How fast heater bands warm a drum: under them, beyond them, and no faster than their power lets in."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.conduction import Cylinder, Place, remaining, time_to
from drumwright.flow.convection import mixed_remaining, mixing_time
from drumwright.flow.numbers import Array, Number, arrays, finish
from drumwright.machine.container.band_heater import BandHeater, core_lag, wall_flux
from drumwright.machine.container.warm_up import HeatCard, WarmUp, inside_film, modes

HELD = 1e6  # surface coefficient [W/(m2 K)] of a wall whose temperature is held
END = 0.17  # of the radius: as if the product beyond the bands were longer by it; from a grid of our own
LEAST_FREE = 1e-3  # [m] of product beyond the heater, below which it counts as covered
LONG = 1e12  # [s] in place of never, where a series is evaluated


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


def _zone(
    diameter: ArrayLike, fill_height: ArrayLike, product: HeatCard, heater: BandHeater
) -> tuple[Cylinder, Array]:
    """Product under the bands before their limit, and the ceiling of its wall: hall + P/(h A) [K]."""
    across, tall, k, rho, c = arrays(
        diameter, fill_height, product.conductivity, product.density, product.heat_capacity
    )
    power, bands, hall, loss = arrays(heater.power, heater.height, heater.hall, heater.loss)
    bands = np.minimum(bands, tall)
    ceiling = hall + np.asarray(wall_flux(power, across, bands)) / loss
    return Cylinder(0.5 * across, bands, k, np.asarray(rho * c), loss, 0.0, 0.0), ceiling


def _parts(
    diameter: ArrayLike, fill_height: ArrayLike, product: HeatCard, heater: BandHeater, start: ArrayLike
) -> _Parts:
    zone, ceiling = _zone(diameter, fill_height, product, heater)
    across, tall, bands, limit, loss = arrays(diameter, fill_height, zone.height, heater.limit, heater.loss)
    begin, k, stored = arrays(start, zone.conductivity, zone.heat_per_volume)
    beyond = np.maximum(tall - bands, LEAST_FREE) + END * 0.5 * across
    area = math.pi * across * bands
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


def _switch(zone: Cylinder, start: Array, ceiling: Array, limit: Array) -> Array:
    """When the wall has its limit [s]; infinite where the power does not bring it there."""
    left = np.where(limit > start, _share(ceiling, limit, start), 1.0)
    return np.asarray(time_to(zone, left, "wall"))


def _limit_reached(
    zone: Cylinder, held: Cylinder, start: Array, ceiling: Array, limit: Array
) -> tuple[Array, Array]:
    """When the wall has its limit, and by how much the clock of a held wall is late: equal mean then [s]."""
    switch = _switch(zone, start, ceiling, limit)
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
    zone, ceiling = _zone(diameter, fill_height, product, heater)
    begin, limit = arrays(start, heater.limit)
    return finish(_switch(zone, begin, ceiling, limit))


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
    zone, ceiling = _zone(diameter, fill_height, product, heater)
    left = np.asarray(remaining(zone, time, "wall"))
    return finish(np.asarray(ceiling + (np.asarray(start) - ceiling) * left))


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


def _mean(parts: _Parts, fill_height: Array, time: Array) -> Array:
    """Mean temperature of the whole product after a time [K], no more than the power allows."""
    share = np.where(parts.covered, 1.0, np.asarray(parts.zone.height) / fill_height)
    mean = share * _under(parts, time, "mean") + (1.0 - share) * _beyond(parts, time, "mean")
    return np.asarray(np.minimum(mean, _powered(parts, time)))


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
    mean_at_end = np.where(turns, end, _mean(parts, tall, at))
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


def mean_and_wall_after_bands(
    diameter: ArrayLike,
    fill_height: ArrayLike,
    product: HeatCard,
    heater: BandHeater,
    start: ArrayLike,
    time: ArrayLike,
) -> tuple[Number, Number]:
    """Mean of the product that stands still, and the wall under the bands, after a time [K].

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
    free = np.asarray(wall_without_limit(diameter, fill_height, product, heater, start, seconds))
    return finish(_mean(parts, tall, seconds)), finish(np.minimum(free, np.asarray(heater.limit)))
