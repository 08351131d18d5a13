"""How long a line may be at a pressure and bore, and the smallest bore that passes; arrays for the map."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import arrays, require_not_negative, require_positive
from drumwright.flow.turbulent import pressure_drop_any_regime
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]
CHECKS = ("running", "restart", "cycle")


def longest_running(allowed: ArrayLike, other: ArrayLike, gradient: ArrayLike) -> Array:
    """Longest pipe that can be run [m]; zero where the rest of the line already takes the pressure.

    Parameters
    ----------
    allowed : array_like
        Pressure the pump or the weakest part allows [Pa(g)].
    other : array_like
        What does not grow with the length at the wanted flow: hose, fittings, filter, lift, destination [Pa].
    gradient : array_like
        Friction of a metre of pipe at the wanted flow [Pa/m], above zero.

    Raises
    ------
    FlowOutOfRange
        If the gradient is not positive.
    """
    limit, rest, slope = arrays(allowed, other, gradient)
    require_positive("gradient", slope)
    return np.asarray(np.maximum(limit - rest, 0.0) / slope)


def longest_held(allowed: ArrayLike, other: ArrayLike, yield_stress: ArrayLike, bore: ArrayLike) -> Array:
    """Longest pipe that can be started [m]; infinite without yield stress while the pressure covers the rest.

    Parameters
    ----------
    allowed : array_like
        Pressure the pump or the weakest part allows [Pa(g)].
    other : array_like
        What does not grow with the length at the start: hose, fittings, filter, lift, destination [Pa].
    yield_stress : array_like
        Rested yield stress for the restart, flowing one for yield alone [Pa].
    bore : array_like
        [m]

    Raises
    ------
    FlowOutOfRange
        If the yield stress is negative or the bore not positive.

    Notes
    -----
    L = (p - p_other) D/(4 tau_s), the inverse of physics book 5.7.
    """
    limit, rest, tau, size = arrays(allowed, other, yield_stress, bore)
    require_not_negative("yield stress", tau)
    require_positive("bore", size)
    left = np.maximum(limit - rest, 0.0)
    holds = 4.0 * tau / size
    endless = np.where(left > 0.0, np.inf, 0.0)
    return np.asarray(np.where(holds > 0.0, left / np.where(holds > 0.0, holds, 1.0), endless))


class LengthBoreMap(NamedTuple):
    """Longest lines [m] for the picture: pressure classes by bores by samples (c, b, n)."""

    bores: Array  # (b,) [m]
    classes: Array  # (c,) [Pa(g)]
    running: Array
    restart: Array
    yield_only: Array  # flowing yield stress alone, nothing else counted: beyond it no speed helps

    @property
    def longest(self) -> Array:
        """The shorter of running and restart [m]."""
        return np.minimum(self.running, self.restart)

    @property
    def restart_governs(self) -> NDArray[np.bool_]:
        """Where the restart, not the running line, sets the length."""
        return np.asarray(self.restart < self.running)


def length_bore_map(
    bores: ArrayLike,
    classes: ArrayLike,
    flow: ArrayLike,
    density: ArrayLike,
    law: FlowLaw,
    rested_yield_stress: ArrayLike,
    other_running: ArrayLike,
    other_restart: ArrayLike,
) -> LengthBoreMap:
    """Limit lines of length against bore.

    Parameters
    ----------
    bores : array_like
        Bores to draw [m], shape (b,).
    classes : array_like
        Pressures to draw [Pa(g)], shape (c,).
    flow, density : array_like
        [m3/s], [kg/m3]; floats or shape (n,).
    law : FlowLaw
        Product at the temperature of the running line.
    rested_yield_stress : array_like
        After the worst stop [Pa].
    other_running, other_restart : array_like
        What does not grow with the length, running and at the start [Pa]; floats, (n,) or (b, n).

    Returns
    -------
    LengthBoreMap
        Lengths of shape (c, b, n), n = 1 for floats.
    """
    size = np.atleast_1d(np.asarray(bores, float))
    limits = np.atleast_1d(np.asarray(classes, float))[:, np.newaxis, np.newaxis]
    column = size[:, np.newaxis]
    q, rho, tau = np.atleast_1d(*arrays(flow, density, rested_yield_stress))
    gradient = np.asarray(
        pressure_drop_any_regime(q, column, 1.0, rho, law.yield_stress, law.consistency, law.exponent)
    )
    flowing = np.atleast_1d(np.asarray(law.yield_stress, float))
    made = (
        longest_running(limits, other_running, gradient),
        longest_held(limits, other_restart, tau, column),
        longest_held(limits, 0.0, flowing, column),
    )
    shape = np.broadcast_shapes(*(each.shape for each in made))
    return LengthBoreMap(size, limits[:, 0, 0], *(np.broadcast_to(each, shape) for each in made))


class BoreJudgement(NamedTuple):
    """What share of the samples passes in each bore of a list, from narrow to wide."""

    bores: Array  # (b,) [m]
    passing: Array  # (checks, b) share of the samples that passes each of `CHECKS` [-]
    chosen: int | None  # place of the smallest bore that passes all; None where none does
    binding: str | None  # check that fails most in the bore next below, None where there is none


def smallest_bore(
    bores: Sequence[float],
    running: ArrayLike,
    restart: ArrayLike,
    cycle: ArrayLike,
    allowed: ArrayLike,
    share: float = 0.95,
) -> BoreJudgement:
    """Smallest bore that passes running, restart and the peak of the filler's cycle.

    Parameters
    ----------
    bores : sequence of float
        Bores that can be had, rising [m], shape (b,).
    running, restart, cycle : array_like
        Pressures in each bore [Pa(g)], shape (b,) or (b, n): cold running, restart after the worst stop, peak
        when the filler closes. A pressure that is not known is given as not-a-number and does not pass.
    allowed : array_like
        Pressure the weakest part allows [Pa(g)]; float, (n,) or (b, n).
    share : float
        Share of the samples that must pass every check [-].

    Returns
    -------
    BoreJudgement

    Raises
    ------
    ValueError
        If the bores do not rise or the share is not above 0 and at most 1.

    Notes
    -----
    Hold-up costs more than energy (physics book 5.8), so the smallest that passes is the one to take. A wider
    bore that fails above one that passes (air in a stiff line) does not undo the choice.
    """
    if any(b <= a for a, b in pairwise(bores)) or not 0.0 < share <= 1.0:
        raise ValueError("bores must rise, and the share lie above 0 and at most at 1")
    limit = np.asarray(allowed, float)
    tables = [_table(np.asarray(each, float)) for each in (running, restart, cycle)]
    count = np.broadcast_shapes(*(table.shape for table in tables), limit.shape)
    ok = np.stack([np.broadcast_to(table <= limit, count) for table in tables])
    passing = ok.mean(axis=2)
    every = np.flatnonzero(ok.all(axis=0).mean(axis=1) >= share)
    chosen = int(every[0]) if every.size else None
    below = (chosen if chosen is not None else len(bores)) - 1
    binding = CHECKS[int(np.argmin(passing[:, below]))] if below >= 0 else None
    return BoreJudgement(np.asarray(bores, float), passing, chosen, binding)


def _table(pressures: Array) -> Array:
    """Pressures with an axis for the samples."""
    return pressures[:, np.newaxis] if pressures.ndim == 1 else pressures
