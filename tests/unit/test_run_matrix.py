"""Every row of the cause-and-effect table of trade book 5.1, set off in the simulation of whole scenarios.

What stands in the table is read from the simulation itself: events of the pump, permits of the plate, and the
actions of the rows that act. Assist air and vent are orders only: the simulation has no air under the plate.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any, NamedTuple

import numpy as np
import pytest

from drumwright.station.casefile import load
from drumwright.station.control.layout import ACTIONS, STATES
from drumwright.station.transient import kernel, looks
from drumwright.station.transient import layout as at
from drumwright.station.transient.compiled import available, simulate_compiled
from drumwright.station.transient.run import TOLERANCE, named, prepare
from drumwright.study.running import Machine, machine_of

WHOLE = Path(__file__).resolve().parents[1] / "whole"
CASES = ("S02", "S03", "S05", "S07", "S09")
Row = tuple[float, int, float, float]
ON, OFF, RESET, END = 8.0, 20.0, 24.0, 28.0  # s
WAITS = STATES.index("waiting_for_line")


class Seen(NamedTuple):
    """What the simulation shows at the end of a run, and what happened."""

    acting: frozenset[str]  # objects
    actions: frozenset[str]  # of the rows that act
    lower: bool  # the plate may be pressed down
    raises: bool  # the plate may be raised
    running: bool
    speed: float  # over the wanted one
    state: str
    acted: tuple[tuple[float, str], ...]  # objects that began to act
    pump: tuple[tuple[float, str], ...]  # starts, stops, cuts


@cache
def machine(name: str) -> Machine:
    return machine_of(load(WHOLE / f"{name}.toml"))


def watched(
    made: Machine, rows: Sequence[Row], duration: float = END, *,
    registers: Mapping[str, float] | None = None, **changes: float,
) -> Seen:  # fmt: skip
    """Run a machine with its own control and read rows and registers where it ends."""
    plant = made.plant().with_values(destination_hopper=0.0, **changes)
    plant = replace(plant, registers={**plant.registers, **(registers or {})})
    ready = prepare(plant, duration, made.tables, rows, 0.5, 2000)
    simulate: Any = simulate_compiled() if available() else kernel.simulate
    ready = ready if available() else ready.as_lists()
    simulate(duration, TOLERANCE, 200_000.0, 0.5, *ready.arguments)
    trace, r = named(plant, ready), ready.arguments[3]
    assert trace.solved
    rules, acting = made.tables.rules.ravel(), np.asarray(ready.arguments[11][2])
    rows_that_act = [k for k in range(len(made.names)) if looks.acts(k, rules, len(made.names), acting)]
    told = [(e.time, made.names[int(e.value)].identifier) for e in trace.events if e.kind == "object_acts"]
    return Seen(
        frozenset(made.names[k].identifier for k in rows_that_act),
        frozenset(ACTIONS[int(made.tables.rules[k, looks.R_ACTION])] for k in rows_that_act),
        bool(r[at.MAY_LOWER] > 0.5), bool(r[at.MAY_RAISE] > 0.5), bool(r[at.RUNNING] > 0.5),
        trace.end["speed"] / plant["speed_wanted"], STATES[int(r[at.PLACE])],
        tuple(dict.fromkeys(told)),
        tuple((e.time, e.kind) for e in trace.events if e.kind in ("pump_starts", "pump_stops", "pump_cut")),
    )  # fmt: skip


def first(seen: Seen, name: str) -> float:
    """When an object first acted [s]."""
    return next(time for time, acted in seen.acted if acted == name)


def after(seen: Seen, time: float) -> list[str]:
    """What the pump did from a time on."""
    return [kind for when, kind in seen.pump if when >= time - 1e-9]


# cause: schedule that sets it off, the one that ends it, P, PL, UP, and orders among the actions.
SCHEDULED: dict[str, tuple[int, float, float, str, str, str, set[str]]] = {
    "emergency_stop": (at.DO_EMERGENCY, 1.0, 0.0, "S", "H", "x", {"close_assist", "alarm"}),
    "guard_open": (at.DO_GUARD, 1.0, 0.0, "S", "H", "x", {"close_assist", "alarm"}),
    "air_low": (at.DO_AIR, 0.0, 1.0, "R", "H", "x", {"close_assist", "alarm"}),
    "pump_hot": (at.DO_TEMPERATURE, 420.0, 300.0, "S", "H", "-", {"alarm"}),
    "overfill": (at.DO_OVERFILL, 1.0, 0.0, "S", "-", "-", {"alarm"}),
    "transmitter_fault": (at.DO_TRANSMITTER, 1.0, 0.0, "S", "H", "x", {"close_assist", "alarm"}),
    "drive_fault": (at.DO_DRIVE, 1.0, 0.0, "S", "H", "-", {"close_assist", "alarm"}),
}
DELAYS = {"air_low": 2.0}


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("cause", SCHEDULED)
def test_causes_that_latch_trade_book_5_1(name: str, cause: str) -> None:
    """Pump, plate and orders as in the table; it stays once it is over, until it is reset by hand."""
    made, (kind, on, off, p, down, up, orders) = machine(name), SCHEDULED[cause]
    set_off, ended = (ON, kind, on, 0.0), (OFF, kind, off, 0.0)
    during = watched(made, [set_off], OFF - 1.0)
    assert cause in during.acting and orders <= during.actions
    assert first(during, cause) == pytest.approx(ON + DELAYS.get(cause, 0.0), abs=0.2)
    assert not during.running and during.speed < 0.01
    assert after(during, ON)[0] == ("pump_cut" if p == "S" else "pump_stops")
    assert during.lower == (down == "-") and during.raises == (up == "-")
    kept = watched(made, [set_off, ended], RESET - 1.0)
    assert cause in kept.acting and not kept.running
    freed = watched(made, [set_off, ended, (RESET, at.DO_RESET, 1.0, 0.0)])
    assert cause not in freed.acting and not freed.running, "a reset starts nothing"
    assert freed.state in ("stopped", "waiting_for_hand")


@pytest.mark.parametrize("name", CASES)
def test_a_reset_of_what_still_holds_is_none(name: str) -> None:
    rows = [(ON, at.DO_EMERGENCY, 1.0, 0.0), (RESET, at.DO_RESET, 1.0, 0.0)]
    assert "emergency_stop" in watched(machine(name), rows).acting


@pytest.mark.parametrize("name", CASES)
def test_wired_contacts_see_a_reset_at_any_moment(name: str) -> None:
    """Also one that falls on a look of the controller: both must see it (once one did not)."""
    for moment in (RESET, RESET + 0.0123, RESET + 0.05, RESET + 0.0499):
        rows = [(ON, at.DO_EMERGENCY, 1.0, 0.0), (OFF, at.DO_EMERGENCY, 0.0, 0.0),
                (moment, at.DO_RESET, 1.0, 0.0)]  # fmt: skip
        assert "emergency_stop" not in watched(machine(name), rows).acting, moment


@pytest.mark.parametrize("name", CASES)
def test_discharge_above_the_slow_down_slows_and_starts_no_alarm(name: str) -> None:
    made = machine(name)
    middle = 0.5 * (made.points.slow_down + made.points.stop)
    shows = {"stuck_1": 1.0, "stuck_value_1": middle}
    seen = watched(made, [], 12.0, registers=shows)
    assert seen.acting == {"slow_down"} and seen.speed == pytest.approx(0.5, abs=0.01)
    assert seen.actions == {"slow", "message"} and seen.lower and seen.raises
    freed = watched(made, [(6.0, at.DO_STUCK_1, 0.0, 0.0)], 7.0, registers=shows)
    assert freed.running and "process_stop" not in freed.acting


@pytest.mark.parametrize("name", CASES)
def test_discharge_above_the_stop_stops_and_starts_again_by_itself(name: str) -> None:
    """Process stop: no plate held, no latch; with an alarm where it lasts longer than a filler pauses."""
    made = machine(name)
    shows = {"stuck_1": 1.0, "stuck_value_1": 1.02 * made.points.stop}
    seen = watched(made, [], 3.0, registers=shows)
    assert seen.acting == {"slow_down", "process_stop"} and not seen.running and "alarm" not in seen.actions
    assert seen.lower and seen.raises and seen.state == "emptying"
    lasting = watched(made, [], made.points.closed_time + 3.0, registers=shows)
    assert "stop_lasts" in lasting.acting and "alarm" in lasting.actions
    freed = watched(made, [(3.0, at.DO_STUCK_1, 0.0, 0.0)], 5.0, registers=shows)
    assert freed.running and after(freed, 3.0) == ["pump_starts"]


BLIND = {"stuck_1": 1.0, "stuck_value_1": 0.0}  # a transmitter that shows nothing


@pytest.mark.parametrize("name", CASES)
def test_the_independent_trip_latches(name: str) -> None:
    rows = [(0.0, at.DO_RELIEF, 1.0, 0.0), (ON, at.DO_BLOCK, 0.0, 0.05)]
    seen = watched(machine(name), rows, 60.0, registers=BLIND)
    assert "trip" in seen.acting and not seen.running and not seen.lower and seen.raises
    assert seen.state == "fault" and "pump_cut" in after(seen, ON) and "alarm" in seen.actions


@pytest.mark.parametrize("name", CASES)
def test_flow_through_the_relief_valve_latches(name: str) -> None:
    rows = [(0.0, at.DO_SWITCH, 1.0, 0.0), (ON, at.DO_BLOCK, 0.0, 0.05)]
    seen = watched(machine(name), rows, 60.0, registers=BLIND)
    assert "relief_flow" in seen.acting and not seen.running and not seen.lower and seen.raises
    assert seen.state == "fault" and "pump_cut" in after(seen, ON)


@pytest.mark.parametrize("name", CASES)
def test_a_torque_over_the_setting_of_the_drive_stops_after_three_seconds(name: str) -> None:
    seen = watched(machine(name), [], 10.0, torque_at_rest=1.5, torque_slope=0.0)
    assert "overload" in seen.acting and not seen.running and not seen.lower and seen.raises
    assert first(seen, "overload") == pytest.approx(3.0, abs=0.15) and after(seen, 1.0) == ["pump_cut"]


@pytest.mark.parametrize("name", CASES)
def test_suction_lost_over_the_bottom_is_held_for_a_hand(name: str) -> None:
    """Ramp, plate held, alarm; a start by hand after the reset, not before."""
    made = machine(name)
    rows = [(ON, at.DO_FEED, 0.0, 0.0)]
    seen = watched(made, rows, 150.0)
    assert "suction_lost" in seen.acting and not seen.running and not seen.lower and seen.raises
    stopped = first(seen, "suction_lost")
    assert after(seen, stopped) == ["pump_stops"] and seen.state == "waiting_for_hand"
    later = [*rows, (stopped + 5.0, at.DO_FEED, 1.0, 0.0)]
    assert not watched(made, later, stopped + 30.0).running
    reset = [*later, (stopped + 10.0, at.DO_RESET, 1.0, 0.0)]
    assert not watched(made, reset, stopped + 30.0).running
    started = [*reset, (stopped + 15.0, at.DO_START, 1.0, 0.0)]
    assert watched(made, started, stopped + 30.0).running


@pytest.mark.parametrize("name", CASES)
def test_the_end_of_a_container_is_pressed_out_and_the_plate_raised(name: str) -> None:
    """Ramp, press-out at the last rate, then vent and raise: only where the plate came to the bottom."""
    made = machine(name)
    flow = float(made.state.wanted_flow[0])
    small = {"container_volume": 30.0 * flow}
    seen = watched(made, [], 240.0, **small)
    began = first(seen, "container_end")
    assert seen.state in ("drum_empty", "vent_and_raise") and not seen.running
    assert after(seen, began)[0] == "pump_stops" and "press_out_rate" in [who for _, who in seen.acted]
    lost = watched(made, [], 240.0, registers={"height_fails": 1.0, "height_value": 0.5}, **small)
    assert lost.state == "waiting_for_hand" and not lost.running


@pytest.mark.parametrize("name", CASES)
def test_without_a_container_nothing_starts(name: str) -> None:
    seen = watched(machine(name), [], 6.0, registers={"container_present": 0.0})
    assert "container_absent" in seen.acting and seen.pump == () and not seen.lower
    assert {"block_start", "close_assist", "message"} <= seen.actions


@pytest.mark.parametrize("name", CASES)
def test_assist_air_and_pull_hold_the_plate_that_is_raised(name: str) -> None:
    made = machine(name)
    raising = {"place": float(STATES.index("vent_and_raise")), "plate": 0.05}
    air = watched(made, [], 0.5, registers={**raising, "assist_pressure": 1.5 * made.points.assist_high})
    assert "assist_high" in air.acting and not air.raises and not air.lower
    assert {"close_assist", "open_vent", "alarm"} <= air.actions
    pull = watched(made, [], 0.5, registers={**raising, "lift_pull": 1.5 * made.points.lift_high})
    assert "lift_stalled" in pull.acting and not pull.raises and pull.lower
    assert {"close_assist", "open_vent", "alarm"} <= pull.actions
    stop = watched(made, [(0.2, at.DO_EMERGENCY, 1.0, 0.0)], 0.5, registers=raising)
    assert {"emergency_stop", "emergency_stop_raising"} <= stop.acting and "open_vent" in stop.actions


@pytest.mark.parametrize("name", CASES)
def test_no_request_stops_along_the_ramp_and_comes_back_by_itself(name: str) -> None:
    made = machine(name)
    seen = watched(made, [], 6.0, registers={"request": 0.0})
    assert "no_request" in seen.acting and not seen.running and seen.state == "waiting_for_line"
    assert seen.actions == {"ramp_stop", "message"} and seen.lower and seen.raises


@pytest.mark.parametrize("name", CASES)
def test_a_stop_longer_than_the_product_bears_waits_for_a_hand(name: str) -> None:
    made = machine(name)
    longest = made.points.longest_stop
    seen = watched(made, [], longest + 5.0, registers={"request": 0.0})
    assert "stop_too_long" in seen.acting and "alarm" in seen.actions and seen.state == "waiting_for_hand"
    assert first(seen, "stop_half") == pytest.approx(made.points.stop_half, abs=0.5)
    assert first(seen, "stop_too_long") == pytest.approx(longest, abs=0.5)
    freed = watched(made, [(longest + 2.0, at.DO_RESET, 1.0, 0.0)], longest + 5.0, registers={"request": 0.0})
    assert "stop_too_long" not in freed.acting


@pytest.mark.parametrize("name", CASES)
def test_power_that_comes_back_starts_nothing(name: str) -> None:
    """Stopped, plate held; a reset and two starts, to ready and on, before the pump turns again."""
    lost = [(ON, at.DO_POWER, 0.0, 0.0), (ON + 3.0, at.DO_POWER, 1.0, 0.0)]
    seen = watched(machine(name), lost)
    assert "power_return" in seen.acting and not seen.running and seen.state == "stopped"
    assert not seen.lower and not seen.raises and {"block_start", "close_assist"} <= seen.actions
    by_hand = [*lost, (14.0, at.DO_RESET, 1.0, 0.0), (15.0, at.DO_START, 1.0, 0.0)]
    assert not watched(machine(name), by_hand).running
    assert watched(machine(name), [*by_hand, (17.0, at.DO_START, 1.0, 0.0)]).running


@pytest.mark.parametrize("name", CASES)
def test_the_key_for_maintenance_allows_no_run(name: str) -> None:
    ready = {"place": float(STATES.index("ready"))}
    seen = watched(machine(name), [(1.0, at.DO_MAINTENANCE, 1.0, 0.0)], 3.0, registers=ready)
    assert "maintenance" in seen.acting and seen.pump == ()
    assert seen.actions == {"limit_speed", "close_assist", "open_vent", "message"}
    back = watched(
        machine(name), [(1.0, at.DO_MAINTENANCE, 1.0, 0.0), (2.0, at.DO_MAINTENANCE, 0.0, 0.0)], 3.0,
        registers=ready,
    )  # fmt: skip
    assert not back.acting


@pytest.mark.parametrize("name", CASES)
def test_a_parted_hose_is_missed_and_a_first_filling_is_not(name: str) -> None:
    """Pressure that was there and is gone while the pump turns; without the memory each start would trip."""
    made = machine(name)
    running = max(float(made.state.running_gauge[0]), 1e4)
    hole = 20.0 * float(made.state.wanted_flow[0]) / running
    at_pressure = 40.0
    seen = watched(made, [(at_pressure, at.DO_BURST, hole, 0.0)], at_pressure + 30.0)
    assert "pressure_lost" in seen.acting and not seen.running and not seen.lower
    open_from_the_start = watched(made, [(0.0, at.DO_BURST, hole, 0.0)], 40.0)
    assert "pressure_lost" not in open_from_the_start.acting and open_from_the_start.running


@pytest.mark.parametrize("state", STATES)
def test_no_state_is_a_dead_end(state: str) -> None:
    """Stop, reset and starts by hand lead from every state to a pump that empties."""
    rows = [(2.0, at.DO_STOP, 1.0, 0.0), (8.0, at.DO_RESET, 1.0, 0.0),
            *((t, at.DO_START, 1.0, 0.0) for t in (10.0, 12.0, 14.0))]  # fmt: skip
    seen = watched(machine("S07"), rows, 40.0, registers={"place": float(STATES.index(state))})
    assert seen.running and seen.state == "emptying", seen


@pytest.mark.parametrize("cause", SCHEDULED)
def test_every_latch_can_be_left_by_hand(cause: str) -> None:
    """Cause gone, reset, starts: the pump empties again."""
    kind, on, off, *_ = SCHEDULED[cause]
    rows = [(ON, kind, on, 0.0), (OFF, kind, off, 0.0), (RESET, at.DO_RESET, 1.0, 0.0),
            *((RESET + t, at.DO_START, 1.0, 0.0) for t in (3.0, 5.0, 7.0))]  # fmt: skip
    seen = watched(machine("S07"), rows, RESET + 40.0)
    assert seen.running and seen.state == "emptying", seen
