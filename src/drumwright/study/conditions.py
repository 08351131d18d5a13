"""Conditions a configuration brings by its numbers: what must be designed, shown or agreed for it."""

from __future__ import annotations

import numpy as np

from drumwright.basis.phrases import phrase
from drumwright.basis.statistics import quantiles
from drumwright.machine.container.kinds import kind
from drumwright.machine.container.materials import general_limit
from drumwright.machine.delivery.destination import is_closed
from drumwright.machine.plate.seals import RESERVE, seals
from drumwright.machine.plate.withdrawal import crush_margin
from drumwright.station.balance import Balance
from drumwright.station.by_kind import defaults
from drumwright.station.left_without_plate import air_depth, waiting_time
from drumwright.station.plate_feed import rim_at_end
from drumwright.station.records import declaration
from drumwright.station.strength import PUMP_PULL, strength_of, wall_limit
from drumwright.station.warm_up import NEWTONIAN, warms_at_unknown
from drumwright.study.buffer_findings import buffer_conditions
from drumwright.study.checks import hands_share
from drumwright.study.cleaning import cleaning_conditions, sequence_condition
from drumwright.study.container_checks import MOST_HEEL, inflation_of, reserve_for_tolerance
from drumwright.study.container_figures import held_up
from drumwright.study.evaluation import Evaluation, Problem
from drumwright.study.lifting import lifting_conditions
from drumwright.study.line_stops import line_conditions
from drumwright.study.material_findings import material_condition
from drumwright.study.pump_figures import air_setting, stall_condition
from drumwright.study.raising import lift_off
from drumwright.study.result import Finding
from drumwright.study.search_options import stated_warming
from drumwright.study.set_points import set_point_conditions
from drumwright.study.shift_figures import supply_conditions
from drumwright.study.stand_findings import stand_conditions
from drumwright.study.warming import warmed, warming_findings

SHORT_WAIT = 120.0  # [s] less than a change of containers takes anyway (estimate)
HOUR = 3600.0
POURABLE = 5.0  # [Pa s] without yield: a lance, tilt or gravity does it (trade book 2.4, common practice)
BANDS = ("site.heater_power", "site.heater_height")  # used where a band heater was named
# Stated answers that no model of this version uses.
NOT_USED = (
    "machine.plate_clearance",
    "product.skin_time",
    "product.rest_time",
    "product.crystallises_at",
)


def machine_conditions(problem: Problem, found: Evaluation) -> list[Finding]:
    """Conditions of the arrangement the answer rests on, each with its number."""
    if not found.balances:
        return []
    worst = next(iter(found.balances.values()))
    listed = []
    if found.choice.plated:
        listed = _plate(problem, found, worst) + _strength(problem, found, worst)
        listed += [item for item in lift_off(problem, found, worst) if item.role == "condition"]
        listed += stand_conditions(problem, found)
    else:
        listed = _outlet(problem, worst)
    listed += _people(problem, found) + lifting_conditions(problem.inputs, found.choice)
    held = float(np.max(held_up(found.choice, worst)[:1]))
    listed += cleaning_conditions(problem.inputs, held) + sequence_condition(problem.inputs)
    listed += air_setting(problem, found) + stall_condition(problem, found) + line_conditions(problem, found)
    listed += set_point_conditions(problem, found)
    listed += buffer_conditions(problem, found) + supply_conditions(problem, found)
    listed.append(material_condition(problem.inputs, found.choice))
    listed += _siphon(worst) + warming_findings(problem, found.choice.warm_to)
    return listed + _destination(problem, worst) + _temperature(problem, found) + _pourable(problem, found)


def _condition(key: str, gate: str, value: float, limit: float, kind: str, **slots: float) -> Finding:
    text = phrase(f"FND-{key}", value=value, limit=limit, **slots)
    return Finding(key, "condition", gate, text, "", value, limit, kind)


def _plate(problem: Problem, found: Evaluation, state: Balance) -> list[Finding]:
    """Force of the plate and the load of its lip."""
    force = float(state.force[0])
    if force <= 0.0:
        return [_condition("plate.no_force", "container_plate", force, 0.0, "force")]
    rim = rim_at_end(state.feed, found.choice, state.inlet_required)
    seal = seals()[found.choice.seal]
    listed = _diameters(problem, found)
    if seal.follows:
        least, most = (
            float(value[0]) for value in inflation_of(problem.sample, state, rim, found.choice.port)
        )
        return [*listed, _condition("plate.inflation_rule", "container_plate", least, most, "pressure_gauge")]
    wall = wall_limit(problem.inputs, problem.sample, state.feed.shape)
    if wall is not None and float(rim[0]) > float(wall[0]):
        value, limit = float(rim[0]), float(wall[0])
        listed.append(_condition("container.rim_on_wall", "container_plate", value, limit, "pressure_gauge"))
    contact = float(problem.sample["model.seal_contact"][0]) / RESERVE
    if not problem.known.yields or float(rim[0]) <= contact or not seal.lips:
        return listed
    return [
        *listed,
        _condition("plate.rim_pressure", "container_plate", float(rim[0]), contact, "pressure_gauge"),
    ]


def _strength(problem: Problem, found: Evaluation, state: Balance) -> list[Finding]:
    """What a stuck plate does to the container, and walls whose strength nobody computes."""
    limits = strength_of(problem.inputs, problem.sample, state.feed.shape)
    air_pump = found.choice.pump.family == "air_diaphragm"
    pull = float(problem.sample["model.suction_net"][0]) if air_pump else PUMP_PULL
    if limits.collapse is None or limits.inner is None:
        most = general_limit("assist_regulated").likely
        key, value, limit = "container.strength_unknown", pull, most
    elif float(crush_margin(pull, limits.collapse[0])) < 0.0:
        key, value, limit = "container.collapse", quantiles(limits.collapse[1:], 0.05)[0], pull
    else:
        return []
    return [_condition(key, "container_plate", value, limit, "pressure_difference")]


def _diameters(problem: Problem, found: Evaluation) -> list[Finding]:
    """Seals whose reach has no room for the usual tolerance of the containers."""
    short = reserve_for_tolerance(problem.inputs, found.choice)
    if short is None:
        return []
    return [_condition("plate.reach_reserve", "container_plate", short[0], short[1], "diameter")]


def _outlet(problem: Problem, state: Balance) -> list[Finding]:
    """Air at the outlet of a bin, and how long it must drain for the residue that was wanted."""
    listed = [_plain("outlet.air", air_depth(problem.sample, state), "diameter")]
    newtonian = float(np.asarray(state.law.exponent).flat[0]) > NEWTONIAN
    if problem.inputs.choices["enquiry.plate_wanted"] not in (None, "none"):
        mouth = kind(problem.inputs.kind).known("opening")
        listed.append(_plain("no_plate.mouth", mouth.likely if mouth is not None else 0.0, "diameter"))
    if problem.known.yields or not newtonian:
        return listed
    usual = np.full_like(problem.sample["container.usable_volume"], MOST_HEEL)
    share = problem.sample.get("enquiry.residue_wanted", usual)
    wait = float(waiting_time(problem.sample, state, share * problem.sample["container.usable_volume"])[0])
    if wait < SHORT_WAIT:
        return listed
    if wait < HOUR:
        return [*listed, _plain("outlet.waiting_minutes", wait, "duration")]
    return [*listed, _plain("outlet.waiting", wait, "long_time")]


def _plain(key: str, value: float, kind: str) -> Finding:
    """A condition of the container with its number and no limit."""
    text = phrase(f"FND-{key}", value=value)
    return Finding(key, "condition", "container_plate", text, "", value, None, kind)


def _people(problem: Problem, found: Evaluation) -> list[Finding]:
    """Handling that needs more of a person than is usually there, where nobody said how much is."""
    if "enquiry.operator_share" not in problem.inputs.defaulted:
        return []
    if "enquiry.drums_per_shift" not in problem.sample:
        return []
    hands = float(hands_share(problem.inputs, problem.sample, found.choice)[0])
    usual = defaults()["enquiry.operator_share"].estimate.likely
    return [_condition("people.operator", "people", hands, usual, "fraction")] if hands > usual else []


def _destination(problem: Problem, state: Balance) -> list[Finding]:
    """A closed destination that bears less than stands behind it when it shuts."""
    limit = problem.inputs.estimates.get("destination.inlet_pressure_high")
    kind = problem.inputs.choices["destination.kind"] or "open_tank"
    running = float(state.running_gauge[0])
    if limit is None or not is_closed(kind) or running <= limit.likely:
        return []
    return [_condition("destination.inlet_below_line", "pressure", running, limit.likely, "pressure_gauge")]


def _siphon(state: Balance) -> list[Finding]:
    """A line that falls may pull the pump outlet below the atmosphere."""
    outlet = float(state.running_gauge[0])
    return [_condition("line.siphon", "pressure", outlet, 0.0, "pressure_gauge")] if outlet < 0.0 else []


def _temperature(problem: Problem, found: Evaluation) -> list[Finding]:
    """Warming without a stated limit; a line that stands colder than the product sets."""
    inputs, listed = problem.inputs, []
    warm = found.choice.warm_to
    unknown = "product.maximum_temperature" not in inputs.estimates
    if warm is not None and unknown and warm > inputs.likely("product.temperature.norm"):
        hottest = warmed(problem, warm)
        most = warm if hottest is None else float(hottest.hottest[0])
        listed.append(_condition("warm.limit", "hygiene_zone", most, most, "temperature"))
    sets, hall = inputs.estimates.get("product.sets_at"), inputs.likely("site.hall_temperature")
    if sets is not None and sets.likely > hall:
        listed.append(_condition("line.sets", "pressure", hall, sets.likely, "temperature"))
    return listed


def _pourable(problem: Problem, found: Evaluation) -> list[Finding]:
    """A thin product without yield stress does not need a plate unloader."""
    state = max(found.balances.values(), key=lambda s: float(s.law.stress(1.0)[0]))  # type: ignore[index]
    viscosity = float(state.law.stress(1.0)[0])  # type: ignore[index]
    if problem.known.yields or viscosity >= POURABLE:
        return []
    return [_condition("rule.pourable", "container_plate", viscosity, POURABLE, "viscosity")]


def unused_answers(problem: Problem) -> list[Finding]:
    """Stated answers this version does not use, named so that nobody counts on them."""
    inputs = problem.inputs
    said = [key for key in NOT_USED if key in inputs.estimates]
    if warms_at_unknown(inputs):
        said.append("site.conditioning_time")
    if inputs.choices["site.heating"] != "band_heater":
        said += [key for key in BANDS if key not in inputs.defaulted]
    if "site.warm_to" in inputs.estimates and stated_warming(inputs) is None:
        said.append("site.warm_to")
    if not said:
        return []
    return [
        Finding(
            "not_judged.fields",
            "not_judged",
            "",
            phrase("FND-fields", fields=[_meaning(key) for key in said]),
        )
    ]


def _meaning(key: str) -> str:
    """The declared meaning of a field, as a name in a list."""
    return declaration(key).meaning.rstrip(".").lower()


def unbuilt_models() -> list[Finding]:
    """Parts of gates that have no model yet: never passed by their absence."""
    return [
        Finding(f"not_judged.{name}", "not_judged", gate, phrase(f"FND-unbuilt-{name}"))
        for name, gate in (("hygiene", "hygiene_zone"),)
    ]
