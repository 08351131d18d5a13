"""Which input makes a figure wide: first-order shares of the variance, from the samples that are there."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
LEAST_IN_BIN = 64  # samples of one bin
MOST_BINS = 32


def first_order(given: Array, figure: Array) -> float:
    """Share of the variance of a figure that goes when one input is known.

    Parameters
    ----------
    given : array
        Samples of the input [its unit], shape (n,).
    figure : array
        The figure of the same samples [its unit], shape (n,).

    Returns
    -------
    float
        First-order Sobol index, 0 to 1; 0 where the figure has no variance.

    Raises
    ------
    ValueError
        If both have not the same length.

    Notes
    -----
    S = Var(E[y | x]) / Var(y), with the samples sorted by x into bins of equal count. A figure that hangs on
    nothing scatters between B bins by (B - 1)/(n - 1) of its variance; that is taken off (epsilon squared of
    the analysis of variance, from memory).
    """
    if given.shape != figure.shape:
        raise ValueError("input and figure need the same samples")
    usable = np.isfinite(figure)
    given, figure = given[usable], figure[usable]
    bins = min(MOST_BINS, figure.size // LEAST_IN_BIN)
    if bins < 2 or np.ptp(given) <= 0.0:
        return 0.0
    whole = float(np.sum((figure - figure.mean()) ** 2))
    if whole <= 1e-24 * figure.size * float(np.mean(figure)) ** 2 or whole == 0.0:
        return 0.0
    parts = np.array_split(figure[np.argsort(given, kind="stable")], bins)
    between = sum(part.size * (float(part.mean()) - float(figure.mean())) ** 2 for part in parts)
    chance = (bins - 1.0) / (figure.size - 1.0)
    return float(np.clip((between / whole - chance) / (1.0 - chance), 0.0, 1.0))


def ranked(sample: Mapping[str, Array], figure: Array, least: float = 0.02) -> tuple[tuple[str, float], ...]:
    """Inputs by their share of the variance of a figure, largest first.

    Parameters
    ----------
    sample : mapping of str to array
        Samples of every input, shape (n,); the first is the point of likely values and is left out.
    figure : array
        The figure, shape (n,).
    least : float
        Smaller shares are left out [-].
    """
    found = [
        (key, first_order(values[1:], figure[1:]))
        for key, values in sample.items()
        if values.shape == figure.shape and np.ptp(values[1:]) > 0.0
    ]
    return tuple(sorted(((k, s) for k, s in found if s >= least), key=lambda pair: -pair[1]))
