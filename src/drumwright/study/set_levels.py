"""Levels of the control objects of an arrangement: its ladder at the careful end of its band, the rest."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from drumwright.basis.statistics import quantiles
from drumwright.flow.numbers import GRAVITY
from drumwright.machine.delivery.destination import behaviour
from drumwright.machine.pump.drive import drive_with, series_of
from drumwright.station.control.ladder import Ladder
from drumwright.station.control.objects import Control, assumed, default_control
from drumwright.station.control.set_points import SetPoints
from drumwright.study.pump_figures import motor_of
from drumwright.study.set_points import coldest, ladder_of, missing_at, parts_of, tolerances_of

if TYPE_CHECKING:
    from drumwright.study.evaluation import Evaluation, Problem

REACTIVE = 900.0  # s, a line full of a product that cures may stand (trade book 1.1)
CAREFUL = 0.05  # share of the samples whose set point lies lower still
LIMIT_OVER_TORQUE = 1.1  # of the drive, where no motor of the series is found; as `drive_with`
HIGHEST_SQUEEZED = 0.8  # of the relief, for the slow-down of a ladder that does not fit
LOST = "pressure_lost"
HIDDEN = 2.0  # times the error of the transmitter: a smaller pressure is not missed when it is gone; assumed
NEVER = -1.0  # a torque no pump falls below: the vote of a pump that has none


def control_of(problem: Problem, found: Evaluation) -> tuple[Control, SetPoints]:
    """Control objects and set points of an arrangement, ready for `table.compiled(control, points.level)`.

    Parameters
    ----------
    problem : Problem
    found : Evaluation
        With balances.

    Notes
    -----
    A line that runs at so little pressure that nobody would miss it has no object for lost pressure.
    """
    by_weight = behaviour(problem.inputs.choices["destination.kind"]).by_weight
    control = default_control(found.choice.pump.turns, by_weight)
    points = set_points_of(problem, found)
    if math.isnan(points.pressure_lost):
        control = replace(control, objects=tuple(o for o in control.objects if o.identifier != LOST))
    return control, points


def set_points_of(problem: Problem, found: Evaluation) -> SetPoints:
    """Every level the control objects of an arrangement refer to.

    Parameters
    ----------
    problem : Problem
    found : Evaluation
        With balances.

    Notes
    -----
    Each rung of the ladder at the 5 % of its samples that lies lowest; they keep their order. Where the rungs
    do not fit (`set_points.missing_at` above zero) they are not to be used but to be looked at: the relief
    stays under the weakest part, the slow-down over what the line asks, and the gaps between are squeezed in
    proportion. Not-a-number where air drives the pump. What no computation gives is assumed
    (`data/control.toml`).
    """
    inputs, taken = problem.inputs, dict(assumed())
    rungs = _rungs(ladder_of(problem, found))
    needs = [float(state.inlet_required[0]) for state in found.balances.values()]
    hot = _pump_limit(found.choice.pump, taken["pump_hot"])
    longest = _longest_stop(problem)
    flow = float(coldest(found).wanted_flow[0])
    mean_gap = _likely(inputs, "container.bottom_mismatch", 0.0)
    height = _likely(inputs, "container.inside_height", taken["raised"] - taken["over_rim"])
    return SetPoints(
        **rungs,
        pressure_lost=_pressure_lost(problem, found, taken["lost_share"]),
        inlet_low=max(needs),
        primed=max(max(needs), _primed(found, taken["prime_share"])),
        air_low=taken["air_share"] * inputs.likely("site.air_pressure"),
        pump_hot=hot,
        pump_cool=hot - taken["pump_cooled_by"],
        bottom=mean_gap + taken["bottom_reserve"],
        filled=_filled(problem, found) + taken["over_product"],
        raised=height + taken["over_rim"],
        torque_low=_torque_low(problem, found, taken["torque_fall"]),
        running_share=taken["running_share"],
        last_share=min(inputs.likely("machine.last_rate") / flow, 1.0),
        prime_share=taken["prime_share"],
        jog_share=taken["jog_share"],
        assist_high=min(taken["assist_high"], _likely(inputs, "container.allowed_pressure", math.inf)),
        lift_high=taken["lift_factor"] * inputs.likely("machine.plate_mass") * GRAVITY,
        longest_stop=longest,
        stop_half=0.5 * longest,
        closed_time=taken["closed_time"],
        least_stop=taken["least_stop"],
        batch_slow=_likely(inputs, "destination.slow_from", taken["batch_slow"]),
        batch_slow_share=_likely(inputs, "destination.slow_share", taken["batch_slow_share"]),
        confirm_time=taken["confirm_time"],
        prime_time=taken["prime_time"],
        prime_longest=taken["prime_longest"],
        lost_time=taken["lost_time"],
        had_time=taken["had_time"],
        press_out_time=taken["press_out_time"],
        clear_time=taken["clear_time"],
    )


def _pressure_lost(problem: Problem, found: Evaluation, share: float) -> float:
    """Pressure at the outlet that a sound line does not fall below while the pump turns [Pa(g)].

    A share of the least running pressure of the band in any season; not-a-number where the error of the
    transmitter would hide it.
    """
    least = min(
        quantiles(np.atleast_1d(state.running_gauge)[1:], CAREFUL)[0] for state in found.balances.values()
    )
    sample = problem.sample_of(found.choice)
    state = coldest(found)
    weakest = parts_of(problem, state, found.choice).min(axis=0)
    error = float(np.max(tolerances_of(sample, weakest).transmitter_error))
    return share * least if share * least > HIDDEN * error else math.nan


def _primed(found: Evaluation, share: float) -> float:
    """Pressure before the pump that tells the product is pressed to it: half of what it then is [Pa(a)]."""
    least = math.inf
    for state in found.balances.values():
        gauge = np.atleast_1d(state.feed.inlet_gauge(share * state.wanted_flow))
        atmosphere = float(np.ravel(state.atmosphere)[0])
        least = min(least, atmosphere + 0.5 * quantiles(gauge[1:], CAREFUL)[0])
    return least


def _filled(problem: Problem, found: Evaluation) -> float:
    """Height of the product in a full container, at likely inputs [m]."""
    content = float(problem.sample_of(found.choice)["container.usable_volume"][0])
    return content / float(np.ravel(coldest(found).feed.area)[0])


def _rungs(made: Ladder | None) -> dict[str, float]:
    """Lowest 5 % of every rung; squeezed where they do not fit."""
    names = ("slow_down", "stop", "trip", "relief", "restart_below")
    if made is None:
        return dict.fromkeys(names, math.nan)
    found = {name: quantiles(np.atleast_1d(getattr(made, name))[1:], CAREFUL)[0] for name in names}
    if missing_at(made) <= 0.0:
        return found
    relief = found["relief"]
    lowest = min(quantiles(made.needed[1:], 1.0 - CAREFUL)[0], HIGHEST_SQUEEZED * relief)
    gaps = [float(np.median(gap[1:])) for gap in (made.band, made.above_stop, made.above_trip)]
    shares = np.cumsum(gaps) / sum(gaps)
    stop, trip = (lowest + (relief - lowest) * float(share) for share in shares[:2])
    under = float(np.median((made.slow_down - made.restart_below)[1:]))
    squeezed = (lowest, stop, trip, relief, max(lowest - under, 0.5 * lowest))
    return dict(zip(names, squeezed, strict=True))


def _likely(inputs: Any, key: str, otherwise: float) -> float:
    return float(inputs.likely(key)) if key in inputs.estimates else otherwise


def _pump_limit(pump: Any, otherwise: float) -> float:
    """Least limit of the elastomers the pump is offered with [K]: which is bought is not known."""
    return min((limit for _, limit in pump.temperature_limits), default=otherwise)


def _longest_stop(problem: Problem) -> float:
    """How long a full line may stand [s]: by the product, else as long as the destination may stop.

    A product that cures or skins does not wait for the destination: what it bears was not said, so no more
    than a quarter of an hour (trade book 1.1), and no longer than its skin takes.
    """
    said = problem.inputs.estimates
    if "product.longest_stop" in said:
        return said["product.longest_stop"].low
    stop = problem.inputs.likely("model.filler_stop")
    if "destination.longest_stop" in said:
        stop = said["destination.longest_stop"].low
    if problem.inputs.choices["product.cures_with"] not in (None, "nothing"):
        stop = min(stop, REACTIVE)
    return min(stop, said["product.skin_time"].low) if "product.skin_time" in said else stop


def _torque_low(problem: Problem, found: Evaluation, fall: float) -> float:
    """Torque over the setting of the drive below which the pump is not full [-]."""
    if not found.choice.pump.turns:
        return NEVER
    state = coldest(found)
    running, cold = (
        quantiles(np.atleast_1d(values)[1:], 0.95)[0]
        for values in (state.load.torque, state.load.start_torque)
    )
    mains = problem.inputs.likely("site.mains_frequency")
    motor, speed = motor_of(found, mains), float(state.pump_wanted.speed[0])
    setting = LIMIT_OVER_TORQUE * max(running, cold)
    if math.isfinite(motor) and speed > 0.0:
        setting = drive_with(motor, speed, running, cold, series_of(mains)).overload_torque
    least = min(float(each.load.torque[0]) for each in found.balances.values())
    return fall * least / setting
