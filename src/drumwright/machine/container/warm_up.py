"""How long a cold drum must stand in a room, store or bath before its core feeds.

Conduction and convection take one value per sample. A product that freezes on the way is refused here: its
latent heat needs `thaw`.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.basis.errors import FlowOutOfRange
from drumwright.flow.conduction import Cylinder, remaining, time_to
from drumwright.flow.convection import (
    Viscosity,
    buoyancy_stress,
    mixed_remaining,
    mixing_time,
    plate_inside,
    rayleigh,
)
from drumwright.flow.numbers import Array, Number, arrays, finish

LEAST_RAYLEIGH = 1e4  # below, the law of the plate is not used; from memory


@dataclass(frozen=True, slots=True)
class HeatCard:
    """What of a product decides its warm-up; floats or one value per sample.

    Parameters
    ----------
    conductivity, heat_capacity, density : float or ndarray
        [W/(m K)], [J/(kg K)], [kg/m3].
    expansion : float or ndarray
        Of volume [1/K].
    yield_stress : float or ndarray
        Flowing yield stress [Pa] at the *warm* end, where it is least.
    viscosity : callable or None
        Of a Newtonian product: viscosity [Pa s] at temperatures [K]; None if it is not Newtonian.
    freezes_at : float or None
        Temperature [K] at which the first ice or crystals melt last; None if it does not freeze.
    freezing_width : float
        Width of the freezing band below it [K].
    latent_heat : float or ndarray
        [J/kg]; used only below `freezes_at`.
    frozen_conductivity, frozen_heat_capacity : float or None
        [W/(m K)], [J/(kg K)] below the freezing band; None takes the values above it.
    """

    conductivity: Number
    heat_capacity: Number
    density: Number
    expansion: Number
    yield_stress: Number
    viscosity: Viscosity | None = None
    freezes_at: float | None = None
    freezing_width: float = 3.0
    latent_heat: Number = 0.0
    frozen_conductivity: float | None = None
    frozen_heat_capacity: float | None = None


@dataclass(frozen=True, slots=True)
class Store:
    """Where the drum stands: a temperature that stays, and how its surfaces meet it.

    Parameters
    ----------
    ambient : float or ndarray
        Temperature of air or bath [K].
    coefficient : float or ndarray
        Surface coefficient h [W/(m2 K)].
    exposed_share : float or ndarray
        Share of the side that meets the air [-]: 1 for a drum alone, 0.5-0.7 for four touching on a pallet.
    bottom_coefficient, top_coefficient : float, ndarray or None
        Of base and lid [W/(m2 K)]; None takes `coefficient` (physics book 14.2 A17), zero insulates.
    """

    ambient: Number
    coefficient: Number
    exposed_share: Number = 1.0
    bottom_coefficient: Number | None = None
    top_coefficient: Number | None = None


@dataclass(frozen=True, slots=True)
class WarmUp:
    """Answer of `warm_up`; each number a float or one value per sample.

    Parameters
    ----------
    mode : ndarray of str
        "conduction" (certainly stands still), "may_convect" (conduction, the careful side, is reported) or
        "convection" (turns over: mixed product).
    core_time, mean_time : float or ndarray
        Until core and mean have the target [s]; infinite if it is never reached, 0 if it is there.
    conduction_time, convection_time : float or ndarray
        Core by conduction alone, and the mixed product [s]; the latter is infinite without a viscosity.
    mean_at_end : float or ndarray
        Mean temperature when the core has the target [K].
    energy : float or ndarray
        Heat taken by the product of one drum until then [J]; negative when it cools.
    expansion_volume : float or ndarray
        Growth of the product until then [m3]; a closed bung turns it into pressure.
    """

    mode: NDArray[np.str_]
    core_time: Number
    mean_time: Number
    conduction_time: Number
    convection_time: Number
    mean_at_end: Number
    energy: Number
    expansion_volume: Number


def cylinder(diameter: ArrayLike, fill_height: ArrayLike, product: HeatCard, store: Store) -> Cylinder:
    """Product and surfaces as `flow.conduction` wants them.

    Parameters
    ----------
    diameter, fill_height : array_like
        Inside diameter and height of the product [m].
    product : HeatCard
        What conducts.
    store : Store
        Where it stands.
    """
    across, tall, k, c, rho = arrays(
        diameter, fill_height, product.conductivity, product.heat_capacity, product.density
    )
    h, exposed = arrays(store.coefficient, store.exposed_share)
    ends = (store.bottom_coefficient, store.top_coefficient)
    base, lid = (h if end is None else np.asarray(end, np.float64) for end in ends)
    return Cylinder(0.5 * across, tall, k, np.asarray(rho * c), np.asarray(h * exposed), base, lid)


def freezes(product: HeatCard, store: Store, start: ArrayLike) -> bool:
    """Say whether any sample is or comes below the freezing temperature, so that `thaw` must be asked.

    Parameters
    ----------
    product : HeatCard
        With `freezes_at`.
    store : Store
        Where it stands.
    start : array_like
        Temperature at the start [K].
    """
    if product.freezes_at is None or float(np.max(product.latent_heat)) <= 0.0:
        return False
    coldest = min(float(np.min(start)), float(np.min(store.ambient)))
    return coldest < product.freezes_at


def inside_film(product: HeatCard, body: Cylinder) -> Callable[[Array, Array], Array] | None:
    """Surface coefficient inside a product that may turn over, for `mixing_time`; None without a viscosity.

    Parameters
    ----------
    product : HeatCard
        With the viscosity of a Newtonian product.
    body : Cylinder
        As of `cylinder`.
    """
    if product.viscosity is None:
        return None
    return plate_inside(
        product.density,
        product.expansion,
        product.conductivity,
        body.diffusivity,
        body.height,
        product.viscosity,
    )


def modes(product: HeatCard, body: Cylinder, start: ArrayLike, ambient: ArrayLike) -> NDArray[np.str_]:
    """Say for each sample how the heat comes in: "conduction", "may_convect" or "convection".

    Parameters
    ----------
    product : HeatCard
        With the yield stress, and the viscosity of a Newtonian product.
    body : Cylinder
        As of `cylinder`.
    start, ambient : array_like
        Temperatures [K].

    Notes
    -----
    Conduction is certain from tau_y >= 0.25 rho g beta dT R (physics book 14.1 C1). A product with less yield
    stress, or none but no viscosity either, may convect. A Newtonian one convects from a Rayleigh number of
    1e4 on, with the viscosity halfway between start and surroundings.
    """
    begin, air, tau_y, radius = arrays(start, ambient, product.yield_stress, body.radius)
    limit = np.asarray(buoyancy_stress(product.density, product.expansion, air - begin, radius))
    named = np.where((tau_y >= limit) & (tau_y > 0.0), "conduction", "may_convect")
    if product.viscosity is None:
        return named
    middle = product.viscosity(0.5 * (begin + air))
    number = rayleigh(product.density, product.expansion, air - begin, body.height, middle, body.diffusivity)
    newtonian = np.where(np.asarray(number) >= LEAST_RAYLEIGH, "convection", "conduction")
    return np.where(tau_y > 0.0, named, newtonian)


def warm_up(
    diameter: ArrayLike,
    fill_height: ArrayLike,
    product: HeatCard,
    store: Store,
    start: ArrayLike,
    target: ArrayLike,
) -> WarmUp:
    """Time, energy and expansion until the core of a drum has a wanted temperature; cooling as well.

    Parameters
    ----------
    diameter, fill_height : array_like
        Inside diameter and height of the product [m].
    product : HeatCard
        What conducts.
    store : Store
        Where it stands.
    start, target : array_like
        Temperature at the start, the same everywhere, and wanted [K].

    Raises
    ------
    FlowOutOfRange
        If the product freezes on the way: its latent heat is not in these laws (see `thaw`).
    """
    if freezes(product, store, start):
        raise FlowOutOfRange("the product is below its freezing temperature: latent heat must be counted")
    body = cylinder(diameter, fill_height, product, store)
    begin, end, air = arrays(start, target, store.ambient)
    share = np.where(air == begin, np.where(end == begin, 1.0, 0.0), 0.0)
    share = np.where(air == begin, share, (air - end) / np.where(air == begin, 1.0, air - begin))
    never = (end - begin) * (air - end) < 0.0  # surroundings this side of the target, or the other way
    by_conduction = np.where(never, np.inf, time_to(body, share, "core"))
    mean_time = np.where(never, np.inf, time_to(body, share, "mean"))
    mixed = np.where(never, np.inf, _mixed_time(product, store, body, begin, end))
    mode = modes(product, body, begin, air)
    turns = (mode == "convection") & (mixed < by_conduction)
    core_time = np.where(turns, mixed, by_conduction)
    left = np.asarray(remaining(body, np.where(np.isfinite(core_time), core_time, 1e12), "mean"))
    mean_at_end = np.where(turns, end, air + (begin - air) * left)
    volume = math.pi * np.asarray(body.radius) ** 2 * np.asarray(body.height)
    rise = mean_at_end - begin
    return WarmUp(
        mode,
        finish(core_time),
        finish(np.where(turns, mixed, mean_time)),
        finish(by_conduction),
        finish(mixed),
        finish(mean_at_end),
        finish(np.asarray(volume * np.asarray(body.heat_per_volume) * rise)),
        finish(np.asarray(volume * np.asarray(product.expansion) * rise)),
    )


def sooner(one: WarmUp, other: WarmUp) -> WarmUp:
    """Of two ways to warm the same drum, for each sample the one whose core is warm first.

    Parameters
    ----------
    one, other : WarmUp
        Of the same samples.
    """
    first = np.asarray(one.core_time) <= np.asarray(other.core_time)
    chosen = (np.where(first, getattr(one, each.name), getattr(other, each.name)) for each in fields(WarmUp))
    return WarmUp(*chosen)


def _mixed_time(product: HeatCard, store: Store, body: Cylinder, start: Array, target: Array) -> Array:
    """Time of the mixed product through the side alone; infinite without a viscosity."""
    inside = inside_film(product, body)
    if inside is None:
        return np.full(np.broadcast_shapes(start.shape, target.shape), np.inf)
    heat, area, outside = _lumped(body)
    return np.asarray(mixing_time(start, target, store.ambient, heat, area, outside, inside))


def _lumped(body: Cylinder) -> tuple[Array, Array, Array]:
    radius, tall, per_volume, outside = arrays(body.radius, body.height, body.heat_per_volume, body.side)
    return math.pi * radius**2 * tall * per_volume, 2.0 * math.pi * radius * tall, outside


def core_after(
    diameter: ArrayLike,
    fill_height: ArrayLike,
    product: HeatCard,
    store: Store,
    start: ArrayLike,
    time: ArrayLike,
) -> Number:
    """Temperature [K] of the core after a time; of the mixed product where it turns over and is faster.

    Parameters
    ----------
    diameter, fill_height : array_like
        Inside diameter and height of the product [m].
    product : HeatCard
        What conducts.
    store : Store
        Where it stands.
    start : array_like
        Temperature at the start [K].
    time : array_like
        [s], zero or more.

    Raises
    ------
    FlowOutOfRange
        If the product freezes on the way.
    """
    if freezes(product, store, start):
        raise FlowOutOfRange("the product is below its freezing temperature: latent heat must be counted")
    body = cylinder(diameter, fill_height, product, store)
    begin, air, seconds = arrays(start, store.ambient, time)
    left = np.asarray(remaining(body, seconds, "core"))
    inside = inside_film(product, body)
    if inside is not None:
        mixed = np.asarray(mixed_remaining(begin, air, seconds, *_lumped(body), inside))
        turns = modes(product, body, begin, air) == "convection"
        left = np.where(turns, np.minimum(mixed, left), left)
    return finish(np.asarray(air + (begin - air) * left))
