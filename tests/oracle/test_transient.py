"""The plant in time against SciPy at tight tolerance, closed forms, itself compiled, and its own order."""

from __future__ import annotations

import math
from collections.abc import Callable
from itertools import pairwise
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from drumwright.flow.pipe import pressure_drop
from drumwright.station.transient import equations, passages
from drumwright.station.transient import layout as at
from drumwright.station.transient.compiled import compiled
from drumwright.station.transient.run import Plant, first_registers, run
from drumwright.station.transient.step import step
from transient_kit import ATMOSPHERE, cycles, plant

STEEL = {"flexibility_1": 1e-10 + 1 / 2.2e9, "flexibility_2": 1e-10 + 1 / 2.2e9, "air_1": 1e-3, "air_2": 1e-3}
STIFF = STEEL | {"air_1": 1e-3, "air_2": 1e-3}
SOFT = {"flexibility_1": 5e-8 + 1 / 2.2e9, "flexibility_2": 5e-8 + 1 / 2.2e9, "air_1": 0.05, "air_2": 0.05}
HOSE = {"air_1": 0.01, "air_2": 0.01}
CUSHION = {"buffer_kind": 1.0, "buffer_volume": 10e-3}
SPRING = {"buffer_kind": 2.0, "buffer_volume": 2e-3, "buffer_rate": 4e5 / 2e-3}
GRID = {
    "steel": STIFF,
    "hose": HOSE,
    "soft": SOFT,
    "steel, cushion": STIFF | CUSHION,
    "hose, cushion": HOSE | CUSHION,
    "soft, cushion": SOFT | CUSHION,
    "hose, cushion at the pump": HOSE | CUSHION | {"buffer_node": 1.0},
    "hose, spring": HOSE | SPRING,
    "hose, rested": HOSE | {"rest_extra": 1e5, "breakdown": 2000.0},
}


def reference(made: Plant, duration: float, schedule: list[Any]) -> Callable[[np.ndarray], np.ndarray]:
    """SciPy's Radau at 1e-10 over the same right-hand side, begun anew at every edge of the valve."""
    p, tables = made.parameters.tolist(), made.passages.ravel().tolist()
    r = first_registers(made).tolist()
    r[at.SPEED_SET] = p[at.SPEED_WANTED]
    flows, slopes = [0.0] * 64, [0.0] * 16

    def rhs(t: float, y: np.ndarray) -> list[float]:
        values = y.tolist()
        equations.flows(t, values, p, tables, r, flows)
        equations.slopes(values, p, r, flows, slopes)
        return slopes[:16]

    edges = sorted({0.0, duration} | {row[0] for row in schedule} | {row[0] + row[3] for row in schedule})
    y, pieces = made.start.copy(), []
    size = p[at.VOLUME_1] * p[at.FLEXIBILITY_1] * 1e5
    atol = np.array([1e-10, *(2 * [1e-10 * size]), 1e-13, 1e-10, 1e-12, *(3 * [1e-5]), *(7 * [1e-12])])
    for begin, end in pairwise(edges):
        for time, _, value, ramp in schedule:
            if abs(time - begin) < 1e-9:
                now = equations.valve(begin, r)
                r[at.VALVE_AT], r[at.VALVE_SINCE] = now, begin
                r[at.VALVE_SLOPE], r[at.VALVE_UNTIL] = (value - now) / ramp, begin + ramp
        part = solve_ivp(
            rhs, (begin, end), y, method="Radau", rtol=1e-10, atol=atol, dense_output=True, max_step=0.05
        )
        assert part.success
        pieces.append((end, part.sol))
        y = part.y[:, -1]

    def pressure(times: np.ndarray) -> np.ndarray:
        found = []
        for time in times:
            solution = next(sol for end, sol in pieces if time <= end + 1e-9)
            stored = float(solution(time)[1])
            found.append(
                equations.node(stored, p[at.VOLUME_1], p[at.FLEXIBILITY_1], p[at.AIR_1], p[at.ATMOSPHERE])[0]
            )
        return np.array(found)

    return pressure


@pytest.mark.parametrize("name", GRID)
def test_against_scipy_from_stiff_steel_to_soft_hose(name: str) -> None:
    """Peak-scaled difference below 1e-4 at a tolerance of 1e-7, at every row of eight seconds of a filler."""
    made = plant(relief_opening=6e5, speed_wanted=0.7, **GRID[name])
    if name == "hose, rested":
        made.start[at.STRUCTURE] = 1.0
    schedule = cycles(2, period=4.0, open_for=2.0)
    ours = run(made, 8.0, schedule=schedule, tolerance=1e-7, every=0.05)
    theirs = reference(made, 8.0, schedule)(ours.rows["time"])
    scale = 1e5 + np.abs(theirs)
    assert ours.solved
    assert np.max(np.abs(ours.rows["outlet_pressure"] - theirs) / scale) < 1e-4


def test_order_of_convergence() -> None:
    """Fixed steps of a smooth piece: halving the step divides the error by about eight (order 3)."""
    made = plant(speed_wanted=0.7, **HOSE)
    p, tables, r = made.parameters.tolist(), made.passages.ravel().tolist(), first_registers(made).tolist()
    r[at.SPEED_SET] = p[at.SPEED_WANTED]

    def after(begin: list[float], count: int, time: float) -> list[float]:
        y, f, d, new = list(begin), [0.0] * 64, [0.0] * 16, [0.0] * 16
        work = [[0.0] * 64 for _ in range(8)]
        for k in range(count):
            equations.flows(k * time / count, y, p, tables, r, f)
            equations.slopes(y, p, r, f, d)
            step(k * time / count, time / count, y, p, tables, r, f, d, work, new)
            y = list(new)
        return y

    steady = after(made.start.tolist(), 2000, 2.0)
    steady[at.STORED_1] *= 1.02
    exact = after(steady, 4096, 0.05)
    for state in (at.STORED_2, at.MEASURED_1, at.SWITCH, at.DELIVERED, at.PUMPED):
        errors = [abs(after(steady, count, 0.05)[state] - exact[state]) for count in (8, 16, 32, 64)]
        orders = [math.log2(a / b) for a, b in pairwise(errors)]
        assert all(2.7 < order < 3.4 for order in orders), orders


@pytest.mark.parametrize(
    ("growth", "air", "rate"), [(2e-8, 0.005, 12.9e5), (1e-10, 0.005, 178.6e5), (1e-10, 0.0, 510.2e5)]
)
def test_dead_head_rises_by_flow_over_compliance(growth: float, air: float, rate: float) -> None:
    """Physics book 6.2 a, 14.3: rate at 6 bar(g), 5 m of DN50, 1 m3/h; 3 to 9 bar in closed form."""
    room, flow = 0.25 * math.pi * 0.05**2 * 5.0, 1.0 / 3600.0
    values = {
        "volume_1": 0.5 * room, "volume_2": 0.5 * room, "flexibility_1": growth + 1 / 2.2e9,
        "flexibility_2": growth + 1 / 2.2e9, "air_1": air, "air_2": air, "displacement": flow,
        "stall_pressure": 5e8,
    }  # fmt: skip
    made = plant(
        speed_wanted=1.0, yield_stress=0.0, consistency=0.01, exponent=1.0, bore=0.05, slip=0.0, **values
    )
    trace = run(made, 4.0, schedule=[(2.0, 0, 0.0, 0.001)], every=1e-5, tolerance=1e-7)
    times, pressure = trace.rows["time"], trace.rows["outlet_pressure"]

    def rise_from(low: float, high: float) -> float:
        return float(np.interp(high, pressure, times) - np.interp(low, pressure, times))

    expanded = air * ATMOSPHERE * (1.0 / (3e5 + ATMOSPHERE) - 1.0 / (9e5 + ATMOSPHERE))
    closed_form = room * ((growth + 1 / 2.2e9) * 6e5 + expanded) / flow
    assert rise_from(3e5, 9e5) == pytest.approx(closed_form, rel=0.01)
    assert 0.4e5 / rise_from(5.8e5, 6.2e5) == pytest.approx(rate, rel=0.03)


def test_pressure_stays_trapped_behind_a_yield_stress() -> None:
    """Physics book 6.2 g: a line keeps 4 tau_y L/D and that of the nozzle, within 6 % after minutes."""
    made = plant(yield_stress=150.0, consistency=60.0, exponent=0.3, bore=0.05, speed_wanted=0.6, slip=0.0)
    trace = run(made, 600.0, schedule=[(6.0, at.DO_SPEED, 0.0, 0.0)], every=0.5)
    line, nozzle = 4.0 * 150.0 * 5.0 / 0.05, 4.0 * 150.0 * 1.5 / 0.05
    assert trace.rows["outlet_pressure"][-1] == pytest.approx(line + nozzle, rel=0.06)
    assert trace.rows["line_flow"][-1] < 1e-8


def test_volume_balance_closes_to_rounding() -> None:
    """What was pumped is delivered, relieved, spilled or held: to 1e-6 of it and far better."""
    made = plant(relief_opening=1.5e5, speed_wanted=0.8, **(HOSE | CUSHION))
    schedule = [*cycles(5), (20.0, at.DO_BURST, 1e-9, 0.0)]
    trace = run(made, 30.0, schedule=schedule)
    assert trace.end["relieved"] > 0.0 and trace.end["spilled"] > 0.0
    assert trace.imbalance < 1e-12
    fed = trace.end["drawn"] - trace.end["fed"] - trace.end["pumped"]
    assert abs(fed) < 1e-12


def test_compiled_and_plain_are_one() -> None:
    """The same rows, events and steps, to the last digits: one text, run twice."""
    made = plant(relief_opening=6e5, speed_wanted=0.7, **(HOSE | CUSHION))
    plain = run(made, 20.0, schedule=cycles(3))
    fast = run(made, 20.0, schedule=cycles(3), fast=True)
    assert plain.steps == fast.steps and plain.events == fast.events
    for name, values in plain.rows.items():
        assert fast.rows[name] == pytest.approx(values, rel=1e-9, abs=1e-9), name


def test_every_function_of_the_kernel_is_compiled() -> None:
    """A function the compiled kernel calls must be in its list."""
    from drumwright.station.transient import air, happenings, kernel, looks, signals, step

    listed = set(compiled())
    for module in (equations, step, signals, looks, happenings, air, kernel):
        own = {
            name
            for name, value in vars(module).items()
            if callable(value) and getattr(value, "__module__", "") == module.__name__
        }
        assert own <= listed, own - listed


@pytest.mark.parametrize(
    ("tau", "k", "n"), [(120.0, 95.0, 0.40), (0.0, 5.0, 1.0), (800.0, 600.0, 0.25), (10.0, 2.0, 0.9)]
)
def test_table_of_a_pipe_is_the_steady_law(tau: float, k: float, n: float) -> None:
    """Flow of the kernel's table against the law of the steady balance, over five decades: 1e-4."""
    held = 4.0 * tau * 5.0 / 0.05
    table = passages.from_flow(
        lambda rate: np.asarray(pressure_drop(rate, 0.05, 5.0, tau, k, n)), np.array([held]), np.array([2e-3])
    )[0].tolist()
    flow = 2e-3 * np.exp(np.random.default_rng(1).uniform(math.log(1e-5), 0.0, 300))
    excess = np.asarray(pressure_drop(flow, 0.05, 5.0, tau, k, n)) - held
    found = np.array([equations.passage(table, 0, float(each)) for each in excess])
    assert found[:, 0] == pytest.approx(flow, rel=1e-4)
    nudge = np.array([equations.passage(table, 0, float(each) * 1.0001)[0] for each in excess])
    back = np.array([equations.passage(table, 0, float(each) * 0.9999)[0] for each in excess])
    assert (nudge - back) / (2e-4 * excess) == pytest.approx(found[:, 1], rel=1e-5)


def test_cushion_follows_the_gas_law() -> None:
    """Pressure of a cushion after it took a volume: p V^kappa kept (physics book 6.1, state 3)."""
    made = plant(**(HOSE | CUSHION))
    for stored in (0.5e-3, 2e-3, 6e-3):
        ours, slope = equations.buffer_pressure(made.parameters.tolist(), stored)
        law = (0.5e5 + 101325.0) * (10e-3 / (10e-3 - stored)) ** 1.2 - 101325.0
        assert ours == pytest.approx(law, rel=1e-12)
        near, _ = equations.buffer_pressure(made.parameters.tolist(), stored * (1 + 1e-6))
        assert (near - ours) / (stored * 1e-6) == pytest.approx(slope, rel=1e-4)
