"""Hazards this configuration brings: reminders from the register of the trade book, never a risk level."""

from __future__ import annotations

from drumwright.basis.phrases import phrase
from drumwright.machine.delivery.destination import is_closed
from drumwright.station.vessel import way_out
from drumwright.study.checks import flammable, weakest_part
from drumwright.study.evaluation import Evaluation, Problem
from drumwright.study.result import Hazard
from drumwright.study.topics import open_topics

HOT = 321.15  # [K] 48 C for ten minutes on bare metal (trade book 4.1, from memory)
INJECTION_PRESSURE = 7.0e5  # [Pa(g)] trade book 4.4: 7 bar (100 psi)
_CORE = frozenset({"trapped_pressure", "jet", "crush", "zone", "cure"})


def hazards(problem: Problem, evaluation: Evaluation | None) -> tuple[Hazard, ...]:
    """Hazards in the order of the register (trade book 4.5), core cautions among them where they apply.

    Parameters
    ----------
    problem : Problem
    evaluation : Evaluation or None
        The arrangement the answer rests on.
    """
    choices = problem.inputs.choices
    plated = way_out(problem.inputs.kind) == "plate" if evaluation is None else evaluation.choice.plated
    plated = plated and problem.enters
    pumped = problem.enters
    found = evaluation is not None and pumped
    turns = evaluation is not None and evaluation.choice.pump.turns
    topics = {topic.key for topic in open_topics(problem.inputs, problem.known, evaluation)}
    zone = (
        flammable(problem.inputs) or choices["site.zone"] not in (None, "none") or "topic.flammable" in topics
    )
    setting = "product.sets_at" in problem.inputs.estimates
    keys = (
        ("crush", plated),
        ("plate_falls", plated),
        ("drum_lifts", plated),
        ("drum_bursts", plated),
        ("trapped_pressure", True),
        ("dry_run", pumped),
        ("drawing_in", plated),
        ("lifting", True),
        ("restart", pumped),
        ("cutting_open", not pumped),
        ("dead_head", found and turns),
        ("noise_air", found and not turns),
        ("jet", evaluation is not None and _highest(problem, evaluation) > INJECTION_PRESSURE),
        ("zone", zone),
        ("static", zone and choices["container.liner"] not in (None, "none")),
        ("cure", setting or choices["product.cures_with"] not in (None, "nothing")),
        ("sensitiser", "topic.isocyanate" in topics),
        ("hygiene", bool(choices["product.food"])),
        ("allergen", bool(choices["product.allergens"])),
        ("heating", evaluation is not None and evaluation.choice.warm_to is not None),
        ("burn", problem.inputs.likely("product.temperature.high") > HOT),
        ("closed_filler", is_closed(choices["destination.kind"] or "open_tank")),
        ("arm_sweeps", evaluation is not None and evaluation.choice.stand == "moving_arm"),
        ("mast_tips", found and plated and not choices["site.anchoring"]),
    )
    return tuple(_hazard(key) for key, there in keys if there)


def _highest(problem: Problem, evaluation: Evaluation) -> float:
    """Highest pressure it may hold [Pa(g)]: a relief below the weakest part is all that stops a pump."""
    if not evaluation.balances:
        return 0.0
    return float(weakest_part(problem.inputs, problem.sample, evaluation.choice)[0])


def _hazard(key: str) -> Hazard:
    return Hazard(
        f"hazard.{key}", phrase(f"HAZ-{key}.hazard"), phrase(f"HAZ-{key}.consequence"),
        phrase(f"HAZ-{key}.safeguard"), key in _CORE,
    )  # fmt: skip
