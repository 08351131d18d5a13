"""What a station uses in running: electricity, compressed air, leaks, wearing parts; no prices."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import arrays, require_not_negative, require_positive

Array = NDArray[np.float64]
ISENTROPIC = 1.4  # ratio of the heat capacities of air
SPEED_POWER = 2.0  # wear with speed; common practice, no source (trade book 3)


def pump_electricity(shaft_power: ArrayLike, running_time: ArrayLike, efficiency: ArrayLike) -> Array:
    """Electric energy of a pump with its motor and inverter [J].

    Parameters
    ----------
    shaft_power : array_like
        [W]
    running_time : array_like
        [s]
    efficiency : array_like
        Shaft power over electric power [-].
    """
    power, time, eta = arrays(shaft_power, running_time, efficiency)
    require_positive("efficiency", eta)
    require_not_negative("running time", time)
    return np.asarray(np.maximum(power, 0.0) * time / eta)


def adiabatic_power(
    inlet: ArrayLike,
    outlet: ArrayLike,
    flow: ArrayLike,
    efficiency: ArrayLike = 1.0,
    exponent: float = (ISENTROPIC - 1.0) / ISENTROPIC,
    divisor: float | None = None,
) -> Array:
    """Shaft power of an air compressor without cooling [W].

    Parameters
    ----------
    inlet, outlet : array_like
        Absolute pressures [Pa].
    flow : array_like
        At the inlet [m3/s].
    efficiency : array_like
        Of the compressor [-].
    exponent : float
        Of the ratio of pressures [-].
    divisor : float, optional
        In place of the exponent below the line; textbooks round the two apart [-].

    Notes
    -----
    ``P = p1 Q ((p2/p1)^e - 1) / (e eta)`` with ``e = (k-1)/k``. Esposito, chapter 14, rounds it to
    ``p Q ((p2/p1)^0.286 - 1) / (17.1 eta)`` in kPa and m3/min: e is 0.286 above and 17.1/60 below the line.
    """
    low, high, q, eta = arrays(inlet, outlet, flow, efficiency)
    require_positive("inlet pressure", low)
    require_positive("efficiency", eta)
    require_not_negative("flow", q)
    below = exponent if divisor is None else divisor
    return np.asarray(low * q * ((high / low) ** exponent - 1.0) / (below * eta))


def isothermal_power(inlet: ArrayLike, outlet: ArrayLike, flow: ArrayLike) -> Array:
    """Least power that compresses air at one temperature [W].

    Parameters
    ----------
    inlet, outlet : array_like
        Absolute pressures [Pa].
    flow : array_like
        At the inlet [m3/s].

    Notes
    -----
    ``P = p1 Q ln(p2/p1)``: no compressor needs less.
    """
    low, high, q = arrays(inlet, outlet, flow)
    require_positive("inlet pressure", low)
    require_not_negative("flow", q)
    return np.asarray(low * q * np.log(high / low))


def leak_energy(power: ArrayLike, flow: ArrayLike, leak: ArrayLike, time: ArrayLike) -> Array:
    """Electric energy that leaking air takes, in proportion to the flow [J].

    Parameters
    ----------
    power : array_like
        Electric power of the compressor [W].
    flow : array_like
        Free air it delivers [m3/s].
    leak : array_like
        Free air that leaks [m3/s].
    time : array_like
        [s]
    """
    watts, q, lost, seconds = arrays(power, flow, leak, time)
    require_positive("flow", q)
    require_not_negative("leak", lost)
    return np.asarray(watts * seconds * lost / q)


def cylinder_air(area: ArrayLike, stroke: ArrayLike, pressure: ArrayLike, atmosphere: ArrayLike) -> Array:
    """Free air of a cylinder for one stroke there and one back [m3].

    Parameters
    ----------
    area : array_like
        Of all pistons together [m2].
    stroke : array_like
        [m]
    pressure, atmosphere : array_like
        Absolute [Pa].

    Notes
    -----
    ``2 A s p / p_atm`` (trade book 3); the rod is not taken off.
    """
    surface, length, high, low = arrays(area, stroke, pressure, atmosphere)
    require_positive("atmosphere", low)
    for name, value in (("area", surface), ("stroke", length), ("pressure", high)):
        require_not_negative(name, value)
    return np.asarray(2.0 * surface * length * high / low)


def diaphragm_air(
    volume: ArrayLike, pressure: ArrayLike, atmosphere: ArrayLike, factor: ArrayLike = 1.5
) -> Array:
    """Free air that an air diaphragm pump takes for a volume of product [m3].

    Parameters
    ----------
    volume : array_like
        Of product [m3].
    pressure, atmosphere : array_like
        Of the air, absolute [Pa].
    factor : array_like
        For dead volume and exhaust; 1.2 to 2, an estimate of the trade book [-].
    """
    moved, high, low, more = arrays(volume, pressure, atmosphere, factor)
    require_positive("atmosphere", low)
    require_not_negative("volume", moved)
    return np.asarray(moved * high / low * more)


def with_leaks(air: ArrayLike, share: ArrayLike) -> Array:
    """Free air that must be made so that some arrives [m3].

    Parameters
    ----------
    air : array_like
        That arrives [m3].
    share : array_like
        Of what is made that leaks on the way [-], below 1.
    """
    arrives, lost = arrays(air, share)
    require_positive("what does not leak", 1.0 - lost)
    require_not_negative("leaks", lost)
    return np.asarray(arrives / (1.0 - lost))


def wear_life(reference: ArrayLike, speed_share: ArrayLike, severity: ArrayLike) -> Array:
    """Running time that a set of wearing parts lasts [s].

    Parameters
    ----------
    reference : array_like
        At the reference speed with a clean product [s].
    speed_share : array_like
        Speed over the reference speed [-].
    severity : array_like
        1 for a clean product, less for one that wears [-].

    Notes
    -----
    ``L = L_ref (n_ref/n)^2 s`` (trade book 3; the power is common practice, no source).
    """
    life, share, harsh = arrays(reference, speed_share, severity)
    for name, value in (("life", life), ("speed", share), ("severity", harsh)):
        require_positive(name, value)
    return np.asarray(life * share**-SPEED_POWER * harsh)
