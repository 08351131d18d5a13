"""Re-run an arrangement with one input at a time at its low and high end, all in one batch."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.pump.motor import sizes, smallest_motor
from drumwright.station.arrangement import Choice, pressure_classes
from drumwright.station.balance import Balance
from drumwright.station.inputs import Inputs, draw
from drumwright.study.check import LOWER_LIMITS, Check
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
    failing: str  # key of the check with the lowest probability
    season: str
    value: float  # of that check at the unfavourable end of its band
    limit: float
    moved: float = 0.0  # share of the samples whose pressure class or motor differs from the case as it is


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


def outcomes(together: Problem, choice: Choice, variants: Sequence[Variant]) -> list[Outcome]:
    """Evaluate one arrangement under every variant of a `batch` at once."""
    found = evaluate(together, choice)
    count = len(variants)
    chances, worst = _chances(found, count)
    states = list(found.balances.values())
    motor = np.max([_high(state.load.motor_required, count) for state in states], axis=0)
    running = np.max([_blocks(state.running_gauge, count)[:, 0] for state in states], axis=0)
    high = np.max([_high(state.running_gauge, count) for state in states], axis=0)
    mains = together.inputs.likely("site.mains_frequency")
    share = _blocks(together.sample["line.working_share"], count)[:, 0]
    moved = _moved(together, states, count)
    far = {id(check): _far(check, count) for check in {id(c): c for c in worst}.values()}
    return [
        Outcome(
            variant,
            float(chances[i]),
            smallest_motor(float(motor[i]), mains),
            needed_class(float(high[i] / share[i])),
            float(running[i]),
            float(high[i]),
            worst[i].key,
            worst[i].season,
            float(far[id(worst[i])][i]),
            float(_row(worst[i].limit, count)[i]),
            float(moved[i]),
        )
        for i, variant in enumerate(variants)
    ]


def _moved(together: Problem, states: Sequence[Balance], count: int) -> Array:
    """Share of the samples of each variant that need another class or motor than those of the first one.

    Notes
    -----
    Sample by sample with the same random numbers: steadier than where a percentile of the band falls.
    """
    running = np.max([state.running_gauge for state in states], axis=0)
    motor = np.max([state.load.motor_required for state in states], axis=0)
    steps = [
        np.searchsorted(np.asarray(pressure_classes()), running / together.sample["line.working_share"]),
        np.searchsorted(np.asarray(sizes(together.inputs.likely("site.mains_frequency"))), motor),
    ]
    differs = np.zeros((count, BLOCK + 1), bool)
    for step in steps:
        each = _blocks(step, count)
        differs |= each != each[:1]
    return np.asarray(differs[:, 1:].mean(axis=1))


def _blocks(values: NDArray[Any], count: int) -> NDArray[Any]:
    """One row for each variant: its point, then its samples."""
    return values.reshape(count, BLOCK + 1)


def _high(values: Array, count: int) -> Array:
    """P95 of each variant."""
    return np.asarray(np.quantile(_blocks(values, count)[:, 1:], 0.95, axis=1))


def _far(check: Check, count: int) -> Array:
    """Value of a check at the end of the band that lies toward its limit, for each variant."""
    if check.value.size == 1:
        return np.full(count, check.value[0])
    own = _blocks(check.value, count)[:, 1:]
    share = 0.05 if check.key in LOWER_LIMITS else 0.95
    return np.asarray(np.quantile(np.where(np.isfinite(own), own, 1e30), share, axis=1))


def _row(values: Array, count: int) -> Array:
    """Point value of each variant."""
    return _blocks(values, count)[:, 0] if values.size > 1 else np.full(count, values[0])


def _chances(found: Evaluation, count: int) -> tuple[Array, list[Check]]:
    """Lowest probability of each variant over gates and seasons, and the check that is worst there."""
    lowest = np.ones(count)
    joint: dict[tuple[str, str], NDArray[np.bool_]] = {}
    single = np.ones((len(found.checks), count))
    for index, check in enumerate(found.checks):
        if check.ok.size == 1:
            single[index] = float(check.ok[0])
            lowest = np.minimum(lowest, float(check.ok[0]))
            continue
        single[index] = _blocks(check.ok, count)[:, 1:].mean(axis=1)
        key = (check.gate, check.season)
        joint[key] = joint[key] & check.ok if key in joint else check.ok
    for ok in joint.values():
        lowest = np.minimum(lowest, _blocks(ok, count)[:, 1:].mean(axis=1))
    return lowest, [found.checks[index] for index in single.argmin(axis=0)]


def needed_class(pressure: float) -> float:
    """Smallest pressure class offered at or above a pressure [Pa(g)]; infinite beyond the last."""
    return next((value for value in pressure_classes() if value >= pressure), float("inf"))


def block_problem(problem: Problem, inputs: Inputs, seed: int, count: int = 256) -> Problem:
    """A problem of its own for other inputs, with a coarse sample, for a search."""
    return replace(problem, inputs=inputs, sample=draw(inputs, count, seed))
