"""Single faults of the demo and whole scenarios: what caught them, peaks by closed forms, with and without.

Closed forms: physics book 6.2 a (rise of a closed line), 6.2 b and 14.6 (peak of a stop, compliance up to the
peak), 6.4 (what a burst hose lets out). A protection that is taken away must make the peak higher.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from drumwright.basis.phrases import phrase, render
from drumwright.station.casefile import load
from drumwright.station.transient import layout as at
from drumwright.station.transient.compiled import available
from drumwright.study.faults import FAULTS, play, scenario
from drumwright.study.running import Machine, machine_of, run_machine
from drumwright.study.scenario import Outcome

DEMO = Path("cases/demo.toml")
WHOLE = Path("tests/whole")
AIR = {"machine.pump": "piston-03-9", "line.bore": "DN80", "enquiry.pump_wanted": "follower_piston"}
FAST = available()
SHUT = {"trip", "process_stop", "relief", "relief_flow", "slow_down"}  # any of them, before anything bursts
CAUGHT: dict[str, set[str]] = {
    "blocked_outlet": SHUT, "stuck_transmitter": {"trip", "relief"}, "drifting_transmitter": SHUT,
    "failed_switch": {"process_stop", "relief"}, "failed_relief": {"trip", "process_stop"},
    "slow_drive": SHUT, "closing_at_start": SHUT, "cold_restart": {"nothing"},
    "clogged_inlet": {"suction_lost"}, "plate_jam": {"suction_lost"},
    "empty_not_seen": {"suction_lost", "container_end"}, "hose_burst": {"pressure_lost"},
    "lost_air": {"air_low"}, "power_loss": {"power"}, "emergency_stop": {"emergency_stop"},
    "transmitter_fault": {"transmitter_fault"},
}  # fmt: skip


@cache
def machine(name: str) -> Machine:
    if name == "demo":
        return machine_of(load(DEMO))
    settings = AIR if name == "air" else {}
    return machine_of(load(WHOLE / f"{'S09' if name == 'air' else name}.toml", settings))


@cache
def played(name: str, fault: str) -> Outcome:
    return play(machine(name), fault, fast=FAST)


def test_there_are_sixteen_faults_and_each_has_its_catcher() -> None:
    assert set(FAULTS) == set(CAUGHT) and len(FAULTS) == 16


@pytest.mark.parametrize("fault", FAULTS)
def test_every_fault_of_the_demo_is_caught_and_said(fault: str) -> None:
    """By what it must be; the run is solved, its volumes balance, the sentence names peak and catcher."""
    found = played("demo", fault)
    assert found.caught_by in CAUGHT[fault], found.caught_by
    assert found.trace.solved and found.trace.imbalance < 1e-9 and found.over < 1.0
    text = render(found.text)
    assert render(phrase(f"FAULT-{fault}")) in text and "bar(g)" in text
    assert render(phrase(f"CAUGHT-{found.caught_by}")) in text
    if found.caught_by not in ("nothing",):
        assert found.time_to_stop is not None and found.time_to_stop < 60.0


@pytest.mark.parametrize("name", ["demo", "S02", "S05", "S07"])
@pytest.mark.parametrize("fault", [f for f in FAULTS if CAUGHT[f] & SHUT])
def test_peak_and_rise_stay_under_their_closed_forms(name: str, fault: str) -> None:
    """Full flow into the closed line: the rise (5 %), and the peak of a stop (2 %), are upper bounds."""
    found = played(name, fault)
    assert found.closed_form_rise is not None
    assert found.rise <= 1.05 * found.closed_form_rise
    if found.closed_form_peak is not None:
        assert found.peak <= 1.02 * found.closed_form_peak


@pytest.mark.parametrize("name", ["demo", "S07"])
def test_the_closed_form_of_the_stop_is_near_the_peak(name: str) -> None:
    """Not only a bound: within 15 % where the trip alone stops the pump against a closed outlet."""
    found = played(name, "failed_relief")
    assert found.caught_by == "trip" and found.closed_form_peak is not None
    assert found.peak == pytest.approx(found.closed_form_peak, rel=0.15)


def _peak(name: str, *taken_away: tuple[int, float], blind: bool = False) -> float:
    """Peak at the outlet that shuts, with protections taken away."""
    made = machine(name)
    asked = scenario(made, "blocked_outlet")
    rows = [(0.0, kind, value, 0.0) for kind, value in taken_away]
    if blind:
        rows.append((0.0, at.DO_STUCK_1, 1.0, 0.0))
    return run_machine(made, asked.duration, (*rows, *asked.schedule), fast=FAST).peaks["outlet"]


@pytest.mark.parametrize("name", ["demo", "S02", "S05", "S07", "S09"])
def test_without_a_protection_the_peak_is_higher(name: str) -> None:
    """Transmitter, then switch, then relief taken away; at the end only the drive holds, or nothing."""
    made = machine(name)
    whole = _peak(name)
    no_stop = _peak(name, blind=True)
    no_trip = _peak(name, (at.DO_SWITCH, 1.0), blind=True)
    nothing = _peak(name, (at.DO_SWITCH, 1.0), (at.DO_RELIEF, 1.0), blind=True)
    assert whole <= no_stop + 1e3 <= no_trip + 2e3
    assert no_trip < nothing and nothing > 0.9 * min(made.around.stall_pressure, 2.0 * no_trip)
    assert whole <= made.points.relief * 1.2


@pytest.mark.parametrize("name", ["demo", "S02", "S05", "S07", "S09"])
def test_without_the_relief_the_trip_still_acts_and_the_peak_is_no_lower(name: str) -> None:
    assert played(name, "failed_relief").peak >= played(name, "blocked_outlet").peak - 1e3


@pytest.mark.parametrize("name", ["demo", "S02", "S05", "S07", "S09", "air"])
def test_a_burst_hose_lets_out_what_the_pump_moves_until_it_stops(name: str) -> None:
    """Q (t_detect + run-on) and what the line held under pressure (physics book 6.4), 20 %."""
    made, found = machine(name), played(name, "hose_burst")
    assert found.caught_by == "pressure_lost" and found.time_to_stop is not None
    plant = found.scenario.plant
    rows, onset = found.trace.rows, found.scenario.onset
    before = int(np.searchsorted(rows["time"], onset)) - 1
    absolute = rows["outlet_pressure"][before] + plant["atmosphere"]
    flow = float(rows["pump_flow"][before])
    held = sum(
        plant[f"volume_{k}"] * (plant[f"flexibility_{k}"] * (absolute - plant["atmosphere"])
                                + plant[f"air_{k}"] * (1.0 - plant["atmosphere"] / absolute))
        for k in (1, 2)
    )  # fmt: skip
    moved = flow * (found.time_to_stop - 0.5 * made.around.run_on_time)
    assert 0.8 * moved <= found.spilled <= 1.2 * (moved + held)


@pytest.mark.parametrize("fault", ["blocked_outlet", "failed_relief", "slow_drive"])
def test_a_pump_that_air_drives_stalls_below_the_weakest_part(fault: str) -> None:
    found = played("air", fault)
    assert found.caught_by == "air" and found.over < 1.0 and found.closed_form_peak is None


def test_a_drive_twice_as_slow_and_a_low_reading_raise_the_peak() -> None:
    plain = played("S07", "blocked_outlet").peak
    assert played("S07", "slow_drive").peak > plain
    assert played("S07", "drifting_transmitter").peak > plain
    assert played("S07", "stuck_transmitter").peak > plain


def test_a_line_with_more_air_takes_longer_and_stays_lower_at_the_stop() -> None:
    """The same blocked outlet with five per cent of air and a tenth of one: the stiff line peaks higher."""
    made = machine("S07")
    asked = scenario(made, "blocked_outlet")
    peaks = {}
    for air in (0.001, 0.05):
        plant = made.plant().with_values(air_1=air, air_2=air)
        peaks[air] = run_machine(made, asked.duration, asked.schedule, plant, fast=FAST).peaks["outlet"]
    assert peaks[0.001] > peaks[0.05]


def test_plain_and_compiled_kernel_tell_the_same() -> None:
    plain = play(machine("S07"), "blocked_outlet")
    fast = play(machine("S07"), "blocked_outlet", fast=FAST)
    assert plain.peak == pytest.approx(fast.peak, rel=1e-9) and plain.caught_by == fast.caught_by


@pytest.mark.parametrize("period", [3.0, 20.0, 60.0])
@pytest.mark.parametrize("name", ["demo", "S02", "S03", "S05", "S07", "S09", "air"])
def test_a_filler_that_cycles_is_no_parted_hose(name: str, period: float) -> None:
    """Start, slow filling of the line, closing, stops by pressure and starts again: nothing is missed."""
    made = machine(name)
    rows = []
    for k in range(int(240.0 / period)):
        rows += [
            (k * period + 0.6 * period, at.DO_VALVE, 0.0, 0.2),
            ((k + 1) * period, at.DO_VALVE, 1.0, 0.2),
        ]
    trace = run_machine(made, 240.0, rows, fast=FAST, every=1.0)
    acted = {made.names[int(e.value)].identifier for e in trace.events if e.kind == "object_acts"}
    assert trace.solved and "pressure_lost" in {each.identifier for each in made.names}
    assert "pressure_lost" not in acted, acted


@pytest.mark.parametrize("name", ["S02", "S03", "S05", "S07", "S09", "air"])
@pytest.mark.parametrize(
    "fault", ["cold_restart", "closing_at_start", "power_loss", "lost_air", "clogged_inlet"]
)
def test_other_trouble_is_no_parted_hose(name: str, fault: str) -> None:
    found = played(name, fault)
    acted = [
        machine(name).names[int(e.value)].identifier for e in found.trace.events if e.kind == "object_acts"
    ]
    assert found.caught_by != "pressure_lost" and "pressure_lost" not in acted
