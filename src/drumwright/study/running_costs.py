"""What a station uses in running: electricity, compressed air and what of it leaks; no prices."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import arrays, require_not_negative, require_positive

Array = NDArray[np.float64]
ISENTROPIC = 1.4  # ratio of the heat capacities of air


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
