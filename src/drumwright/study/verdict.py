"""The verdict by the written rules (design decision 3.5), first that holds, and what may go out today."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from drumwright.basis.phrases import Phrase, phrase
from drumwright.machine.pump.motor import smallest_motor
from drumwright.product.one_point import EXPONENT_BAND, SHEAR_RATE_BAND, YIELD_SHARE_BAND
from drumwright.station.inputs import draw
from drumwright.study.evaluation import FAILS, Evaluation, Problem, evaluate
from drumwright.study.register import Register
from drumwright.study.result import Finding, Offer, Verdict
from drumwright.study.search import Found, stopped_by_materials
from drumwright.study.variants import needed_class


@dataclass(frozen=True, slots=True)
class Decision:
    """Verdict with the gate that decided as asked, its reason, and what may go out."""

    verdict: Verdict
    gate: str
    reason: Phrase
    offer: Offer
    offer_reason: Phrase


@dataclass(frozen=True, slots=True)
class Ends:
    """Sizes that the two ends of a one-point band ask for."""

    classes: tuple[float, float]  # pressure class [Pa(g)]
    motors: tuple[float, float]  # rated power [W]
    running: tuple[float, float]  # running pressure [Pa(g)]

    @property
    def differ(self) -> bool:
        """Whether the ends need different pressure classes or motors (rule (a))."""
        return self.classes[0] != self.classes[1] or self.motors[0] != self.motors[1]


def band_ends(problem: Problem, asked: Evaluation) -> Ends | None:
    """Sizes at the two ends of a one-point viscosity whose shear rate is unknown; None otherwise."""
    unknown = "one_point.shear_rate" in problem.inputs.defaulted
    if problem.known.kind != "one_point" or not unknown or not problem.computable:
        return None
    sample = {key: np.full(2, values[0]) for key, values in draw(problem.inputs, 1, 0).items()}
    sample["one_point.shear_rate"] = np.array(SHEAR_RATE_BAND)
    sample["one_point.exponent"] = np.array(EXPONENT_BAND)
    sample["one_point.yield_share"] = np.array(YIELD_SHARE_BAND[::-1])
    found = evaluate(replace(problem, sample=sample, seasons=("norm",)), asked.choice)
    state = found.balances["norm"]
    share = sample["line.working_share"]
    running, motor = state.running_gauge, state.load.motor_required
    mains = problem.inputs.likely("site.mains_frequency")
    return Ends(
        (needed_class(float(running[0] / share[0])), needed_class(float(running[1] / share[1]))),
        (smallest_motor(float(motor[0]), mains), smallest_motor(float(motor[1]), mains)),
        (float(running[0]), float(running[1])),
    )


def decide(
    problem: Problem,
    asked: Evaluation | None,
    best: Evaluation | None,
    found: Found,
    numbers: Register,
    conditions: Sequence[Finding],
    obstacles: Sequence[Finding],
    changes: Sequence[Phrase],
) -> Decision:
    """Apply the rules in their order.

    Parameters
    ----------
    problem : Problem
    asked : Evaluation or None
        As asked; None where the wished pump family is not judged.
    best : Evaluation or None
        The arrangement that passes.
    found : Found
        What the search tried, and whether it left anything out.
    numbers : Register
    conditions : sequence of Finding
        Everything the verdict would rest on: changes, trials, open R answers, things not judged.
    obstacles : sequence of Finding
        What stops the arrangement as asked.
    changes : sequence of Phrase
        What the passing arrangement changes.
    """
    gate = _gate(asked)
    if not problem.enters:
        return _behind_a_mouth(problem, obstacles)
    if not problem.computable:
        return _ask(_missing_gate(problem), phrase("VER-ask-missing", what=_missing(problem)), figures=False)
    if best is None and asked is None:
        return _ask(gate or "feed", phrase("VER-ask-pump", why=_first(obstacles)), figures=False)
    stopped = [part for each in found.tried if (part := stopped_by_materials(each)) is not None]
    if best is None and stopped:  # the table is from memory: its makers may know better
        return _ask("hygiene_zone", phrase("VER-ask-makers", why=stopped[0].text), figures=False)
    if best is None and found.exhausted and _hopeless(asked, found.tried):
        always = _in_every(found.tried, obstacles)
        why = always.text if always else _first(obstacles)
        stop = (always.gate if always else gate) or "pressure"
        return _refuse(problem, stop, phrase("VER-refuse-none", why=why))
    if problem.only_a_prior:
        return _ask(gate or "pressure", phrase("VER-ask-prior", name=problem.inputs.product.prior))
    ends = band_ends(problem, asked) if asked is not None else None
    if ends is not None and ends.differ:
        text = phrase("VER-ask-band", low=ends.running[0], high=ends.running[1])
        return _ask(gate or "pressure", text)
    if numbers.deciding:
        text = phrase("VER-ask-range", what=phrase(f"MEANS-{numbers.deciding}"))
        return _ask(gate or "feed", text)
    if best is None:
        why = _first(obstacles, gate)
        if gate != "hygiene_zone" and _zone_open(asked):  # that alone keeps every arrangement from passing
            return _ask(gate or "pressure", phrase("VER-ask-zone", why=why, zone=phrase("VER-zone_open")))
        return _ask(gate or "pressure", phrase("VER-ask-spread", why=why))
    return _possible(problem, asked, gate, numbers, conditions, obstacles, changes)


def _possible(
    problem: Problem,
    asked: Evaluation | None,
    gate: str,
    numbers: Register,
    conditions: Sequence[Finding],
    obstacles: Sequence[Finding],
    changes: Sequence[Phrase],
) -> Decision:
    open_r = any(row.flag == "R" for row in numbers.assumptions)
    if changes:
        reason = phrase("VER-go_if-change", why=_first(obstacles), changes=list(changes))
    elif problem.inputs.choices["enquiry.plate_wanted"] == "none" and problem.way == "plate":
        reason = phrase("VER-go_if-plate")
    elif conditions or open_r:
        reason = phrase("VER-go_if-asked")
    else:
        reason = phrase("VER-go")
    verdict: Verdict = "go" if not (changes or conditions or open_r) else "go_if"
    left_out = any(item.role == "not_judged" for item in conditions)
    why = "OFFER-open" if open_r else "OFFER-not_judged" if left_out else "OFFER-generic"
    return Decision(verdict, gate, reason, "budget_letter", phrase(why))


def _zone_open(asked: Evaluation | None) -> bool:
    """Whether a product that can burn waits for its explosion zone."""
    gates = asked.gates if asked is not None else ()
    return any(
        gate.gate == "hygiene_zone" and gate.status == "undecided" and gate.deciding is None for gate in gates
    )


def _gate(asked: Evaluation | None) -> str:
    """First gate the arrangement as asked fails, or that cannot be decided for it."""
    if asked is None:
        return "feed"
    obstacle = asked.first_obstacle
    return obstacle.gate if obstacle else ""


def _refuse(problem: Problem, gate: str, reason: Phrase) -> Decision:
    return Decision("refuse", gate, reason, "nothing", phrase("OFFER-refused"))


def _ask(gate: str, reason: Phrase, figures: bool = True) -> Decision:
    if not figures:
        return Decision("ask_first", gate, reason, "nothing", phrase("OFFER-questions"))
    return Decision("ask_first", gate, reason, "budget_letter", phrase("OFFER-ask"))


def _missing_gate(problem: Problem) -> str:
    if problem.known.kind == "none" or "enquiry.flow" in problem.inputs.missing:
        return "feed"
    return "pressure"


def _missing(problem: Problem) -> list[Phrase]:
    missing = set(problem.inputs.missing)
    if problem.known.kind == "none":
        missing.add("product.flow_curve")
    return [phrase(f"NEED-{key}") for key in sorted(missing)]


def _first(obstacles: Sequence[Finding], gate: str = "") -> Phrase:
    failed = [item for item in obstacles if item.role in ("fail", "undecided")] or list(obstacles)
    if failed:
        return failed[0].text
    return phrase("VER-zone_open" if gate == "hygiene_zone" else "VER-no_obstacle")


def _behind_a_mouth(problem: Problem, obstacles: Sequence[Finding]) -> Decision:
    """No plate can enter: refused with the number that closes the other way, or asked where none does."""
    said = {item.key: item for item in obstacles}
    if "lance.suction" in said:
        return _refuse(problem, "container_plate", phrase("VER-refuse-lance", why=said["lance.suction"].text))
    return _refuse(problem, "container_plate", phrase("VER-refuse-entry"))


def _in_every(tried: Sequence[Evaluation], obstacles: Sequence[Finding]) -> Finding | None:
    """The obstacle that no arrangement tried got over, where there is one."""
    if not tried:
        return None
    failed = [{check.key for check in found.checks if check.probability <= FAILS} for found in tried]
    for item in obstacles:
        if item.role in ("fail", "undecided") and all(item.key in keys for keys in failed):
            return item
    return None


def _hopeless(asked: Evaluation | None, tried: Sequence[Evaluation]) -> bool:
    """Whether every arrangement tried fails some gate over the whole band."""
    everything = [*tried, *([asked] if asked else [])]
    return all(
        any(gate.probability is not None and gate.probability <= FAILS for gate in found.gates)
        for found in everything
    )
