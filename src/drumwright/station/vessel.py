"""The container of a case in numbers over the samples: its shape, how full it is, and what may enter it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.container.kinds import kind
from drumwright.machine.container.shape import Shape, frustum, rectangular_bin
from drumwright.station.inputs import Inputs

Array = NDArray[np.float64]
Sample = Mapping[str, Array]
Way = Literal["plate", "outlet", "opening"]


def way_out(name: str) -> Way:
    """How a kind of container can be emptied: under a plate, through its own outlet, or its opening only.

    Parameters
    ----------
    name : str
        Kind of container.

    Raises
    ------
    KeyError
        If there is no such kind.
    """
    own = kind(name)
    if own.top == "whole":
        return "plate"
    return "opening" if own.outlet == "none" else "outlet"


BAG_LINERS = ("loose_bag", "fitted_bag", "aseptic_bag")


def bagged(inputs: Inputs) -> bool:
    """Whether a bag holds the product; food of unknown liner is taken to be in one (trade book 8b)."""
    liner = inputs.choices["container.liner"]
    if liner is not None:
        return liner in BAG_LINERS
    return inputs.kind.startswith("bag_") or bool(inputs.choices["product.food"])


def shape_of(sample: Sample) -> Shape:
    """Inside of the container over the samples, filled height and no more where only a volume is known.

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
        Inputs [SI]; `container.diameter_top` and `_bottom` make a cone, `container.length` and `_width` a
        bin, else `container.inside_diameter` a straight drum.
    """
    volume = sample["container.usable_volume"]
    if "container.diameter_top" in sample and "container.diameter_bottom" in sample:
        top, bottom = sample["container.diameter_top"], sample["container.diameter_bottom"]
        area = np.pi / 12.0 * (top**2 + top * bottom + bottom**2)
        height = sample.get("container.inside_height", volume / area)
        return frustum(top, bottom, height)
    if "container.length" in sample and "container.width" in sample:
        length, width = sample["container.length"], sample["container.width"]
        rounding = sample.get("container.corner_radius", np.zeros_like(length))
        floor = length * width - (4.0 - np.pi) * rounding**2
        return rectangular_bin(length, width, sample.get("container.inside_height", volume / floor), rounding)
    diameter = sample["container.inside_diameter"]
    return frustum(diameter, diameter, volume / (0.25 * np.pi * diameter**2))


def likely_shape_of(inputs: Inputs) -> Shape:
    """Inside of the container at the likely inputs.

    Parameters
    ----------
    inputs : Inputs
    """
    keys = ("usable_volume", "diameter_top", "diameter_bottom", "length", "width", "inside_diameter",
            "corner_radius", "inside_height")  # fmt: skip
    point = {
        f"container.{name}": np.asarray(inputs.likely(f"container.{name}"))
        for name in keys
        if f"container.{name}" in inputs.estimates
    }
    return shape_of(point)


def tolerance_of(inputs: Inputs) -> float:
    """By how much a diameter may differ from the likely one, both ways [m].

    Parameters
    ----------
    inputs : Inputs

    Notes
    -----
    Half of the stated or assumed spread of the inside diameter, and at least that of the kind where nobody
    measured several containers.
    """
    ends = [inputs.estimates.get(f"container.{name}") for name in ("inside_diameter", "diameter_bottom")]
    spread = max((0.5 * (end.high - end.low) for end in ends if end is not None), default=0.0)
    own = kind(inputs.kind).known("diameter_tolerance")
    if own is None or inputs.choices["container.diameters_measured"]:
        return spread
    return max(spread, own.likely)


def filled_height(sample: Sample, shape: Shape) -> Array:
    """Height of the product in a full container [m], never above the brim.

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    shape : Shape
    """
    return np.asarray(np.minimum(shape.height_of(sample["container.usable_volume"]), shape.height))
