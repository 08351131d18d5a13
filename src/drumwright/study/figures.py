"""Figures: every computed number of an evaluation by its stable key, with band and explanation."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.statistics import quantiles
from drumwright.basis.tables import read_toml
from drumwright.flow.regime import metzner_reed
from drumwright.machine.line.route import volume
from drumwright.machine.plate.recovery import chance
from drumwright.machine.pump.lance import attainable_flow, suction_loss
from drumwright.machine.pump.operate import stall_pressure
from drumwright.product.one_point import extremes
from drumwright.station.balance import Balance
from drumwright.station.emptied import Residue, residue_of
from drumwright.station.left_without_plate import drained
from drumwright.station.vessel import bagged
from drumwright.study import checks
from drumwright.study.container_checks import seal_fit
from drumwright.study.container_figures import container_values
from drumwright.study.evaluation import Evaluation, Problem
from drumwright.study.line_findings import line_values
from drumwright.study.pump_figures import motor_of, pump_values
from drumwright.study.register import Register
from drumwright.study.result import Figure
from drumwright.study.set_points import set_point_values
from drumwright.study.shift_figures import shift_values
from drumwright.study.transient_figures import transient_values
from drumwright.study.warming import warm_up_values, warmed, warmest

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Scene:
    """One season of one evaluation: what figures are read from."""

    problem: Problem
    evaluation: Evaluation
    season: str
    state: Balance
    left: Residue | None  # None in summer beside other seasons: thinner product leaves less than in the norm
    motor: float


Reader = Callable[[Scene], "Array | None"]

_READERS: dict[str, Reader] = {
    "product.temperature": lambda s: s.state.temperature,
    "product.yield_stress": lambda s: np.asarray(s.state.law.yield_stress),
    "product.consistency": lambda s: np.asarray(s.state.law.consistency),
    "product.exponent": lambda s: np.asarray(s.state.law.exponent),
    "plate.force": lambda s: s.state.force if _plated(s) else None,
    "plate.under_pressure": lambda s: s.state.under_plate_gauge if _plated(s) else None,
    "plate.speed": lambda s: s.state.plate_speed if _plated(s) else None,
    "feed.inlet_absolute": lambda s: s.state.inlet_absolute,
    "feed.inlet_required": lambda s: s.state.inlet_required,
    "feed.margin": lambda s: s.state.feed_margin,
    "pump.speed": lambda s: s.state.pump.speed if _rotary(s) else None,
    "pump.speed_limit": lambda s: s.state.pump.speed_limit if _rotary(s) else None,
    "pump.slip": lambda s: s.state.pump_wanted.slip if _rotary(s) else None,
    "pump.pressure_added": lambda s: s.state.pressure_added,
    "pump.torque": lambda s: s.state.load.torque if _rotary(s) else None,
    "pump.start_torque": lambda s: s.state.load.start_torque if _rotary(s) else None,
    "pump.shaft_power": lambda s: s.state.load.shaft_power if _rotary(s) else None,
    "pump.motor_required": lambda s: s.state.load.motor_required if _rotary(s) else None,
    "pump.motor": lambda s: np.array([s.motor]) if _rotary(s) and math.isfinite(s.motor) else None,
    "pump.sliding_speed": lambda s: s.state.load.sliding_speed if _rotary(s) else None,
    "pump.suction_yield": lambda s: None if _rotary(s) else s.state.pump.suction_yield,
    "pump.stall_pressure": lambda s: (
        stall_pressure(
            s.evaluation.choice.pump,
            s.motor,
            float(s.state.pump_wanted.speed[0]),
            s.problem.sample_of(s.evaluation.choice),
        )
        if math.isfinite(s.motor)
        else None
    ),
    "line.pipe_friction": lambda s: s.state.loss.pipe,
    "line.hose_friction": lambda s: s.state.loss.hose,
    "line.fittings": lambda s: s.state.loss.fittings,
    "line.static": lambda s: s.state.loss.static,
    "line.total": lambda s: s.state.running_gauge,
    "line.yield_only": lambda s: s.state.yield_only,
    "line.restart": lambda s: s.state.restart_gauge,
    "line.allowed": lambda s: (
        s.problem.sample["line.working_share"]
        * checks.weakest_part(s.problem.inputs, s.problem.sample, s.evaluation.choice)
    ),
    "line.velocity": lambda s: s.state.velocity,
    "line.wall_shear_rate": lambda s: s.state.wall_shear_rate,
    "line.reynolds": lambda s: _reynolds(s),
    "line.volume": lambda s: volume(s.state.route),
    "line.loss_per_shift": lambda s: volume(s.state.route) * s.problem.sample["enquiry.recipes_per_shift"],
    "station.flow": lambda s: s.state.flow,
    "station.change_time": lambda s: checks.change_time(s.problem.sample, s.evaluation.choice),
    "station.cycle_time": lambda s: checks.cycle_time(s.problem.sample, s.state, s.evaluation.choice),
    "station.drums_possible": lambda s: checks.drums_possible(s.problem.sample, s.state, s.evaluation.choice),
    "station.shift_time": lambda s: checks.shift_minutes(
        s.problem.inputs, s.problem.sample, s.state, s.evaluation.choice
    ),
    "station.utilisation": lambda s: checks.utilisation(
        s.problem.inputs, s.problem.sample, s.state, s.evaluation.choice
    ),
    "station.stations_needed": lambda s: _stations(s),
    "people.hands_share": lambda s: (
        checks.hands_share(s.problem.inputs, s.problem.sample, s.evaluation.choice)
        if "enquiry.drums_per_shift" in s.problem.sample
        else None
    ),
    "container.emptying_time": lambda s: s.state.emptying_time,
    "stand.height": lambda s: checks.height(s.problem.sample, s.evaluation.choice) if _plated(s) else None,
    "station.rate_needed": lambda s: _rate_needed(s),
    "feed.passage_required": lambda s: _single(checks.required_passage(s.problem.inputs)),
    "feed.passage_available": lambda s: _single(
        min(checks.passages(s.problem.inputs, s.evaluation.choice).values())
    ),
    "residue.wanted_per_shift": lambda s: _wanted_residue(s),
}
_LEFT_READERS: dict[str, Callable[[Scene, Residue], Array | None]] = {
    "residue.volume": lambda s, left: left.total,
    "residue.share": lambda s, left: left.total / s.problem.sample["container.usable_volume"],
    "residue.mass": lambda s, left: left.total * s.problem.sample["product.density"],
    "residue.value": lambda s, left: (
        left.total * s.problem.sample["product.density"] * s.problem.sample["product.price"]
    ),
    "residue.chance_below_one_percent": lambda s, left: _single(
        float((left.total[1:] < 0.01 * s.problem.sample["container.usable_volume"][1:]).mean())
    ),
    "residue.chance_wanted": lambda s, left: _chance_wanted(s, left),
    "residue.flow_gap": lambda s, left: left.flow_gap if _plated(s) else None,
}


def _chance_wanted(scene: Scene, left: Residue) -> Array | None:
    """Chance that no more stays than was wanted."""
    sample = scene.problem.sample
    if "enquiry.residue_wanted" not in sample:
        return None
    wanted = sample["enquiry.residue_wanted"] * sample["container.usable_volume"]
    return _single(chance(left.total[1:], wanted[1:]))


# Figures that do not change with the season.
ALL_SEASONS = frozenset(
    {
        "pump.motor",
        "line.static",
        "line.volume",
        "line.loss_per_shift",
        "station.change_time",
        "people.hands_share",
        "stand.height",
        "feed.passage_required",
        "feed.passage_available",
        "residue.wanted_per_shift",
        "product.exponent",
        "plate.force",
        "plate.under_pressure",
        "line.allowed",
    }
) - {"product.exponent"}


# Figures that name a size of pump or motor: withheld where the evidence allows none.
SIZES = frozenset(key for key in _READERS if key.startswith("pump."))


def _rotary(scene: Scene) -> bool:
    return scene.evaluation.choice.pump.turns


def _plated(scene: Scene) -> bool:
    return scene.evaluation.choice.plated


def _rate_needed(scene: Scene) -> Array | None:
    """Flow at which the stations just empty the drums that were asked, at the change time of the stand."""
    sample, choice = scene.problem.sample, scene.evaluation.choice
    if "enquiry.drums_per_shift" not in sample or choice.stand == "tandem":
        return None
    usable = sample["enquiry.shift"] * sample["model.availability"]
    cycle = usable * choice.stations / sample["enquiry.drums_per_shift"]
    emptying = cycle - checks.change_time(sample, choice)
    return np.where(emptying > 0.0, sample["container.usable_volume"] / np.maximum(emptying, 1.0), np.inf)


def _single(value: float) -> Array | None:
    return np.array([value]) if value > 0.0 else None


def _reynolds(scene: Scene) -> Array:
    state, law = scene.state, scene.state.law
    stress = law.stress(state.wall_shear_rate)
    density = scene.problem.sample["product.density"]
    return np.asarray(metzner_reed(state.wanted_flow, state.route.bore, density, stress))


def _stations(scene: Scene) -> Array | None:
    choice = scene.evaluation.choice
    one = scene.evaluation.choice if choice.stations == 1 else _with_one_station(choice)
    used = checks.utilisation(scene.problem.inputs, scene.problem.sample, scene.state, one)
    return None if used is None else np.ceil(used)


def _with_one_station(choice: Any) -> Any:
    return replace(choice, stations=1)


def _wanted_residue(scene: Scene) -> Array | None:
    sample = scene.problem.sample
    if not {"enquiry.residue_wanted", "enquiry.drums_per_shift"} <= set(sample):
        return None
    return (
        sample["enquiry.drums_per_shift"]
        * sample["container.usable_volume"]
        * sample["enquiry.residue_wanted"]
    )


def has_bag(problem: Problem) -> bool:
    """Whether the container holds a bag; a food container of unknown liner is taken to (trade book 8b)."""
    return bagged(problem.inputs)


def scenes(problem: Problem, evaluation: Evaluation, like: Sequence[Scene] = ()) -> list[Scene]:
    """One scene for each season of an evaluation.

    Parameters
    ----------
    problem : Problem
    evaluation : Evaluation
    like : sequence of Scene
        Scenes of another arrangement; its residue is taken over where it differs in line and motor only.
    """
    known = {scene.season: scene.left for scene in like if _same_drum_end(scene.evaluation, evaluation)}
    if not evaluation.balances:
        return []
    motor = motor_of(evaluation, problem.inputs.likely("site.mains_frequency"))
    found = []
    for season, state in evaluation.balances.items():
        left = known.get(season)
        if left is None and (season != "summer" or len(evaluation.balances) == 1):
            left = left_in(problem, evaluation, season, state)
        found.append(Scene(problem, evaluation, season, state, left, motor))
    return found


def left_in(problem: Problem, evaluation: Evaluation, season: str, state: Balance) -> Residue:
    """What stays in the container, under a plate or at its own outlet."""
    choice = evaluation.choice
    if not choice.plated:
        return drained(problem.sample, state, problem.kept_for(season, choice.warm_to))
    bag = has_bag(problem)
    return residue_of(problem.sample, state, choice, problem.abrasion, bag)


def _same_drum_end(one: Evaluation, other: Evaluation) -> bool:
    """Whether two arrangements end a drum alike: the line bore and its class play no part in the residue."""
    return replace(one.choice, bore=None, pressure_class=None) == replace(
        other.choice, bore=None, pressure_class=None
    )


def table() -> Mapping[str, Mapping[str, Any]]:
    """Rows of `data/figures.toml` by key."""
    return read_toml("figures.toml")


def _passes_by(scene: Scene) -> bool:
    """Whether the seal leaves a ring open somewhere: product goes past it, and no residue is promised."""
    choice = scene.evaluation.choice
    return choice.plated and seal_fit(scene.problem.inputs, choice.seal).sealed_share < 1.0


def _readers(scene: Scene) -> dict[str, Reader]:
    """All readers of a scene, those of the residue bound to what is left in it."""
    left = scene.left
    if left is None or _passes_by(scene):
        return _READERS
    bound: dict[str, Reader] = {
        key: partial(lambda read, view: read(view, left), read) for key, read in _LEFT_READERS.items()
    }
    return {**_READERS, **bound}


def figures_of(views: list[Scene], numbers: Register, prefix: str = "") -> list[Figure]:
    """All figures of an evaluation; keys get a prefix for the recommended arrangement."""
    found = []
    for index, scene in enumerate(views):
        if index == 0:
            found += [
                figure(prefix + key, key, values, "all", numbers)
                for key, values in (
                    container_values(scene)
                    | _warmed_values(scene)
                    | _pump_values(scene)
                    | shift_values(scene)
                ).items()
            ]
        withheld = SIZES if scene.problem.size_withheld else frozenset()
        for key, reader in _readers(scene).items():
            if key in withheld:
                continue
            if key in ALL_SEASONS and index > 0:
                continue
            values = reader(scene)
            if values is None or not bool(np.isfinite(values[:1]).all()):
                continue
            season = "all" if key in ALL_SEASONS else scene.season
            found.append(figure(prefix + key, key, values, season, numbers))
    return found


def _pump_values(scene: Scene) -> dict[str, Array]:
    """What the pump and its drive do, those that name no size alone where none may be named."""
    withheld = scene.problem.size_withheld
    if withheld:
        return {}
    return pump_values(scene) | line_values(scene) | set_point_values(scene) | transient_values(scene)


def _warmed_values(scene: Scene) -> dict[str, Array]:
    """What warming the containers to the core temperature of the arrangement takes."""
    found = warmed(scene.problem, scene.evaluation.choice.warm_to)
    return {} if found is None else warm_up_values(found)


def figure(name: str, key: str, values: Array, season: str, numbers: Register) -> Figure:
    """One figure from its samples, the point of likely values first."""
    row = table()[key]
    low, middle, high = quantiles(values[1:] if values.size > 1 else values, 0.05, 0.5, 0.95)
    return Figure(
        name,
        row["kind"],
        float(values[0]),
        low,
        middle,
        high,
        "computed",
        season,
        numbers.numbers(*row["rests"]),
        name,
    )


def lance_figures(problem: Problem, numbers: Register) -> list[Figure]:
    """Suction through a lance for each season, where the container asks for one."""
    if "enquiry.flow" not in problem.sample or problem.known.kind == "none":
        return []
    found = []
    for season in problem.seasons:
        law, _, _ = problem.law(season, None)
        bore, length = problem.sample["machine.lance_bore"], problem.sample["machine.lance_length"]
        loss = suction_loss(problem.sample["enquiry.flow"], bore, length, law)
        flow = attainable_flow(problem.sample["model.lance_suction"], bore, length, law)
        temperature = problem.law(season, None)[1]
        for key, values in (
            ("lance.suction_loss", loss),
            ("lance.attainable_flow", flow),
            ("product.temperature", temperature),
        ):
            found.append(figure(key, key, values, season, numbers))
    warm = warmed(problem, warmest(problem))
    takes = {} if warm is None else warm_up_values(warm)
    return found + [figure(key, key, array, "all", numbers) for key, array in takes.items()]


def one_point_figures(problem: Problem, numbers: Register) -> list[Figure]:
    """Ends of the band of a one-point viscosity over the line as asked."""
    inputs = problem.inputs
    if problem.known.kind != "one_point" or not problem.computable:
        return []
    length = inputs.likely("line.length") + inputs.likely("line.own_hose")
    low, high = extremes(
        inputs.likely("product.viscosity"), inputs.likely("enquiry.flow"), inputs.likely("line.bore"), length
    )
    values = {
        "one_point.friction_lowest": low,
        "one_point.friction_highest": high,
        "one_point.friction_ratio": high / low,
    }
    return [figure(key, key, np.array([value]), "all", numbers) for key, value in values.items()]
