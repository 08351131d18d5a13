"""Where the product goes: what a destination can do to the line, and the after-flow of a batch by weight."""

from __future__ import annotations

from types import MappingProxyType
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import arrays, require_not_negative, require_positive

Array = NDArray[np.float64]


class Behaviour(NamedTuple):
    """What a kind of destination can do."""

    closes: bool  # can shut on a running pump: a pressure event
    own_level: bool  # has an open level of its own: a stop is a level event, not a pressure event
    holds_pressure: bool  # stands under pressure while product flows in
    by_weight: bool  # is shut off at a weight: what flows afterwards counts


BEHAVIOURS = MappingProxyType(
    {
        "open_tank": Behaviour(False, True, False, False),
        "hopper": Behaviour(False, True, False, False),
        "closed_filler": Behaviour(True, False, True, False),
        "header": Behaviour(True, False, True, False),
        "batch_scale": Behaviour(True, True, False, True),
    }
)
UNKNOWN = Behaviour(
    True, False, True, False
)  # a destination nobody named: the one that asks most of the line
CLOSED: frozenset[str] = frozenset({"closed_filler", "header"})


def is_closed(kind: str) -> bool:
    """Whether this destination can close on a running pump."""
    return kind in CLOSED


def behaviour(kind: str | None) -> Behaviour:
    """What a kind of destination can do; one that is not known can do the worst.

    Parameters
    ----------
    kind : str or None
    """
    return BEHAVIOURS.get(kind or "", UNKNOWN)


class AfterFlow(NamedTuple):
    """What reaches a batch after the pump was told to stop; arrays over samples."""

    pumped: Array  # by the pump along its ramp [m3]
    relaxed: Array  # by line and hose falling to the trapped pressure, its valve open [m3]
    mass: Array  # both [kg]


def after_flow(density: ArrayLike, pumped: ArrayLike, relaxed: ArrayLike) -> AfterFlow:
    """Product that still runs into a batch after the stop.

    Parameters
    ----------
    density : array_like
        [kg/m3]
    pumped : array_like
        After the stop, `stop_overshoot.pumped_after_stop` at the slow rate [m3].
    relaxed : array_like
        Given up by the line from running down to trapped pressure, `dead_head.taken_up` turned round [m3]; a
        negative one counts as none.

    Raises
    ------
    FlowOutOfRange
        If the density is not positive or the pumped volume negative.

    Notes
    -----
    Trade book 8b: after-flow from hose relaxation. All of it comes only where the valve stays open long
    enough; a valve at the end of the line that shuts with the pump keeps the relaxation in the line.
    """
    rho, moved, given = arrays(density, pumped, relaxed)
    require_positive("density", rho)
    require_not_negative("pumped volume", moved)
    back = np.maximum(given, 0.0)
    return AfterFlow(moved, np.asarray(back), np.asarray(rho * (moved + back)))


class BatchError(NamedTuple):
    """How far a batch by weight misses; arrays over samples."""

    cut_off: Array  # weight before the wanted one at which the feed is stopped [kg]
    error: Array  # left over, plus or minus [kg]


def batch_error(
    least: ArrayLike, most: ArrayLike, mass_flow: ArrayLike, scatter_time: ArrayLike
) -> BatchError:
    """Miss of a batch whose feed is stopped early by the mean after-flow.

    Parameters
    ----------
    least, most : array_like
        After-flow over products, seasons and air content [kg].
    mass_flow : array_like
        At the moment of the stop: the slow feed [kg/s].
    scatter_time : array_like
        By how much the moment of stop and valve varies: scan, scale filter, valve [s].

    Raises
    ------
    FlowOutOfRange
        If a value is negative or the least after-flow above the most.

    Notes
    -----
    Cut-off at the mean of least and most, error half their difference and half of what flows in the scatter:
    ends added, not in squares. Derived; a slow feed lowers both, its running pressure too.
    """
    low, high, flow, scatter = arrays(least, most, mass_flow, scatter_time)
    for name, value in (("least after-flow", low), ("most less least after-flow", high - low),
                        ("mass flow", flow), ("scatter", scatter)):  # fmt: skip
        require_not_negative(name, value)
    return BatchError(np.asarray(0.5 * (low + high)), np.asarray(0.5 * (high - low) + 0.5 * flow * scatter))
