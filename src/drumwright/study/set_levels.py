"""Levels of the control objects of an arrangement: its ladder at the careful end of its band, the rest."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np

from drumwright.basis.statistics import quantiles
from drumwright.flow.numbers import GRAVITY
from drumwright.machine.pump.drive import drive_with, series_of
from drumwright.station.control.ladder import Ladder
from drumwright.station.control.objects import Control, assumed, default_control
from drumwright.station.control.set_points import SetPoints
from drumwright.study.pump_figures import motor_of
from drumwright.study.set_points import coldest, ladder_of, missing_at

if TYPE_CHECKING:
    from drumwright.study.evaluation import Evaluation, Problem

CAREFUL = 0.05  # share of the samples whose set point lies lower still
LIMIT_OVER_TORQUE = 1.1  # of the drive, where no motor of the series is found; as `drive_with`
HIGHEST_SQUEEZED = 0.8  # of the relief, for the slow-down of a ladder that does not fit
NEVER = -1.0  # a torque no pump falls below: the vote of a pump that has none


def control_of(problem: Problem, found: Evaluation) -> tuple[Control, SetPoints]:
    """Control objects and set points of an arrangement, ready for `table.compiled(control, points.level)`.

    Parameters
    ----------
    problem : Problem
    found : Evaluation
        With balances.
    """
    return default_control(found.choice.pump.turns), set_points_of(problem, found)


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
        inlet_low=max(needs),
        air_low=taken["air_share"] * inputs.likely("site.air_pressure"),
        pump_hot=hot,
        pump_cool=hot - taken["pump_cooled_by"],
        bottom=mean_gap + taken["bottom_reserve"],
        raised=height + taken["over_rim"],
        torque_low=_torque_low(problem, found, taken["torque_fall"]),
        last_share=min(inputs.likely("machine.last_rate") / flow, 1.0),
        prime_share=taken["prime_share"],
        jog_share=taken["jog_share"],
        assist_high=min(taken["assist_high"], _likely(inputs, "container.allowed_pressure", math.inf)),
        lift_high=taken["lift_factor"] * inputs.likely("machine.plate_mass") * GRAVITY,
        longest_stop=longest,
        stop_half=0.5 * longest,
        closed_time=taken["closed_time"],
        confirm_time=taken["confirm_time"],
        prime_time=taken["prime_time"],
        press_out_time=taken["press_out_time"],
        clear_time=taken["clear_time"],
    )


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
    """How long a full line may stand [s]: by the product, else as long as the destination may stop."""
    for key in ("product.longest_stop", "destination.longest_stop"):
        if key in problem.inputs.estimates:
            return problem.inputs.estimates[key].low
    return problem.inputs.likely("model.filler_stop")


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
