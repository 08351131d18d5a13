"""What the pump and its drive do at the duty: figures, notes and the setting of the air."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.phrases import Phrase, phrase
from drumwright.basis.statistics import quantiles
from drumwright.machine.pump.base import OVERLOAD, PULL_OUT
from drumwright.machine.pump.diaphragm_family import strokes_stood
from drumwright.machine.pump.drive import Drive, drive_with, overload_pressure, series_of
from drumwright.machine.pump.family import family_of
from drumwright.machine.pump.motor import smallest_motor
from drumwright.machine.pump.operate import Behaviour, Duty, behaviour, stall_pressure
from drumwright.machine.pump.records import Pump
from drumwright.machine.pump.rotary_family import RotaryFamily
from drumwright.study.checks import air_allowed, counted_hardness, flammable, weakest_part
from drumwright.study.evaluation import Evaluation, Problem
from drumwright.study.pump_rules import rating
from drumwright.study.result import Finding

Array = NDArray[np.float64]
PUMP_KEYS = (
    "pump.mean_shear", "pump.peak_shear", "pump.peak_share", "pump.slip_worn", "pump.free_air",
    "pump.free_air_ratio", "pump.pull_out_pressure", "pump.pulse", "drive.ratio", "drive.speed_share",
    "drive.torque_share", "drive.overload_torque", "drive.overload_pressure", "drive.slowest_flow",
)  # fmt: skip
MANY = 1.0e5  # containers: beyond, wear is not what ends it


def behaviour_of(scene: Any) -> Behaviour:
    """All that the pump of a scene does at the wanted flow.

    Parameters
    ----------
    scene : figures.Scene
    """
    state, problem, choice = scene.state, scene.problem, scene.evaluation.choice
    duty = Duty(
        abrasion=problem.abrasion,
        flow=state.wanted_flow,
        inlet_absolute=state.inlet_absolute,
        outlet_absolute=state.atmosphere + state.running_gauge,
        atmosphere=state.atmosphere,
        restart_pressure=state.restart_gauge,
        density=problem.sample["product.density"],
        law=state.law,
        model=problem.sample_of(choice),
        container_volume=problem.inputs.likely("container.usable_volume"),
        motor_power=scene.motor if choice.pump.turns and np.isfinite(scene.motor) else None,
    )
    found: Behaviour = problem.kept.once(
        ("behaviour", choice, scene.season), lambda: behaviour(choice.pump, duty)
    )
    return found


def drive_of(scene: Any) -> Drive | None:
    """Motor, gear and torque limit of the pump of a scene; None for an air pump or past the motor series.

    Parameters
    ----------
    scene : figures.Scene
        The coldest season of an evaluation.
    """
    pump, load = scene.evaluation.choice.pump, scene.state.load
    speed = float(scene.state.pump_wanted.speed[0])
    if not pump.turns or not np.isfinite(scene.motor) or not speed > 0.0:
        return None
    torque, start = (quantiles(values[1:], 0.95)[0] for values in (load.torque, load.start_torque))
    mains = series_of(scene.problem.inputs.likely("site.mains_frequency"))
    return drive_with(scene.motor, speed, torque, start, mains)


def pump_values(scene: Any) -> dict[str, Array]:
    """Values of `PUMP_KEYS` that exist for a scene, arrays over samples.

    Parameters
    ----------
    scene : figures.Scene
        The coldest season of an evaluation.
    """
    if not (scene.state.wanted_flow > 0.0).all():
        return {}
    found = behaviour_of(scene)
    values = {
        "pump.mean_shear": found.shear.mean,
        "pump.peak_shear": found.shear.peak,
        "pump.peak_share": found.shear.peak_share,
        "pump.slip_worn": found.worn.slip,
        "pump.pulse": found.pulsation[1],
    }
    if found.air is not None:
        values |= {"pump.free_air": found.air.free_air_flow, "pump.free_air_ratio": found.air.free_air}
    else:
        values["pump.pull_out_pressure"] = found.stall.pull_out
    return {key: array for key, array in (values | _drive_values(scene)).items() if np.isfinite(array).all()}


def _drive_values(scene: Any) -> dict[str, Array]:
    drive = drive_of(scene)
    if drive is None:
        return {}
    state, pump = scene.state, scene.evaluation.choice.pump
    speed = state.pump_wanted.speed
    return {
        "drive.ratio": np.array([drive.ratio]),
        "drive.speed_share": np.array([drive.frequency / drive.rated_frequency]),
        "drive.torque_share": state.load.torque / drive.lasting_torque(speed),
        "drive.overload_torque": np.array([drive.overload_torque]),
        "drive.overload_pressure": overload_reached(scene, drive),
        "drive.slowest_flow": np.maximum(pump.displacement * drive.slowest - state.pump_wanted.slip, 0.0),
    }


def overload_reached(scene: Any, drive: Drive) -> Array:
    """Pressure that the torque limit lets a pump reach that is warm, run in, and turns slowly [Pa].

    Parameters
    ----------
    scene : figures.Scene
        The coldest season of an evaluation.
    drive : Drive
        Of that scene (`drive_of`).
    """
    pump, sample = scene.evaluation.choice.pump, scene.problem.sample_of(scene.evaluation.choice)
    family = family_of(pump)
    lost = family.friction(pump, sample) if isinstance(family, RotaryFamily) else 0.0
    return overload_pressure(drive.overload_torque, lost, 0.0, pump.displacement)


def pump_notes(scene: Any) -> list[Finding]:
    """What is worth saying of the pump: speed cap, shear, wear, dry run, air, closed outlet, cleaning.

    Parameters
    ----------
    scene : figures.Scene
        The coldest season of the arrangement shown.
    """
    if not (scene.state.wanted_flow > 0.0).all():
        return []
    found, pump = behaviour_of(scene), scene.evaluation.choice.pump
    name = phrase(f"KIND-{pump.family}")
    notes = [
        ("pump.cap", _cap(found, pump)),
        ("pump.shear", _shear(found)),
        ("pump.life", _life(scene, found)),
    ]
    notes += _dry_run(scene, found) + _broken_rules(scene)
    inputs = scene.problem.inputs
    if "product.particles.size" in inputs.estimates and len(counted_hardness(inputs)) > 1:
        notes.append(("pump.hardness_unsaid", phrase("FND-pump.hardness_unsaid")))
    if found.air is not None:
        air = found.air
        key = "FND-pump.air_ices" if bool(air.icing.any()) else "FND-pump.air"
        use, efficiency = float(air.free_air[0]), float(air.efficiency[0])
        notes.append(
            ("pump.air", phrase(key, value=float(air.free_air_flow[0]), ratio=use, share=efficiency))
        )
    kind = found.character
    notes.append(("pump.closed", phrase(f"FND-pump.closed_{kind.closed_outlet}", name=name)))
    notes.append(("pump.cleaning", phrase(f"FND-pump.cleaning_{kind.cleaning}", name=name)))
    drive = drive_of(scene)
    if drive is not None:
        notes.append(("drive.overload", _overload(scene, drive)))
        notes.append(("drive.gear", _gear(drive)))
    return [Finding(key, "note", "", text) for key, text in notes]


def _dry_run(scene: Any, found: Behaviour) -> list[tuple[str, Phrase]]:
    """How long it stands dry, and that it may ignite where a zone is or may be."""
    inputs, notes = scene.problem.inputs, []
    if found.dry_run_time is not None:
        low, high = found.dry_run_time
        notes.append(("pump.dry_run", phrase("FND-pump.dry_run", low=low, high=high)))
    zoned = inputs.choices["site.zone"] not in (None, "none", "unknown") or flammable(inputs)
    if zoned and found.character.dry_run != "good":
        name = phrase(f"KIND-{scene.evaluation.choice.pump.family}")
        notes.append(("pump.dry_run_zone", phrase("FND-pump.dry_run_zone", name=name)))
    return notes


def _broken_rules(scene: Any) -> list[tuple[str, Phrase]]:
    """Rules of the trade that speak against the family of the pump shown."""
    family = scene.evaluation.choice.pump.family
    against = [rule for rule in scene.problem.pump_rules if rating(rule, family) in ("poor", "no")]
    if not against:
        return []
    names = [phrase(f"RULENAME-{rule}") for rule in against]
    return [
        ("pump.against_rules", phrase("FND-pump.against_rules", name=phrase(f"KIND-{family}"), rules=names))
    ]


def _cap(found: Behaviour, pump: Pump) -> Phrase:
    names = tuple(found.speeds.caps)
    name = names[int(np.atleast_1d(found.speeds.binding)[0])]
    cap, need = (float(np.atleast_1d(values)[0]) for values in (found.speeds.caps[name], found.speeds.needed))
    fed = float(np.atleast_1d(found.speeds.feed_flow[0])[0])
    if fed >= pump.displacement * pump.maximum_speed:
        return phrase("FND-pump.cap_fed", name=phrase(f"CAP-{name}"), value=need, limit=cap)
    return phrase("FND-pump.cap", name=phrase(f"CAP-{name}"), value=need, limit=cap, flow=fed)


def _shear(found: Behaviour) -> Phrase:
    mean, peak, share = (float(np.atleast_1d(v)[0]) for v in found.shear[:3])
    return phrase("FND-pump.shear", value=mean, peak=peak, share=share)


def _life(scene: Any, found: Behaviour) -> Phrase:
    """How many containers, or strokes of a diaphragm pump, until it wears out: never a range from zero."""
    family = scene.evaluation.choice.pump.family
    name, (low, high) = phrase(f"KIND-{family}"), found.wear.containers
    if high < 1.0:
        return phrase("FND-pump.life_none", name=name)
    if family == "air_diaphragm":
        fewest, most = (_rounded(each) for each in strokes_stood(scene.problem.abrasion))
        return phrase(
            "FND-pump.life_strokes", fewest=fewest, most=most, low=_rounded(low), high=_rounded(high)
        )
    if low < 1.0:
        return phrase("FND-pump.life_at_once", name=name, high=_rounded(min(high, MANY)))
    if low > MANY:
        return phrase("FND-pump.life_long", name=name, low=int(MANY))
    if high > MANY:
        return phrase("FND-pump.life_open", name=name, low=_rounded(low), high=int(MANY))
    return phrase("FND-pump.life", name=name, low=_rounded(low), high=_rounded(high))


def _rounded(count: float) -> int:
    """A number of containers to two digits: the wear rate carries no more."""
    step = 10.0 ** max(np.floor(np.log10(max(count, 1.0))) - 1.0, 0.0)
    return int(step * np.floor(count / step))


def _overload(scene: Any, drive: Drive) -> Phrase:
    problem, choice = scene.problem, scene.evaluation.choice
    weakest = float(weakest_part(problem.inputs, problem.sample, choice)[0])
    passed = quantiles(np.atleast_1d(overload_reached(scene, drive))[1:], 0.95)[0]
    return phrase("FND-drive.overload", torque=drive.overload_torque, value=passed, limit=weakest)


def _gear(drive: Drive) -> Phrase:
    key = "FND-drive.gear_forced" if drive.forced_cooling else "FND-drive.gear"
    share = drive.frequency / drive.rated_frequency
    return phrase(key, power=drive.motor_power, ratio=drive.ratio, share=share, slow=drive.slowest)


def air_setting(problem: Problem, found: Evaluation) -> list[Finding]:
    """The air of an air-driven pump that could overload the weakest part or the pump is regulated and locked.

    Parameters
    ----------
    problem : Problem
    found : Evaluation
    """
    pump = found.choice.pump
    if pump.turns or not found.balances:
        return []
    air = problem.sample["site.air_pressure"]
    by_line, own = air_allowed(problem.inputs, problem.sample, found.choice)
    setting, there = min(float(by_line[0]), own), quantiles(air[1:], 0.95)[0]
    if there <= setting:
        return []
    stall = float(stall_pressure(pump, 0.0, 0.0, {"site.air_pressure": np.array([there])})[0])
    weakest = float(weakest_part(problem.inputs, problem.sample, found.choice)[0])
    key, value, limit = "pump.air_set", stall, weakest
    if own < float(by_line[0]):
        key, value, limit = "pump.air_rated", there, own
    text = phrase(f"FND-{key}", value=setting, stall=value, limit=limit)
    figure = "pump.stall_pressure"
    return [Finding(key, "condition", "pressure", text, figure, value, limit, "pressure_gauge")]


def motor_of(found: Evaluation, mains: float) -> float:
    """Smallest motor that 95 % of the samples of every season need [W]; infinite past the series.

    Parameters
    ----------
    found : Evaluation
        With balances.
    mains : float
        Frequency of the mains [Hz].
    """
    needs = [quantiles(state.load.motor_required[1:], 0.95)[0] for state in found.balances.values()]
    return smallest_motor(max(needs), mains)


def stall_condition(problem: Problem, found: Evaluation) -> list[Finding]:
    """A pump that turns and whose drive builds more than the weakest part bears, casing included.

    Parameters
    ----------
    problem : Problem
    found : Evaluation

    Notes
    -----
    High ends: friction in the pump as low as it may be. Without a motor that may be named nothing shows that
    the drive stays below.
    """
    pump = found.choice.pump
    if not pump.turns or not found.balances:
        return []
    outside = float(weakest_part(problem.inputs, problem.sample, found.choice)[0])
    weakest, gate, figure = min(outside, pump.maximum_pressure), "pressure", "pump.stall_pressure"
    motor = motor_of(found, problem.inputs.likely("site.mains_frequency"))
    speed = float(next(iter(found.balances.values())).pump_wanted.speed[0])
    if problem.size_withheld or not np.isfinite(motor) or not speed > 0.0:
        text = phrase("FND-pump.stall_open", limit=weakest)
        return [Finding("pump.stall", "condition", gate, text, "", None, weakest, "pressure_gauge")]
    sample, family = problem.sample_of(found.choice), family_of(pump)
    stall, pull_out = (
        quantiles(family.stall_pressure(pump, motor, speed, sample, by)[1:], 0.95)[0]
        for by in (OVERLOAD, PULL_OUT)
    )
    if max(stall, pull_out) <= weakest:
        return []
    part = phrase("WEAK-pump" if pump.maximum_pressure < outside else "WEAK-line")
    text = phrase("FND-pump.stall", value=stall, pull_out=pull_out, limit=weakest, part=part)
    return [Finding("pump.stall", "condition", gate, text, figure, stall, weakest, "pressure_gauge")]
