"""Time what a user waits for, beside a bare Python start in the same run; called by `make bench`.

Seconds differ between machines and hours, ratios hardly: read the ratios. Whole processes are timed in turns,
so that a slow moment falls on all of them, and the least of several is taken. Nothing is asserted here; the
one ratio that the project promises is tested in tests/structure/test_start.py.
"""

from __future__ import annotations

import math
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from scipy.optimize import brentq

from drumwright.flow.pipe import pressure_drop
from drumwright.product.fit import fit_curve
from drumwright.product.resample import resample
from drumwright.report.files import documents
from drumwright.station.casefile import load
from drumwright.station.inputs import draw, resolve
from drumwright.station.rheology import evidence
from drumwright.station.vessel import way_out
from drumwright.study.assess import SEARCH_SAMPLES, assess
from drumwright.study.evaluation import Problem
from drumwright.study.pump_choice import judge_families
from drumwright.study.result import SEASONS
from drumwright.study.search import as_asked

ROOT = Path(__file__).resolve().parent.parent
DEMO = ROOT / "cases" / "demo.toml"
BARE = "bare Python start"
PROCESSES: Mapping[str, Sequence[str]] = {
    BARE: ("-c", ""),
    "drumwright --help": ("-m", "drumwright", "--help"),
    "drumwright assess cases/demo.toml": ("-m", "drumwright", "assess", "cases/demo.toml"),
}
REFITS, LOOP = "1,000 refits of five laws, together", "1,000 refits of five laws, one by one"
TURNS, PIPES = 7, 4096


def process(arguments: Sequence[str]) -> float:
    """Return how long one whole process takes [s]."""
    start = time.perf_counter()
    subprocess.run([sys.executable, *arguments], cwd=ROOT, stdout=subprocess.DEVNULL, check=True)
    return time.perf_counter() - start


def least(work: Callable[[], object], times: int = 5) -> float:
    """Return the least duration of some work, after one run that is not counted [s]."""
    work()
    durations = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        durations.append(time.perf_counter() - start)
    return min(durations)


def whole_processes(folder: str) -> dict[str, float]:
    """Return the least duration of each process, run in turns; documents go into a folder [s]."""
    writing = ("-m", "drumwright", "run-case", "cases/demo.toml", "-o", folder)
    calls = {**PROCESSES, "drumwright run-case cases/demo.toml": writing}
    found: dict[str, list[float]] = {name: [] for name in calls}
    for _ in range(TURNS):
        for name, arguments in calls.items():
            found[name].append(process(arguments))
    return {name: min(durations) for name, durations in found.items()}


def fits() -> dict[str, float]:
    """Return the durations of 1,000 refits of five laws to 20 points together, and one by one [s]."""
    rate = np.geomspace(0.1, 100.0, 20)
    wave = 1.0 + 0.02 * np.cos(37.0 * np.arange(rate.size))
    stress = (150.0 + 60.0 * rate**0.35) * wave
    fitted, weights = fit_curve(rate, stress), np.ones(rate.size)
    return {
        REFITS: least(lambda: resample(rate, stress, weights, fitted, 1)),
        LOOP: 10.0 * least(lambda: [fit_curve(rate, stress) for _ in range(100)], 3),
    }


def in_process() -> dict[str, float]:
    """Return the durations of a what-if and of the documents, inside a warm process [s]."""
    case = load(DEMO)
    result = assess(case)
    return {
        "what-if, 4,096 samples, in process": least(lambda: assess(case, samples=4096)),
        "both PDFs and result.json, in process": least(lambda: documents(result), 3),
    }


def families() -> dict[str, float]:
    """Return the duration of judging every pump family over the generic stock for one case [s]."""
    case = load(DEMO)
    inputs = resolve(case, case.product[0], case.container[0])
    known = evidence(case.product[0], inputs.likely("product.temperature.norm"))
    problem = Problem(inputs, draw(inputs, SEARCH_SAMPLES, 1), known, SEASONS, way_out(inputs.kind))
    asked = as_asked(problem)
    assert asked is not None
    return {
        "every pump family for one case, warm": least(lambda: judge_families(replace(problem), asked.choice))
    }


def plain_flow(drop: float, bore: float, yield_stress: float, consistency: float, exponent: float) -> float:
    """Return the flow through one metre of pipe in plain floats, written apart from ours [m3/s]."""
    wall = 0.25 * drop * bore
    phi, n = yield_stress / wall, exponent
    shape = (1 - phi) ** 2 / (3 * n + 1) + 2 * phi * (1 - phi) / (2 * n + 1) + phi**2 / (n + 1)
    return math.pi * (bore / 2) ** 3 * n * (wall / consistency) ** (1 / n) * (1 - phi) ** (1 + 1 / n) * shape


def bracketed(row: Sequence[float]) -> float:
    """Return the pressure drop of one metre of pipe by a bracketing root finder [Pa]."""
    flow, bore, yield_stress, consistency, exponent = row
    lowest = 4.0 * yield_stress / bore * (1.0 + 1e-12)

    def miss(drop: float) -> float:
        return plain_flow(drop, bore, yield_stress, consistency, exponent) - flow

    return float(brentq(miss, lowest, lowest + 1e7, xtol=1e-6, rtol=1e-13))


def inverse() -> tuple[float, float, float]:
    """Return the durations of the pipe inverse by arrays and by brackets, and how far they differ."""
    rng = np.random.default_rng(1)
    ranges = ((1e-5, 1e-3), (0.03, 0.1), (10.0, 800.0), (5.0, 200.0), (0.2, 1.0))
    flow, bore, *law = (rng.uniform(low, high, PIPES) for low, high in ranges)
    rows = np.column_stack([flow, bore, *law]).tolist()

    def ours() -> np.ndarray:
        return np.asarray(pressure_drop(flow, bore, 1.0, *law))

    def theirs() -> np.ndarray:
        return np.array([bracketed(row) for row in rows])

    return least(ours), least(theirs, 2), float(np.max(np.abs(ours() / theirs() - 1.0)))


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder:
        times = whole_processes(folder)
    bare = times[BARE]
    times |= in_process() | families() | fits()
    print(f"{'what':<40}{'ms':>10}{'bare starts':>14}")
    for name, duration in times.items():
        print(f"{name:<40}{1000.0 * duration:>10.1f}{duration / bare:>14.1f}")
    print(f"\n{REFITS}: {times[LOOP] / times[REFITS]:.0f} times faster than {LOOP}")
    ours, theirs, deviation = inverse()
    print(f"\npressure drop of {PIPES} pipes: a bracketing root finder in plain floats takes")
    print(f"{theirs / ours:.0f} times as long as the array inverse; they differ by {deviation:.0e} at most.")


if __name__ == "__main__":
    main()
