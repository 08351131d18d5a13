"""Where the plate stops: force that is there, force that each gap needs, and what makes the gap smaller."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.disc_gap import smallest_gap
from drumwright.machine.plate.squeeze import squeeze_gap

Array = NDArray[np.float64]
THIN = 0.2  # share of the radius beyond which the thin-gap law is not used (physics book 12)
MORE_FORCE, SLOWER = 1.1, 0.1  # the steps of the table of levers (physics book 2.4)


def available_force(
    net_force: ArrayLike, area: ArrayLike, atmosphere: ArrayLike, port_absolute: ArrayLike
) -> Array:
    """Force that presses product to the port [N]: plate and suction, F + A (p_atm - p_port).

    Parameters
    ----------
    net_force : array_like
        Of the plate on the product [N].
    area : array_like
        Of the plate [m2]; the full disc (physics book 14.2 A1).
    atmosphere, port_absolute : array_like
        Absolute pressures [Pa]; the port at what the pump needs there.
    """
    suction = np.asarray(atmosphere, float) - np.asarray(port_absolute)
    return np.asarray(np.asarray(net_force) + np.asarray(area) * suction)


def end_gap(
    force: ArrayLike,
    flow: ArrayLike,
    radius: ArrayLike,
    port_radius: ArrayLike,
    yield_stress: ArrayLike,
    consistency: ArrayLike,
    exponent: ArrayLike,
) -> tuple[Array, Array]:
    """Gap at which the force no longer feeds the flow [m], held at a fifth of the radius, and whether held.

    Parameters
    ----------
    force : array_like
        `available_force` [N].
    flow : array_like
        Last rate [m3/s].
    radius, port_radius : array_like
        Of plate and port [m].
    yield_stress, consistency, exponent : array_like
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].
    """
    gap = np.asarray(smallest_gap(flow, force, radius, port_radius, yield_stress, consistency, exponent))
    most = THIN * np.asarray(radius, float)
    return np.asarray(np.minimum(gap, most)), np.asarray(gap > most)


def channel_volume(count: ArrayLike, width: ArrayLike, depth: ArrayLike, radius: ArrayLike) -> Array:
    """Volume [m3] that radial channels under the plate keep: N w d R (physics book 2.2).

    Parameters
    ----------
    count : array_like
        Number of channels [-].
    width, depth, radius : array_like
        Of one channel, and of the plate [m].
    """
    section = np.asarray(width, float) * np.asarray(depth)
    return np.asarray(np.asarray(count) * section * np.asarray(radius))


def levers(
    force: float,
    flow: float,
    radius: float,
    port_radius: float,
    yield_stress: float,
    consistency: float,
    exponent: float,
    channels: int = 8,
) -> dict[str, float]:
    """End gap [m] as it is and after each change that could make it smaller (physics book 2.4).

    Parameters
    ----------
    force : float
        `available_force` [N].
    flow : float
        Last rate [m3/s].
    radius, port_radius : float
        Of plate and port [m].
    yield_stress, consistency, exponent : float
        Herschel-Bulkley parameters [Pa], [Pa s^n], [-].
    channels : int
        Number of radial channels.

    Returns
    -------
    dict
        "as_is", "more_force" (a tenth more), "slower" (a tenth of the flow), "port_at_rim" (a ring at the rim
        instead of the central port), "channels" (the force falls by pi/N, at least four of them).

    Notes
    -----
    Against a real central port the ring gains 0.63 in a yielding product, not 1/2, and 0.59 in a Newtonian
    one (physics book 14.1 C6). The volume of the channels is not in the gap: `channel_volume`.
    """
    law = (yield_stress, consistency, exponent)

    def gap(push: float, rate: float) -> float:
        return float(smallest_gap(rate, push, radius, port_radius, *law))

    shorter = min(1.0, np.pi / channels) if channels >= 4 else 1.0
    return {
        "as_is": gap(force, flow),
        "more_force": gap(MORE_FORCE * force, flow),
        "slower": gap(force, SLOWER * flow),
        "port_at_rim": float(squeeze_gap(force, flow / (np.pi * radius**2), radius, *law)),
        "channels": gap(force / shorter, flow),
    }
