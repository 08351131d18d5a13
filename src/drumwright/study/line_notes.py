"""Notes on the line of the arrangement shown: fittings, bore, hose, changeovers, relief, screening."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np

from drumwright.basis.phrases import Phrase, phrase
from drumwright.basis.statistics import quantiles
from drumwright.machine.line.blocked_in import warming_to
from drumwright.machine.line.limits import smallest_bore
from drumwright.machine.line.losses import losses
from drumwright.machine.line.pressure_equipment import Group, screen
from drumwright.machine.line.profile import temperature_along
from drumwright.machine.line.relief import TEST_ITEMS, relief_size
from drumwright.machine.line.route import line_loss, restart, volume
from drumwright.product.law import FlowLaw
from drumwright.station.arrangement import bores
from drumwright.station.balance import route_of
from drumwright.study.changeover import changeover_notes
from drumwright.study.checks import flammable, required_passage, weakest_part
from drumwright.study.line_findings import BULK_MODULUS, STEEL_GROWTH, WARMED_BY, line_values, relief_of
from drumwright.study.line_stops import air_along, segments_of_route
from drumwright.study.result import Finding

if TYPE_CHECKING:
    from drumwright.study.evaluation import Problem

COOLS_BY = 1.0  # [K] on the way that is worth saying; assumed
MEASURED_FROM = 20.0  # Reynolds number; physics book 5.3
THIN = 257  # samples a narrower bore is tried with


def line_notes(scene: Any) -> list[Finding]:
    """Notes on the line of the arrangement shown, in its coldest season.

    Parameters
    ----------
    scene : figures.Scene
    """
    problem, state, choice = scene.problem, scene.state, scene.evaluation.choice
    every = line_values(scene)
    values = {key: float(array[0] if array.ndim else array) for key, array in every.items()}
    low, high = values["line.with_slip"], float(state.running_gauge[0])
    rise = quantiles(every["line.blocked_in"][1:], 0.95)[0]
    weakest = weakest_part(problem.inputs, problem.sample, choice)
    room = warming_to(weakest, problem.sample["product.expansion"], BULK_MODULUS, STEEL_GROWTH)
    least = quantiles(np.ravel(room)[1:], 0.05)[0]
    slots = {"value": rise, "warmed": WARMED_BY, "least": least, "limit": float(weakest[0])}
    closed = phrase("FND-line.blocked_in", **slots)
    notes = [*_extrapolated(scene, values), *_bore(scene)]
    notes += [("line.slip", phrase("FND-line.slip", low=low, high=high)), ("line.blocked_in", closed)]
    if "line.hose_needed" in values:
        taken = float(np.ravel(state.route.hose_length)[0])
        notes.append(("line.hose", phrase("FND-line.hose", value=values["line.hose_needed"], taken=taken)))
    notes += [*_cooling(scene), *changeover_notes(scene)]
    if choice.pump.turns:
        notes.append(("line.relief", _relief_note(problem, state, choice)))
    if problem.inputs.choices["case.place"] in (None, "EU", "UK"):
        notes.append(("line.screening", _screening(problem, state, choice)))
    return [Finding(key, "note", "", text) for key, text in notes]


def _extrapolated(scene: Any, values: dict[str, float]) -> list[tuple[str, Phrase]]:
    """Fittings below what their constants were measured at: two methods, or the spread that is counted."""
    if values.get("line.fittings_reynolds", np.inf) >= MEASURED_FROM:
        return []
    state, reynolds = scene.state, values["line.fittings_reynolds"]
    if not state.route.segments:
        own = float(np.ravel(state.loss.fittings)[0])
        return [("line.extrapolated", phrase("FND-line.extrapolated_totals", reynolds=reynolds, value=own))]
    density = scene.problem.sample["product.density"]
    found = losses(state.route.whole, state.wanted_flow, density, state.law, state.route.fittings_factor)
    own, guide = float(np.ravel(found.fittings)[0]), values["line.fittings_guide"]
    return [("line.extrapolated", phrase("FND-line.extrapolated", reynolds=reynolds, value=own, guide=guide))]


def _cooling(scene: Any) -> list[tuple[str, Phrase]]:
    """A running line that cools on its way: its pressures are computed at the temperature it begins with."""
    problem, state = scene.problem, scene.state
    sample = problem.sample
    along = temperature_along(
        segments_of_route(state.route), state.wanted_flow, state.temperature, air_along(problem, state),
        sample["model.line_heat"], sample["product.density"], sample["product.heat_capacity"],
    )  # fmt: skip
    start, end = float(along[0, 0]), quantiles(along[-1, 1:], 0.05)[0]
    if start - end < COOLS_BY:
        return []
    return [("line.cools", phrase("FND-line.cools", value=start, end=end))]


def _bore(scene: Any) -> list[tuple[str, Phrase]]:
    """A narrower bore of a new line that passes as well, and what it would hold less."""
    problem, state, choice = scene.problem, scene.state, scene.evaluation.choice
    used = float(np.atleast_1d(state.route.bore)[0])
    offered = [bore for bore in bores() if required_passage(problem.inputs) <= bore < used * 0.999]
    if problem.inputs.choices["line.existing"] or not offered or not scene.evaluation.passes:
        return []
    count = min(THIN, state.wanted_flow.size)
    sample = {key: values[:count] for key, values in problem.sample_of(choice).items()}
    parts = (state.law.yield_stress, state.law.consistency, state.law.exponent)
    law = FlowLaw(*(np.asarray(part)[:count] if np.ndim(part) else np.asarray(part) for part in parts))
    flow, density, end = state.wanted_flow[:count], sample["product.density"], sample["destination.pressure"]
    running, rested, held = [], [], []
    for bore in [*offered, used]:
        route = route_of(sample, replace(choice, bore=bore), problem.pieces)
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
    path = relief_of(problem, state, choice)
    branch = quantiles(np.atleast_1d(path.branch)[1:], 0.95)[0]
    length = float(problem.sample["model.relief_branch"][0])
    size = relief_size(state.wanted_flow, problem.sample["product.density"], state.law, 1.0e5)
    if size.basis == "formula":
        return phrase("FND-line.relief_formula", length=length, value=branch)
    items = [phrase(f"RELIEFTEST-{item}") for item in TEST_ITEMS]
    return phrase("FND-line.relief_test", length=length, value=branch, items=items)


def fluid_group(inputs: Any) -> Group | None:
    """Fluid group of the pressure-equipment directive: 1 dangerous, 2 others, None unknown.

    Parameters
    ----------
    inputs : Inputs

    Notes
    -----
    Nobody knows that a product is not toxic, corrosive or oxidising until its safety sheet has been read:
    without it, or without a word on fire, the group is unknown and screened as 1.
    """
    cyanate = inputs.estimates.get("product.isocyanate_share")
    if flammable(inputs) or (cyanate is not None and cyanate.high > 0.0):
        return 1
    said = inputs.choices["product.flammable"] is False and inputs.choices["product.safety_sheet_seen"]
    return 2 if said else None


def _screening(problem: Problem, state: Any, choice: Any) -> Any:
    """Pressure-equipment screening of the widest pipe, at its class: what is wanted does not make it less."""
    stated = problem.sample["line.pressure_class"][0]
    weakest = float(stated if choice.pressure_class is None else choice.pressure_class)
    sizes = [each.bore for each in segments_of_route(state.route)]
    bore = max(float(np.ravel(size)[0]) for size in sizes)
    found = screen("pipe", weakest, bore, fluid_group(problem.inputs))
    return phrase(
        "FND-line.screening",
        category=phrase(f"PED-{found.category}"),
        value=weakest,
        bore=bore,
        group=found.group,
    )
