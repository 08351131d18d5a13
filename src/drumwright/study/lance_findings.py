"""A container only a lance can reach: what suction gives, whether the product follows, and the ways out."""

from __future__ import annotations

from typing import Literal

import numpy as np

from drumwright.basis.phrases import Phrase, phrase
from drumwright.machine.container.lance_hole import carried_out, lance_hole
from drumwright.machine.pump.lance import attainable_flow, suction_loss
from drumwright.product.law import FlowLaw
from drumwright.station.vessel import filled_height, shape_of
from drumwright.study.container_checks import MOST_HEEL
from drumwright.study.evaluation import Problem
from drumwright.study.plate_findings import HOLE
from drumwright.study.raising import TENSION
from drumwright.study.result import Finding
from drumwright.study.warming import warmest, warming_findings

LANCE_WALL = 0.003  # [m] assumed
DRAWN_UP = 0.1  # [m/s] by hand, assumed


def lance_findings(problem: Problem) -> list[Finding]:
    """The numbers behind a refusal: suction through a lance, and the ways out that are not this machine."""
    if problem.known.kind == "none" or "enquiry.flow" not in problem.sample:
        return []
    loss, offered = _lance_loss(problem, None), float(problem.sample["model.lance_suction"][0])
    hole = _standing_hole(problem)
    role: Literal["fail", "note"] = "fail" if loss > offered or hole else "note"
    found = [
        Finding(
            "lance.suction",
            role,
            "container_plate",
            _lance_text(problem, loss, offered, bool(hole)),
            "lance.suction_loss",
            loss,
            offered,
            "pressure_difference",
            problem.seasons[0],
        ),
        Finding("way_out.container", "note", "container_plate", phrase("FND-way_container")),
        *hole,
        *([] if role == "fail" else _drips(problem)),
    ]
    warm = warmest(problem)
    if warm is not None and loss > offered:
        found += _warm_way_out(problem, warm, offered)
        found += warming_findings(problem, warm)
    return found


def _lance_loss(problem: Problem, warm_to: float | None) -> float:
    """Pressure [Pa] a lance takes at the wanted flow, in the first season or warmed to a temperature [K]."""
    sample = problem.sample
    law, _, _ = problem.law(problem.seasons[0], warm_to)
    bore, length = sample["machine.lance_bore"], sample["machine.lance_length"]
    return float(suction_loss(sample["enquiry.flow"], bore, length, law)[0])


def _standing_hole(problem: Problem) -> list[Finding]:
    """A hole about the foot of the lance that may stand, so that the pump draws air and the rest stays."""
    sample, season = problem.sample, problem.seasons[0]
    point = {key: values[:1] for key, values in sample.items()}
    law, _, _ = problem.law(season, None)
    tau_y = np.broadcast_to(np.asarray(law.yield_stress, float), sample["product.density"].shape)[:1]
    if tau_y[0] <= 0.0:
        return []
    shape = shape_of(point)
    rested = tau_y * point["product.restart_factor"]
    hole = lance_hole(shape, filled_height(point, shape), HOLE, rested, tau_y, point["product.density"])
    depth = float(np.minimum(hole.standing, filled_height(point, shape)).flat[0])
    kept = float((np.maximum(hole.beside_hole, hole.heel) / point["container.usable_volume"]).flat[0])
    if kept < MOST_HEEL:
        return []
    text = phrase("FND-lance.hole", depth=depth, share=kept, season=phrase(f"SEASON-{season}"))
    return [Finding("lance.hole", "fail", "container_plate", text, "", kept, MOST_HEEL, "fraction", season)]


def _drips(problem: Problem) -> list[Finding]:
    """Product that comes up on a lance when it is drawn out: an upper bound."""
    point = {key: values[:1] for key, values in problem.sample.items()}
    law, _, _ = problem.law(problem.seasons[0], None)
    columns = (law.yield_stress, law.consistency, law.exponent)
    first = FlowLaw(*(np.atleast_1d(np.asarray(column, float))[:1] for column in columns))
    outside = point["machine.lance_bore"] + 2.0 * LANCE_WALL
    wetted = filled_height(point, shape_of(point))
    most = carried_out(outside, wetted, DRAWN_UP, first, point["product.density"], TENSION)
    value = float(np.asarray(most).flat[0])
    text = phrase("FND-lance.drips", value=value)
    return [Finding("lance.drips", "note", "container_plate", text, "", value, None, "volume")]


def _lance_text(problem: Problem, loss: float, offered: float, hole: bool) -> Phrase:
    """What the lance takes against what suction offers, and the flow it gives where that is too little."""
    sample, season = problem.sample, problem.seasons[0]
    said = phrase(f"SEASON-{season}")
    if loss <= offered:
        kind = "FND-lance-air" if hole else "FND-lance-enough"
        return phrase(kind, season=said, value=loss, limit=offered)
    law, _, _ = problem.law(season, None)
    bore, length = sample["machine.lance_bore"], sample["machine.lance_length"]
    gives = float(attainable_flow(sample["model.lance_suction"], bore, length, law)[0])
    return phrase("FND-lance", season=said, value=loss, limit=offered, flow=gives)


def _warm_way_out(problem: Problem, warm: float, offered: float) -> list[Finding]:
    """Warming the drum [K] as a way out, where the lance then takes no more than suction offers [Pa]."""
    easy = _lance_loss(problem, warm)
    if easy > offered:
        return []
    return [
        Finding(
            "way_out.warm",
            "note",
            "container_plate",
            phrase("FND-way_warm", temperature=warm, value=easy),
            "lance.suction_loss",
            easy,
            offered,
            "pressure_difference",
        )
    ]
