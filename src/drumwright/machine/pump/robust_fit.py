"""Robust least squares of a few parameters in blocks of unlike residuals, with its covariance."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
HUBER = 1.345  # standardised residual from which a point counts less; usual constant, from memory
MEDIAN_TO_SCALE = 1.4826  # of the median absolute residual of normal noise; from memory
HUBER_MEAN = 0.71016  # mean of psi^2 of normal noise at this constant; a test has it by quadrature
LEAST_NOISE = 1.0e-4  # no reading is better than a hundredth of a per cent; assumed
FLAT = 1.0e-13  # share of the steepest direction below which a direction is not told by the points
ROUNDS, STEPS, SCALE_STEPS = 3, 12, 20
NORMAL_95 = 1.6448536269514722
EXACT_95 = (6.313752, 2.919986, 2.353363, 2.131847, 2.015048, 1.943180, 1.894579, 1.859548)


class Solution(NamedTuple):
    """Parameters of least squares and what they are worth."""

    parameters: Array  # shape (p,)
    covariance: Array  # shape (p, p)
    spare: int  # degrees of freedom of the block with the fewest


def student_quantile_95(spare: int) -> float:
    """Return t such that 95 % of Student's distribution lies below it: ends of a 90 % interval.

    Parameters
    ----------
    spare : int
        Degrees of freedom, 1 or more.

    Notes
    -----
    Typed table up to 8 degrees, Cornish and Fisher's series above; a test compares both with a library.
    """
    if spare <= len(EXACT_95):
        return EXACT_95[spare - 1]
    z, v = NORMAL_95, float(spare)
    terms = (
        (z**3 + z) / 4.0,
        (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / 96.0,
        (3.0 * z**7 + 19.0 * z**5 + 17.0 * z**3 - 15.0 * z) / 384.0,
        (79.0 * z**9 + 776.0 * z**7 + 1482.0 * z**5 - 1920.0 * z**3 - 945.0 * z) / 92160.0,
    )
    return z + sum(term / v ** (power + 1) for power, term in enumerate(terms))


def robust_fit(
    residuals: Callable[[Array], Array],
    start: Array,
    block: NDArray[np.intp],
    low: Array,
    high: Array,
) -> Solution:
    """Minimise Huber's loss of residuals whose scale is estimated for each block.

    Parameters
    ----------
    residuals : callable
        Parameters, shape (p,), to residuals, shape (m,).
    start : ndarray, shape (p,)
        Near the solution [-].
    block : ndarray, shape (m,)
        Which block a residual belongs to: each block has its own noise.
    low, high : ndarray, shape (p,)
        Bounds of the parameters [-].

    Notes
    -----
    Damped Gauss-Newton with central differences, scales from the median absolute residual, reweighted.
    Covariance of Huber's estimate: K^2 sum(psi^2)/(m - p) / mean(psi')^2 (J^T J)^-1, K = 1 + (p/m)
    var(psi')/mean(psi')^2 (from memory; coverage of its intervals is tested).
    """
    found = start.copy()
    taken = np.full(block.size, start.size / block.size)
    for _ in range(ROUNDS):
        scale = _scales(residuals(found), block, taken)
        found = _descend(residuals, found, scale, low, high)
        jacobian = _jacobian(residuals, found) / scale[:, None]
        inverse = _inverse(jacobian)
        taken = np.einsum("ij,jk,ik->i", jacobian, inverse, jacobian)
    scaled = residuals(found) / scale
    free = [np.sum(block == one) - np.sum(taken[block == one]) for one in np.unique(block)]
    spare = max(int(min(free)), 1)
    inside = np.abs(scaled) < HUBER
    psi = np.clip(scaled, -HUBER, HUBER)
    share = max(float(np.mean(inside)), 0.1)
    small = 1.0 + start.size / block.size * (1.0 - share) / share
    # the scales make it about 1; points that are too good to be true are not taken at their word
    noise = small**2 * float(psi @ psi) / max(block.size - start.size, 1) / share**2
    return Solution(found, np.asarray(max(noise, 1.0) * inverse, dtype=np.float64), spare)


def _scales(values: Array, block: NDArray[np.intp], taken: Array) -> Array:
    """Scale of the block of every residual, made up for what the parameters take of it (leverage).

    From the median absolute residual to the scale at which the mean of psi^2 is that of normal noise (Huber's
    second proposal, from memory).
    """
    scale = np.empty(values.size)
    for one in np.unique(block):
        own = values[block == one]
        free = max(own.size - float(np.sum(taken[block == one])), 1.0)
        found = max(MEDIAN_TO_SCALE * float(np.median(np.abs(own))), LEAST_NOISE)
        for _ in range(SCALE_STEPS):
            psi = np.clip(own / found, -HUBER, HUBER)
            found = max(found * float(np.sqrt(psi @ psi / (free * HUBER_MEAN))), LEAST_NOISE)
        scale[block == one] = found
    return scale


def _inverse(jacobian: Array) -> Array:
    """Inverse of J^T J; a direction that the points do not tell gets a huge variance, never none."""
    size = np.sqrt(np.einsum("ij,ij->j", jacobian, jacobian))
    size = np.where(size > 0.0, size, 1.0)
    values, vectors = np.linalg.eigh((jacobian / size).T @ (jacobian / size))
    whole = (vectors / np.maximum(values, FLAT * values[-1])) @ vectors.T
    return np.asarray(whole / np.outer(size, size), dtype=np.float64)


def _descend(
    residuals: Callable[[Array], Array], found: Array, scale: Array, low: Array, high: Array
) -> Array:
    """Some Gauss-Newton steps at fixed scales; a step that makes it worse is damped."""
    damping, loss = 1e-6, _loss(residuals(found) / scale)
    for _ in range(STEPS):
        scaled = residuals(found) / scale
        weight = np.minimum(1.0, HUBER / np.maximum(np.abs(scaled), 1e-30))
        jacobian = _jacobian(residuals, found) / scale[:, None]
        normal = jacobian.T @ (weight[:, None] * jacobian)
        slope = jacobian.T @ (weight * scaled)
        before = loss
        for _ in range(8):
            damped = normal + damping * np.diag(np.diag(normal) + 1e-12)
            trial = np.clip(found - np.linalg.solve(damped, slope), low, high)
            value = _loss(residuals(trial) / scale)
            if value <= loss:
                found, loss, damping = trial, value, 0.1 * damping
                break
            damping *= 10.0
        if before - loss <= 1e-10 * (1.0 + loss):
            break
    return found


def _loss(scaled: Array) -> float:
    size = np.abs(scaled)
    return float(np.sum(np.where(size < HUBER, 0.5 * size**2, HUBER * (size - 0.5 * HUBER))))


def _jacobian(residuals: Callable[[Array], Array], at: Array, step: float = 1e-5) -> Array:
    columns = []
    for place in range(at.size):
        by = np.zeros(at.size)
        by[place] = step
        columns.append((residuals(at + by) - residuals(at - by)) / (2.0 * step))
    return np.stack(columns, axis=1)
