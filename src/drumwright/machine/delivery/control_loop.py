"""What a pressure controller can do: lag, PI on a lag, and PI on a line that closes; limits, not settings."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import arrays, require_not_negative, require_positive

Array = NDArray[np.float64]
PEAK_FACTOR = (
    2.0  # of Q theta/C, best deviation of PI after a full closure; 1.96 found (physics book 14.1 C11)
)
TUNED_RATIO = 8.0  # integral time over dead time at a closed-loop time of one dead time (physics book 6.2 f)
STEPS = 60


def lag_response(time: ArrayLike, time_constant: ArrayLike) -> Array:
    """Share of a step that a first-order lag shows after a time: 1 - exp(-t/tau) [-].

    Parameters
    ----------
    time, time_constant : array_like
        [s]

    Raises
    ------
    FlowOutOfRange
        If the time is negative or the time constant not positive.

    Notes
    -----
    On a rising pressure the lag shows the value of tau seconds ago, once 3 tau have passed.
    """
    t, tau = arrays(time, time_constant)
    require_not_negative("time", t)
    require_positive("time constant", tau)
    return np.asarray(-np.expm1(-t / tau))


class ClosedLoop(NamedTuple):
    """A PI controller on a first-order process; arrays over samples."""

    natural: Array  # angular frequency without damping [rad/s]
    damping: Array  # [-]
    overshoot: Array  # over a step of the set point, share of the step [-]; none found when not oscillating
    peak_time: Array  # [s]; not-a-number when not oscillating


def pi_on_a_lag(
    gain: ArrayLike, time_constant: ArrayLike, controller_gain: ArrayLike, integral_time: ArrayLike
) -> ClosedLoop:
    """Step of the set point of a PI controller on a first-order process.

    Parameters
    ----------
    gain : array_like
        Of the process [-] (any unit that the controller's undoes).
    time_constant : array_like
        Of the process [s].
    controller_gain : array_like
        [-]
    integral_time : array_like
        [s]

    Raises
    ------
    FlowOutOfRange
        If a value is not positive.

    Notes
    -----
    w_n^2 = K K_c/(T_i tau), zeta = (1 + K K_c)/2 sqrt(T_i/(K K_c tau)); the loop has the zero -1/T_i, which
    the overshoot counts: derivative of 1 - exp(-s t)[cos w t + (s - K K_c/tau)/w sin w t] set to zero.
    Derived; the two parameters as in control texts (from memory).
    """
    k, tau, kc, ti = arrays(gain, time_constant, controller_gain, integral_time)
    for name, value in (("gain", k), ("time constant", tau), ("controller gain", kc), ("integral time", ti)):
        require_positive(name, value)
    loop = k * kc
    natural = np.sqrt(loop / (ti * tau))
    damping = 0.5 * (1.0 + loop) * np.sqrt(ti / (loop * tau))
    rings = damping < 1.0
    decay, zero = damping * natural, loop / tau
    turn = natural * np.sqrt(np.where(rings, 1.0 - damping**2, 1.0))
    sine = (decay - zero) / turn
    phase = np.arctan2(zero, -(decay * sine + turn))
    over = -np.exp(-decay * phase / turn) * (np.cos(phase) + sine * np.sin(phase))
    return ClosedLoop(
        np.asarray(natural),
        np.asarray(damping),
        np.asarray(np.where(rings, np.maximum(over, 0.0), np.nan)),
        np.asarray(np.where(rings, phase / turn, np.nan)),
    )


def best_deviation(flow: ArrayLike, dead_time: ArrayLike, compliance: ArrayLike) -> Array:
    """Best that a PI controller can hold after the outlet shuts on the whole flow: 2 Q theta/C [Pa].

    Parameters
    ----------
    flow : array_like
        [m3/s]
    dead_time : array_like
        Of sensor, scan and drive together [s].
    compliance : array_like
        At the pressure of the peak [m3/Pa].

    Raises
    ------
    FlowOutOfRange
        If flow or dead time is negative or the compliance not positive.

    Notes
    -----
    Physics book 6.2 f, integrating plant with dead time, gain C/(2 V theta) and integral time 8 theta; found
    1.96. No better than a band without a buffer: compliance and a fast ramp help, tuning does not.
    """
    q, late, c = arrays(flow, dead_time, compliance)
    require_not_negative("flow", q)
    require_not_negative("dead time", late)
    require_positive("compliance", c)
    return np.asarray(PEAK_FACTOR * q * late / c)


def stable_gain(
    compliance: ArrayLike,
    displacement: ArrayLike,
    dead_time: ArrayLike,
    integral_ratio: ArrayLike = TUNED_RATIO,
) -> Array:
    """Greatest gain of a PI controller on a closed line that stays stable [1/(Pa s)].

    Parameters
    ----------
    compliance : array_like
        The least it can be, at the greatest pressure [m3/Pa].
    displacement : array_like
        Of the pump, volume of one turn [m3].
    dead_time : array_like
        [s]
    integral_ratio : array_like
        Integral time over dead time [-]; infinite for a controller without integral part.

    Returns
    -------
    ndarray
        Speed for each pascal; zero where the integral time is not longer than the dead time: never stable.

    Raises
    ------
    FlowOutOfRange
        If a value is not positive.

    Notes
    -----
    Gain pi C/(2 V theta) without integral part (physics book 6.2 f); with it the phase atan(r x) - x vanishes
    at x = w theta, and the gain is x^2 r/sqrt(1 + r^2 x^2) C/(V theta): 0.943 of the former at r = 8
    (physics book 14.1 C11).
    """
    c, volume, late, ratio = arrays(compliance, displacement, dead_time, integral_ratio)
    for name, value in (("compliance", c), ("displacement", volume), ("dead time", late),
                        ("integral ratio", ratio)):  # fmt: skip
        require_positive(name, value)
    ends = np.minimum(ratio, 1e12)
    low, high = np.broadcast_arrays(np.zeros_like(ends), np.full_like(ends, 0.5 * np.pi))
    low = np.where(ends > 1.0, np.sqrt(np.maximum(3.0 * (ends - 1.0), 0.0) / ends**3) * 0.5, high)
    for _ in range(STEPS):
        middle = 0.5 * (low + high)
        before = np.arctan(ends * middle) > middle
        low, high = np.where(before, middle, low), np.where(before, high, middle)
    x = np.where(ends > 1.0, 0.5 * (low + high), 0.0)
    return np.asarray(x**2 / np.sqrt(1.0 / ends**2 + x**2) * c / (volume * late))
