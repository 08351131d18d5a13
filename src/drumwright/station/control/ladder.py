"""The set-point ladder: set points derived from the weakest part down and from what the line asks up.

cold running, restart < slow-down < stop < trip < relief < weakest part. Every gap has its reason and its
tolerance; where they do not fit between, the missing pressure is the answer. Arrays over samples, pressures
gauge at the pump outlet.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import arrays, require_positive
from drumwright.machine.delivery.dead_head import ClosedLine, compliance, pressure_after
from drumwright.machine.delivery.gas_cushion import SIZING
from drumwright.machine.delivery.stop_overshoot import SURE_LAGS, pumped_after_stop

Array = NDArray[np.float64]
RUNGS = ("slow_down", "stop", "trip", "relief")
NEEDS = ("running", "restart", "trapped")


class Closed(NamedTuple):
    """The closed line, and gas of a cushion on it."""

    line: ClosedLine
    gas: ArrayLike = 0.0  # of the cushion, at the pressure looked at [m3]

    def at(self, gauge: ArrayLike) -> Array:
        """Compliance at a gauge pressure [m3/Pa]; below the atmosphere as at it."""
        absolute = np.maximum(np.asarray(gauge, float), 0.0) + np.asarray(self.line.atmosphere)
        return np.asarray(compliance(self.line, absolute) + np.asarray(self.gas) / (SIZING * absolute))


class Tolerances(NamedTuple):
    """What every gap of the ladder is made of; arrays over samples."""

    ramp_time: Array  # of the drive from the wanted speed to none [s]
    drive_lag: Array  # [s]
    scan_time: Array  # of the controller [s]
    transmitter_lag: Array  # [s]
    transmitter_error: Array  # [Pa]
    switch_tolerance: Array  # of the independent switch, share of its set [-]
    switch_delay: Array  # until the power is cut [s]
    run_on_time: Array  # of pump and drive after the power is cut [s]
    relief_tolerance: Array  # of the spring, share of its set [-]
    relief_overpressure: Array  # at full flow, share of its set [-]
    hysteresis: Array  # between slow-down and restart [Pa]

    @property
    def lag(self) -> Array:
        """From the pressure to the drive [s]: transmitter, scan and drive (physics book 14.2 A13)."""
        return np.asarray(self.transmitter_lag + self.scan_time + self.drive_lag)


class Needs(NamedTuple):
    """What the line asks at the pump outlet [Pa(g)]."""

    running: Array  # cold
    restart: Array  # after the longest stop
    trapped: Array  # stays in the opened line without flow


class Top(NamedTuple):
    """What the ladder hangs from."""

    weakest: Array  # pressure of the weakest part [Pa(g)]
    branch: Array  # loss of the branch to the relief valve at full flow [Pa]
    branch_held: Array  # what rested product in that branch holds [Pa]


class Ladder(NamedTuple):
    """Set points [Pa(g)] and gaps [Pa]; arrays over samples."""

    slow_down: Array
    stop: Array
    trip: Array
    relief: Array
    weakest: Array
    restart_below: Array
    above_need: Array  # least distance from what the line asks up to the slow-down
    band: Array  # slow-down to stop
    above_stop: Array
    above_trip: Array
    above_relief: Array
    overshoot: Array  # above the stop where nothing slows down before it
    needed: Array  # least slow-down that the line, its restart and its trapped pressure ask for
    missing: Array  # how much the needed one lies over the one that is possible; negative where it fits
    binding: NDArray[np.int64]  # which of `NEEDS` asks most


def overshoot(start: ArrayLike, flow: ArrayLike, tolerances: Tolerances, line: ClosedLine) -> Array:
    """Rise above a stop set point where nothing slows down before it [Pa].

    Parameters
    ----------
    start : array_like
        Set point [Pa(g)]; below the atmosphere as at it.
    flow : array_like
        [m3/s]
    tolerances : Tolerances
    line : ClosedLine

    Notes
    -----
    Q (t_lag + t_ramp / 2) pressed into the closed line, compliance integrated up to the peak (physics book
    6.2 b, 14.6).
    """
    begin = np.maximum(np.asarray(start, float), 0.0) + np.asarray(line.atmosphere)
    moved = pumped_after_stop(flow, tolerances.lag, tolerances.ramp_time)
    return np.asarray(pressure_after(line, begin, moved) - begin)


def ladder(top: Top, needs: Needs, flow: ArrayLike, closed: Closed, tolerances: Tolerances) -> Ladder:
    """Derive the set points of a pump that a motor turns.

    Parameters
    ----------
    top : Top
        Weakest part and the way to the relief valve.
    needs : Needs
        What the line asks.
    flow : array_like
        Of the pump at the wanted speed; the drive is limited to it [m3/s].
    closed : Closed
        The line against which the pump is stopped.
    tolerances : Tolerances

    Notes
    -----
    From above: the relief valve with its tolerance up, at full flow and behind its branch, stays at the
    weakest part, and so it does where it opens late behind rested product (physics book 6.3). With its
    tolerance down it does not yet open while the trip stops the pump: trip (1 + t_s) + Q (t_d + t_r / 2)/C.
    The stop does not set off the trip: stop + transmitter <= trip (1 - t_s). The band is
    Q max(t_ramp, 4 t_lag) / C(stop): in it a closure does not pass the stop (physics book 6.2 c, 14.2 A14).
    Compliance is taken at the upper end of each rise. From below: running and restart pressure stay under the
    slow-down with the transmitter reading high; the restart threshold, by the hysteresis under the slow-down,
    stays over the trapped pressure (physics book 6.2 h).
    """
    tol = tolerances
    spring, over = 1.0 + tol.relief_tolerance, 1.0 + tol.relief_overpressure
    relief = np.minimum(
        (top.weakest - top.branch) / (spring * over), (top.weakest - top.branch_held) / spring
    )
    opens = relief * (1.0 - tol.relief_tolerance)
    rise = pumped_after_stop(flow, tol.switch_delay, tol.run_on_time) / closed.at(opens)
    trip = (opens - rise) / (1.0 + tol.switch_tolerance)
    stop = trip * (1.0 - tol.switch_tolerance) - tol.transmitter_error
    band = _band(flow, stop, closed, tol)
    slow = stop - band
    gaps = np.stack(
        np.broadcast_arrays(
            needs.running + tol.transmitter_error,
            needs.restart + tol.transmitter_error,
            needs.trapped + tol.transmitter_error + tol.hysteresis,
        )
    )
    needed = gaps.max(axis=0)
    return Ladder(
        slow, stop, trip, relief, np.asarray(top.weakest), np.asarray(slow - tol.hysteresis),
        np.asarray(tol.transmitter_error + 0.0 * slow), band,
        trip - stop, relief - trip, top.weakest - relief,
        overshoot(stop, flow, tol, closed.line), needed, np.asarray(needed - slow),
        gaps.argmax(axis=0),
    )  # fmt: skip


class StopAlone(NamedTuple):
    """A stop that cuts the drive with nothing slowing down before it; arrays over samples."""

    stop: Array  # highest set point from which the trip is not reached [Pa(g)]
    missing: Array  # how much it lies under what the line asks; negative where it fits [Pa]


def stop_alone(made: Ladder, flow: ArrayLike, closed: Closed, tolerances: Tolerances) -> StopAlone:
    """The ladder without its slow-down: the stop cuts the power of the drive at once.

    Parameters
    ----------
    made : Ladder
    flow : array_like
        [m3/s]
    closed : Closed
    tolerances : Tolerances

    Notes
    -----
    stop + transmitter + Q (t_lag + t_run_on/2)/C <= trip (1 - t_s): what runs on after the cut does not set
    off the trip. A pump that is cut at each closure starts anew each time; a slow-down is kinder to it.
    """
    tol = tolerances
    low = made.trip * (1.0 - tol.switch_tolerance)
    rise = pumped_after_stop(flow, tol.lag, tol.run_on_time) / closed.at(low)
    stop = np.asarray(low - tol.transmitter_error - rise)
    return StopAlone(stop, np.asarray(made.needed - stop))


def _band(flow: ArrayLike, stop: Array, closed: Closed, tol: Tolerances) -> Array:
    width = np.maximum(tol.ramp_time, SURE_LAGS * tol.lag)
    return np.asarray(np.asarray(flow) * width / closed.at(stop))


class AirLadder(NamedTuple):
    """What limits a pump that air drives: it stalls; gauge pressures over samples [Pa(g)]."""

    regulator: Array  # set of the air regulator
    air_relief: Array  # set of the relief valve of the air
    stall: Array  # of the pump at the set of the regulator
    weakest: Array
    needed: Array  # at the pump outlet
    missing: Array  # needed over what the air gives; negative where it fits


def air_ladder(
    weakest: ArrayLike, ratio: ArrayLike, lost: ArrayLike, needs: Needs, tolerances: Tolerances,
    available: ArrayLike,
) -> AirLadder:  # fmt: skip
    """Derive the setting of the air of a pump that stalls by itself.

    Parameters
    ----------
    weakest : array_like
        Pressure of the weakest part [Pa(g)].
    ratio : array_like
        Pressure the pump stalls at over its air pressure [-].
    lost : array_like
        Share of it that its own friction may take at a start [-].
    needs : Needs
        What the line asks.
    tolerances : Tolerances
        Those of the relief valve hold for that of the air.
    available : array_like
        Air at the machine, or less where the pump bears less [Pa(g)].

    Raises
    ------
    FlowOutOfRange
        If the ratio is not positive.

    Notes
    -----
    The air relief with its tolerance up and its overpressure stalls the pump at the weakest part; the
    regulator stays under the air relief with its tolerance down. No rise is added: the air stalls the pump.
    """
    part, times, friction = arrays(weakest, ratio, lost)
    require_positive("pressure ratio", times)
    spring, over = 1.0 + tolerances.relief_tolerance, 1.0 + tolerances.relief_overpressure
    air_relief = part / times / (spring * over)
    regulator = np.minimum(air_relief * (1.0 - tolerances.relief_tolerance), np.asarray(available, float))
    stall = regulator * times
    needed = np.maximum(np.maximum(needs.running, needs.restart), needs.trapped)
    return AirLadder(
        regulator, air_relief, stall, part, np.asarray(needed), np.asarray(needed - stall * (1.0 - friction))
    )
