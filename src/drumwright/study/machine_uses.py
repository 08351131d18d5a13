"""What the judged machine leaves, takes and uses for a container: the samples of the case itself."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.estimate import Estimate
from drumwright.basis.tables import read_toml
from drumwright.study import checks
from drumwright.study.answer import Judgement
from drumwright.study.cleaning import cleaning_class, estimate_of, row_of
from drumwright.study.container_checks import seal_fit
from drumwright.study.container_figures import container_values, held_up
from drumwright.study.evaluation import Evaluation
from drumwright.study.figures import Scene
from drumwright.study.money_rows import Rows
from drumwright.study.pump_figures import behaviour_of
from drumwright.study.running_costs import pump_electricity
from drumwright.study.warming import warmed

Array = NDArray[np.float64]
MOST_CONTAINERS = 1e6  # that wearing parts are counted to last


@dataclass(frozen=True, slots=True)
class Uses:
    """What a container takes with the station; arrays over samples, the likely point first, SI units.

    Parameters
    ----------
    filling, left : ndarray
        Product in a container, and what stays in it over the year [kg].
    left_winter : ndarray
        The same in winter [kg].
    hands : ndarray
        Person-time for a container [s].
    energy : ndarray
        Electric [J].
    heat : ndarray
        To warm it, losses with it [J].
    air : ndarray
        Free air [m3].
    wear_life : ndarray or None
        Containers a set of wearing parts of the pump lasts [-]; None where the wear model begins worn out.
    lost : ndarray
        Product lost at a change of product [kg].
    cleaning : ndarray
        Person-time of a cleaning [s].
    water : ndarray
        Of a cleaning [m3].
    sealed : bool
        Whether there is a plate with seals.
    warms : bool
        Whether the arrangement warms its containers.
    """

    filling: Array
    left: Array
    left_winter: Array
    hands: Array
    energy: Array
    heat: Array
    air: Array
    wear_life: Array | None
    lost: Array
    cleaning: Array
    water: Array
    sealed: bool
    warms: bool


def scenes_of(answer: Judgement) -> tuple[Evaluation | None, tuple[Scene, ...]]:
    """The arrangement money is counted for, with its seasons: the passing one, else as asked.

    Parameters
    ----------
    answer : Judgement
    """
    if answer.best is not None:
        return answer.best, answer.best_scenes or answer.asked_scenes
    return answer.asked, answer.asked_scenes


def uses_of(scenes: tuple[Scene, ...], rows: Rows) -> Uses | None:
    """Uses of an arrangement over the year; None where it does not run, or promises no residue.

    Parameters
    ----------
    scenes : tuple of Scene
        Its seasons, coldest first.
    rows : Rows
    """
    if not scenes or not all(_runs(scene) for scene in scenes):
        return None
    first = scenes[0]
    problem, choice = first.problem, first.evaluation.choice
    sample = problem.sample_of(choice)
    left = _left(scenes)
    passes_by = choice.plated and seal_fit(problem.inputs, choice.seal).sealed_share < 1.0
    if left is None or passes_by:
        return None
    hands = checks.change_time(sample, choice) * sample["model.hands_share"]
    cleaned = row_of(cleaning_class(problem.inputs))
    density = sample["product.density"]
    lost = held_up(choice, first.state) * density if cleaned["loses_line"] else rows.flat(0.0)
    return Uses(
        filling=_wide(sample["container.usable_volume"] * density, rows),
        left=_wide(left[0] * density, rows),
        left_winter=_wide(left[1] * density, rows),
        hands=_wide(hands, rows),
        energy=_wide(_energy(scenes, rows), rows),
        heat=_wide(_heat(scenes, rows), rows),
        air=_wide(_air(first), rows),
        wear_life=_wear_life(first, rows),
        lost=_wide(lost, rows),
        cleaning=_wide(sample["enquiry.cleaning_time"], rows),
        water=rows.of("water", estimate_of(cleaned, "water")),
        sealed=choice.plated,
        warms=choice.warm_to is not None,
    )


def _wide(values: Array, rows: Rows) -> Array:
    return np.broadcast_to(np.asarray(values, float), (rows.count + 1,)).copy()


def _runs(scene: Scene) -> bool:
    """Whether something flows over the whole band of a season."""
    state = scene.state
    return bool((state.flow > 0.0).all() and np.isfinite(state.emptying_time).all())


def _share(season: str) -> float:
    return float(read_toml("money.toml")["seasons"].get(season, 1.0))


def _left(scenes: tuple[Scene, ...]) -> tuple[Array, Array] | None:
    """Volume left in a container over the year and in winter; summer, where not computed, as in the norm."""
    known = {scene.season: scene.left.total for scene in scenes if scene.left is not None}
    if not known:
        return None
    usual = known.get("norm", next(iter(known.values())))
    weights = {scene.season: _share(scene.season) for scene in scenes}
    summed = sum(weight * known.get(season, usual) for season, weight in weights.items())
    return np.asarray(summed / sum(weights.values())), known.get("winter", usual)


def _energy(scenes: tuple[Scene, ...], rows: Rows) -> Array:
    """Electric energy for a container over the year: pump with its drive, and standby between [J]."""
    standby, efficiency = rows.assumed("standby_power"), rows.assumed("drive_efficiency")
    found, weights = rows.flat(0.0), 0.0
    for scene in scenes:
        state, choice = scene.state, scene.evaluation.choice
        sample, share = scene.problem.sample_of(choice), _share(scene.season)
        idle = checks.change_time(sample, choice)
        if "enquiry.drums_per_shift" in sample:
            drums = np.maximum(sample["enquiry.drums_per_shift"], 1e-9)
            idle = np.maximum(sample["enquiry.shift"] / drums - state.emptying_time, idle)
        turned = rows.flat(0.0)
        if choice.pump.turns:
            turned = pump_electricity(state.load.shaft_power, state.emptying_time, efficiency)
        found = found + share * (turned + standby * idle)
        weights += share
    return found / weights


def _heat(scenes: tuple[Scene, ...], rows: Rows) -> Array:
    """Heat that warms a container over the year, with what is lost; nothing without warming [J].

    Notes
    -----
    ``rho V cp dT`` in each season, what melts in winter beside; over the share that arrives in the product.
    """
    problem, target = scenes[0].problem, scenes[0].evaluation.choice.warm_to
    if target is None:
        return rows.flat(0.0)
    sample, found, weights = problem.sample, rows.flat(0.0), 0.0
    kelvin = sample["product.density"] * sample["container.usable_volume"] * sample["product.heat_capacity"]
    for scene in scenes:
        name = {"winter": "low", "norm": "norm", "summer": "high"}.get(scene.season, "low")
        warmed_by = kelvin * np.maximum(target - sample[f"product.temperature.{name}"], 0.0)
        whole = warmed(problem, target) if scene.season == "winter" else None
        if whole is not None:
            warmed_by = warmed_by + max(float(np.ravel(whole.result.energy)[0]) - float(warmed_by[0]), 0.0)
        found = found + _share(scene.season) * warmed_by
        weights += _share(scene.season)
    return np.asarray(found / weights / rows.assumed("heat_share"))


def _air(scene: Scene) -> Array:
    """Free air for a container: both chambers of the cylinders, assist air, an air-driven pump [m3]."""
    values = container_values(scene)
    zero = np.zeros(1)
    used = values.get("stand.air", zero) + values.get("withdrawal.air", zero)
    driven = behaviour_of(scene).air
    if driven is not None:
        used = used + driven.free_air * scene.problem.sample["container.usable_volume"]
    return np.asarray(used)


def _wear_life(scene: Scene, rows: Rows) -> Array | None:
    """Containers a set of wearing parts lasts: the range of the wear model, even in its logarithm."""
    low, high = sorted(behaviour_of(scene).wear.containers)
    if not low >= 1.0:
        return None
    low, high = min(low, MOST_CONTAINERS), min(high, MOST_CONTAINERS)
    estimate = Estimate(low, float(np.sqrt(low * high)), high, "computed", "log_uniform")
    return rows.of("wear_life", estimate)
