"""Small helpers of the flow room: broadcasting in, float or array out, range checks."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.basis.errors import FlowOutOfRange

Array: TypeAlias = NDArray[np.float64]
GRAVITY = 9.80665  # [m/s2] standard gravity
Number: TypeAlias = float | NDArray[np.float64]

LEAST_EXPONENT = 0.05  # range in which the fixed-step inverse was checked
GREATEST_EXPONENT = 2.5


def arrays(*values: ArrayLike) -> tuple[Array, ...]:
    """Return the values as float arrays, not yet broadcast."""
    return tuple(np.asarray(value, dtype=np.float64) for value in values)


def finish(result: Array) -> Number:
    """Return a zero-dimensional result as a float, any other as it is."""
    return float(result) if result.ndim == 0 else result


def require_not_negative(name: str, value: Array) -> None:
    """Raise `FlowOutOfRange` if any value is negative or not a number.

    Parameters
    ----------
    name : str
        What the message calls the quantity.
    value : ndarray
        Values in the SI unit of the quantity [any unit], any shape; only the sign counts.

    Raises
    ------
    FlowOutOfRange
        If any value is negative or not a number.
    """
    if value.size and not value.min() >= 0.0:
        raise FlowOutOfRange(f"{name} must be zero or more, got {value.min():g}")


def require_positive(name: str, value: Array) -> None:
    """Raise `FlowOutOfRange` if any value is zero, negative or not a number.

    Parameters
    ----------
    name : str
        What the message calls the quantity.
    value : ndarray
        Values in the SI unit of the quantity [any unit], any shape; only the sign counts.

    Raises
    ------
    FlowOutOfRange
        If any value is zero, negative or not a number.
    """
    if value.size and not value.min() > 0.0:
        raise FlowOutOfRange(f"{name} must be more than zero, got {value.min():g}")


def require_law(yield_stress: Array, consistency: Array, exponent: Array) -> None:
    """Raise `FlowOutOfRange` unless the three parameters are a Herschel-Bulkley law in range.

    Parameters
    ----------
    yield_stress, consistency, exponent : ndarray
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-], each of its own shape.

    Raises
    ------
    FlowOutOfRange
        If the yield stress is negative, the consistency not above zero, or the exponent outside
        `LEAST_EXPONENT` to `GREATEST_EXPONENT`.
    """
    require_not_negative("yield stress", yield_stress)
    require_positive("consistency", consistency)
    if exponent.size and not (exponent.min() >= LEAST_EXPONENT and exponent.max() <= GREATEST_EXPONENT):
        raise FlowOutOfRange(
            f"flow exponent must lie between {LEAST_EXPONENT} and {GREATEST_EXPONENT}, "
            f"got {exponent.min():g} to {exponent.max():g}"
        )
