"""The ordinary ways beside a machine of ours: warm it, take other containers, do without a machine."""

from __future__ import annotations

from dataclasses import dataclass, replace

from drumwright.basis.phrases import Phrase, phrase
from drumwright.station.inputs import draw, resolve
from drumwright.station.records import Case, Container
from drumwright.station.vessel import way_out
from drumwright.study import findings as found_in
from drumwright.study.answer import Judgement
from drumwright.study.assess import DEFAULT_SEED
from drumwright.study.evaluation import Evaluation, Problem, evaluate
from drumwright.study.search import as_asked, search
from drumwright.study.search_options import _warm_options

OTHERS = ("straight_drum", "rigid_ibc")  # containers a supplier may be asked for
SEARCHED = 200  # most arrangements looked at for one of them


@dataclass(frozen=True, slots=True)
class Alternative:
    """One ordinary way.

    Parameters
    ----------
    key : str
        warm, container.<kind> or no_machine.
    helps : bool or None
        Whether it does what it is for; None where no number decides it.
    text : Phrase
        With the number for or against it.
    """

    key: str
    helps: bool | None
    text: Phrase


def ordinary(case: Case, answer: Judgement) -> tuple[Alternative, ...]:
    """The ordinary ways of a case, each with the number for or against it.

    Parameters
    ----------
    case : Case
    answer : Judgement
        Of the binding duty.
    """
    listed = [*_warming(answer), *_containers(case, answer), *_by_hand(answer)]
    return tuple(listed)


def _warming(answer: Judgement) -> list[Alternative]:
    """The arrangement as asked with containers warmed as far as the product is known to bear."""
    problem, asked = answer.coarse, answer.asked
    if asked is None or not asked.balances:
        return []
    targets = [target for _, target in _warm_options(problem.inputs)[1:] if target is not None]
    if not targets:
        return [Alternative("warm", False, phrase("SHL-warm_none"))]
    warmest = max(targets)
    cold, warm = (
        evaluate(problem, replace(asked.choice, warm_to=to)) for to in (asked.choice.warm_to, warmest)
    )
    before, after = _running(cold), _running(warm)
    settled = answer.decision.verdict not in ("ask_first", "refuse") or not problem.size_withheld
    helps = settled and passes(warm) and not passes(cold)
    key = "SHL-warm_passes" if helps else "SHL-warm_less" if after < before else "SHL-warm_nothing"
    return [Alternative("warm", helps, phrase(key, to=warmest, before=before, after=after))]


def _entered(kind: str, problem: Problem) -> Alternative:
    """A container that a plate enters where it does not enter that of the case; more waits for answers."""
    what = [phrase(f"NEED-{key}") for key in sorted(problem.inputs.missing)]
    text = phrase("SHL-container_entered", name=phrase(f"SHL-container.{kind}"), what=what)
    return Alternative(f"container.{kind}", None, text)


def passes(found: Evaluation) -> bool:
    """Whether every gate passes that numbers decide.

    Parameters
    ----------
    found : Evaluation
    """
    return bool(found.balances) and all(
        gate.status in ("pass", "not_judged") for gate in found.gates if gate.gate != "hygiene_zone"
    )


def _running(found: Evaluation) -> float:
    """Greatest running pressure at likely values [Pa(g)]."""
    return max(float(state.running_gauge[0]) for state in found.balances.values())


def _containers(case: Case, answer: Judgement) -> list[Alternative]:
    """The same duty out of containers of another kind, as the table has them."""
    own = answer.problem.inputs
    found: list[Alternative] = []
    if len(case.duty) > 1:  # the shift is shared between duties: one alone would be judged too well
        return found
    for kind in OTHERS:
        if kind == own.kind:
            continue
        other = Container(name=own.container.name if own.container else None, kind=kind)
        problem = problem_in(case, answer, other)
        if not problem.computable:
            if problem.way == "plate" and not answer.problem.enters:
                found.append(_entered(kind, problem))
            continue
        asked = as_asked(problem)
        if asked is None:
            continue
        name, key = phrase(f"SHL-container.{kind}"), f"container.{kind}"
        if passes(asked) and not problem.size_withheld:
            text = phrase("SHL-container_passes", name=name, chance=asked.probability)
            found.append(Alternative(key, True, text))
            continue
        best = search(problem, SEARCHED).best if not problem.size_withheld else None
        if best is not None:
            changes = [text for _, text in found_in.changes(problem, asked, best)]
            found.append(Alternative(key, True, phrase("SHL-container_with", name=name, changes=changes)))
            continue
        score = asked.first_obstacle
        if score is not None and score.deciding is not None:
            why = found_in.finding_of(score.deciding, score, asked).text
            found.append(Alternative(key, False, phrase("SHL-container_fails", name=name, why=why)))
    return found


def problem_in(case: Case, answer: Judgement, container: Container) -> Problem:
    """The duty of a judgement out of another container.

    Parameters
    ----------
    case : Case
    answer : Judgement
    container : Container
    """
    before = answer.coarse
    duty = case.duty[0] if case.duty else None
    inputs = resolve(case, before.inputs.product, container, duty)
    count = before.sample["product.density"].size - 1
    seed = case.case.seed if case.case.seed is not None else DEFAULT_SEED
    return replace(before, inputs=inputs, sample=draw(inputs, count, seed), way=way_out(inputs.kind))


def _by_hand(answer: Judgement) -> list[Alternative]:
    """Nobody buys anything: what people would have to move by hand."""
    inputs = answer.problem.inputs
    if not {"container.usable_volume", "product.density"} <= set(inputs.estimates):
        return []
    each = inputs.likely("container.usable_volume") * inputs.likely("product.density")
    if "enquiry.drums_per_shift" not in inputs.estimates:
        return [Alternative("no_machine", None, phrase("SHL-by_hand_each", each=each))]
    drums = inputs.likely("enquiry.drums_per_shift")
    text = phrase("SHL-by_hand", mass=each * drums, each=each)
    return [Alternative("no_machine", None, text)]
