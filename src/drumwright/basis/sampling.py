"""The one sampler: scrambled Sobol points, reproducible from the seed of the case.

Own generator because importing the library one costs more than a whole assessment may take
(decision record 0003); `tests/oracle/test_sampling.py` holds it equal to the library point for point.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.tables import data_path

BITS = 30
BLOCK = 160  # rows drawn together, so that more rows leave those before them as they were


@lru_cache(maxsize=1)
def _directions() -> NDArray[np.uint32]:
    with data_path("sobol_directions.npy") as path:
        return np.asarray(np.load(path), dtype=np.uint32)


def sobol(count: int, dimensions: int) -> NDArray[np.float64]:
    """Return the first `count` unscrambled Sobol points, shape (dimensions, count), in [0, 1).

    Notes
    -----
    Gray-code order, direction numbers of Joe and Kuo (2008), as carried by SciPy.
    """
    return _points(_directions()[:dimensions], np.zeros(dimensions, np.uint32), count)


@lru_cache(maxsize=8)
def scrambled_sobol(count: int, dimensions: int, seed: int) -> NDArray[np.float64]:
    """Return scrambled Sobol points, shape (dimensions, count), strictly inside (0, 1).

    Parameters
    ----------
    count : int
        Number of points, a power of two for balance.
    dimensions : int
        Number of rows, at most the rows of the direction table.
    seed : int
        Seed of the random linear matrix scramble and digital shift (Matousek 1998).
        A row depends on the seed and its own index only.
    """
    directions = _directions()[:dimensions]
    if directions.shape[0] < dimensions:
        raise ValueError(f"the direction table has {directions.shape[0]} dimensions, {dimensions} were asked")
    generator = np.random.Generator(np.random.PCG64(seed))
    blocks = [
        (
            generator.integers(0, 2, size=(BLOCK, BITS, BITS), dtype=np.uint8),
            generator.integers(0, 2**BITS, size=BLOCK, dtype=np.uint32),
        )
        for _ in range(-(-dimensions // BLOCK))
    ]
    lower = np.tril(np.concatenate([block for block, _ in blocks])[:dimensions], -1)
    lower = lower + np.eye(BITS, dtype=np.uint8)
    shift = np.concatenate([block for _, block in blocks])[:dimensions]
    bits = (directions[:, :, None] >> np.arange(BITS - 1, -1, -1, dtype=np.uint32)) & 1
    mixed = np.matmul(lower.astype(np.float32), bits.transpose(0, 2, 1).astype(np.float32))
    weights = (2.0 ** np.arange(BITS - 1, -1, -1))[None, :, None]
    scrambled = ((mixed.astype(np.int64) & 1) * weights).sum(axis=1).astype(np.uint32)
    return np.asarray(_points(scrambled, shift, count) + 0.5 / 2.0**BITS)


def _points(directions: NDArray[np.uint32], shift: NDArray[np.uint32], count: int) -> NDArray[np.float64]:
    """Points in Gray-code order by doubling: gray(2^k + i) = gray(i) ^ 2^k ^ 2^(k-1) for i below 2^k."""
    state = np.empty((directions.shape[0], count), np.uint32)
    state[:, 0] = shift
    for bit in range(int(count - 1).bit_length()):
        done = 1 << bit
        step = directions[:, bit] ^ directions[:, bit - 1] if bit else directions[:, 0]
        room = min(done, count - done)
        np.bitwise_xor(state[:, :room], step[:, None], out=state[:, done : done + room])
    return state.astype(np.float64) / 2.0**BITS
