"""Wall stress of a Herschel-Bulkley product from its flow: a fixed number of steps, no root solver.

Pipe and slot share one equation. With y = tau_w/tau_y - 1, T = 1 + y, u = y/T, f = 1/T and s the wall stress
the same flow would need without yield stress, divided by tau_y, the flow law reads

    h(y) = y (u A(u, f))^n = s

where A is 1 in the limit of no yield stress. One power per step.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.numbers import Array

YIELD_IS_SMALL = 1e-9  # below this share of the stress two terms of the series are exact to rounding
FLOW_IS_ZERO = 1e-280


class Passage(NamedTuple):
    """Shape of a passage for the inverse: A(u, f) with its derivative to y, and the two limits.

    The limits are the bracket of h at yield, ``A(0, 1)``, and the constant offset of y over s at high flow.
    """

    bracket: Callable[[Array, Array, Array], tuple[Array, Array]]
    at_yield: Callable[[Array], Array]
    offset: Callable[[Array], Array]


def _pipe_bracket(u: Array, f: Array, n: Array) -> tuple[Array, Array]:
    a, b, c = 1.0, 2.0 * (3.0 * n + 1.0) / (2.0 * n + 1.0), (3.0 * n + 1.0) / (n + 1.0)
    value = u * (a * u + b * f) + c * f * f
    slope = f * f * (2.0 * a * u + b * (f - u) - 2.0 * c * f)
    return value, slope


def _slot_bracket(u: Array, f: Array, n: Array) -> tuple[Array, Array]:
    a = n / (n + 1.0)
    return 1.0 + a * f, -a * f * f


PIPE = Passage(_pipe_bracket, lambda n: (3.0 * n + 1.0) / (n + 1.0), lambda n: n / (2.0 * n + 1.0))
SLOT = Passage(_slot_bracket, lambda n: (2.0 * n + 1.0) / (n + 1.0), lambda n: n / (n + 1.0))


def steps_needed(exponent: Array) -> int:
    """Return the steps that reach rounding level: 3 up to an exponent of 1, 4 above."""
    return 3 if exponent.size == 0 or exponent.max() <= 1.0 else 4


def excess(passage: Passage, viscous: Array, yield_stress: Array, exponent: Array) -> Array:
    """Return the wall stress above yield [Pa].

    Parameters
    ----------
    passage : Passage
        `PIPE` or `SLOT`.
    viscous : ndarray
        Wall stress the same flow would need without yield stress [Pa].
    yield_stress, exponent : ndarray
        [Pa], [-]; zero yield stress is the power law.

    Returns
    -------
    ndarray
        Wall stress less yield stress [Pa]; exact to rounding also close to yield.

    Notes
    -----
    Start and step (Newton in logarithms, exponential as a Pade form) from the performance book, section B.
    Checked for exponents 0.05 to 2.5.
    """
    plain, y = _solve(passage, viscous, yield_stress, exponent)
    return np.where(plain, viscous + passage.offset(exponent) * yield_stress, yield_stress * y)


def excess_and_slope(
    passage: Passage, viscous: Array, yield_stress: Array, exponent: Array
) -> tuple[Array, Array]:
    """Return the wall stress above yield, as `excess`, and its derivative to ln(flow), both [Pa].

    Parameters
    ----------
    passage : Passage
        `PIPE` or `SLOT`.
    viscous : ndarray
        Wall stress the same flow would need without yield stress [Pa].
    yield_stress, exponent : ndarray
        [Pa], [-]; zero yield stress is the power law. All three of shapes that broadcast.

    Returns
    -------
    tuple of ndarray
        Wall stress less yield stress, and its derivative to the logarithm of the flow, both [Pa].
    """
    plain, y = _solve(passage, viscous, yield_stress, exponent)
    above = np.where(plain, viscous + passage.offset(exponent) * yield_stress, yield_stress * y)
    _, steepness = _evaluate(passage, y, exponent)
    return above, exponent * np.where(plain, viscous, yield_stress * y / steepness)


def _evaluate(passage: Passage, y: Array, n: Array) -> tuple[Array, Array]:
    """Return u A(u, f) and d ln h/d ln y at y."""
    f = 1.0 / (1.0 + y)
    u = y * f
    value, slope = passage.bracket(u, f, n)
    return u * value, 1.0 + n * (f + y * slope / value)


def _solve(
    passage: Passage, viscous: Array, yield_stress: Array, n: Array
) -> tuple[NDArray[np.bool_], Array]:
    """Return where yield stress is too small to matter, and y elsewhere."""
    plain = yield_stress <= YIELD_IS_SMALL * viscous
    s = np.where(plain, 1.0, viscous / np.where(plain, 1.0, yield_stress))
    s = np.maximum(s, FLOW_IS_ZERO)
    low = (s * passage.at_yield(n) ** -n) ** (1.0 / (n + 1.0))
    y = s + low / (1.0 + low / passage.offset(n))
    for _ in range(steps_needed(n)):
        base, steepness = _evaluate(passage, y, n)
        miss = s / (y * base**n) - 1.0
        q = 1.0 / steepness
        y = y * (1.0 + 0.5 * (q + 1.0) * miss) / (1.0 + 0.5 * (1.0 - q) * miss)
    return plain, y
