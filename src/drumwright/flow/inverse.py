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


def excess_and_slope(
    passage: Passage, viscous: Array, yield_stress: Array, exponent: Array, steps: int | None = None
) -> tuple[Array, Array]:
    """Return wall stress above yield, and its derivative to the logarithm of the flow, both [Pa].

    Parameters
    ----------
    passage : Passage
        `PIPE` or `SLOT`.
    viscous : ndarray
        Wall stress the same flow would need without yield stress [Pa].
    yield_stress, exponent : ndarray
        [Pa], [-]; zero yield stress is the power law.
    steps : int, optional
        Newton steps; by default what rounding level needs.

    Notes
    -----
    Start and step (Newton in logarithms, exponential as a Pade form) from the performance book, section B.
    Checked for exponents 0.05 to 2.5.
    """
    n = exponent
    plain = yield_stress <= YIELD_IS_SMALL * viscous
    scale = np.where(plain, 1.0, yield_stress)
    s = np.maximum(np.where(plain, 1.0, viscous / scale), FLOW_IS_ZERO)
    low = (s * passage.at_yield(n) ** -n) ** (1.0 / (n + 1.0))
    y = s + low / (1.0 + low / passage.offset(n))
    for step in range((steps_needed(n) if steps is None else steps) + 1):
        f = 1.0 / (1.0 + y)
        u = y * f
        value, slope = passage.bracket(u, f, n)
        steepness = 1.0 + n * (f + y * slope / value)
        if step == (steps_needed(n) if steps is None else steps):
            break
        miss = s / (y * (u * value) ** n) - 1.0
        q = 1.0 / steepness
        y = y * (1.0 + 0.5 * (q + 1.0) * miss) / (1.0 + 0.5 * (1.0 - q) * miss)
    excess = np.where(plain, viscous + passage.offset(n) * yield_stress, yield_stress * y)
    slope_log = np.where(plain, n * viscous, yield_stress * y * n / steepness)
    return excess, slope_log
