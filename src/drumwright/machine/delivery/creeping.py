"""Product that creeps on after the pump has stopped, because the plate still presses."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import arrays
from drumwright.flow.pipe import flow_rate
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]


class Creep(NamedTuple):
    """What a standing pump with open checks or a wide gap lets through; arrays over samples."""

    drive: Array  # pressure that is left to move the product through the line [Pa]; zero: nothing creeps
    flow: Array  # at most, the pump itself without resistance [m3/s]
    outlet: Array  # pressure the outlet rises to where the far end is shut [Pa(g)]


def creeping(
    inlet_gauge: ArrayLike, end_gauge: ArrayLike, length: ArrayLike, bore: ArrayLike, law: FlowLaw
) -> Creep:
    """Greatest flow through a stopped pump under the pressure of the plate.

    Parameters
    ----------
    inlet_gauge : array_like
        Pressure at the pump inlet without flow: that under the plate, F/A with its own height [Pa(g)].
    end_gauge : array_like
        Static head of the line and pressure of the destination [Pa].
    length, bore : array_like
        Of the line [m].
    law : FlowLaw
        Product in the line, not rested.

    Raises
    ------
    FlowOutOfRange
        If length or bore is not positive.

    Notes
    -----
    Line alone as resistance: an upper bound. Physics book 6.4: after a stop the ram still feeds product
    through a worn pump or open checks; lower the ram or close a valve. How much a given pump lets
    through is its slip at standstill and is measured.
    """
    inlet, end, along, across = arrays(inlet_gauge, end_gauge, length, bore)
    drive = np.maximum(inlet - end, 0.0)
    rest = (law.yield_stress, law.consistency, law.exponent)
    return Creep(
        np.asarray(drive),
        np.asarray(flow_rate(drive, across, along, *rest)),
        np.maximum(inlet, 0.0),
    )
