"""Stops of the full line and what they ask: pressure to start again against line, pump and drive."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.phrases import phrase
from drumwright.basis.statistics import quantiles
from drumwright.machine.line.segments import Segment, of_totals
from drumwright.machine.line.standing import Restart, Structure, cooling_of, restart_after_stops
from drumwright.machine.pump.drive import drive_with, series_of
from drumwright.machine.pump.limits import assumed
from drumwright.machine.pump.motor import smallest_motor
from drumwright.machine.pump.operate import load, stall_pressure
from drumwright.machine.pump.stock import rated_pressure
from drumwright.product.law import FlowLaw
from drumwright.station.line_card import free_passage
from drumwright.station.rheology import law_in_season
from drumwright.study.checks import required_passage, weakest_part
from drumwright.study.own_hose import hose_needed
from drumwright.study.result import Finding

if TYPE_CHECKING:
    from drumwright.study.evaluation import Evaluation, Problem

Array = NDArray[np.float64]
FIGURES = {
    "filler_stop": "line.restart_filler",
    "meal_break": "line.restart_meal",
    "night": "line.restart_night",
}


def segments_of_route(route: Any) -> tuple[Segment, ...]:
    """The line piece by piece, or its totals as three pieces.

    Parameters
    ----------
    route : Route
    """
    if route.segments:
        found: tuple[Segment, ...] = route.whole
        return found
    return of_totals(route.bore, route.length, route.hose_bore, route.hose_length, route.rise, route.fittings)


def air_along(problem: Problem, state: Any) -> Array:
    """Temperature of the air along the line that is counted [K].

    Parameters
    ----------
    problem : Problem
    state : Balance
        Of the season.

    Notes
    -----
    A hall warmer than the product is not credited: the line may be started before it has warmed. Where nobody
    said how warm the hall is, it is taken no warmer than the coldest product.
    """
    sample = problem.sample
    air = np.minimum(sample["site.hall_temperature"], state.temperature)
    if "site.hall_temperature" in problem.inputs.defaulted:
        air = np.minimum(air, sample["product.temperature.low"])
    return np.asarray(air)


def stops_of(problem: Problem, state: Any) -> dict[str, Restart]:
    """Restart after filler stop, meal break and night, product cooling towards the hall.

    Parameters
    ----------
    problem : Problem
    state : Balance
        Of the season.

    Notes
    -----
    Where nobody said how fast the product stiffens at rest, it is taken as stiff at once.
    """
    sample = problem.sample

    def law_at(temperature: Array) -> FlowLaw:
        return law_in_season(problem.known, temperature, sample)[0]

    segments = segments_of_route(state.route)
    cooling = cooling_of(
        segments,
        state.temperature,
        air_along(problem, state),
        sample["model.line_heat"],
        sample["product.density"],
        sample["product.heat_capacity"],
        sample["product.conductivity"],
    )
    structure = Structure(sample["product.restart_factor"], sample.get("product.restart_time", 0.0))
    stops = {
        "filler_stop": sample.get("destination.longest_stop", sample["model.filler_stop"]),
        "meal_break": sample["line.meal_break"],
        "night": sample["line.night_stop"],
    }
    factor = state.route.fittings_factor if state.route.segments else 1.0
    return restart_after_stops(stops, segments, cooling, structure, law_at, sample["product.density"], factor)


def line_conditions(problem: Problem, found: Evaluation) -> list[Finding]:
    """What the line brings: stops it does not start after, an own hose too short, pieces of unknown passage.

    Parameters
    ----------
    problem : Problem
    found : Evaluation
    """
    listed: dict[str, Finding] = {}
    motor = _motor(problem, found)
    for season, state in found.balances.items():
        for name, stop in stops_of(problem, state).items():
            key = f"line.stop_{name}"
            if key in listed:
                continue
            pressure = stop.pressure + problem.sample["destination.pressure"]
            part, limit, over = _stopped_by(problem, found, state, pressure, motor)
            if over <= 0.0:
                continue
            high = quantiles(pressure[1:], 0.95)[0]
            text = phrase(
                f"FND-{key}", value=high, limit=limit, temperature=float(stop.temperature.coldest[0]),
                season=phrase(f"SEASON-{season}"), part=phrase(f"STOPPED-{part}"),
            )  # fmt: skip
            listed[key] = Finding(
                key, "condition", "pressure", text, FIGURES[name], high, limit, "pressure_gauge", season
            )
    return [*listed.values(), *_own_hose(problem, found), *_passages(problem, found)]


def _stopped_by(
    problem: Problem, found: Evaluation, state: Any, pressure: Array, motor: float
) -> tuple[str, float, float]:
    """Part with the least room for a start, its limit [Pa(g)], and how far the start passes it [Pa]."""
    high, worst = quantiles(pressure[1:], 0.95)[0], ("line", np.inf, -np.inf)
    for part, limit in _limits(problem, found, state, pressure, motor):
        over = quantiles((pressure - limit)[1:], 0.95)[0]
        if over > worst[2]:
            worst = (part, high - over, over)
    return worst


def _limits(
    problem: Problem, found: Evaluation, state: Any, pressure: Array, motor: float
) -> Iterator[tuple[str, Array]]:
    """Pressures at which line, pump and drive stop a start [Pa(g)]."""
    choice, sample = found.choice, problem.sample_of(found.choice)
    yield "line", np.asarray(sample["line.working_share"] * weakest_part(problem.inputs, sample, choice))
    yield "pump", np.full_like(pressure, rated_pressure(choice.pump, problem.abrasion))
    if not choice.pump.turns:
        one = {"site.air_pressure": np.ones_like(pressure)}
        stall = sample["pump.air_pressure"] * stall_pressure(choice.pump, 0.0, 0.0, one)
        lost = assumed(sample, "model.piston_friction") if choice.pump.family == "follower_piston" else 0.0
        yield "air", np.asarray(stall * (1.0 - lost))
    elif np.isfinite(motor) and float(state.pump_wanted.speed[0]) > 0.0:
        yield "drive", _held_by_drive(problem, choice, state, pressure, motor)


def _held_by_drive(problem: Problem, choice: Any, state: Any, pressure: Array, motor: float) -> Array:
    """Pressure against which the torque limit of the drive lets the pump start [Pa(g)].

    The limit is that of the drive as it is chosen, for the cold start of the season; torque grows in
    proportion with the pressure from what the pump takes without any.
    """
    sample, speed = problem.sample_of(choice), state.pump_wanted.speed

    def start(against: Array) -> Array:
        rest = (problem.abrasion, speed, state.pressure_added, against, state.law, sample)
        return np.asarray(load(choice.pump, *rest).start_torque)

    running, cold = (
        quantiles(values[1:], 0.95)[0] for values in (state.load.torque, state.load.start_torque)
    )
    mains = series_of(problem.inputs.likely("site.mains_frequency"))
    limit = drive_with(motor, float(speed[0]), running, cold, mains).overload_torque
    least, asked = start(np.zeros_like(pressure)), start(pressure)
    slope = np.maximum(asked - least, 1e-12) / np.maximum(pressure, 1.0)
    return np.asarray(np.maximum(limit - least, 0.0) / slope)


def _motor(problem: Problem, found: Evaluation) -> float:
    """Rated power of the motor the arrangement gets [W]; infinite past the series or without a motor."""
    if not found.choice.pump.turns or not found.balances:
        return float("inf")
    required = max(quantiles(state.load.motor_required[1:], 0.95)[0] for state in found.balances.values())
    return float(smallest_motor(required, problem.inputs.likely("site.mains_frequency")))


def _own_hose(problem: Problem, found: Evaluation) -> list[Finding]:
    """A stated own hose that does not reach beside the stand, or is left out for a comparison."""
    taken = float(problem.sample["line.own_hose"][0])
    needed = float(hose_needed(problem.inputs, problem.sample, found.choice)[0])
    if not found.balances or "line.own_hose" in problem.inputs.defaulted or taken >= needed:
        return []
    worst = next(iter(found.balances.values()))
    pressure = quantiles(worst.running_gauge[1:], 0.95)[0]
    key = "line.hose_left_out" if taken <= 0.0 else "line.hose_short"
    slots = {"value": needed, "taken": taken, "pressure": pressure}
    if taken <= 0.0:
        del slots["taken"]
    text = phrase(f"FND-{key}", **slots)
    return [Finding(key, "condition", "pressure", text, "line.hose_needed", taken, needed, "length")]


def _passages(problem: Problem, found: Evaluation) -> list[Finding]:
    """Pieces of the route nobody knows the free passage of, where the product has pieces in it."""
    need, pieces = required_passage(problem.inputs), problem.inputs.pieces
    unknown = free_passage(pieces, found.choice.bore)[1] if pieces else ()
    if need <= 0.0 or not unknown:
        return []
    names = ", ".join(kind.replace("_", " ") for kind in unknown)
    text = phrase("FND-line.passage_unknown", names=names, value=need)
    return [Finding("line.passage_unknown", "condition", "feed", text, "", None, need, "diameter")]
