"""What is said of buffers and of an outlet that shuts: vessel class, sorts of buffer, peak, after-flow."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.phrases import phrase
from drumwright.basis.statistics import quantiles
from drumwright.machine.delivery.creeping import creeping
from drumwright.machine.line.pressure_equipment import screen, unclassed_cushion
from drumwright.study.checks import weakest_part
from drumwright.study.line_notes import fluid_group
from drumwright.study.result import Finding
from drumwright.study.transient_figures import (
    end_of,
    has_gas,
    precharge_of,
    stop_pressure,
    transient_values,
    vessel,
    vessel_pressure,
)

if TYPE_CHECKING:
    from drumwright.station.inputs import Inputs
    from drumwright.study.evaluation import Evaluation, Problem

Array = NDArray[np.float64]
CREEPS = 0.01  # of the wanted flow: less is not worth saying; assumed
UNDER_THE_DIRECTIVE = (None, "EU", "UK")  # places; one nobody named is taken to be


class _View:
    """What `transient_values` reads: the coldest season of an arrangement."""

    def __init__(self, problem: Problem, found: Evaluation) -> None:
        self.problem, self.evaluation = problem, found
        self.state = next(iter(found.balances.values()))


def buffer_conditions(problem: Problem, found: Evaluation) -> list[Finding]:
    """Conditions that a buffer, or a destination that shuts, brings.

    Parameters
    ----------
    problem : Problem
    found : Evaluation
        With the balance of its coldest season first.
    """
    if not found.balances:
        return []
    values = transient_values(_View(problem, found))
    state = next(iter(found.balances.values()))
    return [
        *_closes(problem.inputs),
        *_class(problem, found.choice, values),
        *_two_things(problem, state, values),
        *_stored(problem, found.choice, state, values),
        *_precharge(problem, state),
        *_peak(problem, found.choice, state, values),
        *_batch(values),
    ]


def _closes(inputs: Inputs) -> list[Finding]:
    """A destination that can shut on the running pump: what is computed, and what only the machine proves."""
    if not end_of(inputs).closes:
        return []
    name = phrase(f"KIND-{inputs.choices['destination.kind']}")
    found = [
        Finding("destination.closes", "condition", "pressure", phrase("FND-destination.closes", name=name))
    ]
    if inputs.choices["destination.kind"] == "header":
        text = phrase("FND-destination.non_return")
        found.append(Finding("destination.non_return", "condition", "pressure", text))
    return found


def _class(problem: Problem, choice: Any, values: dict[str, Array]) -> list[Finding]:
    """Class of a vessel with a gas cushion, screening only."""
    field = vessel(problem.inputs)
    if field is None or not has_gas(problem.inputs):
        return []
    room, gauge = float(problem.sample[field][0]), float(vessel_pressure(problem, choice)[0])
    if problem.inputs.choices["case.place"] not in UNDER_THE_DIRECTIVE:
        text = phrase("FND-buffer.cushion_code", volume=room, pressure=gauge)
        return [Finding("buffer.cushion_code", "condition", "hygiene_zone", text)]
    group = fluid_group(problem.inputs)
    seen = screen("gas_cushion", gauge, room, group)
    if seen.category in ("none", "sep"):
        return []
    slots = {"volume": room, "pressure": gauge, "value": gauge * room, "least": unclassed_cushion(group)}
    category = phrase(f"PED-{seen.category}")
    if group is None:
        mild = phrase(f"PED-{screen('gas_cushion', gauge, room, 2).category}")
        text = phrase("FND-buffer.cushion_unread", **slots, category=category, mild=mild)
    else:
        text = phrase("FND-buffer.cushion_class", **slots, category=category, group=group)
    return [
        Finding("buffer.cushion_class", "condition", "hygiene_zone", text, "buffer.pressure_volume",
                gauge * room, None, "pressure_volume")
    ]  # fmt: skip


def _two_things(problem: Problem, state: Any, values: dict[str, Array]) -> list[Finding]:
    """One vessel asked for what two different buffers do."""
    inputs = problem.inputs
    guard = values.get("buffer.protection_volume")
    wanted = vessel(inputs) is not None and bool(inputs.choices["enquiry.uninterrupted"])
    if guard is None or not wanted or not has_gas(inputs) or not end_of(inputs).closes:
        return []
    bridge, most = float(_bridge(problem, state)[0]), quantiles(guard[1:], 0.95)[0]
    text = phrase("FND-buffer.two_things", bridge=bridge, value=most)
    return [
        Finding("buffer.two_things", "condition", "rate", text, "buffer.protection_volume", most, bridge,
                "volume")
    ]  # fmt: skip


def _bridge(problem: Problem, state: Any) -> Array:
    """Product drawn during a change of mean length [m3]."""
    sample = problem.sample
    change = sample.get("enquiry.change_time", sample["model.change_fixed"])
    return np.asarray(state.wanted_flow * change)


def _stored(problem: Problem, choice: Any, state: Any, values: dict[str, Array]) -> list[Finding]:
    """A closed vessel that gives less between its pressures than a change takes."""
    field, given = vessel(problem.inputs), values.get("buffer.stored")
    if field is None or given is None or not problem.inputs.choices["enquiry.uninterrupted"]:
        return []
    least, asked = quantiles(given[1:], 0.05)[0], float(_bridge(problem, state)[0])
    if least >= asked:
        return []
    text = phrase(
        "FND-buffer.stored_short", volume=float(problem.sample[field][0]), value=float(given[0]), limit=asked,
        high=float(vessel_pressure(problem, choice)[0]), low=float(problem.sample["destination.pressure"][0]),
        stale=float(values["buffer.stale"][0]),
    )  # fmt: skip
    return [
        Finding("buffer.stored_short", "condition", "rate", text, "buffer.stored", float(given[0]), asked,
                "volume")
    ]  # fmt: skip


def _precharge(problem: Problem, state: Any) -> list[Finding]:
    """A stated precharge above the least working pressure."""
    sample = problem.sample
    if "buffer.precharge" not in sample:
        return []
    least = sample.get("destination.inlet_pressure_low", sample["destination.pressure"])
    before = precharge_of(problem, least + state.atmosphere, state.atmosphere) - state.atmosphere
    value, limit = float(before[0]), float(least[0])
    if value <= limit:
        return []
    text = phrase("FND-buffer.precharge_high", value=value, limit=limit)
    return [
        Finding("buffer.precharge_high", "condition", "pressure", text, "", value, limit, "pressure_gauge")
    ]


def _peak(problem: Problem, choice: Any, state: Any, values: dict[str, Array]) -> list[Finding]:
    """A destination that shuts on the running pump, against the weakest part."""
    if "transient.overshoot" not in values or not end_of(problem.inputs).closes:
        return []
    weakest = weakest_part(problem.inputs, problem.sample, choice)
    alone = stop_pressure(problem, choice) + values["transient.overshoot"]
    peak = values.get("transient.peak_buffered", alone) + values["transient.surge"]
    high, limit = quantiles(peak[1:], 0.95)[0], float(weakest[0])
    if high <= limit:
        return []
    soft = bool(np.any(np.asarray(state.route.hose_length) > 0.0)) or any(
        each.kind == "hose" for each in problem.pieces
    )
    key = "transient.overshoot_above" if soft else "transient.stiff_line"
    rise = quantiles(values["transient.dead_head_rise"][1:], 0.95)[0]
    time = quantiles(values["transient.time_to_weakest"][1:], 0.05)[0]
    text = phrase(f"FND-{key}", value=high, limit=limit, rise=rise, time=time, gas=_guard(values, limit))
    return [Finding(key, "condition", "pressure", text, "transient.overshoot", high, limit, "pressure_gauge")]


def _guard(values: dict[str, Array], weakest: float) -> Any:
    """Cushion that would take the stop up, in words, with what it is on the gas table."""
    guard = values.get("buffer.protection_volume")
    if guard is None:
        return phrase("BUFFER-any")
    size = quantiles(guard[1:], 0.95)[0]
    return phrase("BUFFER-gas", value=size, product=size * weakest)


def _batch(values: dict[str, Array]) -> list[Finding]:
    """After-flow of a batch by weight and how much of it changes."""
    after = values.get("batch.after_flow")
    if after is None:
        return []
    low, high = quantiles(after[1:], 0.05, 0.95)
    text = phrase("FND-batch.after_flow", value=0.5 * (low + high), spread=0.5 * (high - low))
    return [Finding("batch.after_flow", "condition", "rate", text, "batch.after_flow", high, None, "mass")]


def delivery_notes(shown: list[Any]) -> list[Finding]:
    """Notes on what goes on after a stop, in the season in which the product is thinnest.

    Parameters
    ----------
    shown : list of figures.Scene
        Seasons of the arrangement shown.
    """
    if not shown or not shown[-1].evaluation.choice.plated:
        return []
    scene = shown[-1]
    sample, state = scene.problem.sample, scene.state
    end = state.loss.static + sample["destination.pressure"]
    length = np.maximum(np.asarray(state.route.length) + state.route.hose_length, 1e-3)
    found = creeping(state.under_plate_gauge, end, length, state.route.bore, state.law)
    most, wanted = quantiles(found.flow[1:], 0.95)[0], float(state.wanted_flow[0])
    if most <= CREEPS * wanted:
        return []
    slots = {"value": float(np.ravel(state.under_plate_gauge)[0]), "flow": most}
    return [Finding("transient.creeping", "note", "", phrase("FND-transient.creeping", **slots))]
