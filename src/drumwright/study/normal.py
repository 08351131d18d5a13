"""Normal running: what the destination does all day, as a scenario, and what to say of it."""

from __future__ import annotations

from typing import Any

import numpy as np

from drumwright.basis.phrases import Phrase, phrase
from drumwright.machine.delivery.destination import after_flow
from drumwright.station.transient.layout import DO_STOP, DO_VALVE
from drumwright.station.transient.run import Trace
from drumwright.study.destinations import LEVEL_HIGH, Takes, doses, schedule_of
from drumwright.study.running import Machine
from drumwright.study.scenario import Row, Scenario

STOPS_FOR = 12.0  # s a normal stop of the filler is shown for
DOSES = 4  # cycles shown before the stop
LONGEST_DOSES, LONGEST_LEVEL, LONGEST_BATCH = 120.0, 1200.0, 3600.0  # s
LEVEL_CYCLES = 2.2
ROWS = 3000


def normal_name(machine: Machine) -> str:
    """Key of the sentence that names the normal run of a machine.

    Parameters
    ----------
    machine : Machine
    """
    takes = machine.takes
    if takes.batch > 0.0:
        return "normal_batch"
    if takes.hopper > 0.0:
        return "normal_hopper"
    if takes.closes and takes.doses:
        return "normal_doses"
    return "normal" if machine.closes else "normal_open"


def normal(machine: Machine, onset: float) -> Scenario:
    """Start, and then what the destination does: doses and a stop, levels, one batch, or a stop alone.

    Parameters
    ----------
    machine : Machine
    onset : float
        When the line is settled [s].
    """
    plant, takes, name = machine.plant(), machine.takes, normal_name(machine)
    flow = float(machine.state.wanted_flow[0])
    if name == "normal_batch":
        share = machine.points.batch_slow_share
        slow = (1.0 - machine.points.batch_slow) * takes.batch / max(share * flow, 1e-9)
        duration = float(np.clip(takes.batch / flow + slow + 60.0, 30.0, LONGEST_BATCH))
        return Scenario("normal", 0.0, duration, (), plant, every=max(0.05, duration / ROWS))
    if name == "normal_hopper":
        duration = onset + _level_time(takes, flow)
        rows = tuple(schedule_of(takes, onset, duration))
        return Scenario("normal", onset, duration, rows, plant, every=max(0.05, duration / ROWS))
    if name == "normal_doses":
        last = onset + min(DOSES * takes.cycle, LONGEST_DOSES)
        last = onset + takes.cycle * max(np.floor((last - onset) / takes.cycle), 1.0)
        stop: tuple[Row, ...] = ((last, DO_VALVE, 0.0, takes.closing),)
        again: tuple[Row, ...] = ((last + STOPS_FOR, DO_VALVE, 1.0, takes.opening),)
        rows = tuple(doses(takes, onset, last - 1e-6)) + stop + again
        return Scenario("normal", onset, last + 2.0 * STOPS_FOR, rows, plant, blocked=True)
    if name == "normal":
        rows = (
            (onset, DO_VALVE, 0.0, takes.closing),
            (onset + takes.closing + STOPS_FOR, DO_VALVE, 1.0, takes.opening),
        )
    else:
        rows = ((onset, DO_STOP, 1.0, 0.0),)
    return Scenario("normal", onset, onset + 2.0 * STOPS_FOR + 6.0, rows, plant, machine.closes)


def _level_time(takes: Takes, flow: float) -> float:
    """Time in which a hopper fills and is drawn down some times [s]."""
    room = (LEVEL_HIGH - takes.level_low) * takes.hopper
    if flow <= takes.draw:
        return 120.0
    cycle = room / (flow - takes.draw) + room / max(takes.draw, 1e-9)
    return float(np.clip(LEVEL_CYCLES * cycle, 60.0, LONGEST_LEVEL))


def normal_notes(machine: Machine, trace: Trace) -> tuple[Phrase, ...]:
    """More to say of a normal run: starts of the pump and level of a hopper, after-flow of a batch.

    Parameters
    ----------
    machine : Machine
    trace : Trace
    """
    name = normal_name(machine)
    if name == "normal_batch":
        return _batch(machine, trace)
    if name == "normal_hopper":
        share = trace.rows["hopper"] / machine.takes.hopper
        late = share[share.size // 4 :]
        notes = [
            phrase("RUN-hopper", count=trace.count("pump_starts"), low=late.min(), high=late.max(),
                   volume=machine.takes.hopper)
        ]  # fmt: skip
        if trace.count("hopper_empty"):
            notes.append(phrase("RUN-hopper_empty", count=trace.count("hopper_empty")))
        if float(machine.state.wanted_flow[0]) <= machine.takes.draw:
            notes.append(phrase("RUN-hopper_no_faster"))
        return tuple(notes)
    if name == "normal_doses":
        return (
            phrase(
                "RUN-doses", cycle=machine.takes.cycle, share=machine.takes.open_for / machine.takes.cycle
            ),
        )
    return ()


def _batch(machine: Machine, trace: Trace) -> tuple[Phrase, ...]:
    """After-flow of the simulated batch beside its closed form."""
    density = float(machine.problem.sample_of(machine.found.choice)["product.density"][0])
    done = next((event.time for event in trace.events if event.kind == "pump_cut"), None)
    asked = density * machine.takes.batch
    if done is None:
        return (phrase("RUN-batch_not_done", mass=asked, time=float(trace.rows["time"][-1])),)
    over = density * (trace.end["delivered"] - machine.takes.batch)
    slots: dict[str, Any] = {"mass": asked, "over": over, "share": over / asked, "time": done}
    return (phrase("RUN-batch", closed=_closed_form(machine, trace, done, density), **slots),)


def _closed_form(machine: Machine, trace: Trace, done: float, density: float) -> float:
    """Mass that runs on: the ramp from the speed of the stop, and what the line gives back [kg].

    Held in the line at the stop over what it holds when everything stands (physics book 6.2 g).
    """
    rows, plant = trace.rows, machine.plant()
    at = int(np.searchsorted(rows["time"], done))
    speed = float(rows["speed"][max(at - 1, 0)])
    pumped = plant["displacement"] * speed * (0.5 * speed / plant["ramp_cut"] + plant["drive_lag"])
    held = np.array([rows["outlet_pressure"][max(at - 1, 0)], rows["end_pressure"][max(at - 1, 0)]])
    rest = np.array([plant["line_yield"] + plant["static_head"], 0.0]) + plant["destination_pressure"]
    back = 0.0
    for k, (before, after) in enumerate(zip(held, np.minimum(rest, held), strict=True), 1):
        air, atmosphere = plant[f"air_{k}"], plant["atmosphere"]
        freed = air * atmosphere * (1.0 / (after + atmosphere) - 1.0 / (before + atmosphere))
        back += plant[f"volume_{k}"] * (plant[f"flexibility_{k}"] * (before - after) + freed)
    return float(after_flow(np.asarray(density), np.asarray(pumped), np.asarray(back)).mass)
