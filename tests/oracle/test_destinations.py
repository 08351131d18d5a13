"""Destinations in time and whole containers: levels, doses, batches and air against sums made by hand."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from drumwright.station.casefile import load
from drumwright.station.control.layout import STATES
from drumwright.station.transient.layout import DO_DRAW, DO_VALVE
from drumwright.study.cycle import containers
from drumwright.study.destinations import LEVEL_HIGH, Takes, doses, schedule_of, stops
from drumwright.study.faults import outcome, play
from drumwright.study.run_study import run
from drumwright.study.running import Machine, machine_of, run_machine
from drumwright.study.scenario import Outcome

CASES = Path(__file__).resolve().parents[1] / "whole"
S07 = CASES / "S07.toml"  # a filler at 12 L/min
NOTHING = Takes("closed_filler", True, 0.2, 0.3, 0.0, 0.0, 1, 0.0, 0.0, 0.4, True, 0.0, ())


@cache
def machine(*settings: tuple[str, str]) -> Machine:
    return machine_of(load(S07, dict(settings)))


def ran(settings: Mapping[str, str]) -> tuple[Machine, Outcome]:
    made = machine(*settings.items())
    return made, play(made, "normal")


def test_valves_of_a_header_open_one_after_the_other() -> None:
    """Three valves, each open 3 of 6 s, 2 s apart: one or two are open, half of them on average."""
    takes = NOTHING._replace(cycle=6.0, open_for=3.0, valves=3)
    rows = [row for row in doses(takes, 10.0, 70.0) if row[0] >= 10.0]
    times = np.array([row[0] for row in rows])
    shares = np.array([row[2] for row in rows])
    settled = times > 16.0
    assert set(np.round(3.0 * shares[settled]).astype(int)) == {1, 2}
    lasted = np.diff(np.append(times, 70.0))
    assert np.sum(shares[settled] * lasted[settled]) / np.sum(lasted[settled]) == pytest.approx(0.5, rel=0.02)


def test_a_valve_that_is_always_open_does_not_dose() -> None:
    assert not NOTHING._replace(cycle=4.0, open_for=4.2).doses
    assert NOTHING._replace(cycle=4.0, open_for=2.0).doses


def test_stops_of_two_kinds_are_joined_where_they_meet() -> None:
    takes = NOTHING._replace(stops=((100.0, 50.0), (120.0, 200.0)))
    rows = stops(takes, 0.0, 400.0)
    assert [(row[0], row[2]) for row in rows] == [(100.0, 0.0), (320.0, 1.0)]
    assert all(row[1] == DO_VALVE for row in rows)


def test_a_stop_ends_the_draw_from_a_hopper_and_moves_no_valve() -> None:
    takes = NOTHING._replace(hopper=0.05, draw=1e-4, closes=False, stops=((60.0, 30.0),))
    rows = schedule_of(takes, 0.0, 100.0)
    assert rows == [(0.0, DO_DRAW, 1e-4, 0.0), (60.0, DO_DRAW, 0.0, 0.0), (90.0, DO_DRAW, 1e-4, 0.0)]


def test_no_dose_falls_into_a_stop() -> None:
    takes = NOTHING._replace(cycle=5.0, open_for=2.0, stops=((30.0, 20.0),))
    rows = schedule_of(takes, 0.0, 80.0)
    inside = [row for row in rows if 30.0 < row[0] < 50.0]
    assert inside == []
    assert any(row[0] == 30.0 and row[2] == 0.0 for row in rows)


def test_a_hopper_fills_and_falls_as_the_volumes_say() -> None:
    """90 L drawn at 8 L/min, pumped at 12: the level rises by 4 L/min until 85 %, then falls by 8."""
    made, found = ran(
        {"destination.kind": "hopper", "destination.hopper_volume": "90 L", "shift.draw": "8 L/min"}
    )
    rows, takes = found.trace.rows, made.takes
    time, level = rows["time"], rows["hopper"]
    flow = float(np.interp(60.0, time, rows["pump_flow"]))
    first = next(event.time for event in found.trace.events if event.kind == "pump_stops")

    def slope(begin: float, end: float) -> float:
        return float(np.diff(np.interp([begin, end], time, level))[0] / (end - begin))

    assert slope(60.0, first - 60.0) == pytest.approx(flow - takes.draw, rel=0.01)
    assert slope(first + 30.0, first + 150.0) == pytest.approx(-takes.draw, rel=0.01)
    assert LEVEL_HIGH * takes.hopper < level.max() < LEVEL_HIGH * takes.hopper + 0.5e-3
    end = found.trace.end
    drawn = end["drawn_off"]
    begun = found.trace.begin["hopper"]
    assert end["hopper"] == pytest.approx(begun + end["delivered"] - drawn, abs=1e-9)


def test_a_hopper_that_is_drawn_faster_than_filled_runs_empty_and_not_below() -> None:
    """The filler gets what comes in, from when the hopper is empty on."""
    settings = {
        "destination.kind": "hopper", "destination.hopper_volume": "20 L", "shift.draw": "30 L/min",
    }  # fmt: skip
    made, found = ran(settings)
    level = found.trace.rows["hopper"]
    assert level.min() >= -1e-6 and level[-1] < 0.01 * made.takes.hopper
    assert found.trace.count("hopper_empty") == 1
    end = found.trace.end
    assert end["drawn_off"] == pytest.approx(
        found.trace.begin["hopper"] + end["delivered"] - end["hopper"], rel=1e-9
    )


def test_a_filler_that_doses_takes_what_the_pump_gives() -> None:
    """Doses of 0.5 L every 10 s at 4 L/min: while it is shut the cushion takes it, and the line the rest."""
    settings = {
        "destination.dose": "500 mL", "destination.cycle_time": "10 s", "enquiry.flow": "4 L/min",
        "buffer.kind": "gas_cushion", "buffer.volume": "10 L", "buffer.precharge": "0.05 bar(g)",
        "buffer.neck_bore": "50 mm", "buffer.neck_length": "150 mm",
    }  # fmt: skip
    made, found = ran(settings)
    assert made.takes.doses
    events = [e for e in found.trace.events if e.kind in ("valve_closes", "valve_opens")]
    shut, opened = next((a, b) for a, b in pairwise(events[2:]) if a.kind == "valve_closes")
    span = [shut.time + made.takes.closing, opened.time]
    held = np.diff(np.interp(span, found.trace.rows["time"], found.trace.rows["buffered"]))[0]
    pumped = float(made.state.wanted_flow[0]) * (span[1] - span[0])
    assert held == pytest.approx(pumped, rel=0.15) and held < pumped
    assert found.trace.imbalance < 1e-9


@pytest.mark.parametrize("share", ["100 %", "20 %"])
def test_after_flow_of_a_batch_is_the_ramp_and_what_the_line_gives_back(share: str) -> None:
    """Closed form of the run against the run itself; slow feed lets less run on."""
    settings = {
        "destination.kind": "batch_scale", "destination.batch_mass": "40 kg", "destination.slow_share": share,
    }  # fmt: skip
    made, found = ran(settings)
    over = float(found.trace.end["delivered"]) - made.takes.batch
    said = dict(found.notes[0].slots)
    density = said["mass"] / made.takes.batch
    assert said["over"] == pytest.approx(density * over, rel=1e-9)
    assert said["closed"] == pytest.approx(said["over"], rel=0.25)
    assert over < (3e-4 if share == "100 %" else 6e-5)


@cache
def _two_drums() -> tuple[Machine, Outcome]:
    made = machine(("destination.kind", "open_tank"))
    asked = containers(made, 2, 120.0)
    trace = run_machine(made, asked.duration, asked.schedule, asked.plant, every=asked.every)
    return made, outcome(made, asked, trace)


def test_whole_containers_pass_every_state_in_order() -> None:
    """Trade book 5.3: approach, prime, emptying, press-out, vent and raise, change, and again."""
    _, found = _two_drums()
    states = [STATES[int(event.value)] for event in found.trace.events if event.kind == "state"]
    once = ["approach", "prime", "emptying", "press_out", "vent_and_raise", "drum_empty"]
    assert states == [*once, "ready", *once]
    assert found.trace.solved and found.trace.imbalance < 1e-9


def test_two_containers_deliver_their_volume_and_last_as_long_as_it_says() -> None:
    """What was drawn is both contents but for the bottom; a change takes its 120 s."""
    made, found = _two_drums()
    plant = found.scenario.plant
    content = plant["container_volume"]
    assert found.trace.end["drawn"] == pytest.approx(2.0 * content, rel=0.03)
    states = [(e.time, STATES[int(e.value)]) for e in found.trace.events if e.kind == "state"]
    begun = next(time for time, state in states if state == "emptying")
    ended = next(time for time, state in states if state == "press_out")
    assert ended - begun == pytest.approx(content / float(made.state.flow[0]), rel=0.05)
    empty = next(time for time, state in states if state == "drum_empty")
    ready = next(time for time, state in states if state == "ready")
    assert ready - empty == pytest.approx(120.0, abs=0.2)


def test_air_of_a_change_is_kept_until_it_is_out() -> None:
    """What was let in once is in the line or out of it; it comes out after about the volume of the line."""
    made, found = _two_drums()
    rows, air = found.trace.rows, found.scenario.plant["change_air"]
    assert air > 0.0 and found.trace.count("air_let_in") == 1
    assert rows["air_out"][-1] + rows["air_in_line"][-1] == pytest.approx(air, rel=1e-6)
    assert rows["air_in_line"].max() < air * (1.0 + 1e-9)
    let_in = next(event.time for event in found.trace.events if event.kind == "air_let_in")
    starts = next(e.time for e in found.trace.events if e.kind == "pump_starts" and e.time > let_in)
    half = float(np.interp(0.5 * air, rows["air_out"], rows["time"])) - starts
    through = (made.line_volume + air) / float(made.state.flow[0])
    assert 0.5 * through < half < 3.0 * through  # two well-mixed halves, and a start at the slower rate


def test_the_study_runs_containers_and_refuses_none() -> None:
    from drumwright.basis.errors import QuantityError

    case = load(S07, {"destination.kind": "open_tank"})
    found = run(case, drums=1).outcomes[0]
    assert found.trace.count("state") == 6 and found.notes
    for count in (-1, 51):
        with pytest.raises(QuantityError, match="containers"):
            run(case, drums=count)
