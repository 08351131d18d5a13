"""Warm-up, cooling and thawing of a drum with all that changes over time: latent heat, yard, store, hall.

One drum at a time; `front_time` tells how the time of others compares with it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.heat_content import HeatContent, freezing, sensible
from drumwright.flow.numbers import Array, arrays
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
    latent = float(product.latent_heat)
    if product.freezes_at is None or latent <= 0.0:
        return sensible(rho * float(product.heat_capacity), k)
    frozen = product.frozen_heat_capacity
    return freezing(
        rho * float(product.heat_capacity),
        k,
        rho * latent,
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
    melts = product.freezes_at if float(product.latent_heat) > 0.0 else None
    counts = melts is not None and bool(np.any(history.frozen_share > 0.0))
    return Thaw(
        "phase_change" if counts else "conduction",
        history.above_after(melts) if counts and melts is not None else 0.0,
        history.above_after(target),
        float(history.heat_in[-1]),
        history,
    )


def heat_to(product: HeatCard, start: ArrayLike, target: ArrayLike) -> Array:
    """Heat per volume [J/m3] from start to target, with the latent heat between; one value per sample.

    Parameters
    ----------
    product : HeatCard
        Floats or one value per sample.
    start, target : array_like
        Temperatures [K].
    """
    begin, end, rho, c, latent = arrays(
        start, target, product.density, product.heat_capacity, product.latent_heat
    )
    melting = 0.0
    if product.freezes_at is not None:
        under = (product.freezes_at - np.stack(np.broadcast_arrays(begin, end))) / product.freezing_width
        frozen = np.clip(under, 0.0, 1.0)
        melting = latent * (frozen[0] - frozen[1])
    return np.asarray(rho * (c * (end - begin) + melting))


def front_time(
    diameter: ArrayLike,
    fill_height: ArrayLike,
    product: HeatCard,
    store: Store,
    start: ArrayLike,
    target: ArrayLike,
) -> Array:
    """Time [s] of Plank's front and of the warming behind it: one value per sample, good as a ratio only.

    Parameters
    ----------
    diameter, fill_height : array_like
        Inside diameter and height of the product [m].
    product : HeatCard
        Floats or one value per sample; with `freezes_at`.
    store : Store
        Where it stands.
    start, target : array_like
        Temperatures [K].

    Notes
    -----
    [H(melted) - H(start)]/(T_air - T_melt) + rho c ln((T_air - T_melt)/(T_air - T)), times R/(2 h) +
    R^2/(4 k): Plank's law of a cylinder, from memory, with h of all surfaces over the side. Off by tens of
    per cent as a time, but two such times stand to each other as two runs on the grid (oracle test).
    """
    if product.freezes_at is None:
        return np.ones(1)
    body = cylinder(diameter, fill_height, product, store)
    air, begin, end, radius, tall = arrays(store.ambient, start, target, body.radius, body.height)
    side, bottom, top, k = arrays(body.side, body.bottom, body.top, body.conductivity)
    melted = float(product.freezes_at)
    ease = np.maximum(side + (bottom + top) * radius / (2.0 * tall), 1e-9)
    way = radius / (2.0 * ease) + radius**2 / (4.0 * k)
    low = np.minimum(begin, melted)
    gap = np.maximum(air - melted + 0.5 * product.freezing_width, 1e-6)
    first = heat_to(product, low, np.minimum(np.maximum(end, low), melted)) / gap
    after = np.maximum(air - np.maximum(begin, melted), 1e-6) / np.maximum(air - end, 1e-6)
    warm = np.asarray(body.heat_per_volume) * np.log(np.maximum(after, 1.0))
    return np.asarray((first + warm) * way)
