"""Time the plant in time beside SciPy's LSODA over the same right-hand side; called by `make bench`.

Ten minutes of plant with 100 cycles of a filler. CPU time, the least of several; the error is the greatest
difference of the outlet pressure to a run of ours at 1e-8, which the oracle tests hold against Radau. LSODA
begins anew at every edge of the valve, as it must.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from drumwright.station.casefile import load
from drumwright.station.transient import equations
from drumwright.station.transient import layout as at
from drumwright.station.transient.compiled import available
from drumwright.station.transient.run import Plant, first_registers, run
from drumwright.study.running import machine_of
from drumwright.study.worst import search

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "tests"))
from transient_kit import cycles, plant  # noqa: E402

STIFF = {"flexibility_1": 1e-10 + 1 / 2.2e9, "flexibility_2": 1e-10 + 1 / 2.2e9, "air_1": 1e-3, "air_2": 1e-3}
SOFT = {"flexibility_1": 1e-8 + 1 / 2.2e9, "flexibility_2": 1e-8 + 1 / 2.2e9, "air_1": 0.05, "air_2": 0.05}
CUSHION = {"buffer_kind": 1.0, "buffer_volume": 10e-3}
PLANTS = {
    "steel, cushion": STIFF | CUSHION,
    "steel": STIFF,
    "hose, cushion": SOFT | CUSHION,
    "hose": SOFT,
}
WANTED = 0.03e5  # Pa
OURS = (1e-2, 5e-3, 3e-3, 1e-3, 3e-4, 1e-4)
THEIRS = (3e-2, 2e-2, 1e-2, 5e-3, 2e-3, 1e-3, 3e-4, 1e-4)
DURATION, COUNT, EVERY = 600.0, 100, 0.05
SEARCHED = 2000


def cpu(work: Callable[[], object], times: int) -> float:
    """Return the least CPU time of some work, after one run that is not counted [s]."""
    work()
    found = []
    for _ in range(times):
        begin = time.process_time()
        work()
        found.append(time.process_time() - begin)
    return min(found)


def reference(
    made: Plant, schedule: list[tuple[float, int, float, float]], tolerance: float
) -> NDArray[np.float64]:
    """Return times and outlet pressure of LSODA, begun anew at every edge."""
    p, tables = made.parameters.tolist(), made.passages.ravel().tolist()
    r = first_registers(made).tolist()
    r[at.SPEED_SET] = p[at.SPEED_WANTED]
    f, d = [0.0] * 64, [0.0] * 16

    def rhs(t: float, y: NDArray[np.float64]) -> list[float]:
        values = y.tolist()
        equations.flows(t, values, p, tables, r, f)
        equations.slopes(values, p, r, f, d)
        return d

    edges = sorted({0.0, DURATION} | {row[0] for row in schedule} | {row[0] + row[3] for row in schedule})
    size = tolerance * p[at.VOLUME_1] * 1e-3
    atol = np.array([tolerance, size, size, size, tolerance, size, *(3 * [1e2]), *(7 * [1e-3])])
    y, rows, following = made.start.copy(), [], 0
    for begin, end in pairwise(edges):
        while following < len(schedule) and schedule[following][0] <= begin + 1e-9:
            _, _, value, ramp = schedule[following]
            now = equations.valve(begin, r)
            r[at.VALVE_AT], r[at.VALVE_SINCE] = now, begin
            r[at.VALVE_SLOPE], r[at.VALVE_UNTIL] = (value - now) / ramp, begin + ramp
            following += 1
        grid = EVERY * np.arange(np.ceil(begin / EVERY), np.floor(end / EVERY) + 1.0)
        inside = grid[(grid > begin + 1e-9) & (grid < end - 1e-9)]
        part = solve_ivp(
            rhs, (begin, end), y, method="LSODA", rtol=tolerance, atol=atol, t_eval=[*inside, end]
        )
        y = part.y[:, -1]
        stored, volume = part.y[1], p[at.VOLUME_1]
        pressure = [
            equations.node(s, volume, p[at.FLEXIBILITY_1], p[at.AIR_1], p[at.ATMOSPHERE])[0] for s in stored
        ]
        rows.append(np.column_stack([part.t, pressure]))
    return np.vstack(rows)


def error(times: NDArray[np.float64], pressure: NDArray[np.float64], exact: NDArray[np.float64]) -> float:
    """Return the greatest difference over the times of the coarser trace [Pa]."""
    return float(np.max(np.abs(np.interp(times, exact[:, 0], exact[:, 1]) - pressure)))


def one(name: str) -> None:
    """Print the row of one plant."""
    made, schedule = (
        plant(relief_opening=6e5, speed_wanted=0.7, container_volume=1.0, **PLANTS[name]),
        cycles(COUNT),
    )
    fine = run(made, DURATION, schedule=schedule, tolerance=1e-8, every=1e-4, most_rows=4_000_000, fast=True)
    exact = np.column_stack([fine.rows["time"], fine.rows["outlet_pressure"]])

    def ours(tolerance: float, fast: bool) -> float:
        trace = run(made, DURATION, schedule=schedule, tolerance=tolerance, every=EVERY, fast=fast)
        return error(trace.rows["time"], trace.rows["outlet_pressure"], exact)

    def theirs(tolerance: float) -> float:
        rows = reference(made, schedule, tolerance)
        return error(rows[:, 0], rows[:, 1], exact)

    mine, mine_error = next((tol, ours(tol, True)) for tol in OURS if ours(tol, True) <= WANTED)
    other, other_error = next((tol, e) for tol in THEIRS for e in [theirs(tol)] if e <= WANTED)
    fast = cpu(lambda: run(made, DURATION, schedule=schedule, tolerance=mine, every=1.0, fast=True), 7)
    plain = cpu(lambda: run(made, DURATION, schedule=schedule, tolerance=mine, every=1.0), 2)
    slow = cpu(lambda: reference(made, schedule, other), 1)
    times = (f"{1e3 * fast:.1f} ms", f"{mine_error / 1e5:.3f} bar", f"{1e3 * plain:.0f} ms")
    rest = (
        f"{1e3 * slow:.0f} ms",
        f"{other_error / 1e5:.3f} bar",
        f"{slow / fast:.0f}",
        f"{slow / plain:.1f}",
    )
    print("".join([f"{name:<16}", *(f"{text:>11}" for text in times + rest)]))


def main() -> None:
    """Print the tables."""
    if not available():
        print("The plant in time: numba is not installed, so nothing is compiled and nothing compared.")
        return
    print("Ten minutes of plant, 100 cycles; the loosest tolerance with at most 0.03 bar of error, CPU time")
    heads = ("compiled", "error", "plain", "LSODA", "error", "ratio", "plain")
    print("".join([f"{'plant':<16}", *(f"{head:>11}" for head in heads)]))
    for name in PLANTS:
        one(name)
    machine = machine_of(load(ROOT / "cases" / "demo.toml"))
    search(machine, runs=10, duration=60.0, seed=1, workers=1)
    begin = time.process_time()
    search(machine, runs=SEARCHED, duration=60.0, seed=1, workers=1)
    spent = time.process_time() - begin
    print(f"\nSearch for the worst, {SEARCHED} runs of 60 s: {1e3 * spent / SEARCHED:.2f} ms a run,")
    print(f"{10_000 * spent / SEARCHED:.0f} CPU-s for 10,000.")


if __name__ == "__main__":
    main()
