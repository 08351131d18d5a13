"""Every pump family judged for a case on one line: best first, each with the number that decides it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from drumwright.basis.phrases import phrase
from drumwright.machine.pump.family import families
from drumwright.machine.pump.records import FamilyName
from drumwright.machine.pump.stock import Pump, rated_pressure
from drumwright.station.arrangement import Choice
from drumwright.study.check import Check
from drumwright.study.checks import needs_beside, pump_passage, required_passage
from drumwright.study.evaluation import PASSES, Evaluation, Problem, evaluate, relative_margin
from drumwright.study.findings import finding_of
from drumwright.study.pump_rules import Rating, rating
from drumwright.study.result import FamilyRow, Finding
from drumwright.study.search_options import sorted_pumps

TRIED = 6  # most pumps of a family that are evaluated, from small to large; what cannot do is left out before


@dataclass(frozen=True, slots=True)
class FamilyJudgement:
    """The best pump of a family on the line of an arrangement."""

    family: FamilyName
    evaluation: Evaluation
    check: Check | None  # that rejects it, or carries it with the least margin
    rules: tuple[tuple[str, Rating], ...]  # of the trade that apply
    points: int  # lowest is the first choice by the rules

    @property
    def passes(self) -> bool:
        """Whether every gate that was judged passes."""
        return self.evaluation.passes and bool(self.evaluation.balances)


def judge_families(problem: Problem, base: Choice) -> tuple[FamilyJudgement, ...]:
    """Judge every family with the line, plate and stand of an arrangement, those that pass first.

    Parameters
    ----------
    problem : Problem
        With a coarse sample: this evaluates several arrangements.
    base : Choice

    Notes
    -----
    Of those that pass the order is that of the rules of the trade, then of the margin; of the others how far
    they get through the gates.
    """
    found = [_judge(problem, base, family) for family in families()]
    return tuple(sorted((each for each in found if each is not None), key=_rank))


def _rank(judged: FamilyJudgement) -> tuple[int, int, float]:
    margin = relative_margin(judged.check) if judged.check is not None else 0.0
    if judged.passes:
        return (0, judged.points, -margin)
    return (1, -_gates_passed(judged.evaluation), -judged.evaluation.probability)


def _progress(found: Evaluation) -> tuple[bool, int, float, float]:
    """How far a pump gets: gates in a row, the chance at the obstacle, then its margin."""
    check = _deciding(found)
    margin = relative_margin(check) if check is not None else 0.0
    return found.passes, _gates_passed(found), round(found.probability, 3), margin


def _gates_passed(found: Evaluation) -> int:
    count = 0
    for gate in found.gates:
        if gate.status not in ("pass", "not_judged"):
            break
        count += 1
    return count


def _judge(problem: Problem, base: Choice, family: FamilyName) -> FamilyJudgement | None:
    best: Evaluation | None = None
    for pump in _sizes(problem, base, family):
        found = _tried(problem, base, pump)
        if best is None or _progress(found) > _progress(best):
            best = found
        if found.passes:
            break
    if best is None:
        return None
    if not best.passes:
        best = evaluate(problem, best.choice)  # flows that are not reached are settled
    rules = tuple((rule, rating(rule, family)) for rule in problem.pump_rules)
    return FamilyJudgement(family, best, _deciding(best), rules, problem.family_points[family])


def _tried(problem: Problem, base: Choice, pump: Pump) -> Evaluation:
    beside = base.beside or needs_beside(problem.inputs, pump.height, base.port)
    return evaluate(problem, replace(base, pump=pump, beside=beside), quick=True)


def _deciding(found: Evaluation) -> Check | None:
    """The check that rejects, else the one of feed and pressure with the least margin."""
    obstacle = found.first_obstacle
    if obstacle is not None:
        return obstacle.deciding
    own = [check for check in found.checks if check.gate in ("feed", "pressure")]
    own = [check for check in own if check.probability >= PASSES]
    return min(own, key=relative_margin, default=None)


def _sizes(problem: Problem, base: Choice, family: FamilyName) -> Iterator[Pump]:
    """Pumps of a family worth an evaluation: wide, large and strong enough first, then the rest of its sizes.

    The rest shows how far a family gets that does not pass: a pump that is strong enough may not be fed where
    a weaker one is.
    """
    if base.pump.family == family:
        yield base.pump
        return
    stock = [pump for pump in problem.inputs.stock.active_pumps if pump.family == family]
    if not stock:
        return
    need, flow = required_passage(problem.inputs), float(problem.sample["enquiry.flow"][0]) * base.flow_factor
    reference = problem.kept.once(("reference", base), lambda: evaluate(problem, base, quick=True))
    pressure = max((float(s.running_gauge[0]) for s in reference.balances.values()), default=0.0)
    wide = _enough(stock, lambda pump: pump_passage(problem.inputs, pump), need)
    fast = _enough(wide, lambda pump: pump.displacement * pump.maximum_speed, flow)
    strong = _enough(fast, lambda pump: rated_pressure(pump, problem.abrasion), pressure)
    first = _spread(sorted_pumps(problem.inputs, strong, base.flow_factor))
    yield from first
    rest = [pump for pump in wide if pump not in first]
    yield from _spread(sorted_pumps(problem.inputs, rest, base.flow_factor))


def _spread(ordered: Sequence[Pump]) -> list[Pump]:
    """At most `TRIED` pumps of a list, evenly taken with both ends."""
    places = np.unique(np.linspace(0, len(ordered) - 1, min(len(ordered), TRIED)).round().astype(int))
    return [ordered[place] for place in places]


def _enough(stock: Sequence[Pump], size: Callable[[Pump], float], need: float) -> list[Pump]:
    """Pumps of which a size suffices; where none does, all that come nearest to it."""
    most = max(size(pump) for pump in stock)
    return [pump for pump in stock if size(pump) >= min(need, most)]


def family_rows(judged: Sequence[FamilyJudgement]) -> tuple[FamilyRow, ...]:
    """The judged families as rows of the result.

    Parameters
    ----------
    judged : sequence of FamilyJudgement
    """
    rows = []
    for each in judged:
        if each.check is None:
            continue
        gate = next(score for score in each.evaluation.gates if score.gate == each.check.gate)
        pump = each.evaluation.choice.pump
        rows.append(
            FamilyRow(
                family=each.family,
                name=pump.name.split(", placeholder")[0],
                stock=pump.identifier,
                passes=each.passes,
                decides=finding_of(each.check, gate, each.evaluation),
                rules=each.rules,
            )
        )
    return tuple(rows)


def overruled(judged: Sequence[FamilyJudgement]) -> list[Finding]:
    """First choices by the rules of the trade that a number breaks, named with that number.

    Parameters
    ----------
    judged : sequence of FamilyJudgement

    Notes
    -----
    The diaphragm pump has sentences of its own (`trade_rules`).
    """
    if not judged:
        return []
    least = min(each.points for each in judged)
    found = []
    for each in judged:
        if each.passes or each.points > least or each.check is None or each.family == "air_diaphragm":
            continue
        gate = next(score for score in each.evaluation.gates if score.gate == each.check.gate)
        broken = finding_of(each.check, gate, each.evaluation)
        if not each.rules:
            continue
        rules = [phrase(f"RULENAME-{rule}") for rule, said in each.rules if said == "good"]
        text = phrase(
            "RULE-family", rules=rules or [phrase("RULENAME-plain")], family=phrase(f"KIND-{each.family}"),
            why=broken.text,
        )  # fmt: skip
        found.append(replace(broken, key=f"rule.{each.family}", role="overruled", text=text))
    return found


def stays(problem: Problem, shown: Evaluation | None, judged: Sequence[FamilyJudgement]) -> list[Finding]:
    """Why a pump is recommended although another family stands before it in the list.

    Parameters
    ----------
    problem : Problem
    shown : Evaluation or None
        The recommended arrangement.
    judged : sequence of FamilyJudgement
        Best first.
    """
    if shown is None or not judged or not judged[0].passes or judged[0].family == shown.choice.pump.family:
        return []
    choices = problem.inputs.choices
    asked = shown.choice.pump.family == choices["enquiry.pump_wanted"] or bool(choices["machine.pump"])
    own, first = shown.choice.pump.family, judged[0].family
    text = phrase(
        f"FND-pump.stays_{'asked' if asked else 'plain'}",
        name=phrase(f"KIND-{own}"),
        first=phrase(f"KIND-{first}"),
    )
    return [Finding("pump.stays", "note", "", text)]


def kept_line(problem: Problem, asked: Evaluation | None, best: Evaluation | None) -> list[Finding]:
    """An existing line that the answer would widen: the piston pump that drives it as it is, and how hard.

    Parameters
    ----------
    problem : Problem
        With a coarse sample.
    asked : Evaluation or None
    best : Evaluation or None
        The arrangement of the answer.

    Notes
    -----
    With every part of the line rated for the stall of the pump, and the pressure that was asked not kept.
    """
    if asked is None or best is None or best.choice.bore is None:
        return []
    if not problem.inputs.choices["line.existing"]:
        return []
    pistons = [pump for pump in problem.inputs.stock.active_pumps if pump.family == "follower_piston"]
    running, need = 0.0, required_passage(problem.inputs)
    sample = {key: values for key, values in problem.sample.items() if key != "enquiry.pressure_limit"}
    rated = replace(problem, sample=sample)
    for pump in sorted(pistons, key=lambda each: (each.maximum_pressure, each.mass)):
        if rated_pressure(pump, problem.abrasion) < running or pump.passage < need:
            continue
        beside = needs_beside(problem.inputs, pump.height, asked.choice.port)
        choice = replace(asked.choice, pump=pump, beside=beside, warm_to=best.choice.warm_to)
        found = evaluate(rated, replace(choice, pressure_class=pump.maximum_pressure), quick=True)
        running = max(float(state.running_gauge[0]) for state in found.balances.values())
        if found.passes:
            text = phrase(
                "FND-line.kept", bore=problem.inputs.likely("line.bore"), value=running,
                name=pump.name.split(", placeholder")[0], limit=pump.maximum_pressure,
            )  # fmt: skip
            limit = pump.maximum_pressure
            return [Finding("line.kept", "note", "", text, "line.total", running, limit, "pressure_gauge")]
    return []
