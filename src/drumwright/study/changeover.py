"""What a change of product costs on the line and what can be got back, as notes."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.phrases import Phrase, phrase
from drumwright.basis.statistics import quantiles
from drumwright.machine.line.economy import priced, year_of_line
from drumwright.machine.line.losses import losses, volume
from drumwright.machine.line.purge import (
    PIG_RECOVERY,
    lost_at_changeover,
    pig_push,
    push_newtonian,
    push_yield,
)
from drumwright.study.checks import weakest_part
from drumwright.study.line_stops import segments_of_route, stops_of

Array = NDArray[np.float64]
WATER_DENSITY, WATER_VISCOSITY = 1000.0, 1.0e-3  # [kg/m3], [Pa s] of water at 20 C


def changeover_notes(scene: Any) -> list[tuple[str, Phrase]]:
    """Energy against lost product in a shift, and what a push or a pig gives back.

    Parameters
    ----------
    scene : figures.Scene
        The coldest season of an evaluation.
    """
    notes = [("line.pushed", _pushed(scene))]
    if "enquiry.drums_per_shift" in scene.problem.sample and scene.evaluation.choice.pump.turns:
        notes.insert(0, ("line.economy", _economy(scene)))
    return notes


def _economy(scene: Any) -> Phrase:
    """Energy and lost product of the line in a shift, the product priced where its price was said."""
    sample, state = scene.problem.sample, scene.state
    segments, flow, density = segments_of_route(state.route), state.wanted_flow, sample["product.density"]
    time = sample["enquiry.drums_per_shift"] * sample["container.usable_volume"] / flow
    pressure = np.maximum(state.running_gauge, 1.0)
    efficiency = pressure * flow / np.maximum(state.load.shaft_power, 1e-9)
    lost = lost_at_changeover(segments, 0.0, 0.0)
    spent = year_of_line(pressure, flow, time, efficiency, lost, sample["enquiry.recipes_per_shift"], density)
    slots = {"energy": float(spent.energy[0]), "value": float(np.ravel(spent.lost_volume)[0])}
    if "product.price" not in sample:
        return phrase("FND-line.economy", **slots)
    money = float(np.ravel(priced(spent, 0.0, sample["product.price"]).lost_product)[0])
    mass = float(np.ravel(spent.lost_mass)[0])
    return phrase("FND-line.economy_priced", **slots, mass=mass, money=round(money))


def _pushed(scene: Any) -> Phrase:
    """Volume that water or air, and that a pig gives back, and the pressure a pig starts at."""
    problem, state = scene.problem, scene.state
    sample, route = problem.sample, state.route
    segments, end = segments_of_route(route), sample["destination.pressure"]
    held = float(np.ravel(volume(segments))[0])
    widest = np.max(np.stack(np.broadcast_arrays(*(np.asarray(each.bore) for each in segments))), axis=0)
    if problem.known.yields:
        pushed = push_yield(state.wanted_flow, widest, state.law.yield_stress, WATER_DENSITY, WATER_VISCOSITY)
    else:
        pushed = push_newtonian(np.inf)  # water mixes with the product: no film is credited
    back = held * float(np.min(np.ravel(pushed.at_breakthrough)))
    factor = route.fittings_factor if route.segments else 1.0
    loss = losses(segments, state.wanted_flow, sample["product.density"], state.law, factor)
    pig = pig_push(segments, loss, stops_of(problem, state)["filler_stop"].pressure, 0.0, end)
    limit = sample["line.working_share"] * weakest_part(problem.inputs, sample, scene.evaluation.choice)
    slots = {"volume": held, "value": back}
    if route.segments and pig.obstacles:
        return phrase("FND-line.pushed_stopped", **slots, count=len(pig.obstacles))
    starting = quantiles(np.ravel(pig.starting)[1:], 0.95)[0]
    key = "FND-line.pushed" if route.segments else "FND-line.pushed_totals"
    pigged = PIG_RECOVERY[0] * held
    return phrase(key, **slots, pigged=pigged, pressure=starting, limit=float(limit[0]))
