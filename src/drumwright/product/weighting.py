"""How much each point of a flow curve counts: scatter of repeats, and points that do not belong."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from drumwright.flow.numbers import Array
from drumwright.product.projection import fit_rows

REPEAT_WITHIN = 0.01  # relative difference of two shear rates that count as one, assumed
PRIOR_REPEATS = 4.0  # degrees of freedom the pooled scatter lends to each shear rate, assumed
LEAST_SCATTER = 0.003  # relative scatter of repeats no instrument is better than, assumed
HUBER, BISQUARE = 1.345, 6.0  # from memory; 6 scales instead of the usual 4.685: nearly no false outliers
FAR_OFF = 0.10  # relative distance from the curve below which no point is an outlier, assumed
FITTED = 3  # numbers of the law that is fitted; the median of residuals is too small by their share
LEAST_POINTS = 8  # fewer points cannot tell an outlier from a shape
MOST_OUTLIERS = 0.25  # a greater share is no set of outliers but another curve, assumed
LONGEST_GROUP = 2  # neighbours that lie off to one side together: more of them are a shape


class Robust(NamedTuple):
    """Weights, shape (m,), zero for the points left out, and these points, in the order given."""

    weights: Array
    outliers: tuple[int, ...]


def repeat_weights(shear_rate: Array, stress: Array) -> Array | None:
    """Weights by the scatter of repeated points.

    Parameters
    ----------
    shear_rate : ndarray, shape (m,)
        [1/s], rising.
    stress : ndarray, shape (m,)
        [Pa]

    Returns
    -------
    ndarray, shape (m,), or None
        Pooled relative scatter over that of the point's own shear rate [-]; None where fewer than two shear
        rates were repeated.

    Notes
    -----
    The variance of each group is drawn towards the pooled one as if that were four more readings, so that
    two readings that agree by chance do not rule the fit.
    """
    breaks = np.flatnonzero(np.diff(np.log(shear_rate)) > REPEAT_WITHIN) + 1
    groups = np.split(np.arange(shear_rate.size), breaks)
    repeated = [group for group in groups if group.size > 1]
    if len(repeated) < 2:
        return None
    logs = np.log(stress)
    squares = [float(np.sum((logs[group] - logs[group].mean()) ** 2)) for group in repeated]
    spare = [group.size - 1 for group in repeated]
    pooled = max(sum(squares) / sum(spare), LEAST_SCATTER**2)
    weights = np.ones_like(stress)
    for group, square, free in zip(repeated, squares, spare, strict=True):
        variance = (square + PRIOR_REPEATS * pooled) / (free + PRIOR_REPEATS)
        weights[group] = np.sqrt(pooled / variance)
    return weights


def robust_weights(shear_rate: Array, stress: Array, weights: Array) -> Robust:
    """Weights that leave out points far off the curve.

    Parameters
    ----------
    shear_rate : ndarray, shape (m,)
        [1/s], rising.
    stress : ndarray, shape (m,)
        [Pa]
    weights : ndarray, shape (m,)
        Weights to begin with [-].

    Returns
    -------
    Robust
        The weights given, none for the outliers: points more than six robust scales and more than a tenth
        of their stress off the law.

    Notes
    -----
    Iteratively reweighted least squares of the Herschel-Bulkley law: Huber's weights until settled, then
    Tukey's bisquare, which ends at the greater of the two distances; scale 1.4826 m/(m - 3) times the median
    of the m absolute residuals. The bisquare only finds the outliers; what is kept counts in full, so that
    a card with the same points gives the same law.
    """
    factor = np.ones_like(stress)
    enlarged = 1.4826 * stress.size / max(stress.size - FITTED, 1)
    for turn in range(30):
        # weights stand on the squares, ours on the residuals
        rows = fit_rows(shear_rate, stress[None], (weights * np.sqrt(factor))[None], True, None)
        model = rows.yield_stress + rows.consistency * shear_rate**rows.exponent
        residual = weights * np.abs(model / stress - 1.0)
        scaled = residual / max(enlarged * float(np.median(residual)), FAR_OFF / BISQUARE)
        if turn < 15:
            factor = np.minimum(1.0, HUBER / np.maximum(scaled, 1e-12))
        else:
            factor = np.where(scaled < BISQUARE, (1.0 - (scaled / BISQUARE) ** 2) ** 2, 0.0)
    off = factor == 0.0
    off &= np.abs(model / stress - 1.0) > FAR_OFF  # repeats carry weights of their own
    return Robust(np.where(off, 0.0, weights), tuple(int(i) for i in np.flatnonzero(off)))


def outliers_found(shear_rate: Array, stress: Array, weights: Array) -> Robust | None:
    """Weights without the points that do not belong, None where there are none.

    Parameters
    ----------
    shear_rate : ndarray, shape (m,)
        [1/s], rising.
    stress : ndarray, shape (m,)
        [Pa]
    weights : ndarray, shape (m,)
        Weights to begin with [-].

    Notes
    -----
    Three neighbours or more that are left out together are a shape the law misses, not outliers; nor is more
    than a quarter of the points.
    """
    if shear_rate.size < LEAST_POINTS:
        return None
    found = robust_weights(shear_rate, stress, weights)
    out = np.zeros(stress.size, bool)
    out[list(found.outliers)] = True
    together = np.convolve(out.astype(int), np.ones(LONGEST_GROUP + 1, int)).max()
    if not found.outliers or together > LONGEST_GROUP or out.mean() > MOST_OUTLIERS:
        return None
    return found
