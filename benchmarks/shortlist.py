"""Time the search of the whole stock, beside a plain loop over the same judgement in the same run.

Seconds differ between machines and hours, the ratio hardly: read the ratio. The loop is timed on arrangements
drawn at random, as the search would judge each of them (it stops at the first season that fails), and scaled
to all; those drawn are compared with the sets. Nothing of speed is asserted here.
"""

from __future__ import annotations

import time
from pathlib import Path

import numpy as np

from drumwright.station.casefile import load
from drumwright.station.inputs import draw, resolve
from drumwright.station.rheology import evidence
from drumwright.station.vessel import way_out
from drumwright.study.combinations import Passing, passing
from drumwright.study.evaluation import SEASONS, Problem, evaluate
from drumwright.study.search_space import Place
from drumwright.study.shortlist import passes_by_numbers

SAMPLES, DRAWN, TIMES, WORKERS = 256, 400, 3, 2
CASE = Path(__file__).parents[1] / "cases" / "demo.toml"


def fresh() -> Problem:
    """The problem of the demo with nothing kept."""
    case = load(CASE)
    inputs = resolve(case, case.product[0], case.container[0], None)
    known = evidence(case.product[0], inputs.likely("product.temperature.norm"))
    return Problem(inputs, draw(inputs, SAMPLES, 1), known, SEASONS, way_out(inputs.kind))


def searched() -> tuple[float, Passing]:
    """The least duration of the search [s], and what it found."""
    durations = []
    for _ in range(TIMES):
        problem = fresh()
        start = time.perf_counter()
        found, _ = passing(problem, workers=WORKERS)
        durations.append(time.perf_counter() - start)
    return min(durations), found


def looped(found: Passing) -> float:
    """Duration of one arrangement of the plain loop [s], every answer compared with the search."""
    problem, random = found.bench.problem, np.random.default_rng(1)
    places = {tuple(row) for row in found.places.tolist()}
    drawn = [Place(*(int(random.integers(n)) for n in found.space.lengths)) for _ in range(DRAWN)]
    start = time.perf_counter()
    answers = [evaluate(problem, found.space.choice(place), quick=True) for place in drawn]
    duration = (time.perf_counter() - start) / DRAWN
    for place, answer in zip(drawn, answers, strict=True):
        assert passes_by_numbers(answer) == (tuple(place) in places), place
    return duration


def main() -> None:
    """Print both durations and their ratio."""
    quick, found = searched()
    slow = looped(found) * found.space.size
    size = found.space.size
    print(f"search of {size} arrangements x {SAMPLES} samples x 3 seasons, {WORKERS} threads: {quick:.2f} s")
    print(f"a plain loop over the same judgement would take {slow / quick:.0f} times as long ({slow:.0f} s).")
    print(f"{len(found)} pass; {DRAWN} drawn at random agree one by one.")


if __name__ == "__main__":
    main()
