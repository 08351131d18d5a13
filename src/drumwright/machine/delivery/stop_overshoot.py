"""What the line sees after the outlet has shut: peak after a stop, slow-down band, trapped pressure, restart.

Absolute pressures inside, as the air and gas laws want them; a closed line is `dead_head.ClosedLine`.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import arrays, require_not_negative, require_positive
from drumwright.machine.delivery import gas_cushion, spring_buffer
from drumwright.machine.delivery.dead_head import ClosedLine, compliance, pressure_after, taken_up
from drumwright.machine.delivery.spring_buffer import SpringBuffer

Array = NDArray[np.float64]
SURE_LAGS = 4.0  # band times in lags from which no overshoot was found (physics book 6.2 c, 14.2 A14)
PLACES = 33  # of the band from which braking is tried
STEPS = 60  # halvings: the bracket shrinks below the last digit of any pressure


class Cushion(NamedTuple):
    """A gas cushion on the line; arrays over samples."""

    volume: ArrayLike  # of the gas at its precharge [m3]
    precharge: ArrayLike  # [Pa], absolute
    exponent: ArrayLike = gas_cushion.SIZING  # from the stop on: it is sudden [-]
    settled: ArrayLike = gas_cushion.ISOTHERMAL  # from the precharge to the stop: it has run a while [-]

    def at(self, running: ArrayLike) -> tuple[Array, Array, ArrayLike]:
        """Gas left, pressure from which it gives, and exponent, of a line that runs at a pressure [Pa(a)].

        Parameters
        ----------
        running : array_like
            [Pa], absolute.
        """
        begins = np.maximum(np.asarray(running, float), np.asarray(self.precharge, float))
        gas = gas_cushion.gas_volume(self.volume, self.precharge, begins, self.settled)
        return gas, begins, self.exponent


def pumped_after_stop(flow: ArrayLike, lag: ArrayLike, ramp: ArrayLike) -> Array:
    """Product a pump still moves after its pressure was reached: Q (t_lag + t_ramp/2) [m3].

    Parameters
    ----------
    flow : array_like
        At the moment of the stop [m3/s].
    lag : array_like
        Sensor, scan, communication and the lag of the drive together (physics book 14.2 A13) [s].
    ramp : array_like
        From that flow to none, linear [s].

    Raises
    ------
    FlowOutOfRange
        If a value is negative.

    Notes
    -----
    Physics book 6.2 b, trade book 2.2. The ramp counts from the speed that runs; a drive that brakes from
    full speed along a fixed slope needs less.
    """
    q, late, down = arrays(flow, lag, ramp)
    for name, value in (("flow", q), ("lag", late), ("ramp", down)):
        require_not_negative(name, value)
    return np.asarray(q * (late + 0.5 * down))


def peak_after_stop(
    line: ClosedLine,
    stop: ArrayLike,
    pumped: ArrayLike,
    cushion: Cushion | None = None,
    spring: SpringBuffer | None = None,
) -> Array:
    """Greatest pressure after the pump was stopped against a closed outlet [Pa], absolute.

    Parameters
    ----------
    line : ClosedLine
    stop : array_like
        Pressure at which the stop is called [Pa], absolute.
    pumped : array_like
        Product still moved, `pumped_after_stop` [m3].
    cushion : Cushion, optional
        Gas on the line.
    spring : SpringBuffer, optional
        Spring buffer on the line; with neither the closed form of the line alone.

    Raises
    ------
    FlowOutOfRange
        If a pressure is not positive or a volume negative.

    Notes
    -----
    Balance of stored volume: V(p_peak) - V(p_stop) = Q (t_lag + t_ramp/2), compliance integrated up to the
    peak. Inertia comes on top as a margin (`surge.surge_bound`).
    """
    alone = pressure_after(line, stop, pumped)
    if cushion is None and spring is None:
        return alone
    start, added = arrays(stop, pumped)
    low, high = np.broadcast_arrays(start, np.where(np.isfinite(alone), alone, 1e12))
    for _ in range(STEPS):
        middle = 0.5 * (low + high)
        held = taken_up(line, start, middle) + _buffered(line, start, middle, cushion, spring)
        low, high = np.where(held < added, middle, low), np.where(held < added, high, middle)
    return np.asarray(0.5 * (low + high))


def _buffered(
    line: ClosedLine, start: Array, end: Array, cushion: Cushion | None, spring: SpringBuffer | None
) -> Array:
    """Product that buffers take up between two pressures [m3]."""
    held: Array = np.zeros(())
    if cushion is not None:
        gas, begins, exponent = cushion.at(start)
        held = held + gas_cushion.stored(gas, begins, end, exponent)
    if spring is not None:
        air = np.asarray(line.atmosphere, float)
        held = held + spring_buffer.stored(spring, end - air) - spring_buffer.stored(spring, start - air)
    return held


class SlowDown(NamedTuple):
    """How a slow-down band serves; arrays over samples."""

    band_time: Array  # T_b = C (p_hi - p_lo)/Q at the upper end [s]
    needed: Array  # band time from which no overshoot is certain: max(t_ramp, 4 t_lag) [s]
    sure: NDArray[np.bool_]
    peak: Array  # [Pa], absolute: the upper end where it is sure, else the greatest it can be


def slow_down(
    line: ClosedLine,
    low: ArrayLike,
    high: ArrayLike,
    flow: ArrayLike,
    lag: ArrayLike,
    ramp: ArrayLike,
    cushion: Cushion | None = None,
) -> SlowDown:
    """Judge a band in which the speed falls from the wanted one at its lower to none at its upper end.

    Parameters
    ----------
    line : ClosedLine
    low, high : array_like
        Ends of the band [Pa], absolute; the pump runs at full flow below it.
    flow : array_like
        [m3/s]
    lag, ramp : array_like
        As in `pumped_after_stop` [s]; the ramp from the wanted speed to none.
    cushion : Cushion, optional

    Raises
    ------
    FlowOutOfRange
        If the upper end is not above the lower one, or the flow not positive.

    Notes
    -----
    T_b >= max(t_ramp, 4 t_lag) is enough, C at the upper end, where the air is smallest (physics book 6.2 c,
    14.2 A14). Where it is not met the peak given is a bound of ours, the greatest of: a stop called at the
    lower end; one at the upper end from the share t_lag/T_b of the speed; and, at every place of the band,
    the drive falling along its ramp from its speed there and t_lag/T_b more. Never more than a stop from
    full speed at the upper end. Found above a stepwise model over random lines, bands, lags, ramps and
    cushions, with a first-order lag and with a dead time.
    """
    bottom, top, q, late, down = arrays(low, high, flow, lag, ramp)
    require_positive("upper over lower end of the band", top - bottom)
    require_positive("flow", q)
    c = compliance(line, top)
    if cushion is not None:
        gas, begins, exponent = cushion.at(bottom)
        c = c + gas_cushion.compliance(gas, begins, top, exponent)
    band, needed = c * (top - bottom) / q, np.maximum(down, SURE_LAGS * late)
    moved = pumped_after_stop(q, late, down)
    pure = peak_after_stop(line, top, moved, cushion)
    share = np.minimum(late / band, 1.0)
    bound = np.maximum(
        peak_after_stop(line, bottom, moved, cushion),
        peak_after_stop(line, top, q * share * (late + 0.5 * down * share), cushion),
    )
    for place in np.linspace(0.0, 1.0, PLACES):
        begun, speed = bottom + place * (top - bottom), np.minimum(1.0 - place + share, 1.0)
        bound = np.maximum(bound, peak_after_stop(line, begun, 0.5 * q * speed**2 * down, cushion))
    sure = band >= needed
    bound = np.minimum(bound, np.maximum(pure, top))
    return SlowDown(np.asarray(band), np.asarray(needed), np.asarray(sure), np.where(sure, top, bound))


def trapped_pressure(
    yield_stress: ArrayLike, length: ArrayLike, bore: ArrayLike, nozzle: ArrayLike = 0.0
) -> Array:
    """Pressure that stays at the pump after the far end was opened and the flow has died down [Pa].

    Parameters
    ----------
    yield_stress : array_like
        Of the product in the line [Pa].
    length, bore : array_like
        Of the line [m].
    nozzle : array_like
        What the yield stress holds in nozzle, fittings and valves of the end [Pa].

    Raises
    ------
    FlowOutOfRange
        If the bore is not positive or another value negative.

    Notes
    -----
    4 tau_y L/D + nozzle (physics book 6.2 g), over the static head. No wall slip; with slip as low as 0.35 of
    it, and only after a wait of more than 100 s (14.2 A16): a set point of restart takes the greater value.
    """
    (end,) = arrays(nozzle)
    require_not_negative("nozzle", end)
    return np.asarray(gas_cushion.neck_dead_band(yield_stress, length, bore) + end)


def least_restart(trapped: ArrayLike, static: ArrayLike, margin: ArrayLike) -> Array:
    """Least pressure to set as restart after a stop, transmitter near the pump [Pa].

    Parameters
    ----------
    trapped : array_like
        `trapped_pressure` [Pa].
    static : array_like
        Height of product over the transmitter and pressure of the destination [Pa]; below zero counts as
        none.
    margin : array_like
        For the transmitter and wall slip that comes and goes [Pa].

    Raises
    ------
    FlowOutOfRange
        If the trapped pressure or the margin is negative.

    Notes
    -----
    4 tau_y L/D + rho g dz + margin (physics book 6.2 h): below it the pump waits for ever. A transmitter at
    the far end has no trap and sees a blocked line too late.
    """
    stays, over, more = arrays(trapped, static, margin)
    require_not_negative("trapped pressure", stays)
    require_not_negative("margin", more)
    return np.asarray(stays + np.maximum(over, 0.0) + more)
