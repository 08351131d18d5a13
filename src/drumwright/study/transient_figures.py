"""What happens when the outlet shuts, in closed form: rise, peak after a stop, buffer volumes, after-flow.

Peaks are on the careful side where nobody said better: no air in the product, its greatest modulus, the pump
at its wanted flow without slip. Air is counted only where it was stated, or where it does harm.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.delivery import dead_head, gas_cushion, stop_overshoot, surge
from drumwright.machine.delivery.dead_head import ClosedLine
from drumwright.machine.delivery.destination import Behaviour, after_flow, behaviour
from drumwright.machine.delivery.spring_buffer import SpringBuffer
from drumwright.machine.line.hose import line_compliance
from drumwright.machine.line.losses import volume
from drumwright.study.checks import weakest_part
from drumwright.study.line_findings import BULK_MODULUS
from drumwright.study.line_stops import segments_of_route

if TYPE_CHECKING:
    from drumwright.station.inputs import Inputs
    from drumwright.study.evaluation import Problem

Array = NDArray[np.float64]
TRANSIENT_KEYS = (
    "transient.dead_head_rise", "transient.time_to_weakest", "transient.overshoot", "transient.surge",
    "transient.trapped", "transient.peak_buffered", "buffer.protection_volume", "buffer.storage_volume",
    "buffer.stored", "buffer.stale", "buffer.pressure_volume", "batch.after_flow",
)  # fmt: skip
STEEL = 1.0e-10  # growth of a steel pipe under pressure [1/Pa] (physics book 6.1)
TEN_BAR = 1.0e6  # [Pa] the growth of a hose is stated for


def buffer_matters(inputs: Inputs) -> bool:
    """Whether a buffer was asked for or named, or the destination can shut on the pump.

    Parameters
    ----------
    inputs : Inputs
    """
    named = inputs.choices["buffer.kind"] not in (None, "none")
    return named or vessel(inputs) is not None or end_of(inputs).closes


def end_of(inputs: Inputs) -> Behaviour:
    """What the destination can do to the line; one that was not named is an open tank here as elsewhere.

    Parameters
    ----------
    inputs : Inputs
    """
    return behaviour(inputs.choices["destination.kind"] or "open_tank")


def vessel(inputs: Inputs) -> str | None:
    """Field that states the volume of the buffer: its own, or the wish of the enquiry; None without either.

    Parameters
    ----------
    inputs : Inputs
    """
    fields = ("buffer.volume", "enquiry.buffer_volume")
    return next((each for each in fields if each in inputs.estimates), None)


def has_gas(inputs: Inputs) -> bool:
    """Whether a buffer vessel stands under a gas cushion; one of unknown kind does, unless it is open.

    Parameters
    ----------
    inputs : Inputs
    """
    kind = inputs.choices["buffer.kind"]
    return kind == "gas_cushion" or (kind is None and vessel(inputs) is not None)


def closed_line(problem: Problem, state: Any) -> ClosedLine:
    """The line as it takes up product once its end is shut; arrays over samples.

    Parameters
    ----------
    problem : Problem
    state : Balance

    Notes
    -----
    A stated modulus of the whole line takes the place of product, air and walls (`line.effective_modulus`).
    """
    sample = problem.sample
    segments = segments_of_route(state.route)
    room = volume(segments) + 0.0 * sample["product.density"]
    if "line.effective_modulus" in sample:
        return ClosedLine(room, 1.0 / sample["line.effective_modulus"], 0.0, state.atmosphere)
    taken = line_compliance(
        segments, sample["line.hose_growth"] / TEN_BAR, STEEL, BULK_MODULUS, 0.0, state.atmosphere
    )
    return ClosedLine(room, taken / room, sample.get("product.air_share", 0.0), state.atmosphere)


def stop_pressure(problem: Problem, choice: Any) -> Array:
    """Pressure at which the stop is taken to be called: the working share of the weakest part [Pa(g)].

    Parameters
    ----------
    problem : Problem
    choice : Choice
    """
    sample = problem.sample
    return np.asarray(sample["line.working_share"] * weakest_part(problem.inputs, sample, choice))


def pumped(problem: Problem, state: Any) -> Array:
    """Product still moved after the stop [m3].

    Parameters
    ----------
    problem : Problem
    state : Balance
    """
    sample = problem.sample
    lag = sample["control.transmitter_lag"] + sample["control.scan_time"] + sample["control.drive_lag"]
    return stop_overshoot.pumped_after_stop(state.wanted_flow, lag, sample["control.ramp_time"])


def transient_values(scene: Any) -> dict[str, Array]:
    """Values of `TRANSIENT_KEYS` that exist for a scene, arrays over samples.

    Parameters
    ----------
    scene : figures.Scene
        The coldest season of an evaluation.
    """
    problem, state, choice = scene.problem, scene.state, scene.evaluation.choice
    values = _vessel(problem, state, choice)
    if choice.pump.turns:
        values |= _closed(problem, state, choice) | _cushion(problem, state, choice)
    if end_of(problem.inputs).by_weight and choice.pump.turns:
        values["batch.after_flow"] = _after(problem, state)
    return {key: np.asarray(array) for key, array in values.items() if np.isfinite(array).all()}


def _closed(problem: Problem, state: Any, choice: Any) -> dict[str, Array]:
    """The outlet shuts at once on the running pump: no buffer, no relief."""
    line, flow, density = closed_line(problem, state), state.wanted_flow, problem.sample["product.density"]
    stop, weakest = stop_pressure(problem, choice), weakest_part(problem.inputs, problem.sample, choice)
    called, most = stop + state.atmosphere, weakest + state.atmosphere
    there = dead_head.compliance(line, called)
    peak = stop_overshoot.peak_after_stop(line, called, pumped(problem, state))
    running = np.minimum(np.maximum(state.running_gauge + state.atmosphere, 1.0), most)
    buffered = _buffered(problem, state, line, called)
    speed = surge.wave_speed(density, np.asarray(line.volume) / there)
    return {
        "transient.dead_head_rise": dead_head.dead_head_rise(flow, there),
        "transient.time_to_weakest": dead_head.time_to_pressure(line, flow, running, most),
        "transient.overshoot": np.asarray(peak - called),
        "transient.surge": surge.surge_bound(density, speed, state.velocity),
        "transient.trapped": np.asarray(state.yield_only),
    } | buffered


def _buffered(problem: Problem, state: Any, line: ClosedLine, called: Array) -> dict[str, Array]:
    """Peak with the buffer that was stated [Pa(g)]; none is credited that was not stated whole.

    A gas cushion is stated by volume, precharge and its neck, a spring buffer by volume and both pressures.
    """
    sample, field = problem.sample, vessel(problem.inputs)
    begins, kind = sample.get("buffer.precharge"), problem.inputs.choices["buffer.kind"]
    if field is None or begins is None or np.any(sample[field] <= 0.0):
        return {}
    moved, lost = pumped(problem, state), np.zeros_like(begins)
    cushion, spring = None, None
    if kind == "spring" and "buffer.full_pressure" in sample:
        rate = (sample["buffer.full_pressure"] - begins) / sample[field]
        spring = SpringBuffer(1.0, begins, np.maximum(rate, 1.0), sample[field])
    elif kind == "gas_cushion" and {"buffer.neck_bore", "buffer.neck_length"} <= set(sample):
        cushion = stop_overshoot.Cushion(sample[field], begins + state.atmosphere)
        neck = (sample["buffer.neck_length"], sample["buffer.neck_bore"])
        lost = gas_cushion.neck_loss(state.wanted_flow, *neck, state.law)
    else:
        return {}
    peak = stop_overshoot.peak_after_stop(line, called, moved, cushion, spring)
    return {"transient.peak_buffered": np.asarray(peak - state.atmosphere + lost)}


def precharge_of(problem: Problem, least: Array, atmosphere: Array) -> Array:
    """Gas pressure without product [Pa], absolute: as stated, else a share of the least working pressure.

    Parameters
    ----------
    problem : Problem
    least : ndarray
        Least working pressure [Pa], absolute.
    atmosphere : ndarray
        [Pa]
    """
    stated = problem.sample.get("buffer.precharge")
    if stated is not None:
        return np.asarray(stated + atmosphere)
    return np.asarray(np.maximum(problem.sample["model.precharge_share"] * least, atmosphere))


def _cushion(problem: Problem, state: Any, choice: Any) -> dict[str, Array]:
    """Gas that takes up what the stopping pump still moves, up to the weakest part."""
    if not buffer_matters(problem.inputs):
        return {}
    called = stop_pressure(problem, choice) + state.atmosphere
    most = weakest_part(problem.inputs, problem.sample, choice) + state.atmosphere
    running = np.minimum(np.maximum(state.running_gauge + state.atmosphere, state.atmosphere), called)
    before = precharge_of(problem, running, state.atmosphere)
    if np.any(most <= called):
        return {}
    size = gas_cushion.protection_volume(pumped(problem, state), before, called, most)
    return {"buffer.protection_volume": size}


def _vessel(problem: Problem, state: Any, choice: Any) -> dict[str, Array]:
    """What a vessel that was asked for holds, and what a change would ask of it."""
    inputs, sample = problem.inputs, problem.sample
    field = vessel(inputs)
    if field is None or not has_gas(inputs):
        return {}
    greatest = vessel_pressure(problem, choice)
    values = {"buffer.pressure_volume": np.asarray(greatest * sample[field])}
    least = sample["destination.pressure"] + state.atmosphere
    most = np.minimum(greatest, weakest_part(inputs, sample, choice)) + state.atmosphere
    before = precharge_of(problem, least, state.atmosphere)
    if np.any(most <= least) or np.any(least <= 0.0):
        return values
    rest = (least, most, gas_cushion.SIZING, gas_cushion.ISOTHERMAL)
    works = before <= least
    one = gas_cushion.storage_volume(1.0, np.minimum(before, least), *rest)
    left = gas_cushion.judge_precharge(sample[field], before, least, gas_cushion.ISOTHERMAL)
    values |= {"buffer.stored": np.where(works, sample[field] / one, 0.0), "buffer.stale": left.stale}
    if inputs.choices["enquiry.uninterrupted"] and "enquiry.change_time" in sample:
        asked = state.wanted_flow * sample["enquiry.change_time"]
        values["buffer.storage_volume"] = np.where(works, one * asked, np.inf)
    return values


def vessel_pressure(problem: Problem, choice: Any) -> Array:
    """Greatest pressure of the vessel [Pa(g)]: as stated, else what the line may see.

    Parameters
    ----------
    problem : Problem
    choice : Choice
    """
    sample = problem.sample
    for field in ("buffer.pressure", "enquiry.buffer_pressure"):
        if field in sample:
            return np.asarray(sample[field])
    return np.asarray(weakest_part(problem.inputs, sample, choice))


def _after(problem: Problem, state: Any) -> Array:
    """After-flow of a batch by weight [kg]: the ramp, and the line falling to its trapped pressure."""
    sample = problem.sample
    line = closed_line(problem, state)
    air = sample.get("product.air_share", sample["model.entrained_air"])
    if "line.effective_modulus" not in sample:
        line = line._replace(air_share=air)
    rest = np.maximum(state.loss.static + sample["destination.pressure"] + state.yield_only, 0.0)
    running = np.maximum(state.running_gauge, rest)
    back = dead_head.taken_up(line, rest + state.atmosphere, running + state.atmosphere)
    return after_flow(sample["product.density"], pumped(problem, state), back).mass
