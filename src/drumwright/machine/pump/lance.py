"""Suction through a lance: the number behind 'this product will not come through the bung'."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.pipe import flow_rate, pressure_drop
from drumwright.product.law import FlowLaw


def suction_loss(flow: ArrayLike, bore: ArrayLike, length: ArrayLike, law: FlowLaw) -> NDArray[np.float64]:
    """Pressure [Pa] a lance of this bore and length [m] takes at a flow [m3/s], laminar pipe.

    Parameters
    ----------
    flow : array_like
        [m3/s]
    bore, length : array_like
        Inside diameter and length of the lance [m].
    law : FlowLaw
        Product at the temperature of the drum.
    """
    return np.asarray(pressure_drop(flow, bore, length, law.yield_stress, law.consistency, law.exponent))


def attainable_flow(
    suction: ArrayLike, bore: ArrayLike, length: ArrayLike, law: FlowLaw
) -> NDArray[np.float64]:
    """Flow [m3/s] through the lance with this much suction [Pa]; 0 where yield holds the product.

    Parameters
    ----------
    suction : array_like
        Pressure difference that drives the product up the lance [Pa].
    bore, length : array_like
        Inside diameter and length of the lance [m].
    law : FlowLaw
        Product at the temperature of the drum.
    """
    return np.asarray(flow_rate(suction, bore, length, law.yield_stress, law.consistency, law.exponent))
