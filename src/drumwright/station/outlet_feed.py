"""What a container without a plate offers the pump through its own outlet near the floor."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.entry import entry_length
from drumwright.flow.fittings import equivalent_diameters
from drumwright.flow.numbers import GRAVITY
from drumwright.flow.pipe import pressure_drop
from drumwright.machine.plate.force import atmospheric_pressure
from drumwright.product.law import FlowLaw
from drumwright.station.arrangement import Choice
from drumwright.station.inputs import Sample
from drumwright.station.plate_feed import Feed
from drumwright.station.vessel import filled_height, shape_of

Array = NDArray[np.float64]


def outlet_feed(sample: Sample, law: FlowLaw, choice: Choice) -> Feed:
    """Head of the product over the outlet and the losses through outlet, valve and suction line.

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
        With `container.outlet_bore` and `container.outlet_length`.
    law : FlowLaw
        Arrays of shape (n,).
    choice : Choice
        Without a plate.

    Notes
    -----
    The head counted is none: the last of the product must be fed as well, and what stands above the outlet
    then is a few centimetres (physics book 1.5). One full-bore valve and a sharp entry are counted.
    """
    shape = shape_of(sample)
    bore, length = sample["container.outlet_bore"], sample["container.outlet_length"]
    reach = length + entry_length(bore) + equivalent_diameters("full_bore_valve") * bore
    head = sample["product.density"] * GRAVITY * filled_height(sample, shape)
    none = np.zeros_like(head)

    def inlet_gauge(flow: Array) -> Array:
        lost = pressure_drop(flow, bore, reach, law.yield_stress, law.consistency, law.exponent)
        return np.asarray(none - lost)

    atmosphere = atmospheric_pressure(sample["site.altitude"])
    return Feed(atmosphere, none, none, none, none, none, shape.mean_area, shape, inlet_gauge)
