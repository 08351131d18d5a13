"""A line that stands full: how cold it gets, how its structure grows, what pressure starts it again."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.line_cooling import StoodTemperature, standing_time_constant, stood_temperature
from drumwright.flow.numbers import arrays, require_not_negative, require_positive
from drumwright.machine.line.losses import restart_pressure
from drumwright.machine.line.segments import Segment
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]
STOPS = ("filler_stop", "meal_break", "night")  # every line stands at least these


class Cooling(NamedTuple):
    """What cools a standing line; floats or arrays over samples."""

    start: ArrayLike  # temperature of the product when the line stops [K]
    surroundings: ArrayLike  # coldest air along the line during the stop [K]
    time_constant: ArrayLike  # `standing_time_constant` of the narrowest bore [s]
    biot: ArrayLike  # U R/k [-]


class Structure(NamedTuple):
    """How the yield stress grows at rest; floats or arrays over samples."""

    factor: ArrayLike  # static yield stress after a long rest over the flowing one [-], 1 or more
    time: ArrayLike  # time constant of the growth [s]; 0 counts the growth in full at once


class Restart(NamedTuple):
    """One stop and what starts the line after it; arrays over samples."""

    duration: Array  # [s]
    temperature: StoodTemperature
    growth: Array  # rested over flowing yield stress at the same temperature [-]
    yield_stress: Array  # rested and cold [Pa]
    pressure: Array  # at the pump, destination not counted [Pa]


def cooling_of(
    segments: Sequence[Segment],
    start: ArrayLike,
    surroundings: ArrayLike,
    coefficient: ArrayLike,
    density: ArrayLike,
    heat_capacity: ArrayLike,
    conductivity: ArrayLike,
) -> Cooling:
    """Cooling of the segment that cools fastest: the narrowest.

    Parameters
    ----------
    segments : sequence of Segment
    start, surroundings : array_like
        Temperature of the product when the line stops, and of the coldest air along it [K].
    coefficient : array_like
        From the inner wall to the air [W/(m2 K)].
    density, heat_capacity, conductivity : array_like
        Of the product [kg/m3], [J/(kg K)], [W/(m K)].

    Raises
    ------
    FlowOutOfRange
        If a value is out of its range.
    """
    bores: list[Array] = []
    for each in segments:
        bores += [np.asarray(size, float) for size in (each.bore, each.outlet_bore) if size is not None]
    narrow = np.asarray(np.min(np.stack(np.broadcast_arrays(*bores)), axis=0))
    constant = standing_time_constant(narrow, coefficient, density, heat_capacity, conductivity)
    biot = np.asarray(coefficient, float) * 0.5 * narrow / np.asarray(conductivity, float)
    return Cooling(start, surroundings, constant, biot)


def structure_growth(time: ArrayLike, factor: ArrayLike, growth_time: ArrayLike) -> Array:
    """Rested over flowing yield stress after a stop.

    Parameters
    ----------
    time : array_like
        Since the stop [s].
    factor : array_like
        After a long rest [-], 1 or more.
    growth_time : array_like
        Time constant theta [s]; 0 takes the long rest from the start.

    Returns
    -------
    ndarray
        1 + (factor - 1) (1 - exp(-t/theta)) [-].

    Raises
    ------
    FlowOutOfRange
        If a time is negative or a factor below 1.

    Notes
    -----
    Physics book 5.7. A factor below 1 would let a rest make the start easier and is refused.
    """
    seconds, long_rest, theta = arrays(time, factor, growth_time)
    require_not_negative("time", seconds)
    require_not_negative("growth time", theta)
    require_not_negative("restart factor less 1", long_rest - 1.0)
    grown = np.where(theta > 0.0, -np.expm1(-seconds / np.where(theta > 0.0, theta, 1.0)), 1.0)
    return np.asarray(1.0 + (long_rest - 1.0) * grown)


def restart_after(
    duration: ArrayLike,
    segments: Sequence[Segment],
    cooling: Cooling,
    structure: Structure,
    law_at: Callable[[Array], FlowLaw],
    density: ArrayLike,
    fittings_factor: ArrayLike = 1.0,
) -> Restart:
    """Pressure that starts a line after it stood full for a time.

    Parameters
    ----------
    duration : array_like
        Of the stop [s].
    segments : sequence of Segment
    cooling : Cooling
    structure : Structure
    law_at : callable
        Flow law at an array of temperatures [K].
    density : array_like
        [kg/m3]
    fittings_factor : array_like
        Model factor on the loss of fittings [-].

    Notes
    -----
    Yield stress at the coldest place of the cross-section times the growth of the structure, in pipe and
    fittings, with the head of the highest point (physics book 5.7). The shear stress is greatest at the wall,
    so a cold wall layer holds the whole plug: the figure is careful where only that layer is cold. Where the
    surroundings are warmer than the product the warming counts only at the coldest place. Wall slip and
    compressibility are not credited; setting, drying and freezing are not in it.
    """
    seconds = np.asarray(duration, float)
    stood = stood_temperature(seconds, *cooling)
    growth = structure_growth(seconds, structure.factor, structure.time)
    rested = np.asarray(law_at(stood.coldest).yield_stress) * growth
    pressure = restart_pressure(segments, rested, density, fittings_factor)
    return Restart(seconds, stood, growth, np.asarray(rested), pressure)


def restart_after_stops(
    stops: Mapping[str, ArrayLike],
    segments: Sequence[Segment],
    cooling: Cooling,
    structure: Structure,
    law_at: Callable[[Array], FlowLaw],
    density: ArrayLike,
    fittings_factor: ArrayLike = 1.0,
) -> dict[str, Restart]:
    """Restart after each named stop.

    Parameters
    ----------
    stops : mapping of str to array_like
        Durations [s] by name; must hold `STOPS`, may hold more.
    segments : sequence of Segment
    cooling : Cooling
    structure : Structure
    law_at : callable
        Flow law at an array of temperatures [K].
    density : array_like
        [kg/m3]
    fittings_factor : array_like
        Model factor on the loss of fittings [-].

    Raises
    ------
    KeyError
        If one of the three stops is missing: a stop nobody named is not one of no length.
    """
    if missing := set(STOPS) - set(stops):
        raise KeyError(f"durations of these stops are missing: {', '.join(sorted(missing))}")
    rest = (segments, cooling, structure, law_at, density, fittings_factor)
    return {name: restart_after(duration, *rest) for name, duration in stops.items()}


def worst_restart(restarts: Mapping[str, Restart]) -> tuple[str, Array]:
    """Name of the stop with the greatest median restart pressure, and the greatest of each sample [Pa].

    Parameters
    ----------
    restarts : mapping of str to Restart
    """
    name = max(restarts, key=lambda key: float(np.median(restarts[key].pressure)))
    pressures = np.broadcast_arrays(*(each.pressure for each in restarts.values()))
    return name, np.asarray(np.max(np.stack(pressures), axis=0))


def structure_of_use(structure: ArrayLike, time: ArrayLike, growth_time: ArrayLike, breakdown: ArrayLike,
                     shear_rate: ArrayLike) -> Array:  # fmt: skip
    """Structure variable of a product that rests or is sheared for a time.

    Parameters
    ----------
    structure : array_like
        At the beginning, 0 broken down to 1 fully grown [-].
    time : array_like
        [s]
    growth_time : array_like
        theta [s], above zero.
    breakdown : array_like
        k_d [-].
    shear_rate : array_like
        Constant over the time [1/s].

    Returns
    -------
    ndarray
        Solution of dlambda/dt = (1 - lambda)/theta - k_d lambda g [-].

    Raises
    ------
    FlowOutOfRange
        If a value is negative or the growth time not positive.

    Notes
    -----
    Physics book 5.7, refinement: lambda_e + (lambda_0 - lambda_e) exp(-t (1/theta + k_d g)),
    lambda_e = 1/(1 + theta k_d g). At rest it is the growth of `structure_growth`.
    """
    first, seconds, theta = arrays(structure, time, growth_time)
    broken, rate = arrays(breakdown, shear_rate)
    require_positive("growth time", theta)
    for name, value in (("structure", first), ("time", seconds), ("breakdown", broken), ("shear rate", rate)):
        require_not_negative(name, value)
    speed = 1.0 / theta + broken * rate
    settled = 1.0 / (1.0 + theta * broken * rate)
    return np.asarray(settled + (first - settled) * np.exp(-seconds * speed))
