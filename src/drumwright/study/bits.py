"""Samples as bits: a condition over all samples is a row of words, several at once are their intersection."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from drumwright.study.evaluation import PASSES

Words = NDArray[np.uint64]
_WORD = 64  # bits


def pack(ok: NDArray[np.bool_]) -> Words:
    """One bit a sample, the likely point at the front left out.

    Parameters
    ----------
    ok : ndarray of bool, shape (..., 1 + n)
        n a multiple of 64 [-].

    Raises
    ------
    ValueError
        If the number of samples is no multiple of 64.
    """
    own = np.ascontiguousarray(ok[..., 1:])
    if own.shape[-1] % _WORD:
        raise ValueError(f"{own.shape[-1]} samples are no whole words of {_WORD}")
    return np.packbits(own, axis=-1).view(np.uint64)


def count(words: Words) -> NDArray[np.int64]:
    """Samples in which a condition holds, exactly.

    Parameters
    ----------
    words : ndarray of uint64, shape (..., words)
    """
    each = np.bitwise_count(words)
    total = each[..., 0].astype(np.int64)
    for place in range(1, each.shape[-1]):  # a sum over a short last axis is many times slower
        total += each[..., place]
    return total


def enough(words: Words, samples: int) -> NDArray[np.bool_]:
    """Whether a condition holds in as many samples as a gate asks for.

    Parameters
    ----------
    words : ndarray of uint64, shape (..., words)
        One bit a sample [-].
    samples : int
    """
    return np.asarray(count(words) / samples >= PASSES)


def all_true(samples: int) -> Words:
    """The condition that always holds.

    Parameters
    ----------
    samples : int
        A multiple of 64 [-].
    """
    return np.full(samples // _WORD, np.iinfo(np.uint64).max, np.uint64)
