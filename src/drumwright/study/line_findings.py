"""What the line asks beyond running: stops, longest length, own hose, relief branch, closed-in product."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.phrases import Phrase, phrase
from drumwright.basis.statistics import quantiles
from drumwright.flow.turbulent import pressure_drop_any_regime
from drumwright.machine.line.blocked_in import blocked_in_rise
from drumwright.machine.line.hose import greatest_reach, own_hose
from drumwright.machine.line.hose_kinds import hose_layout
from drumwright.machine.line.limits import longest_held, longest_running, smallest_bore
from drumwright.machine.line.losses import losses
from drumwright.machine.line.pressure_equipment import screen
from drumwright.machine.line.relief import TEST_ITEMS, relief_path, relief_size
from drumwright.machine.line.route import line_loss, restart, volume
from drumwright.machine.line.segments import Segment, of_totals, pipe
from drumwright.machine.line.standing import Restart, Structure, cooling_of, restart_after_stops
from drumwright.product.law import FlowLaw
from drumwright.station.arrangement import bores
from drumwright.station.balance import route_of
from drumwright.station.rheology import law_in_season
from drumwright.station.stand_state import reach_of
from drumwright.study.checks import flammable, required_passage, weakest_part
from drumwright.study.result import Finding

if TYPE_CHECKING:
    from drumwright.study.evaluation import Evaluation, Problem

Array = NDArray[np.float64]
LINE_KEYS = (
    "line.longest_running", "line.longest_restart", "line.restart_filler", "line.restart_meal",
    "line.restart_night", "line.temperature_night", "line.fittings_guide", "line.fittings_reynolds",
    "line.with_slip", "line.hose_needed", "line.relief_branch", "line.relief_opening", "line.blocked_in",
    "line.energy_a_shift",
)  # fmt: skip
SLIP_LEAST = 0.35  # of the friction, where the product slips at the wall; physics book 5.2, estimate
STEEL_GROWTH = 0.0  # of a steel section under pressure [1/Pa]: none, the careful side
STEEL_EXPANSION = 3.6e-5  # by volume [1/K], from memory
BULK_MODULUS = 2.2e9  # [Pa] without air; physics book 14.4: 2.2 water, 1.4-1.7 oils, the worst is taken
WARMED_BY = 10.0  # [K] that figure is for
OVERPRESSURE = 0.10  # of a relief valve at full flow; physics book 6.3
RELIEF_SET = 0.95  # of the weakest part that the valve is set to here; the ladder of set points comes later
MEASURED_FROM = 20.0  # Reynolds number; physics book 5.3
THIN = 257  # samples a narrower bore is tried with


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
        sample["site.hall_temperature"],
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
        "line.with_slip": SLIP_LEAST * (state.running_gauge - state.loss.static - end)
        + state.loss.static
        + end,
        "line.blocked_in": _closed_in(problem),
    }
    if np.any(found.guide > 0.0):
        values |= {"line.fittings_guide": found.guide, "line.fittings_reynolds": found.most_reynolds}
    if choice.plated:
        values["line.hose_needed"] = _hose(problem, choice)
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
    held = longest_held(allowed, lift, rested, route.bore)
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


def _hose(problem: Problem, choice: Any) -> Array:
    """Length the own hose needs beside this stand [m]."""
    sample = problem.sample
    reach = reach_of(problem.inputs, choice)
    layout = hose_layout()
    legs, ends = layout["leg_distance"].likely, layout["ends"].likely
    far = float(greatest_reach(reach.longest, reach.swing, 0.0)) if reach.swing else 0.5 * reach.longest
    stroke = sample["container.outside_height"] + 0.1
    return own_hose(stroke, far, legs, 0.5 * legs, ends).length


def _relief(problem: Problem, state: Any, choice: Any) -> dict[str, Array]:
    """Loss of a short branch to the relief valve at full flow, and what it holds at rest [Pa]."""
    path = _relief_path(problem, state, choice)
    return {"line.relief_branch": path.branch, "line.relief_opening": path.opening}


def _relief_path(problem: Problem, state: Any, choice: Any) -> Any:
    sample, route = problem.sample, state.route
    weakest = weakest_part(problem.inputs, sample, choice)
    branch = (pipe(route.bore, sample["model.relief_branch"]),)
    full = np.maximum(choice.pump.displacement * choice.pump.maximum_speed, state.wanted_flow)
    rested = np.asarray(state.law.yield_stress) * sample["product.restart_factor"]
    opens = RELIEF_SET / (1.0 + OVERPRESSURE) * weakest
    density = sample["product.density"]
    return relief_path(opens, OVERPRESSURE, branch, (), full, density, state.law, rested, weakest)


def line_notes(scene: Any) -> list[Finding]:
    """Notes on the line of the arrangement shown, in its coldest season.

    Parameters
    ----------
    scene : figures.Scene
    """
    problem, state, choice = scene.problem, scene.state, scene.evaluation.choice
    values = {key: float(array[0] if array.ndim else array) for key, array in line_values(scene).items()}
    low, high = values["line.with_slip"], float(state.running_gauge[0])
    closed = phrase("FND-line.blocked_in", value=values["line.blocked_in"], warmed=WARMED_BY)
    notes = [*_extrapolated(state, values), *_bore(scene)]
    notes += [("line.slip", phrase("FND-line.slip", low=low, high=high)), ("line.blocked_in", closed)]
    if "line.hose_needed" in values:
        taken = float(problem.sample["line.own_hose"][0])
        key = "FND-line.hose_short" if taken < values["line.hose_needed"] else "FND-line.hose"
        notes.append(("line.hose", phrase(key, value=values["line.hose_needed"], taken=taken)))
    if "line.energy_a_shift" in values:
        lost = float(volume(state.route)[0] * problem.sample["enquiry.recipes_per_shift"][0])
        text = phrase("FND-line.economy", energy=values["line.energy_a_shift"], value=lost)
        notes.append(("line.economy", text))
    if choice.pump.turns:
        notes.append(("line.relief", _relief_note(problem, state, choice)))
    if problem.inputs.choices["case.place"] in (None, "EU", "UK"):
        notes.append(("line.screening", _screening(problem, state, choice)))
    return [Finding(key, "note", "", text) for key, text in notes]


def _extrapolated(state: Any, values: dict[str, float]) -> list[tuple[str, Phrase]]:
    """Fittings below what their constants were measured at: two methods, or the spread that is counted."""
    if values.get("line.fittings_reynolds", np.inf) >= MEASURED_FROM:
        return []
    reynolds, own = values["line.fittings_reynolds"], float(np.atleast_1d(state.loss.fittings)[0])
    if not state.route.segments:
        return [("line.extrapolated", phrase("FND-line.extrapolated_totals", reynolds=reynolds, value=own))]
    guide = values["line.fittings_guide"]
    return [("line.extrapolated", phrase("FND-line.extrapolated", reynolds=reynolds, value=own, guide=guide))]


def _bore(scene: Any) -> list[tuple[str, Phrase]]:
    """A narrower bore of a new line that passes as well, and what it would hold less."""
    problem, state, choice = scene.problem, scene.state, scene.evaluation.choice
    used = float(np.atleast_1d(state.route.bore)[0])
    offered = [bore for bore in bores() if required_passage(problem.inputs) <= bore < used * 0.999]
    if problem.inputs.choices["line.existing"] or not offered or not scene.evaluation.passes:
        return []
    count = min(THIN, state.wanted_flow.size)
    sample = {key: values[:count] for key, values in problem.sample.items()}
    parts = (state.law.yield_stress, state.law.consistency, state.law.exponent)
    law = FlowLaw(*(np.asarray(part)[:count] if np.ndim(part) else np.asarray(part) for part in parts))
    flow, density, end = state.wanted_flow[:count], sample["product.density"], sample["destination.pressure"]
    running, rested, held = [], [], []
    for bore in [*offered, used]:
        route = route_of(sample, replace(choice, bore=bore), problem.inputs.pieces)
        running.append(line_loss(route, flow, density, law).total + end)
        rested.append(restart(route, law, sample["product.restart_factor"], density) + end)
        held.append(float(np.atleast_1d(volume(route))[0]))
    allowed = sample["line.working_share"] * weakest_part(problem.inputs, sample, choice)
    found = smallest_bore([*offered, used], running, rested, running, allowed)
    if found.chosen is None or found.chosen == len(offered):
        return []
    slots = {"bore": offered[found.chosen], "used": used, "value": held[-1] - held[found.chosen]}
    return [("line.narrower", phrase("FND-line.narrower", **slots))]


def _relief_note(problem: Problem, state: Any, choice: Any) -> Any:
    path = _relief_path(problem, state, choice)
    branch = quantiles(np.atleast_1d(path.branch)[1:], 0.95)[0]
    length = float(problem.sample["model.relief_branch"][0])
    size = relief_size(state.wanted_flow, problem.sample["product.density"], state.law, 1.0e5)
    if size.basis == "formula":
        return phrase("FND-line.relief_formula", length=length, value=branch)
    items = [phrase(f"RELIEFTEST-{item}") for item in TEST_ITEMS]
    return phrase("FND-line.relief_test", length=length, value=branch, items=items)


def _screening(problem: Problem, state: Any, choice: Any) -> Any:
    """Pressure-equipment screening of the pipe."""
    weakest = float(weakest_part(problem.inputs, problem.sample, choice)[0])
    bore = float(np.atleast_1d(state.route.bore)[0])
    group = (
        1 if flammable(problem.inputs) else None if problem.inputs.choices["product.flammable"] is None else 2
    )
    found = screen("pipe", weakest, bore, group)  # type: ignore[arg-type]
    return phrase(
        "FND-line.screening",
        category=phrase(f"PED-{found.category}"),
        value=weakest,
        bore=bore,
        group=found.group,
    )


def line_conditions(problem: Problem, found: Evaluation) -> list[Finding]:
    """Stops after which the line does not start within what is allowed, and pressure that injects.

    Parameters
    ----------
    problem : Problem
    found : Evaluation
    """
    listed: dict[str, Finding] = {}
    for season, state in found.balances.items():
        sample = problem.sample
        allowed = sample["line.working_share"] * weakest_part(problem.inputs, sample, found.choice)
        for name, stop in stops_of(problem, state).items():
            pressure = stop.pressure + sample["destination.pressure"]
            high, limit = quantiles(pressure[1:], 0.95)[0], float(allowed[0])
            if high <= limit or f"line.stop_{name}" in listed:
                continue
            cold = float(stop.temperature.coldest[0])
            text = phrase(
                f"FND-line.stop_{name}", value=high, limit=limit, temperature=cold,
                season=phrase(f"SEASON-{season}"),
            )  # fmt: skip
            key = f"line.stop_{name}"
            figure = {"filler_stop": "line.restart_filler", "meal_break": "line.restart_meal"}
            listed[key] = Finding(
                key, "condition", "pressure", text, figure.get(name, "line.restart_night"), high, limit,
                "pressure_gauge", season,
            )  # fmt: skip
    return list(listed.values())
