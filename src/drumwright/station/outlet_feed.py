"""What a container without a plate offers the pump through its own outlet near the floor."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.container.open_outlet import Outlet, outlet, suction_loss
from drumwright.machine.plate.force import atmospheric_pressure
from drumwright.product.law import FlowLaw
from drumwright.station.arrangement import Choice
from drumwright.station.inputs import Sample
from drumwright.station.plate_feed import Feed
from drumwright.station.vessel import shape_of

Array = NDArray[np.float64]


def outlet_of(sample: Sample) -> Outlet:
    """Way from the floor of the bin to the pump: sharp entry, one full-bore valve, suction line.

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
        With `container.outlet_bore` and `container.outlet_length`.
    """
    return outlet(sample["container.outlet_bore"], sample["container.outlet_length"])


def outlet_feed(sample: Sample, law: FlowLaw, choice: Choice) -> Feed:
    """Losses through outlet, valve and suction line, no head counted.

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    law : FlowLaw
        Arrays of shape (n,).
    choice : Choice
        Without a plate.

    Notes
    -----
    The last of the product must be fed as well, and what stands above the outlet then is a few centimetres
    (physics book 1.5).
    """
    way = outlet_of(sample)
    none = np.zeros_like(sample["product.density"])

    def inlet_gauge(flow: Array) -> Array:
        return none - suction_loss(way, flow, law)

    atmosphere = atmospheric_pressure(sample["site.altitude"])
    shape = shape_of(sample)
    return Feed(atmosphere, none, none, none, none, none, shape.mean_area, shape, inlet_gauge)
