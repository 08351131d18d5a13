"""What the line asks beyond running: stops, longest length, own hose, relief branch, closed-in product."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.turbulent import pressure_drop_any_regime
from drumwright.machine.line.blocked_in import blocked_in_rise
from drumwright.machine.line.limits import longest_held, longest_running
from drumwright.machine.line.losses import losses
from drumwright.machine.line.relief import ReliefPath, relief_path
from drumwright.machine.line.segments import pipe
from drumwright.machine.line.standing import Restart
from drumwright.machine.line.wall_slip import with_slip
from drumwright.study.checks import weakest_part
from drumwright.study.line_stops import segments_of_route, stops_of
from drumwright.study.own_hose import hose_needed

if TYPE_CHECKING:
    from drumwright.study.evaluation import Problem

Array = NDArray[np.float64]
LINE_KEYS = (
    "line.longest_running", "line.longest_restart", "line.restart_filler", "line.restart_meal",
    "line.restart_night", "line.temperature_night", "line.fittings_guide", "line.fittings_reynolds",
    "line.with_slip", "line.hose_needed", "line.relief_branch", "line.relief_opening", "line.blocked_in",
    "line.energy_a_shift",
)  # fmt: skip
STEEL_GROWTH = 0.0  # of a steel section under pressure [1/Pa]: none, the careful side
STEEL_EXPANSION = 3.6e-5  # by volume [1/K], from memory
BULK_MODULUS = 2.2e9  # [Pa] without air; physics book 14.4: 2.2 water, 1.4-1.7 oils, the worst is taken
WARMED_BY = 10.0  # [K] that figure is for
OVERPRESSURE = 0.10  # of a relief valve at full flow; physics book 6.3
RELIEF_SET = 0.95  # of the weakest part that the valve is set to here; the ladder of set points comes later


def line_values(scene: Any) -> dict[str, Array]:
    """Values of `LINE_KEYS` that exist for a scene, arrays over samples.

    Parameters
    ----------
    scene : figures.Scene
        The coldest season of an evaluation.
    """
    problem, state, choice = scene.problem, scene.state, scene.evaluation.choice
    sample, route, law = problem.sample, state.route, state.law
    end = sample["destination.pressure"]
    segments = segments_of_route(route)
    found = losses(segments, state.wanted_flow, sample["product.density"], law, _factor(route))
    values = _longest(problem, state, choice) | _stops(stops_of(problem, state), end)
    values |= {
        "line.with_slip": with_slip(
            state.running_gauge - state.loss.static - end, state.loss.static + end, "low_threshold"
        ),
        "line.blocked_in": _closed_in(problem),
    }
    if np.any(found.guide > 0.0):
        values |= {"line.fittings_guide": found.guide, "line.fittings_reynolds": found.most_reynolds}
    if choice.plated:
        values["line.hose_needed"] = hose_needed(problem.inputs, sample, choice)
    if choice.pump.turns:
        values |= _relief(problem, state, choice)
    if "enquiry.drums_per_shift" in sample and choice.pump.turns:
        moved = sample["enquiry.drums_per_shift"] * sample["container.usable_volume"]
        with np.errstate(divide="ignore", invalid="ignore"):
            values["line.energy_a_shift"] = state.load.shaft_power * moved / state.wanted_flow
    return {key: np.asarray(array) for key, array in values.items() if np.isfinite(array).all()}


def _factor(route: Any) -> Any:
    return route.fittings_factor if route.segments else 1.0


def _longest(problem: Problem, state: Any, choice: Any) -> dict[str, Array]:
    """Longest pipe of this bore, own hose in it, by running and by restart."""
    sample, route, law = problem.sample, state.route, state.law
    allowed = sample["line.working_share"] * weakest_part(problem.inputs, sample, choice)
    gradient = pressure_drop_any_regime(
        state.wanted_flow, route.bore, 1.0, sample["product.density"], law.yield_stress, law.consistency,
        law.exponent,
    )  # fmt: skip
    lift = np.maximum(state.loss.static, 0.0) + np.maximum(sample["destination.pressure"], 0.0)
    rested = np.asarray(law.yield_stress) * sample["product.restart_factor"]
    values = {"line.longest_running": longest_running(allowed, lift + state.loss.fittings, gradient)}
    straight = np.asarray(state.yield_only) * sample["product.restart_factor"]
    rest = np.maximum(state.restart_gauge - straight, 0.0)  # fittings, filters, lift and destination
    held = longest_held(allowed, rest, rested, route.bore)
    if np.isfinite(held).all():
        values["line.longest_restart"] = held
    return values


def _stops(stops: dict[str, Restart], end: Array) -> dict[str, Array]:
    return {
        "line.restart_filler": stops["filler_stop"].pressure + end,
        "line.restart_meal": stops["meal_break"].pressure + end,
        "line.restart_night": stops["night"].pressure + end,
        "line.temperature_night": stops["night"].temperature.coldest,
    }


def _closed_in(problem: Problem) -> Array:
    """Rise of pressure of a steel section closed full and warmed by 10 K [Pa]."""
    beta = problem.sample["product.expansion"]
    return blocked_in_rise(WARMED_BY, beta, BULK_MODULUS, STEEL_GROWTH, STEEL_EXPANSION).worst


def _relief(problem: Problem, state: Any, choice: Any) -> dict[str, Array]:
    """Loss of a short branch to the relief valve at full flow, and what it holds at rest [Pa]."""
    path = relief_of(problem, state, choice)
    return {"line.relief_branch": path.branch, "line.relief_opening": path.opening}


def relief_of(problem: Problem, state: Any, choice: Any) -> ReliefPath:
    """Pressures of a relief valve on a short branch as wide as the line.

    Parameters
    ----------
    problem : Problem
    state : Balance
    choice : Choice
    """
    sample, route = problem.sample, state.route
    weakest = weakest_part(problem.inputs, sample, choice)
    branch = (pipe(route.bore, sample["model.relief_branch"]),)
    full = np.maximum(choice.pump.displacement * choice.pump.maximum_speed, state.wanted_flow)
    rested = np.asarray(state.law.yield_stress) * sample["product.restart_factor"]
    opens = RELIEF_SET / (1.0 + OVERPRESSURE) * weakest
    density = sample["product.density"]
    return relief_path(opens, OVERPRESSURE, branch, (), full, density, state.law, rested, weakest)
