"""What bridges a change of containers: the other station, or an open hopper that was named."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from drumwright.basis.tables import read_toml
from drumwright.machine.delivery.hopper import bridged_time, least_pump_flow
from drumwright.station.inputs import Inputs, Sample

Array = NDArray[np.float64]
NORMAL_95 = 1.6448536269514722  # quantile of the normal distribution


def open_hopper(inputs: Inputs, sample: Sample) -> Array | None:
    """Volume of the open hoppers that were named before or in the destination [m3]; None without one.

    Parameters
    ----------
    inputs : Inputs
    sample : mapping of ndarray, shape (n,)
    """
    fields = ["destination.hopper_volume"]
    if inputs.choices["buffer.kind"] == "open_hopper":
        own = "buffer.volume" in sample
        fields.append("buffer.volume" if own else "enquiry.buffer_volume")
    there = [sample[field] for field in fields if field in sample]
    return np.sum(there, axis=0) if there else None


def hopper_bridge(inputs: Inputs, sample: Sample, flow: Array, gap: Array) -> Array | None:
    """Time an open hopper feeds the destination over a change [s]; None where none was named.

    Parameters
    ----------
    inputs : Inputs
    sample : mapping of ndarray, shape (n,)
    flow : ndarray, shape (n,)
        Of the pump [m3/s].
    gap : ndarray, shape (n,)
        Mean time without flow at a change [s].

    Notes
    -----
    None is credited while the pump cannot fill it again: below the least flow of `least_pump_flow`. Heel and
    lower switch stand at the careful end of their range where nobody said them.
    """
    room = open_hopper(inputs, sample)
    if room is None:
        return None
    rows = read_toml("shift.toml")["assumed"]
    heel = sample.get("shift.heel", np.full_like(room, rows["heel"]["high"]))
    start = sample.get("shift.start_level", np.full_like(room, rows["start_level"]["low"]))
    draw = sample["shift.draw"] if "shift.draw" in sample else sample["enquiry.flow"]
    fills = flow >= least_pump_flow(sample["container.usable_volume"], draw, gap)
    return np.where(fills, bridged_time(room, draw, heel, start), 0.0)


def p95_factor(variation: Array) -> Array:
    """P95 over mean of a lognormal time of this coefficient of variation [-].

    Parameters
    ----------
    variation : ndarray
        Standard deviation over mean [-].

    Notes
    -----
    exp(1.645 s - s^2/2) with s^2 = ln(1 + c^2).
    """
    squared = np.log1p(variation**2)
    return np.asarray(np.exp(NORMAL_95 * np.sqrt(squared) - 0.5 * squared))
