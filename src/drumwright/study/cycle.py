"""Whole containers in time: approach, prime, emptying, press-out, vent and raise, change, and again."""

from __future__ import annotations

from typing import Any

import numpy as np

from drumwright.basis.phrases import Phrase, phrase
from drumwright.station.control.layout import STATES
from drumwright.station.transient.layout import DO_START
from drumwright.station.transient.run import Plant, Trace
from drumwright.station.withdrawal import air_in
from drumwright.study.destinations import schedule_of
from drumwright.study.running import Machine
from drumwright.study.scenario import Scenario

NAME = "containers"
MOST = 50
STARTS = 1.0  # s, when somebody presses start
SLOWER, MORE = 1.6, 180.0  # of the time of a container, and seconds more, before the run is given up
LONGEST = 86_400.0  # s
ROWS = 6000
NO_PLATE = 10.0  # m/s: without a plate there is nothing to move
ARRIVES = 0.05  # of the air of a change: so much is out when it has arrived
STANDING = ("waiting_for_hand", "fault", "stopped")


def containers(machine: Machine, count: int, change_time: float) -> Scenario:
    """Empty containers one after the other, with what the destination does meanwhile.

    Parameters
    ----------
    machine : Machine
    count : int
        Containers, at most `MOST`.
    change_time : float
        People at work between an empty container and the next [s].
    """
    choice, state = machine.found.choice, machine.state
    plant = machine.plant()
    plate = choice.plated
    air = 0.0
    if plate:
        sample = machine.problem.sample_of(choice)
        line = np.asarray(machine.line_volume)
        air = float(np.ravel(air_in(machine.problem.inputs, sample, state, choice, line).free)[0])
    values = {"change_time": max(change_time, 1.0), "change_air": air}
    if not plate:
        values["plate_speed"] = NO_PLATE
    plant = plant.with_values(**values)
    registers = {
        "place": float(STATES.index("ready")),
        "plate": plant["rim_height"],
        "feed_factor": 0.0,
        "containers": float(count - 1),
    }
    plant = Plant(plant.parameters, plant.passages, plant.start, plant.registers | registers)
    lasts = plant["container_volume"] / float(state.flow[0])
    duration = min(count * (SLOWER * lasts + change_time + MORE) + _stopped(machine, count * lasts), LONGEST)
    rows = [(STARTS, DO_START, 1.0, 0.0), *schedule_of(machine.takes, STARTS, duration)]
    return Scenario(NAME, 0.0, duration, tuple(sorted(rows)), plant, every=max(0.05, duration / ROWS))


def _stopped(machine: Machine, pumping: float) -> float:
    """Time the destination stands while so much time is pumped [s]."""
    return sum(lasts * (pumping / runs + 1.0) for runs, lasts in machine.takes.stops)


def container_notes(machine: Machine, trace: Trace) -> tuple[Phrase, ...]:
    """What a run of containers says: times, what was delivered, the air of a change, where it stood.

    Parameters
    ----------
    machine : Machine
    trace : Trace
    """
    states = [(event.time, STATES[int(event.value)]) for event in trace.events if event.kind == "state"]
    ends = [time for time, state in states if state == "drum_empty"]
    total = float(trace.rows["time"][-1])
    notes = [_totals(machine, trace, len(ends), total)]
    emptied = _spans(states, "emptying", "press_out")
    changed = _spans(states, "press_out", "emptying")
    if emptied:
        slots: dict[str, Any] = {"emptying": float(np.mean(emptied))}
        key = "RUN-cycle_times" if changed else "RUN-cycle_time"
        notes.append(phrase(key, **slots, **({"change": float(np.mean(changed))} if changed else {})))
    notes += _air(trace)
    if states and states[-1][1] in STANDING:
        state = phrase(f"CTL-state.{states[-1][1]}")
        notes.append(phrase("RUN-cycle_stands", state=state, time=states[-1][0]))
    return tuple(notes)


def _totals(machine: Machine, trace: Trace, count: int, total: float) -> Phrase:
    delivered = trace.end["delivered"]
    return phrase("RUN-cycle", count=count, time=total, volume=delivered, rate=delivered / max(total, 1e-9))


def _spans(states: list[tuple[float, str]], first: str, last: str) -> list[float]:
    """Times from entering one state to entering another the first time after it [s]."""
    found, begin = [], None
    for time, state in states:
        if state == first and begin is None:
            begin = time
        elif state == last and begin is not None:
            found.append(time - begin)
            begin = None
    return found


def _air(trace: Trace) -> list[Phrase]:
    """How much air a change lets in, when it comes out of the line and when it is gone."""
    let_in = [event for event in trace.events if event.kind == "air_let_in"]
    if not let_in:
        return []
    begin, air = let_in[0].time, let_in[0].value
    pumping = next((e.time for e in trace.events if e.kind == "pump_starts" and e.time >= begin), begin)
    after = trace.rows["time"] >= begin
    out = trace.rows["air_out"][after] - trace.rows["air_out"][after][0]
    times = trace.rows["time"][after]
    arrived = times[out >= ARRIVES * air]
    gone = next((e.time for e in trace.events if e.kind == "air_gone" and e.time > begin), None)
    if not arrived.size or gone is None:
        return [phrase("RUN-cycle_air_in", air=air)]
    return [phrase("RUN-cycle_air", air=air, arrives=float(arrived[0]) - pumping, gone=gone - pumping)]
