"""Cut the points of a table by temperature and by direction of the sweep; put too many into bins."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.tables import read_toml
from drumwright.flow.numbers import Array

SAME_TEMPERATURE = 1.5  # K within which points belong to one temperature, assumed
MOST_POINTS = 400  # more than these are put into bins: they cost time and tell nothing more
BINS = 200
LEAST_SWEEP = 3  # points
MOST_TURNS = 4  # more turns of the shear rate are disorder

Places = NDArray[np.intp]
Pieces = list[tuple[Places, str]]


def by_temperature(values: Array) -> list[Places]:
    """Return the places of each temperature, in the order they come.

    Parameters
    ----------
    values : ndarray, shape (m,)
        Temperature of every point [K].
    """
    order = np.argsort(values, kind="stable")
    breaks = np.flatnonzero(np.diff(values[order]) > SAME_TEMPERATURE) + 1
    groups = [np.sort(group) for group in np.split(order, breaks)]
    return sorted(groups, key=lambda each: int(each[0]))


def by_words(words: list[str]) -> Pieces:
    """Return the sweeps that words name; nothing where a word is not known.

    Parameters
    ----------
    words : list of str
        What the column of the sweep says of each point.
    """
    table = read_toml("rheometer_words.toml")["sweep"]
    found: Pieces = []
    for direction in ("up", "down"):
        hits = [i for i, word in enumerate(words) if word.strip().lower() in table[direction]]
        if hits:
            found.append((np.array(hits, dtype=np.intp), direction))
    return found if words and sum(piece.size for piece, _ in found) == len(words) else []


def by_turns(rate: Array) -> tuple[Pieces, bool]:
    """Return the sweeps that end where the shear rate turns, and whether there is an order at all.

    Parameters
    ----------
    rate : ndarray, shape (m,)
        Shear rates in the order measured [1/s].
    """
    everything = np.arange(rate.size, dtype=np.intp)
    step = np.diff(np.log(rate))
    moving = np.where(np.abs(step) < 1e-3, 0.0, np.sign(step))
    for index in range(1, moving.size):  # a repeat goes on as before
        if moving[index] == 0.0:
            moving[index] = moving[index - 1]
    turns = np.flatnonzero(moving[1:] * moving[:-1] < 0.0) + 1
    if turns.size == 0:
        return [(everything, "down" if moving.size and moving[-1] < 0.0 else "")], True
    ends = [0, *turns.tolist(), rate.size - 1]
    # the point where it turns belongs to both
    pieces = [everything[first : last + 1] for first, last in pairwise(ends)]
    if turns.size > MOST_TURNS or min(piece.size for piece in pieces) < LEAST_SWEEP:
        return [(everything, "")], False
    return [(piece, "up" if rate[piece[-1]] > rate[piece[0]] else "down") for piece in pieces], True


def binned(rate: Array, stress: Array) -> tuple[Array, Array]:
    """Return means of the logarithms in bins of equal width in the logarithm of shear rate.

    Parameters
    ----------
    rate, stress : ndarray, shape (m,)
        [1/s] and [Pa].
    """
    x, y = np.log(rate), np.log(stress)
    edges = np.linspace(x.min(), x.max() + 1e-9, BINS + 1)
    place = np.clip(np.searchsorted(edges, x, side="right") - 1, 0, BINS - 1)
    filled = np.bincount(place, minlength=BINS)
    used = filled > 0
    means = [np.bincount(place, column, BINS)[used] / filled[used] for column in (x, y)]
    return np.exp(means[0]), np.exp(means[1])
