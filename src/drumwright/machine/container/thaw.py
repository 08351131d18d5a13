"""Warm-up, cooling and thawing of a drum with all that changes over time: latent heat, yard, store, hall.

One drum at a time: for a range, ask the likely, the low and the high end.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.heat_content import HeatContent, freezing, sensible
from drumwright.flow.phase_change import History, Surfaces, follow
from drumwright.flow.surroundings import Surroundings, constant
from drumwright.machine.container.warm_up import HeatCard, Store, cylinder

LONGEST = 60.0 * 86400.0  # [s] after which a drum counts as never ready


@dataclass(frozen=True, slots=True)
class Thaw:
    """Answer of `thaw`.

    Parameters
    ----------
    mode : str
        "phase_change" where latent heat counts, "conduction" otherwise.
    thawed_time : float
        Until no ice or crystals are left [s], known to the hour between two points of the history; infinite
        if some are left at the end.
    ready_time : float
        From which no place is colder than the target [s]; infinite if that is not reached.
    energy : float
        Heat taken by the product until the end of the history [J].
    history : History
        Core, coldest, mean and wall temperature and the frozen share over time.
    """

    mode: str
    thawed_time: float
    ready_time: float
    energy: float
    history: History


def heat_content(product: HeatCard) -> HeatContent:
    """Heat content of a product whose numbers are single.

    Parameters
    ----------
    product : HeatCard
        With floats, not arrays.
    """
    rho, k = float(product.density), float(product.conductivity)
    if product.freezes_at is None or product.latent_heat <= 0.0:
        return sensible(rho * float(product.heat_capacity), k)
    frozen = product.frozen_heat_capacity
    return freezing(
        rho * float(product.heat_capacity),
        k,
        rho * product.latent_heat,
        product.freezes_at,
        product.freezing_width,
        None if frozen is None else rho * frozen,
        product.frozen_conductivity,
    )


def drum_history(
    diameter: float,
    fill_height: float,
    product: HeatCard,
    store: Store,
    start: ArrayLike,
    duration: float,
    surroundings: Surroundings | None = None,
    stop_above: float | None = None,
) -> History:
    """Temperatures and ice of one drum over time, by conduction.

    Parameters
    ----------
    diameter, fill_height : float
        Inside diameter and height of the product [m].
    product : HeatCard
        With floats, not arrays.
    store : Store
        Surfaces; its `ambient` is used where `surroundings` is None.
    start : array_like
        Temperature at the start [K]: one, or the `field` of an earlier history.
    duration : float
        [s].
    surroundings : callable or None
        Temperature [K] of the air at a time [s], see `flow.surroundings`.
    stop_above : float or None
        End once no place is colder [K].
    """
    body = cylinder(diameter, fill_height, product, store)
    faces = Surfaces(float(body.side), float(body.bottom), float(body.top))
    air = constant(float(store.ambient)) if surroundings is None else surroundings
    every = max(900.0, min(3600.0, duration / 48.0))
    return follow(
        heat_content(product),
        float(body.radius),
        float(body.height),
        start,
        air,
        faces,
        duration,
        every,
        stop_above,
    )


def thaw(
    diameter: float,
    fill_height: float,
    product: HeatCard,
    store: Store,
    start: ArrayLike,
    target: float,
    surroundings: Surroundings | None = None,
    longest: float = LONGEST,
) -> Thaw:
    """Time until one drum has no ice and no place colder than a target.

    Parameters
    ----------
    diameter, fill_height : float
        Inside diameter and height of the product [m].
    product : HeatCard
        With floats, not arrays.
    store : Store
        Surfaces, and the ambient temperature where `surroundings` is None.
    start : array_like
        Temperature at the start [K]: one, or the `field` of an earlier history.
    target : float
        Least temperature wanted everywhere [K].
    surroundings : callable or None
        Temperature [K] of the air at a time [s].
    longest : float
        Time after which the drum counts as never ready [s].

    Notes
    -----
    Melted product that turns over warms faster; that is left out, which is the careful side.
    """
    history = drum_history(
        diameter, fill_height, product, store, start, longest, surroundings, math.nextafter(target, math.inf)
    )
    melts = product.freezes_at if product.latent_heat > 0.0 else None
    counts = melts is not None and bool(np.any(history.frozen_share > 0.0))
    return Thaw(
        "phase_change" if counts else "conduction",
        history.above_after(melts) if counts and melts is not None else 0.0,
        history.above_after(target),
        float(history.heat_in[-1]),
        history,
    )
