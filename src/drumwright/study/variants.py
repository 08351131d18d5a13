"""Re-run an arrangement with one input at a time at its low and high end, all in one batch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.pump.motor import smallest_motor
from drumwright.station.arrangement import Choice, pressure_classes
from drumwright.station.inputs import Inputs, draw
from drumwright.study.evaluation import Evaluation, Problem, evaluate

Array = NDArray[np.float64]
BLOCK = 128  # samples of one variant


@dataclass(frozen=True, slots=True)
class Variant:
    """One input pinned to one value; `key` empty for the case as it is."""

    key: str
    value: float


@dataclass(frozen=True, slots=True)
class Outcome:
    """An arrangement under one variant."""

    variant: Variant
    probability: float  # lowest over gates and seasons
    motor: float  # rated power that 95 % of the samples need [W]
    pressure_class: float  # class that 95 % of the samples need [Pa(g)]
    running: float  # cold running pressure at likely values [Pa(g)]
    running_high: float  # and at P95
    residue_key: float = 0.0


def batch(problem: Problem, variants: Sequence[Variant], seed: int) -> Problem:
    """One problem whose sample holds a block of points for every variant."""
    base = draw(problem.inputs, BLOCK, seed)
    size, count = BLOCK + 1, len(variants)
    sample = {key: np.tile(values, count) for key, values in base.items()}
    for index, variant in enumerate(variants):
        if variant.key:
            sample[variant.key][index * size : (index + 1) * size] = variant.value
    _keep_order(sample)
    return replace(problem, sample=sample)


def _keep_order(sample: dict[str, Array]) -> None:
    """A colder winter stays below the norm, a warmer norm below the summer."""
    low, norm, high = (f"product.temperature.{name}" for name in ("low", "norm", "high"))
    sample[low] = np.minimum(sample[low], sample[norm])
    sample[high] = np.maximum(sample[high], sample[norm])


def outcomes(problem: Problem, choice: Choice, variants: Sequence[Variant], seed: int) -> list[Outcome]:
    """Evaluate one arrangement under every variant at once."""
    together = batch(problem, variants, seed)
    found = evaluate(together, choice)
    return [_outcome(found, together, index, variant) for index, variant in enumerate(variants)]


def _outcome(found: Evaluation, problem: Problem, index: int, variant: Variant) -> Outcome:
    start, stop = index * (BLOCK + 1), (index + 1) * (BLOCK + 1)
    chance = 1.0
    joint: dict[tuple[str, str], NDArray[np.bool_]] = {}
    for check in found.checks:
        if check.ok.size == 1:
            chance = min(chance, float(check.ok[0]))
            continue
        key = (check.gate, check.season)
        own = check.ok[start + 1 : stop]
        joint[key] = joint[key] & own if key in joint else own
    chance = min([chance, *(float(ok.mean()) for ok in joint.values())])
    states = list(found.balances.values())
    motor = max(float(np.quantile(state.load.motor_required[start + 1 : stop], 0.95)) for state in states)
    running = max(float(state.running_gauge[start]) for state in states)
    high = max(float(np.quantile(state.running_gauge[start + 1 : stop], 0.95)) for state in states)
    share = float(problem.sample["line.working_share"][start])
    return Outcome(
        variant, chance, smallest_motor(motor), needed_class(high / share), running, high
    )


def needed_class(pressure: float) -> float:
    """Smallest pressure class offered at or above a pressure [Pa(g)]; infinite beyond the last."""
    return next((value for value in pressure_classes() if value >= pressure), float("inf"))


def block_problem(problem: Problem, inputs: Inputs, seed: int, count: int = 256) -> Problem:
    """A problem of its own for other inputs, with a coarse sample, for a search."""
    return replace(problem, inputs=inputs, sample=draw(inputs, count, seed))
