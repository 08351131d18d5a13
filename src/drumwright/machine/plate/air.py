"""Air that a change of container lets into the product: how much, where it arrives and for how long."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.machine.plate.residue import pocket

Array = NDArray[np.float64]


def air_under_plate(
    top_area: ArrayLike,
    headspace: ArrayLike,
    stand_off: ArrayLike = 0.0,
    clearance: ArrayLike = 0.0,
    diameter: ArrayLike = 0.0,
) -> Array:
    """Air under the seal when it closes the container [m3]: headspace and the ring beside the disc.

    Parameters
    ----------
    top_area : array_like
        Of the section at the brim [m2].
    headspace : array_like
        From brim down to the product [m].
    stand_off, clearance, diameter : array_like
        Height of the seal above the edge of the disc, gap beside the disc, inside diameter there [m].
    """
    ring = pocket(stand_off, clearance, diameter)
    return np.asarray(np.asarray(top_area) * np.asarray(headspace) + ring)


def air_let_in(under_plate: ArrayLike, bled_share: ArrayLike) -> Array:
    """Air that is not bled and goes to the pump [m3 at atmospheric pressure].

    Parameters
    ----------
    under_plate : array_like
        `air_under_plate` [m3].
    bled_share : array_like
        Share that leaves through the bleed [-], an assumption (`recovery.assumed("air", "bled_share")`).
    """
    return np.asarray(np.asarray(under_plate) * (1.0 - np.asarray(bled_share, float)))


def at_pressure(air: ArrayLike, atmosphere: ArrayLike, absolute: ArrayLike) -> Array:
    """Volume of the air at a pressure of the line [m3], same temperature (Boyle).

    Parameters
    ----------
    air : array_like
        At atmospheric pressure [m3].
    atmosphere, absolute : array_like
        Absolute pressures outside and in the line [Pa].
    """
    return np.asarray(np.asarray(air, float) * np.asarray(atmosphere) / np.asarray(absolute))


def air_share(air: ArrayLike, carried_in: ArrayLike) -> Array:
    """Share of air in what arrives [-]; a volume dosed from it is short of product by this share.

    Parameters
    ----------
    air : array_like
        At the pressure of the delivery [m3].
    carried_in : array_like
        Product that carries the air along [m3], an assumption.
    """
    volume = np.asarray(air, float)
    return np.asarray(volume / (volume + np.asarray(carried_in)))


def arrival(
    air: ArrayLike, carried_in: ArrayLike, line_volume: ArrayLike, flow: ArrayLike
) -> tuple[Array, Array]:
    """When the air arrives after pumping starts, and how long it lasts [s].

    Parameters
    ----------
    air : array_like
        At the pressure of the delivery [m3].
    carried_in : array_like
        Product that carries the air along [m3].
    line_volume : array_like
        Between plate and delivery [m3].
    flow : array_like
        [m3/s]

    Notes
    -----
    Plug flow: neither dispersion nor bubbles that rise or stay in high places. Dispersion makes it weaker
    and longer.
    """
    rate = np.asarray(flow, float)
    lasts = (np.asarray(air, float) + np.asarray(carried_in)) / rate
    return np.asarray(np.asarray(line_volume) / rate), np.asarray(lasts)
