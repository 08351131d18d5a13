"""What a stated buffer gives the destination over a change: an open hopper, a closed pot, a spring buffer."""

from __future__ import annotations

from typing import NamedTuple

from drumwright.machine.delivery import gas_cushion
from drumwright.machine.plate.force import atmospheric_pressure
from drumwright.station.inputs import Inputs
from drumwright.study.transient_figures import has_gas, vessel


class Given(NamedTuple):
    """What a buffer can give between its greatest and its least pressure."""

    room: float  # the vessel as stated [m3]
    volume: float  # what it gives of that [m3]
    greatest: float  # [Pa(g)]
    least: float  # [Pa(g)]


def bridges(inputs: Inputs) -> bool:
    """Whether a buffer was stated that is there to feed on: an open hopper, or the wish of the enquiry.

    Parameters
    ----------
    inputs : Inputs
    """
    hopper = inputs.choices["buffer.kind"] == "open_hopper" and "buffer.volume" in inputs.estimates
    return hopper or "enquiry.buffer_volume" in inputs.estimates


def open_volume(inputs: Inputs) -> float:
    """Volume of a stated open hopper before the destination, without the destination's own [m3].

    Parameters
    ----------
    inputs : Inputs
    """
    field = vessel(inputs)
    if field is None or inputs.choices["buffer.kind"] != "open_hopper":
        return 0.0
    return inputs.likely(field)


def closed_pot(inputs: Inputs) -> Given | None:
    """What a stated closed pot gives at likely inputs; None where no vessel under gas or spring was stated.

    Parameters
    ----------
    inputs : Inputs

    Notes
    -----
    V_0 [(p_0/p_1)(1 - (p_1/p_2)^(1/kappa))] as in `gas_cushion.storage_volume`, sized with the gas settled at
    the least pressure; nothing where the precharge lies above it. A spring buffer gives its whole stroke.
    """
    field = vessel(inputs)
    if field is None or inputs.choices["buffer.kind"] in ("open_hopper", "none"):
        return None
    room, atmosphere = inputs.likely(field), float(atmospheric_pressure(inputs.likely("site.altitude")))
    least, greatest = inputs.likely("destination.pressure"), _greatest(inputs)
    if not has_gas(inputs):
        return Given(room, room, greatest, least)
    low, high = least + atmosphere, greatest + atmosphere
    before = _precharge(inputs, low, atmosphere)
    if high <= low or low <= 0.0 or before > low:
        return Given(room, 0.0, greatest, least)
    one = gas_cushion.storage_volume(1.0, before, low, high, gas_cushion.SIZING, gas_cushion.ISOTHERMAL)
    return Given(room, room / float(one), greatest, least)


def _greatest(inputs: Inputs) -> float:
    """Greatest pressure of vessel and line [Pa(g)]."""
    fields = ("line.pressure_class", "enquiry.pressure_limit", "buffer.pressure", "enquiry.buffer_pressure")
    return min(inputs.likely(field) for field in fields if field in inputs.estimates)


def _precharge(inputs: Inputs, least: float, atmosphere: float) -> float:
    """Gas pressure without product [Pa], absolute: as stated, else a share of the least working pressure."""
    if "buffer.precharge" in inputs.estimates:
        return inputs.likely("buffer.precharge") + atmosphere
    return max(inputs.likely("model.precharge_share") * least, atmosphere)
