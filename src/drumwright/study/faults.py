"""Normal running and single faults of a machine: what is done to it, what it does, what caught it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import numpy as np

from drumwright.basis.phrases import Phrase, phrase
from drumwright.machine.delivery.dead_head import ClosedLine, compliance
from drumwright.machine.delivery.stop_overshoot import peak_after_stop, pumped_after_stop
from drumwright.station.transient.layout import (
    DO_AIR,
    DO_BLOCK,
    DO_BURST,
    DO_DRIFT,
    DO_EMERGENCY,
    DO_FEED,
    DO_POWER,
    DO_RAMP,
    DO_RELIEF,
    DO_STUCK_1,
    DO_SWITCH,
    DO_TRANSMITTER,
)
from drumwright.station.transient.run import Event, Trace
from drumwright.study.cycle import NAME, container_notes
from drumwright.study.fault_notes import jam_notes
from drumwright.study.normal import normal, normal_name, normal_notes
from drumwright.study.running import (
    Machine,
    buffer_left_out,
    rested_after,
    run_machine,
    settled_after,
    started,
)
from drumwright.study.scenario import Outcome, Row, Scenario

WATCHED = 25.0  # s after a fault
STALLS = 300.0  # s more, until a pump that air drives has come to its stall
STARVES = 40.0  # s more, until the product before the pump is drawn empty
BLOCKS_IN = 0.05  # s, a valve that slams
CLOGGED = 0.02  # of the way in that is left open
LITTLE_LEFT = 6.0  # s of pumping in a container that is about to be empty
BURST = 20.0  # times the flow of the line that a parted hose lets out at running pressure; assumed
DRIFTS = 0.05  # of the weakest part a second
LOST = 5.0  # s without power
NEAR = 1.0e-6  # s, two times that are the same
STANDS = 0.01  # of the wanted speed
STOPPING = ("stop", "ramp_stop")


def scenario(machine: Machine, name: str) -> Scenario:
    """The schedule of a scenario for a machine.

    Parameters
    ----------
    machine : Machine
    name : str
        normal, or one of `FAULTS`.

    Raises
    ------
    KeyError
        If there is none of that name.
    """
    onset = settled_after(machine)
    rest = (onset, onset + WATCHED)
    return normal(machine, onset) if name == "normal" else FAULTS[name](machine, *rest)


def _closing(machine: Machine, onset: float, more: tuple[Row, ...]) -> tuple[Row, ...]:
    """Other trouble, and then the outlet shuts."""
    return (*more, (onset, DO_BLOCK, 0.0, BLOCKS_IN))


def _blocked_with(*what: tuple[int, float]) -> Callable[[Machine, float, float], Scenario]:
    def made(machine: Machine, onset: float, duration: float) -> Scenario:
        more = tuple((onset - 0.5, kind, value, 0.0) for kind, value in what)
        duration += 0.0 if machine.turns else STALLS
        name = machine_name[what]
        return Scenario(name, onset, duration, _closing(machine, onset, more), machine.plant(), True)

    return made


machine_name: dict[tuple[tuple[int, float], ...], str] = {
    (): "blocked_outlet",
    ((DO_STUCK_1, 1.0),): "stuck_transmitter",
    ((DO_RAMP, 2.0),): "slow_drive",
    ((DO_RELIEF, 1.0),): "failed_relief",
    ((DO_SWITCH, 1.0),): "failed_switch",
}


def _drift(machine: Machine, onset: float, duration: float) -> Scenario:
    duration += 0.0 if machine.turns else STALLS
    rows = _closing(machine, onset, ((1.0, DO_DRIFT, -DRIFTS * machine.weakest / onset, 0.0),))
    return Scenario("drifting_transmitter", onset, duration, rows, machine.plant(), True)


def _single(
    name: str, kind: int, value: float, longer: float = 0.0
) -> Callable[[Machine, float, float], Scenario]:
    def made(machine: Machine, onset: float, duration: float) -> Scenario:
        return Scenario(name, onset, duration + longer, ((onset, kind, value, 0.0),), machine.plant())

    return made


def _worst_moment(machine: Machine, onset: float, duration: float) -> Scenario:
    """The filler shuts while the line is just up to pressure and the drive still at its ramp."""
    moment = machine.around.ramp_time
    rows: tuple[Row, ...] = ((moment, DO_BLOCK, 0.0, BLOCKS_IN),)
    return Scenario("closing_at_start", moment, duration, rows, machine.plant(), True)


def _burst(machine: Machine, onset: float, duration: float) -> Scenario:
    running = max(float(machine.state.running_gauge[0]), 1.0e4)
    hole = BURST * float(machine.state.wanted_flow[0]) / running
    return Scenario("hose_burst", onset, duration, ((onset, DO_BURST, hole, 0.0),), machine.plant())


def _empty(machine: Machine, onset: float, duration: float) -> Scenario:
    """The container runs empty and the height of the plate is stuck where it was when it was full."""
    flow = float(machine.state.wanted_flow[0])
    plant = machine.plant()
    stuck = {"height_fails": 1.0, "height_value": plant["full_height"]}
    plant = plant.with_values(container_volume=flow * (onset + LITTLE_LEFT))
    plant = replace(plant, registers={**plant.registers, **stuck})
    return Scenario("empty_not_seen", onset + LITTLE_LEFT, duration + STARVES + LITTLE_LEFT, (), plant)


def _cold(machine: Machine, onset: float, duration: float) -> Scenario:
    """Start after a night with a full line: structure grown, product of the line as cold as the hall."""
    structure, colder = rested_after(machine, "night")
    plant = machine.plant()
    held, extra = plant["line_yield"], plant["rest_extra"]
    plant = plant.with_values(line_yield=held * colder, rest_extra=extra * colder)
    return Scenario("cold_restart", 0.0, max(duration, 40.0), (), started(plant, structure))


def _power(machine: Machine, onset: float, duration: float) -> Scenario:
    rows: tuple[Row, ...] = ((onset, DO_POWER, 0.0, 0.0), (onset + LOST, DO_POWER, 1.0, 0.0))
    return Scenario("power_loss", onset, duration, rows, machine.plant())


FAULTS: dict[str, Callable[[Machine, float, float], Scenario]] = {
    "blocked_outlet": _blocked_with(),
    "stuck_transmitter": _blocked_with((DO_STUCK_1, 1.0)),
    "drifting_transmitter": _drift,
    "failed_switch": _blocked_with((DO_SWITCH, 1.0)),
    "failed_relief": _blocked_with((DO_RELIEF, 1.0)),
    "slow_drive": _blocked_with((DO_RAMP, 2.0)),
    "closing_at_start": _worst_moment,
    "cold_restart": _cold,
    "clogged_inlet": _single("clogged_inlet", DO_FEED, CLOGGED, STARVES),
    "plate_jam": _single("plate_jam", DO_FEED, 0.0, STARVES),
    "empty_not_seen": _empty,
    "hose_burst": _burst,
    "lost_air": _single("lost_air", DO_AIR, 0.0),
    "power_loss": _power,
    "emergency_stop": _single("emergency_stop", DO_EMERGENCY, 1.0),
    "transmitter_fault": _single("transmitter_fault", DO_TRANSMITTER, 1.0),
}


def play(machine: Machine, name: str, *, fast: bool = False) -> Outcome:
    """Run a scenario and say what came of it.

    Parameters
    ----------
    machine : Machine
    name : str
        normal, or one of `FAULTS`.
    fast : bool
        With the compiled kernel.
    """
    asked = scenario(machine, name)
    trace = run_machine(machine, asked.duration, asked.schedule, asked.plant, fast=fast, every=asked.every)
    return outcome(machine, asked, trace)


def outcome(machine: Machine, asked: Scenario, trace: Trace) -> Outcome:
    """What a run says.

    Parameters
    ----------
    machine : Machine
    asked : Scenario
    trace : Trace
    """
    peak, time = trace.peaks["outlet"], trace.peaks["outlet_time"]
    asked = _since_empty(asked, trace)
    stop = _stopped(trace, asked)
    caught = caught_by(machine, trace, asked)
    closed_rise, closed_peak = _closed_forms(machine, asked, trace)
    found = Outcome(
        scenario=asked,
        trace=trace,
        peak=peak,
        peak_time=time,
        end_peak=trace.peaks["end"],
        least_inlet=trace.peaks["inlet_least"],
        time_to_stop=stop,
        spilled=trace.end["spilled"],
        relieved=trace.end["relieved"],
        rise=_rise(trace, asked),
        closed_form_rise=closed_rise,
        closed_form_peak=closed_peak,
        caught_by=caught,
        over=peak / machine.weakest,
        text=phrase("RUN-title"),
    )
    return replace(found, text=_said(machine, found), notes=_notes(machine, asked, trace))


def _since_empty(asked: Scenario, trace: Trace) -> Scenario:
    """An end that is not seen begins to matter when the container is empty, not when that was expected."""
    empty = [event.time for event in trace.events if event.kind == "container_empty"]
    return replace(asked, onset=empty[0]) if asked.name == "empty_not_seen" and empty else asked


def _notes(machine: Machine, asked: Scenario, trace: Trace) -> tuple[Phrase, ...]:
    if not trace.solved:
        return ()
    without = (phrase("RUN-buffer_left_out"),) if buffer_left_out(machine.problem) else ()
    if asked.name == NAME:
        return (*container_notes(machine, trace), *without)
    if asked.name == "plate_jam":
        return (*jam_notes(machine, trace), *without)
    return (*(normal_notes(machine, trace) if asked.name == "normal" else ()), *without)


def name_of(machine: Machine, asked: Scenario) -> str:
    """Key of the sentence that names a run.

    Parameters
    ----------
    machine : Machine
    asked : Scenario
    """
    return normal_name(machine) if asked.name == "normal" else asked.name


def _stopped(trace: Trace, asked: Scenario) -> float | None:
    """From the onset until the pump stands [s]."""
    after = trace.rows["time"] >= asked.onset
    turning = trace.rows["speed"][after] > STANDS * asked.plant["speed_wanted"]
    times = trace.rows["time"][after]
    if not turning.size or turning[-1]:
        return None
    last = np.flatnonzero(turning)
    return 0.0 if not last.size else float(times[min(last[-1] + 1, times.size - 1)] - asked.onset)


def _rise(trace: Trace, asked: Scenario) -> float:
    """Greatest rise of the outlet pressure after the onset [Pa/s]."""
    times, values = trace.rows["time"], trace.rows["outlet_pressure"]
    some = times >= asked.onset
    if some.sum() < 3:
        return 0.0
    width = np.maximum(np.diff(times[some]), 1e-6)
    steps = np.diff(values[some]) / width
    return float(max(steps[width > 1e-3].max(initial=0.0), 0.0))


def first_stop(machine: Machine, trace: Trace, onset: float) -> Event | None:
    """First event after the onset at which a control object stopped the pump.

    Parameters
    ----------
    machine : Machine
    trace : Trace
    onset : float
        [s]
    """
    stopping = {
        each.identifier
        for each in machine.control.objects
        if any(action in STOPPING for action, _ in each.actions)
    }
    for event in trace.events:
        late = event.kind == "object_acts" and event.time >= onset - NEAR
        if late and machine.names[int(event.value)].identifier in stopping:
            return event
    return None


def caught_by(machine: Machine, trace: Trace, asked: Scenario) -> str:
    """What ended it: a control object, the relief valve, the drive or the air itself, or nothing.

    Parameters
    ----------
    machine : Machine
    trace : Trace
    asked : Scenario
    """
    if _cut_at_start(trace, asked):
        return "start"
    stop = first_stop(machine, trace, asked.onset)
    cut = next(
        (event for event in trace.events if event.kind == "pump_cut" and event.time >= asked.onset - NEAR),
        None,
    )
    opened = next(
        (
            event
            for event in trace.events
            if event.kind == "relief_opens" and event.time >= asked.onset - NEAR
        ),
        None,
    )
    if opened is not None and (stop is None or opened.time < stop.time):
        return "relief"
    if stop is not None:
        return machine.names[int(stop.value)].identifier
    if cut is not None:
        return "power"
    if machine.turns and trace.rows["outlet_pressure"][-1] > 0.9 * asked.plant["stall_pressure"]:
        return "drive"
    flow = trace.rows["pump_flow"]
    if not machine.turns and asked.blocked and flow[-1] < STANDS * flow.max():
        return "air"
    return "slow_down" if _slowed(machine, trace, asked.onset) else "nothing"


def _cut_at_start(trace: Trace, asked: Scenario) -> bool:
    """Whether the pump was cut before anything was done to the machine, and stands when it is."""
    cut = any(event.kind == "pump_cut" and event.time < asked.onset - NEAR for event in trace.events)
    speed = float(np.interp(asked.onset, trace.rows["time"], trace.rows["speed"]))
    return cut and speed < STANDS * asked.plant["speed_wanted"]


def _slowed(machine: Machine, trace: Trace, onset: float) -> bool:
    """Whether the slow-down acted at some time after the onset."""
    acts = False
    for event in trace.events:
        if event.kind not in ("object_acts", "object_ends"):
            continue
        if machine.names[int(event.value)].identifier != "slow_down":
            continue
        acts = event.kind == "object_acts"
        if event.time >= onset:
            return True
    return acts


def _closed_forms(machine: Machine, asked: Scenario, trace: Trace) -> tuple[float | None, float | None]:
    """Rise against a closed outlet and peak after the stop that was called, where they exist."""
    if not asked.blocked or not machine.turns or _cut_at_start(trace, asked):
        return None, None
    plant = asked.plant
    volumes = (plant["volume_1"], plant["volume_2"])
    whole = sum(volumes)
    growth = sum(v * plant[f"flexibility_{k}"] for k, v in enumerate(volumes, 1)) / whole
    air = sum(v * plant[f"air_{k}"] for k, v in enumerate(volumes, 1)) / whole
    line = ClosedLine(whole, growth, air, plant["atmosphere"])
    flow = float(machine.state.wanted_flow[0])
    absolute = trace.peaks["outlet"] + plant["atmosphere"]
    rise = flow / float(compliance(line, absolute))
    stop = first_stop(machine, trace, asked.onset)
    if stop is None or plant["buffer_kind"] > 0.0 or trace.end["relieved"] > 0.0:
        return rise, None
    at = float(np.interp(stop.time, trace.rows["time"], trace.rows["outlet_pressure"]))
    speed = float(np.interp(stop.time, trace.rows["time"], trace.rows["speed"])) / plant["speed_wanted"]
    ramp = speed * machine.around.run_on_time
    moved = pumped_after_stop(speed * flow, machine.around.drive_lag, ramp)
    return rise, float(peak_after_stop(line, at + plant["atmosphere"], moved)) - plant["atmosphere"]


def _said(machine: Machine, found: Outcome) -> Phrase:
    """One sentence: peak against the weakest part, what caught it, the closed form beside it."""
    name = name_of(machine, found.scenario)
    slots: dict[str, Any] = {
        "name": phrase(f"FAULT-{name}"),
        "value": found.peak,
        "limit": machine.weakest,
        "part": phrase(f"RUN-part.{machine.part}"),
        "caught": phrase(f"CAUGHT-{found.caught_by}"),
    }
    if not found.trace.solved:
        return phrase("RUN-unsolved", status=found.trace.status.replace("_", " "))
    if found.over > 1.0:
        return phrase("RUN-passed", **slots)
    if found.closed_form_peak is not None:
        return phrase("RUN-held_closed_form", closed=found.closed_form_peak, **slots)
    return phrase("RUN-held", **slots)
