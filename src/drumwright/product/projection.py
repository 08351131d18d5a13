"""Fit many curves over the same shear rates at once: variable projection, every curve one row of an array.

For a fixed exponent a law is linear in yield stress and consistency; only the exponent is searched.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.numbers import Array

EXPONENT_RANGE = (0.05, 2.0)
GRID = 48  # exponents tried for all rows at once before the search
STEPS = 14  # fixed steps of the safeguarded search; the bracket of the grid is 0.08 wide
CASSON_STEPS = 40
SINGULAR = 1e-13  # determinant over the product of the squares below which two columns are one


class Rows(NamedTuple):
    """Parameters of one model and the sum of squares, one entry a row, each shape (r,)."""

    yield_stress: Array
    consistency: Array
    exponent: Array
    squares: Array


def fit_rows(rate: Array, stress: Array, weight: Array, with_yield: bool, exponent: float | None) -> Rows:
    """Fit tau = tau_y + K g^n to every row of stresses.

    Parameters
    ----------
    rate : ndarray, shape (m,)
        Shear rates [1/s], the same for all rows.
    stress : ndarray, shape (r, m)
        Stresses [Pa], above zero.
    weight : ndarray, shape (r, m) or (1, m)
        Weight of each relative residual [-], zero or more.
    with_yield : bool
        Whether there is a yield stress; it is zero or more.
    exponent : float or None
        Fixed exponent [-], or None to search it in `EXPONENT_RANGE`.

    Returns
    -------
    Rows
        Least sum of (weight * (model - stress)/stress)^2.

    Notes
    -----
    Variable projection (Golub and Pereyra 1973, from memory): grid of exponents by matrix products, then
    Gauss-Newton on the exponent with the projected derivative, kept inside its bracket by bisection.
    """
    reference = float(np.exp(np.mean(np.log(rate))))
    logs = np.log(rate / reference)
    target = np.broadcast_to(weight, stress.shape)
    a = target / stress
    if exponent is None:
        n = _search(logs, a, target, with_yield)
    else:
        n = np.full(stress.shape[0], exponent)
    tau_y, k, residual, _ = _solve(logs, a, target, n, with_yield)
    return Rows(tau_y, k * reference**-n, n, np.einsum("ij,ij->i", residual, residual))


def _linear(aa: Array, ab: Array, bb: Array, a1: Array, b1: Array, with_yield: bool) -> tuple[Array, Array]:
    """Yield stress (not below zero) and consistency (above zero) of the two normal equations."""
    free = b1 / bb
    if not with_yield:
        return np.zeros_like(free), free
    tau_y = np.maximum(_ratio(a1 * bb - b1 * ab, aa, ab, bb), 0.0)
    both = (b1 - tau_y * ab) / bb
    bound = both <= 0.0  # falling curve: all yield, no more than a trace of consistency
    tau_y = np.where(bound, (a1 - 1e-9 * free * ab) / aa, tau_y)
    return tau_y, np.where(bound, 1e-9 * free, both)


def _ratio(above: Array, aa: Array, ab: Array, bb: Array) -> Array:
    """Numerator over determinant of two normal equations; 0 where the two columns are one."""
    determinant = aa * bb - ab * ab
    apart = determinant > SINGULAR * aa * bb
    return np.asarray(np.where(apart, above / np.where(apart, determinant, 1.0), 0.0))


def _solve(
    logs: Array, a: Array, target: Array, n: Array, with_yield: bool
) -> tuple[Array, Array, Array, Array]:
    """Yield stress, scaled consistency, residuals and the power column for one exponent per row."""
    b = a * np.exp(n[:, None] * logs)
    tau_y, k = _linear(*_sums(a, b, target), with_yield)
    return tau_y, k, tau_y[:, None] * a + k[:, None] * b - target, b


def _search(logs: Array, a: Array, target: Array, with_yield: bool) -> Array:
    """Exponent of least squares for every row."""
    low, high = EXPONENT_RANGE
    grid = np.linspace(low, high, GRID)
    power = np.exp(grid[:, None] * logs)
    square, first = a * a, a * target
    aa, a1 = square.sum(1)[:, None], first.sum(1)[:, None]
    ab, bb, b1 = square @ power.T, square @ (power * power).T, first @ power.T
    tau_y, k = _linear(aa, ab, bb, a1, b1, with_yield)
    squares = tau_y * tau_y * aa + k * k * bb + 2.0 * (tau_y * k * ab - tau_y * a1 - k * b1)
    best = np.argmin(squares, axis=1)
    left, right = grid[np.maximum(best - 1, 0)], grid[np.minimum(best + 1, GRID - 1)]
    n = grid[best]
    for _ in range(STEPS):
        tau_y, k, residual, b = _solve(logs, a, target, n, with_yield)
        change = k[:, None] * b * logs
        slope = np.einsum("ij,ij->i", residual, change)
        left, right = np.where(slope < 0.0, n, left), np.where(slope > 0.0, n, right)
        step = -slope / np.maximum(_curvature(change, a, b, tau_y > 0.0), 1e-300)
        wanted = n + step
        inside = (wanted >= left) & (wanted <= right)
        n = np.where(slope == 0.0, n, np.where(inside, wanted, 0.5 * (left + right)))
    return np.asarray(n)


def _curvature(change: Array, a: Array, b: Array, free: NDArray[np.bool_]) -> Array:
    """Square of the part of the exponent's column that the linear columns cannot take over."""
    bb = np.einsum("ij,ij->i", b, b)
    unit = b / np.sqrt(bb)[:, None]
    rest = change - np.einsum("ij,ij->i", change, unit)[:, None] * unit
    other = a - np.einsum("ij,ij->i", a, unit)[:, None] * unit
    size = np.maximum(np.einsum("ij,ij->i", other, other), 1e-300)
    share = np.where(free, np.einsum("ij,ij->i", rest, other) / size, 0.0)
    rest = rest - share[:, None] * other
    return np.asarray(np.einsum("ij,ij->i", rest, rest))


def fit_casson_rows(rate: Array, stress: Array, weight: Array) -> Rows:
    """Fit sqrt(tau) = sqrt(tau_c) + sqrt(mu_c g) to every row by relative residuals.

    Parameters
    ----------
    rate : ndarray, shape (m,)
        [1/s]
    stress : ndarray, shape (r, m)
        [Pa]
    weight : ndarray, shape (r, m) or (1, m)
        Weight of each relative residual [-].

    Returns
    -------
    Rows
        Casson yield stress, Casson viscosity [Pa s], exponent 1 and the sum of squares.

    Notes
    -----
    Gauss-Newton on both square roots, neither below zero, from the straight line in square roots; a step
    that makes the sum greater is halved.
    """
    root = np.sqrt(rate / float(np.exp(np.mean(np.log(rate)))))
    target = np.broadcast_to(weight, stress.shape)
    straight = target / np.sqrt(stress)
    p, q = _linear(*_sums(straight, straight * root, target), True)
    q = np.maximum(q, 1e-12)
    a = target / stress
    squares = _casson_squares(p, q, root, a, target)
    for _ in range(CASSON_STEPS):
        line = p[:, None] + q[:, None] * root
        residual = a * line**2 - target
        first = 2.0 * a * line
        dp, dq = _step(first, first * root, -residual, p)
        size = np.ones_like(p)
        for _ in range(6):
            trial = np.maximum(p + size * dp, 0.0), np.maximum(q + size * dq, 1e-12)
            found = _casson_squares(*trial, root, a, target)
            worse = found > squares
            if not worse.any():
                break
            size = np.where(worse, 0.5 * size, size)
        p, q = np.where(worse, p, trial[0]), np.where(worse, q, trial[1])
        squares = np.where(worse, squares, found)
        if float(np.max(np.abs(size * dp) / (p + q) + np.abs(size * dq) / (p + q))) < 1e-11:
            break
    scale = float(np.exp(np.mean(np.log(rate))))
    return Rows(p * p, q * q / scale, np.ones_like(p), squares)


def _sums(a: Array, b: Array, target: Array) -> tuple[Array, Array, Array, Array, Array]:
    pairs = ((a, a), (a, b), (b, b), (a, target), (b, target))
    aa, ab, bb, a1, b1 = (np.einsum("ij,ij->i", x, y) for x, y in pairs)
    return aa, ab, bb, a1, b1


def _casson_squares(p: Array, q: Array, root: Array, a: Array, target: Array) -> Array:
    residual = a * (p[:, None] + q[:, None] * root) ** 2 - target
    return np.asarray(np.einsum("ij,ij->i", residual, residual))


def _step(a: Array, b: Array, wanted: Array, p: Array) -> tuple[Array, Array]:
    """Solve the two normal equations; a root at zero that wants to be less stays there."""
    aa, ab, bb, a1, b1 = _sums(a, b, wanted)
    dp, dq = _ratio(a1 * bb - b1 * ab, aa, ab, bb), _ratio(b1 * aa - a1 * ab, aa, ab, bb)
    held = ((p <= 0.0) & (dp <= 0.0)) | (dp == 0.0)
    return np.where(held, 0.0, dp), np.where(held, b1 / bb, dq)
