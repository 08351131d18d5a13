"""Which of several fitted laws the points choose: one rule for a fit and for all its resamples."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from drumwright.flow.numbers import Array

PARSIMONY_MARGIN = 2.0  # a simpler model within this AICc of the best is preferred
RELATIVE_FLOOR = 1e-6  # no measured curve is better than this; keeps exact data from choosing by rounding
POOR_FIT = 0.10  # relative residual of a law that misses its points
MISSES = 0.05  # relative residual above which a closer law is looked for although the points cannot prove it
CLOSER = 0.5  # share of the residual below which a law is clearly closer, assumed
FEW = 6  # points below which AICc hardly ever chooses three numbers


class Chosen(NamedTuple):
    """Place of the chosen law, shape (r,), and whether the points could prove it, shape (r,)."""

    place: Array
    proven: Array


def aicc(mean_square: Array, points: int, parameters: Array) -> Array:
    """Return the small-sample Akaike number [-], infinite where points are too few to judge.

    Parameters
    ----------
    mean_square : ndarray
        Mean square of the weighted relative residuals [-].
    points : int
        Number of points m [-].
    parameters : ndarray
        Count of the numbers of the law p [-], broadcast with `mean_square`.

    Notes
    -----
    m ln(mean square) + 2p + 2p(p+1)/(m-p-1).
    """
    spare = np.asarray(points - parameters - 1.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        penalty = 2.0 * parameters + 2.0 * parameters * (parameters + 1.0) / spare
    fit = points * np.log(np.maximum(mean_square, RELATIVE_FLOOR**2))
    return np.where(spare > 0.0, fit + penalty, np.inf)


def choose(parameters: Sequence[int], mean_square: Array, points: int) -> Chosen:
    """Choose a law for every row.

    Parameters
    ----------
    parameters : sequence of int
        Numbers of each law, length k, at least one law.
    mean_square : ndarray, shape (k, r)
        Mean square of the weighted relative residuals [-].
    points : int
        Number of points, three or more.

    Returns
    -------
    Chosen
        The law and whether AICc chose it.

    Notes
    -----
    AICc with a simpler law within 2 of the best preferred. AICc is harsh where points are few: at five
    points three numbers must come seven times closer than two. Where its choice misses by more than a
    twentieth (assumed) and another with at least one spare point comes twice as close, or where it misses by
    more than a tenth while laws with a spare point could not be judged, the closest of two numbers or more
    with a spare point is taken; it is not proven.
    """
    sizes = np.asarray(parameters, dtype=np.float64)[:, None]
    number = aicc(mean_square, points, sizes)
    near = number <= number.min(axis=0) + PARSIMONY_MARGIN
    index = np.argmin(np.where(near, sizes * 1e6 + np.where(near, number, 0.0), np.inf), axis=0)
    columns = np.arange(mean_square.shape[1])
    residual = np.sqrt(np.maximum(mean_square, RELATIVE_FLOOR**2))
    could = (points - sizes >= 1.0) & (sizes >= 2.0)
    if not could.any():
        return Chosen(index, np.isfinite(number[index, columns]))
    # of laws equally close the simplest: a third number that changes nothing is none
    closest = np.argmin(np.where(could, np.round(np.log(residual), 3) + 1e-6 * sizes, np.inf), axis=0)
    mine, best = residual[index, columns], residual[closest, columns]
    unjudged = (could & ~np.isfinite(number)).any()
    turned = (mine > MISSES) & (best <= CLOSER * mine) | (mine > POOR_FIT) & unjudged
    turned |= ~np.isfinite(number[index, columns])
    turned &= closest != index
    return Chosen(np.where(turned, closest, index), ~turned)
