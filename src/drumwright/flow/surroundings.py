"""Temperature round a container over time: constant, a yard by day and night, one place after another."""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Callable, Sequence
from typing import TypeAlias

from drumwright.basis.errors import FlowOutOfRange

Surroundings: TypeAlias = Callable[[float], float]
DAY = 86400.0  # [s]


def constant(temperature: float) -> Surroundings:
    """Surroundings of one temperature [K]."""
    return lambda time: temperature


def yard(mean: float, swing: float, warmest: float = 15.0 * 3600.0) -> Surroundings:
    """Yard whose temperature follows a daily cosine.

    Parameters
    ----------
    mean : float
        Of the day [K].
    swing : float
        Half the difference between the warmest and the coldest hour [K].
    warmest : float
        Time of the warmest hour after the start [s].
    """
    return lambda time: mean + swing * math.cos(2.0 * math.pi * (time - warmest) / DAY)


def places(stays: Sequence[tuple[float, Surroundings]]) -> Surroundings:
    """One place after another, as a yard, then a store, then the hall; the last goes on for ever.

    Parameters
    ----------
    stays : sequence of (float, Surroundings)
        How long the container stands [s] and the temperature there, by the time since the start of all.

    Raises
    ------
    FlowOutOfRange
        If there is no place or a stay is not above zero.
    """
    if not stays or any(not stay > 0.0 for stay, _ in stays):
        raise FlowOutOfRange("each place needs a time above zero, and there must be one")
    ends, total = [], 0.0
    for stay, _ in stays:
        total += stay
        ends.append(total)
    last = len(stays) - 1
    return lambda time: stays[min(bisect_right(ends, time), last)][1](time)
