"""What a decision is made of, and whether it is another one where one open number is known better."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.pump.motor import smallest_motor
from drumwright.study.answer import Judgement
from drumwright.study.evaluation import PASSES, Evaluation
from drumwright.study.register import STEP_SEED
from drumwright.study.result import Verdict
from drumwright.study.search import search
from drumwright.study.variants import block_problem, needed_class

Array = NDArray[np.float64]
PARTS = ("verdict", "change", "family", "size", "bore", "stations")  # of a decision, the weightiest first
BINS = 16  # of equal probability
NOISE = (
    0.03  # of a size or a probability: less is taken for the scatter of a bin; assumed, as in the register
)
LOST = 0.90


@dataclass(frozen=True, slots=True)
class Standing:
    """A decision, as far as an answer can change it.

    Parameters
    ----------
    verdict : str
    change : bool
        Whether something else than what was asked is recommended.
    family, machine : str
        Pump family; seal, stand and warming in words of the program.
    motor, pressure_class, bore : float
        Rated power [W], class [Pa(g)] and bore of line [m]; NaN where there is none.
    stations : int
    """

    verdict: Verdict
    change: bool
    family: str
    machine: str
    motor: float
    pressure_class: float
    bore: float
    stations: int

    def differs(self, other: Standing) -> frozenset[str]:
        """Parts of the decision in which two standings differ; the verdict alone where one names no machine.

        Parameters
        ----------
        other : Standing
        """
        if bool(self.family) != bool(other.family):
            return frozenset(("verdict",))
        pairs = {
            "verdict": (self.verdict, other.verdict),
            "change": (self.change, other.change),
            "family": ((self.family, self.machine), (other.family, other.machine)),
            "size": (_sizes(self), _sizes(other)),
            "bore": (_known(self.bore), _known(other.bore)),
            "stations": (self.stations, other.stations),
        }
        return frozenset(name for name, (mine, theirs) in pairs.items() if mine != theirs)


def _sizes(one: Standing) -> tuple[float, float]:
    return _known(one.motor), _known(one.pressure_class)


def _known(value: float) -> float:
    return value if math.isfinite(value) else -1.0


def standing_of(answer: Judgement) -> Standing:
    """The decision of a judgement.

    Parameters
    ----------
    answer : Judgement
        Of the binding duty.
    """
    found = answer.best
    changed = found is not None and found is not answer.asked
    return _standing(answer, found, answer.decision.verdict, changed, _loads(answer, found))


def _standing(
    answer: Judgement, found: Evaluation | None, verdict: Verdict, changed: bool, loads: tuple[float, float]
) -> Standing:
    if found is None or verdict not in ("go", "go_if"):  # no machine is named: none can change
        return Standing(verdict, False, "", "", math.nan, math.nan, math.nan, 0)
    choice = found.choice
    motor, pressure = (math.nan, math.nan) if answer.problem.size_withheld else loads
    machine = f"{choice.seal} {choice.stand} {'warmed' if choice.warm_to is not None else ''}".strip()
    bore = choice.bore if choice.bore is not None else math.nan
    return Standing(verdict, changed, choice.pump.family, machine, motor, pressure, bore, choice.stations)


def _loads(answer: Judgement, found: Evaluation | None) -> tuple[float, float]:
    """Motor [W] and pressure class [Pa(g)] that 95 % of the samples need."""
    if found is None or not found.balances:
        return math.nan, math.nan
    motor, running = _needs(found)
    return _steps(answer, float(np.quantile(motor[1:], 0.95)), float(np.quantile(running[1:], 0.95)))


def _needs(found: Evaluation) -> tuple[Array, Array]:
    """Motor power [W] and running pressure [Pa(g)] of the worst season, sample by sample."""
    states = list(found.balances.values())
    motor = np.max([state.load.motor_required for state in states], axis=0)
    return motor, np.max([state.running_gauge for state in states], axis=0)


def _steps(answer: Judgement, motor: float, running: float) -> tuple[float, float]:
    inputs = answer.problem.inputs
    share = inputs.likely("line.working_share")
    return smallest_motor(motor, inputs.likely("site.mains_frequency")), needed_class(running / share)


def by_bins(answer: Judgement, key: str, seed: int) -> tuple[Standing, ...]:
    """The decision in each bin of one open number.

    Parameters
    ----------
    answer : Judgement
        With its full sample; its verdict is "go" or "go_if".
    key : str
        Field with a spread.
    seed : int
        Of the case.

    Notes
    -----
    The samples that are there are sorted into `BINS` bins of equal count by this number; the arrangement as
    asked and the one that passes are judged by the rules of the verdict over each bin alone. Where neither
    passes there, the stock is searched with the number at the middle of the outermost such bin.
    """
    values = answer.problem.sample[key][1:]
    order = np.array_split(np.argsort(values, kind="stable"), BINS)
    asked = _chances(answer.asked, order)
    best = _chances(answer.best, order) if answer.best is not answer.asked else asked
    whole = [(found.probability if found is not None else 0.0) for found in (answer.asked, answer.best)]
    was = standing_of(answer)
    found: list[Standing] = []
    for index, rows in enumerate(order):
        if answer.asked is not answer.best and _gained(whole[0], asked[index]):
            found.append(_in_bin(answer, answer.asked, False, rows))
        elif not _lost(whole[1], best[index]):
            found.append(_in_bin(answer, answer.best, was.change, rows))
        else:
            found.append(_elsewhere(answer, key, float(np.median(values[rows])), seed))
    return tuple(found)


def _gained(whole: float, here: float) -> bool:
    return whole < PASSES <= here and here >= whole + NOISE


def _lost(whole: float, here: float) -> bool:
    return here < min(LOST, whole - NOISE)


def _in_bin(answer: Judgement, found: Evaluation | None, changed: bool, rows: NDArray[np.intp]) -> Standing:
    """The standing of an arrangement over the samples of a bin; a size moves by more than the scatter."""
    base = _loads(answer, found)
    here = base
    if found is not None and found.balances:
        needs = _needs(found)
        high = [float(np.quantile(each[1:][rows], 0.95)) for each in needs]
        was = [float(np.quantile(each[1:], 0.95)) for each in needs]
        steps = _steps(answer, *high)
        moved = [abs(a - b) > NOISE * abs(b) for a, b in zip(high, was, strict=True)]
        here = (steps[0] if moved[0] else base[0], steps[1] if moved[1] else base[1])
    return _standing(answer, found, answer.decision.verdict, changed, here)


def _elsewhere(answer: Judgement, key: str, value: float, seed: int) -> Standing:
    """What the stock holds where neither arrangement passes."""

    def look() -> Standing:
        inputs = answer.problem.inputs.with_estimate(key, answer.problem.inputs.estimates[key].at(value))
        problem = block_problem(answer.problem, inputs, seed + STEP_SEED)
        other = search(problem, limit=400, after=answer.best.choice if answer.best is not None else None)
        if other.best is None:
            verdict: Verdict = "refuse" if other.exhausted else "ask_first"
            return _standing(answer, None, verdict, False, (math.nan, math.nan))
        return _standing(answer, other.best, answer.decision.verdict, True, _loads(answer, other.best))

    return answer.problem.kept.once(("elsewhere", key, value), look)


def _chances(found: Evaluation | None, order: Sequence[NDArray[np.intp]]) -> list[float]:
    """Lowest probability over gates and seasons in each bin; 0 where a gate fails or waits by itself."""
    if found is None or not found.balances:
        return [0.0] * len(order)
    for gate in found.gates:
        alone = gate.probability is None or (gate.deciding is not None and gate.deciding.ok.size == 1)
        if gate.status in ("fail", "undecided") and alone:
            return [0.0] * len(order)
    joint: dict[tuple[str, str], NDArray[np.bool_]] = {}
    for check in found.checks:
        if check.ok.size > 1:
            joint[check.gate, check.season] = joint.get((check.gate, check.season), np.array(True)) & check.ok
    if not joint:
        return [1.0] * len(order)
    rows = np.stack([ok[1:] for ok in joint.values()])
    return [float(rows[:, each].mean(axis=1).min()) for each in order]
