"""Where wall slip counts: never to size a part, always where a lower pressure would be the trouble."""

from __future__ import annotations

from typing import Literal, NamedTuple, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.basis.errors import FlowOutOfRange

Array = NDArray[np.float64]
Use: TypeAlias = Literal["sizing", "restart", "low_threshold", "log", "trapped_least"]

# pressure with slip over pressure without it, low, likely, high; estimate of physics book 5.2
SLIP_FACTORS = (0.35, 0.7, 1.0)
# Sizing and restart take the pressure without slip; a threshold that must still see the line, and the least
# that may be trapped, the lowest; comparison with a log all three.
OF_USE: dict[str, float] = {
    "sizing": 1.0,
    "restart": 1.0,
    "low_threshold": SLIP_FACTORS[0],
    "trapped_least": SLIP_FACTORS[0],
    "log": SLIP_FACTORS[1],
}


class SlipBand(NamedTuple):
    """A pressure with slip unknown [Pa]; arrays over samples."""

    low: Array
    likely: Array
    high: Array


def with_slip(friction: ArrayLike, static: ArrayLike, use: Use) -> Array:
    """Pressure [Pa] of a line for one use, wall slip counted as that use asks.

    Parameters
    ----------
    friction : array_like
        Friction without slip, fittings in it [Pa].
    static : array_like
        Head and destination [Pa], which slip does not touch.
    use : str
        sizing (pressure class, motor, relief, bore), restart, low_threshold (the least a pressure switch must
        still tell from an empty line), trapped_least, or log (likely value).

    Raises
    ------
    FlowOutOfRange
        If there is no such use.
    """
    if use not in OF_USE:
        raise FlowOutOfRange(f"no such use of a pressure: {use}")
    return np.asarray(OF_USE[use] * np.asarray(friction, float) + np.asarray(static, float))


def slip_band(friction: ArrayLike, static: ArrayLike) -> SlipBand:
    """Band in which a measured pressure may lie, slip unknown.

    Parameters
    ----------
    friction, static : array_like
        As in `with_slip` [Pa].
    """
    rub, head = np.asarray(friction, float), np.asarray(static, float)
    return SlipBand(*(np.asarray(factor * rub + head) for factor in SLIP_FACTORS))
