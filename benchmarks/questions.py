"""Time what an answer decides, bin by bin of the samples that are there, beside a loop of re-assessments.

Seconds differ between machines and hours, ratios hardly: read the ratios. Nothing is asserted here.
"""

from __future__ import annotations

import time
from pathlib import Path

import numpy as np

from drumwright.basis.estimate import Estimate
from drumwright.station.casefile import load
from drumwright.study.asking import questions
from drumwright.study.assess import DEFAULT_SEED, judgements
from drumwright.study.standing import BINS, by_bins
from drumwright.study.supposed import field_of, judged

DEMO = Path(__file__).resolve().parent.parent / "cases" / "demo.toml"
SAMPLES = 4096


def main() -> None:
    """Print the durations and their ratios."""
    case = load(DEMO)
    answer = judgements(case, SAMPLES)[0]
    seed = case.case.seed if case.case.seed is not None else DEFAULT_SEED
    rows = [row for row in answer.numbers.assumptions if row.kind and row.flag != "G"]
    keys = [row.field for row in rows if field_of(answer, case, row.field)]
    start = time.perf_counter()
    for key in keys:
        by_bins(answer, key, seed)
    bins = time.perf_counter() - start
    start = time.perf_counter()
    for key in keys:
        values = np.sort(answer.problem.sample[key][1:])
        for part in np.array_split(values, BINS):
            judged(case, field_of(answer, case, key), Estimate.exact(float(np.median(part))), SAMPLES)
    loop = time.perf_counter() - start
    start = time.perf_counter()
    found = questions(case)
    whole = time.perf_counter() - start
    tried = sum(len(each.words) for each in found.asked)
    print(f"{len(keys)} open numbers x {BINS} bins, from the samples   {1000 * bins:9.1f} ms")
    print(f"the same by assessing again, {SAMPLES} samples {1000 * loop:14.1f} ms {loop / bins:6.0f} times")
    print(f"questions of the demo, {tried} words tried, thresholds {1000 * whole:7.1f} ms")


if __name__ == "__main__":
    main()
