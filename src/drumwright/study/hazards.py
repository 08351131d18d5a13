"""Hazards this configuration brings: reminders from the register of the trade book, never a risk level."""

from __future__ import annotations

from drumwright.basis.phrases import phrase
from drumwright.machine.delivery.destination import is_closed
from drumwright.study.checks import flammable, weakest_part
from drumwright.study.evaluation import Evaluation, Problem
from drumwright.study.result import Hazard
from drumwright.study.topics import open_topics

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
    keys = ["crush", "plate_falls", "drum_lifts", "drum_bursts", "trapped_pressure", "dry_run", "drawing_in",
            "lifting", "restart"]  # fmt: skip
    if problem.inputs.choices["container.kind"] in ("tight_head_drum", "rigid_ibc"):
        keys = ["trapped_pressure", "lifting", "cutting_open"]
    family = evaluation.choice.pump.family if evaluation else "progressing_cavity"
    if evaluation is not None and family == "progressing_cavity":
        keys.append("dead_head")
    if evaluation is not None and _highest(problem, evaluation) > INJECTION_PRESSURE:
        keys.append("jet")
    choices = problem.inputs.choices
    if flammable(problem.inputs) or choices["site.zone"] not in (None, "none"):
        keys.append("zone")
    topics = {topic.key for topic in open_topics(problem.inputs, problem.known, evaluation)}
    if "topic.flammable" in topics:
        keys.append("zone")
    if (
        choices["product.cures_with"] not in (None, "nothing")
        or "product.sets_at" in problem.inputs.estimates
    ):
        keys.append("cure")
    if "topic.isocyanate" in topics:
        keys.append("sensitiser")
    if choices["product.food"]:
        keys.append("hygiene")
    if choices["product.allergens"]:
        keys.append("allergen")
    if evaluation is not None and evaluation.choice.warm_to is not None:
        keys.append("heating")
    if is_closed(choices["destination.kind"] or "open_tank"):
        keys.append("closed_filler")
    if evaluation is not None and evaluation.choice.stand == "moving_arm":
        keys.append("arm_sweeps")
    unique = list(dict.fromkeys(keys))
    return tuple(_hazard(key) for key in unique)


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
