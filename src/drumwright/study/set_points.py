"""Set points of an arrangement: its ladder, what it is hung from, and the levels its control objects use."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.phrases import phrase
from drumwright.basis.statistics import quantiles
from drumwright.machine.delivery import gas_cushion
from drumwright.machine.delivery.dead_head import ClosedLine
from drumwright.machine.delivery.destination import is_closed
from drumwright.machine.line.hose import line_compliance
from drumwright.machine.line.losses import volume
from drumwright.machine.line.route import restart
from drumwright.machine.pump.limits import assumed as assumed_of_pump
from drumwright.machine.pump.operate import stall_pressure
from drumwright.station.control.ladder import (
    NEEDS,
    AirLadder,
    Closed,
    Ladder,
    Needs,
    Tolerances,
    Top,
    air_ladder,
    ladder,
)
from drumwright.station.inputs import Sample
from drumwright.study.checks import weakest_part
from drumwright.study.line_findings import BULK_MODULUS, relief_of
from drumwright.study.line_stops import segments_of_route, stops_of
from drumwright.study.result import Finding

if TYPE_CHECKING:
    from drumwright.study.evaluation import Evaluation, Problem

Array = NDArray[np.float64]
KEYS = (
    "control.slow_down", "control.stop", "control.trip", "control.relief", "control.restart_below",
    "control.trapped", "control.overshoot", "control.missing",
)  # fmt: skip
STEEL = 1.0e-10  # growth of a steel pipe under pressure [1/Pa] (physics book 6.1)
TEN_BAR = 1.0e6  # [Pa] the growth of a hose is stated for
SPAN = 1.6  # range of the transmitter over the weakest part where nobody said it: the next usual one; assumed
PARTS = ("line", "destination", "pump")


class Footing(NamedTuple):
    """What the ladder of one arrangement in its coldest season is made of; arrays over samples."""

    top: Top
    needs: Needs
    flow: Array
    closed: Closed
    tolerances: Tolerances
    weakest: NDArray[np.int64]  # which of `PARTS`
    longest: NDArray[np.int64]  # which stop asks most to start: index into the stops of the line
    line_volume: Array  # [m3]


def footing(problem: Problem, state: Any, choice: Any, sample: Sample | None = None) -> Footing:
    """Weakest part, needs, compliance and tolerances of an arrangement.

    Parameters
    ----------
    problem : Problem
    state : Balance
        Of its coldest season.
    choice : Choice
    sample : mapping of ndarray, optional
        In place of that of the arrangement.

    Notes
    -----
    No entrained air is credited where nobody stated it: air makes a line softer; no cushion that was not
    stated whole. The pump is one of the parts
    that may be the weakest, and so is a destination whose greatest inlet pressure was stated: once it is
    closed it sees the pump outlet less the head of the rise. The line is sized for that greatest inlet
    pressure; where it is the weakest part, what the line asks is counted at the least one it works with, if
    that was stated.
    """
    sample = problem.sample_of(choice) if sample is None else sample
    segments = segments_of_route(state.route)
    parts = parts_of(problem, state, choice)
    weakest, part = parts.min(axis=0), parts.argmin(axis=0)
    end, less = sample["destination.pressure"], _works_from(problem, sample, part)
    stops = [stop.pressure + end for stop in stops_of(problem, state).values()]
    starts = np.stack(np.broadcast_arrays(*stops, state.restart_gauge))
    needs = Needs(
        state.running_gauge - less,
        starts.max(axis=0) - less,
        restart(state.route, state.law, 1.0, sample["product.density"]) + end - less,
    )
    room = volume(segments) + 0.0 * weakest
    closed = Closed(_closed_line(sample, segments, room, state), _stated_gas(problem, sample, state, weakest))
    branch, held = _branch(problem, state, choice)
    return Footing(
        Top(weakest, branch, held), needs, np.asarray(state.wanted_flow), closed,
        tolerances_of(sample, weakest), part, starts.argmax(axis=0), room,
    )  # fmt: skip


def _closed_line(sample: Sample, segments: Any, room: Array, state: Any) -> ClosedLine:
    """The line as it takes up product once its end is shut; a stated modulus takes the place of all of it."""
    if "line.effective_modulus" in sample:
        return ClosedLine(room, 1.0 / sample["line.effective_modulus"], 0.0, state.atmosphere)
    growth = line_compliance(
        segments, sample["line.hose_growth"] / TEN_BAR, STEEL, BULK_MODULUS, 0.0, state.atmosphere
    )
    return ClosedLine(room, growth / room, sample.get("product.air_share", 0.0 * room), state.atmosphere)


def _stated_gas(problem: Problem, sample: Sample, state: Any, weakest: Array) -> Array:
    """Gas that is left at the weakest part of a cushion that was stated whole, settled [m3]; 0 of any other.

    None is credited where its vessel bears less, or its neck takes more than the hysteresis at full flow.
    """
    whole = {"buffer.volume", "buffer.precharge", "buffer.neck_bore", "buffer.neck_length"} <= set(sample)
    if problem.inputs.choices["buffer.kind"] != "gas_cushion" or not whole:
        return np.zeros_like(weakest)
    before, most = sample["buffer.precharge"] + state.atmosphere, weakest + state.atmosphere
    gas = gas_cushion.gas_volume(sample["buffer.volume"], before, most, gas_cushion.ISOTHERMAL)
    neck = (sample["buffer.neck_length"], sample["buffer.neck_bore"])
    lost = gas_cushion.neck_loss(state.wanted_flow, *neck, state.law)
    serves = (lost <= sample["control.hysteresis"]) & (sample.get("buffer.pressure", weakest) >= weakest)
    return np.where(serves, gas, 0.0)


def _works_from(problem: Problem, sample: Sample, part: NDArray[np.int64]) -> Array:
    """How far the destination works below the pressure counted, where it is the weakest part [Pa]."""
    end = sample["destination.pressure"]
    if "destination.inlet_pressure_low" not in problem.inputs.estimates:
        return np.zeros_like(end)
    lower = np.maximum(end - sample["destination.inlet_pressure_low"], 0.0)
    return np.where(part == PARTS.index("destination"), lower, 0.0)


def parts_of(problem: Problem, state: Any, choice: Any) -> Array:
    """What line, destination and pump stand at the pump outlet [Pa(g)], one row for each of `PARTS`.

    Parameters
    ----------
    problem : Problem
    state : Balance
    choice : Choice
    """
    line = np.asarray(weakest_part(problem.inputs, problem.sample, choice), float)
    destination = np.full_like(line, np.inf)
    if "destination.inlet_pressure_high" in problem.inputs.estimates:
        stands = problem.sample["destination.inlet_pressure_high"]
        destination = stands + state.loss.static + 0.0 * line
    return np.stack([line, destination, np.full_like(line, choice.pump.maximum_pressure)])


def _branch(problem: Problem, state: Any, choice: Any) -> tuple[Array, Array]:
    """Loss of the relief branch at full flow, and what rested product in it holds [Pa]."""
    if not choice.pump.turns:
        none = np.zeros_like(state.running_gauge)
        return none, none
    path = relief_of(problem, state, choice)
    return np.asarray(path.branch + 0.0 * state.running_gauge), np.asarray(path.branch_at_rest)


def tolerances_of(sample: Sample, weakest: Array) -> Tolerances:
    """Tolerances of a sample; the range of the transmitter is the next over the weakest part if unsaid.

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    weakest : ndarray, shape (n,)
        [Pa(g)]
    """
    span = sample.get("control.transmitter_span", SPAN * weakest)
    return Tolerances(
        ramp_time=sample["control.ramp_time"],
        drive_lag=sample["control.drive_lag"],
        scan_time=sample["control.scan_time"],
        transmitter_lag=sample["control.transmitter_lag"],
        transmitter_error=np.asarray(span * sample["control.transmitter_tolerance"]),
        switch_tolerance=sample["control.switch_tolerance"],
        switch_delay=sample["control.switch_delay"],
        run_on_time=sample["control.run_on_time"],
        relief_tolerance=sample["control.relief_tolerance"],
        relief_overpressure=sample["control.relief_overpressure"],
        hysteresis=sample["control.hysteresis"],
    )


def ladder_on(base: Footing) -> Ladder:
    """The ladder of a footing.

    Parameters
    ----------
    base : Footing
    """
    return ladder(base.top, base.needs, base.flow, base.closed, base.tolerances)


def coldest(found: Evaluation) -> Any:
    """Balance of the coldest season of an evaluation, its first one.

    Parameters
    ----------
    found : Evaluation
        With balances.
    """
    return next(iter(found.balances.values()))


def ladder_of(problem: Problem, found: Evaluation) -> Ladder | None:
    """Ladder of an arrangement whose pump a motor turns; None for another, or without a balance.

    Parameters
    ----------
    problem : Problem
    found : Evaluation
    """
    if not found.balances or not found.choice.pump.turns:
        return None
    return ladder_on(footing(problem, coldest(found), found.choice))


def air_ladder_of(problem: Problem, found: Evaluation) -> AirLadder | None:
    """Limits of an arrangement whose pump air drives; None for another, or without a balance.

    Parameters
    ----------
    problem : Problem
    found : Evaluation
    """
    if not found.balances or found.choice.pump.turns:
        return None
    choice, sample = found.choice, problem.sample_of(found.choice)
    base = footing(problem, coldest(found), choice)
    one = {"site.air_pressure": np.ones_like(base.flow)}
    ratio = stall_pressure(choice.pump, 0.0, 0.0, one)
    lost = 0.0
    if choice.pump.family == "follower_piston":
        lost = float(np.max(assumed_of_pump(sample, "model.piston_friction")))
    return air_ladder(base.top.weakest, ratio, lost, base.needs, base.tolerances, sample["pump.air_pressure"])


def set_point_values(scene: Any) -> dict[str, Array]:
    """Values of `KEYS` that exist for a scene, arrays over samples.

    Parameters
    ----------
    scene : figures.Scene
        The coldest season of an evaluation.
    """
    if not scene.evaluation.choice.pump.turns or not (scene.state.wanted_flow > 0.0).all():
        return {}
    base = footing(scene.problem, scene.state, scene.evaluation.choice)
    made = ladder_on(base)
    values = {
        "control.slow_down": made.slow_down,
        "control.stop": made.stop,
        "control.trip": made.trip,
        "control.relief": made.relief,
        "control.restart_below": made.restart_below,
        "control.trapped": base.needs.trapped,
        "control.overshoot": made.overshoot,
        "control.missing": np.maximum(made.missing, 0.0),
    }
    return {key: np.asarray(array) for key, array in values.items() if np.isfinite(array).all()}


def missing_at(made: Ladder | AirLadder) -> float:
    """Pressure that is missing at the unfavourable end of the band, P95 [Pa]; negative where it fits.

    Parameters
    ----------
    made : Ladder or AirLadder
    """
    return quantiles(np.atleast_1d(made.missing)[1:], 0.95)[0]


def binding_need(made: Ladder) -> str:
    """What asks most from below in most samples: running, restart or trapped.

    Parameters
    ----------
    made : Ladder
    """
    return NEEDS[int(np.bincount(made.binding, minlength=len(NEEDS)).argmax())]


def set_point_conditions(problem: Problem, found: Evaluation) -> list[Finding]:
    """Set points that do not fit under the weakest part, where the destination can close on the pump.

    Parameters
    ----------
    problem : Problem
    found : Evaluation
    """
    if not found.balances or not is_closed(problem.inputs.choices["destination.kind"] or "open_tank"):
        return []
    season = phrase(f"SEASON-{next(iter(found.balances))}")
    listed = []
    made = ladder_of(problem, found)
    if made is not None and missing_at(made) > 0.0:
        lack = missing_at(made)
        text = phrase(
            "FND-control.missing", value=lack, season=season, need=phrase(f"CTL-need.{binding_need(made)}"),
            limit=quantiles(made.weakest[1:], 0.05)[0],
        )  # fmt: skip
        listed.append(_condition("control.missing", text, "control.missing", lack))
    air = air_ladder_of(problem, found)
    if air is not None and missing_at(air) > 0.0:
        text = phrase("FND-control.air_missing", value=missing_at(air), season=season)
        listed.append(_condition("control.air_missing", text, "", missing_at(air)))
    return listed


def _condition(key: str, text: Any, figure: str, lack: float) -> Finding:
    return Finding(key, "condition", "pressure", text, figure, lack, 0.0, "pressure_difference", "winter")
