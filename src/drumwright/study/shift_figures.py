"""Figures of people and supply by formulas: a change at its P95, what bridges it, what is lifted."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.estimate import Estimate
from drumwright.basis.phrases import phrase
from drumwright.machine.delivery.hopper import bridge_volume, least_pump_flow, lost_share
from drumwright.station.arrangement import Choice
from drumwright.station.inputs import Inputs, Sample
from drumwright.study.bridging import open_hopper, p95_factor
from drumwright.study.checks import away_time, change_time, longest_change
from drumwright.study.cleaning import cleaning_class, estimate_of, row_of
from drumwright.study.lifting import manual_lifts
from drumwright.study.result import Finding
from drumwright.study.shift_formula import supplies

if TYPE_CHECKING:
    from drumwright.study.evaluation import Evaluation, Problem

Array = NDArray[np.float64]
KEYS = (
    "shift.change_p95", "shift.drum_lasts", "shift.least_rate", "shift.lost_share", "buffer.bridge_volume",
    "people.lifting_index", "cleaning.water_per_shift",
)  # fmt: skip


def shift_values(scene: Any) -> dict[str, Array]:
    """Values of `KEYS` that make sense for a scene, arrays over samples.

    Parameters
    ----------
    scene : figures.Scene
        The coldest season of an evaluation.
    """
    problem, choice = scene.problem, scene.evaluation.choice
    found = _lifting(problem.inputs, choice) | _water(problem.inputs, scene.state.flow.size)
    if supplies(problem.inputs):
        found |= _supply(problem.inputs, problem.sample, choice)
    return found


def _supply(inputs: Inputs, sample: Sample, choice: Choice) -> dict[str, Array]:
    """What one station needs so that its destination does not starve while a container is changed."""
    mean, longest, away = (
        change_time(sample, choice),
        longest_change(sample, choice),
        away_time(sample, choice),
    )
    draw = sample["shift.draw"] if "shift.draw" in sample else sample["enquiry.flow"]
    volume = sample["container.usable_volume"]
    found = {
        "shift.change_p95": longest * p95_factor(sample["shift.change_spread"]),
        "shift.drum_lasts": volume / draw,
    }
    if choice.stand == "tandem" or choice.stations > 1:
        return found  # the other container bridges the change
    least = least_pump_flow(volume, draw, mean + away)
    if bool(np.isfinite(least[:1]).all()):
        found["shift.least_rate"] = least
    found["shift.lost_share"] = lost_share(volume, draw, mean + away)
    found["buffer.bridge_volume"] = bridge_volume(draw, found["shift.change_p95"], away)
    return found


def supply_notes(inputs: Inputs, sample: Sample, choice: Choice) -> list[Finding]:
    """What one station with an open hopper would take, where flow must go on over a change.

    Parameters
    ----------
    inputs : Inputs
    sample : mapping of ndarray, shape (n,)
    choice : Choice
        As asked.
    """
    if not supplies(inputs) or choice.stand == "tandem" or choice.stations > 1:
        return []
    values = {key: float(array[0]) for key, array in _supply(inputs, sample, choice).items()}
    bridge, least = values["buffer.bridge_volume"], values.get("shift.least_rate")
    if least is None:
        slots = {"time": float(change_time(sample, choice)[0]), "lasts": values["shift.drum_lasts"]}
        return [Finding("supply.hopeless", "note", "rate", phrase("FND-supply.hopeless", **slots))]
    text = phrase("FND-supply.hopper", time=values["shift.change_p95"], value=bridge, flow=least)
    return [Finding("supply.hopper", "note", "rate", text, "buffer.bridge_volume", bridge, None, "volume")]


def supply_conditions(problem: Problem, found: Evaluation) -> list[Finding]:
    """That flow without a break rests on an open hopper, where it passes by one.

    Parameters
    ----------
    problem : Problem
    found : Evaluation
        With the balance of its coldest season first.
    """
    choice = found.choice
    seen = next((item for item in found.checks if item.key == "rate.uninterrupted"), None)
    if seen is None or choice.stand == "tandem" or choice.stations > 1:
        return []
    if open_hopper(problem.inputs, problem.sample) is None:
        return []
    bridge, change = float(seen.limit[0]), float(seen.value[0])
    text = phrase("FND-supply.bridged", value=bridge, limit=change)
    return [
        Finding("supply.bridged", "condition", "rate", text, "shift.change_p95", change, bridge, "duration")
    ]


def _lifting(inputs: Inputs, choice: Choice) -> dict[str, Array]:
    lifts = manual_lifts(inputs, choice)
    if not lifts or not np.isfinite(lifts[0].index):
        return {}
    return {"people.lifting_index": _spread(lifts[0].load, 65) / lifts[0].limit}


def _water(inputs: Inputs, count: int) -> dict[str, Array]:
    """Water of the changes of product in a shift, where there are some."""
    recipes = inputs.likely("enquiry.recipes_per_shift")
    each = estimate_of(row_of(cleaning_class(inputs)), "water")
    if recipes <= 1.0 or each.high <= 0.0:
        return {}
    return {"cleaning.water_per_shift": recipes * _spread(each, count)}


def _spread(estimate: Estimate, count: int) -> Array:
    """The likely value first, then the distribution in even steps: no input of anything else."""
    even = (np.arange(max(count - 1, 1)) + 0.5) / max(count - 1, 1)
    return np.concatenate([[estimate.likely], estimate.sample(even)])
