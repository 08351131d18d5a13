"""An open hopper that bridges a change of drums; the few litres a closed line needs are another thing."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]


def bridge_volume(
    draw: ArrayLike, change_time: ArrayLike, react_time: ArrayLike = 0.0, heel: ArrayLike = 0.0
) -> Array:
    """Volume a hopper must hold when a drum runs empty so that the destination does not starve [m3].

    Parameters
    ----------
    draw : array_like
        Flow the destination draws [m3/s].
    change_time : array_like
        Time from end of flow to start of flow [s]; its P95, not its mean.
    react_time : array_like
        Time until somebody starts the change, where it is not inside the change time [s].
    heel : array_like
        What stays in the hopper and cannot be drawn [m3].

    Notes
    -----
    V_b >= q (t_change + t_react) + heel (trade book 2.2). The refill needs a pump faster than the draw. The
    band between the switches of the level stands on top of it: a drum may run empty at the lower one.
    """
    time = np.asarray(change_time, np.float64) + np.asarray(react_time, np.float64)
    return np.asarray(np.asarray(draw, np.float64) * time + np.asarray(heel, np.float64))


def bridged_time(volume: ArrayLike, draw: ArrayLike, heel: ArrayLike, start_level: ArrayLike) -> Array:
    """Time a hopper feeds the destination when a drum runs empty at its lower switch [s].

    Parameters
    ----------
    volume : array_like
        Of the hopper [m3].
    draw : array_like
        Flow the destination draws [m3/s].
    heel : array_like
        What stays in the hopper and cannot be drawn [m3].
    start_level : array_like
        Level at which the pump starts again, as a share of what can be drawn [-].

    Notes
    -----
    t = s (V - V_heel)/q, `bridge_volume` turned round with the drum empty at the worst moment.
    """
    room = np.maximum(np.asarray(volume, np.float64) - np.asarray(heel, np.float64), 0.0)
    return np.asarray(np.asarray(start_level, np.float64) * room / np.asarray(draw, np.float64))


def least_pump_flow(volume: ArrayLike, draw: ArrayLike, change_time: ArrayLike) -> Array:
    """Least flow of the pump with which one station and a hopper keep up an average draw [m3/s].

    Parameters
    ----------
    volume : array_like
        Usable volume of a drum [m3].
    draw : array_like
        Flow the destination draws [m3/s].
    change_time : array_like
        Mean time of a change [s].

    Notes
    -----
    Q >= V / (V/q - t_change) (trade book 2.2); infinite where the change takes as long as a drum lasts:
    then no pump is fast enough.
    """
    size = np.asarray(volume, np.float64)
    left = size / np.asarray(draw, np.float64) - np.asarray(change_time, np.float64)
    return np.where(left > 0.0, size / np.where(left > 0.0, left, 1.0), np.inf)


def lost_share(volume: ArrayLike, draw: ArrayLike, change_time: ArrayLike) -> Array:
    """Share of the time without flow where nothing bridges the change: t / (t + V/q) [-].

    Parameters
    ----------
    volume : array_like
        Usable volume of a drum [m3].
    draw : array_like
        Flow the destination draws [m3/s].
    change_time : array_like
        Mean time of a change [s].
    """
    time = np.asarray(change_time, np.float64)
    return np.asarray(time / (time + np.asarray(volume, np.float64) / np.asarray(draw, np.float64)))


def control_volume(flow: ArrayLike, detect_time: ArrayLike, ramp_time: ArrayLike) -> Array:
    """Volume still pumped into a closed line until the drive stands [m3].

    Parameters
    ----------
    flow : array_like
        Flow of the pump [m3/s].
    detect_time : array_like
        Time until the stop is seen [s].
    ramp_time : array_like
        Time of a straight ramp to standstill [s].

    Notes
    -----
    V_c >= Q (t_detect + t_ramp/2) (trade book 2.2): tenths of a litre, not the volume that bridges a change.
    """
    time = np.asarray(detect_time, np.float64) + 0.5 * np.asarray(ramp_time, np.float64)
    return np.asarray(np.asarray(flow, np.float64) * time)


def cushion_volume(control: ArrayLike, precharge: ArrayLike, allowed: ArrayLike) -> Array:
    """Gas volume of a cushion that takes a control volume within an allowed peak [m3].

    Parameters
    ----------
    control : array_like
        Volume it must take [m3].
    precharge, allowed : array_like
        Absolute pressure of the gas before and at the allowed peak [Pa(a)].

    Notes
    -----
    V_0 >= V_c / (1 - p_0/p_1), gas at constant temperature (trade book 2.2); infinite where the peak is not
    above the precharge.
    """
    share = 1.0 - np.asarray(precharge, np.float64) / np.asarray(allowed, np.float64)
    return np.where(share > 0.0, np.asarray(control, np.float64) / np.where(share > 0.0, share, 1.0), np.inf)
