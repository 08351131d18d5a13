"""Time what stays in a drum over 16,384 samples, beside a plain loop over the same functions in the same run.

Seconds differ between machines and hours, the ratio hardly. Nothing is asserted here.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.disc_gap import smallest_gap
from drumwright.machine.plate import recovery, residue

Array = NDArray[np.float64]
COUNT, HEIGHT = 16_384, 0.78


def drawn(seed: int = 1) -> Array:
    """Return uniform samples between plausible ends, one row an input, one column a sample."""
    ends = (
        (0.569, 0.573),
        (40.0, 300.0),
        (15.0, 150.0),
        (0.25, 0.5),
        (1e4, 2e4),
        (5e-4, 9e-3),
        (0.0, 1.0),
        (2e-5, 4e-4),
        (4e-3, 9e-3),
        (0.3, 1.0),
        (2e-5, 2.5e-4),
    )
    random = np.random.default_rng(seed)
    return np.array([random.uniform(low, high, COUNT) for low, high in ends])


def places(row: ArrayLike) -> dict[str, Array]:
    """Return the volume left by place [m3] for one sample or for all of them."""
    diameter, tau_y, k, n, push, mismatch, mix, gap, depth, retained, corner = np.asarray(row)
    end = smallest_gap(0.3 / 3600.0, push, 0.5 * diameter, 0.04, tau_y, k, n)
    return {
        "heel": residue.heel(diameter, end, mismatch, mix),
        "wall": residue.wall(diameter, HEIGHT, gap),
        "film": residue.film(diameter, HEIGHT, 1e-3, 1e7, k, n),
        "hoops": residue.hoops(2, depth, 0.045, diameter, retained),
        "corner": corner,
    }


def least(work: Callable[[], Array], times: int) -> float:
    """Return the least duration of some work [s]."""
    durations = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        durations.append(time.perf_counter() - start)
    return min(durations)


def main() -> None:
    """Print both durations and their ratio."""
    samples = drawn()

    def ours() -> Array:
        found = places(samples)
        recovery.shares(found)
        return recovery.total(found)

    def loop() -> Array:
        return np.array([recovery.total(places(column)) for column in samples.T])

    assert np.allclose(ours(), loop(), rtol=1e-12)
    quick, slow = least(ours, 7), least(loop, 2)
    print(f"residue of {COUNT} samples with end gap and variance by place: {1e3 * quick:.1f} ms")
    print(f"a plain loop over the same functions takes {slow / quick:.0f} times as long ({slow:.2f} s).")


if __name__ == "__main__":
    main()
