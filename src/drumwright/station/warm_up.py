"""How long a cold container stands in the warm until its core may be pumped, and what that takes."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.conduction import Cylinder
from drumwright.machine.container import warm_up as container
from drumwright.machine.container.band_heater import BandHeater
from drumwright.machine.container.band_warm_up import (
    core_after_bands,
    limit_after,
    wall_without_limit,
    warm_up_by_bands,
)
from drumwright.machine.container.heat_damage import damage, hottest, time_above
from drumwright.product.law import FlowLaw
from drumwright.station.frozen import Night, after_a_night, after_melting, dimensions_of, thawed
from drumwright.station.heating import How, borne, hottest_of_bands, store_of, surroundings_of, way_of_heating
from drumwright.station.inputs import Inputs, Sample
from drumwright.station.warm_room import Room, room_of

Array = NDArray[np.float64]
LawAt = Callable[[Array], FlowLaw]
NEWTONIAN = 0.95  # exponent above which a product without yield stress counts as Newtonian


@dataclass(frozen=True, slots=True)
class Bands:
    """The wall under a band heater; arrays over samples."""

    limit_after: Array  # when it has its limit [s]; infinite where the power never brings it there
    unlimited: Array  # what it would have without limit when the core is warm [K]
    covered: Array  # share of the filled height under the bands [-]


@dataclass(frozen=True, slots=True)
class Warming:
    """A warm-up of one container from its coldest to a target; arrays over samples."""

    how: How
    around: Array  # temperature of air, bath or wall [K]
    target: float  # [K]
    result: container.WarmUp
    room: Room | None  # where the drums of a shift were named
    hottest: Array  # hottest place of the product when the core is warm [K]
    damage: Array | None  # equivalent time at the reference temperature [s], where the product card tells
    above: Array | None  # time above what the product bears, if heated as stated [s]; None where never
    bands: Bands | None  # of a band heater


def can_warm(inputs: Inputs, target: float) -> bool:
    """Whether the surroundings that were named, or a heater's power, are enough for a core temperature.

    Parameters
    ----------
    inputs : Inputs
    target : float
        [K]
    """
    how = way_of_heating(inputs, target)
    if how == "band_heater" and hottest_of_bands(inputs) <= target:
        return False
    name = "site.hall_temperature" if how == "hall_air" else "site.heating_temperature"
    return name not in inputs.estimates or inputs.likely(name) > target


def warms_at_unknown(inputs: Inputs) -> bool:
    """Whether a time in room, bath or heater was named and no temperature of it: nobody counts on it."""
    timed = "site.conditioning_time" in inputs.estimates
    heated = inputs.choices["site.heating"] not in (None, "hall_air")
    return timed and heated and "site.heating_temperature" not in inputs.estimates


def heat_card(inputs: Inputs, sample: Sample, law: LawAt, warmest: Array) -> container.HeatCard:
    """What of the product decides its warm-up.

    Parameters
    ----------
    inputs : Inputs
    sample : mapping of ndarray, shape (n,)
    law : callable
        Flow law over the samples at temperatures of shape (n,) [K].
    warmest : ndarray, shape (n,)
        Warmest temperature of the way [K], where the yield stress is least.
    """
    warm = law(warmest)
    tau_y = np.broadcast_to(np.asarray(warm.yield_stress, float), warmest.shape)
    exponent = float(np.asarray(warm.exponent).flat[0])
    newtonian = float(tau_y.flat[0]) <= 0.0 and exponent > NEWTONIAN
    freezes = inputs.estimates.get("product.freezes_at")
    width = inputs.estimates.get("product.freezing_width")
    return container.HeatCard(
        conductivity=sample["product.conductivity"],
        heat_capacity=sample["product.heat_capacity"],
        density=sample["product.density"],
        expansion=sample["product.expansion"],
        yield_stress=tau_y,
        viscosity=(lambda at: np.asarray(law(at).consistency)) if newtonian else None,
        freezes_at=freezes.likely if freezes is not None else None,
        freezing_width=width.likely if width is not None else 3.0,
        latent_heat=sample["product.latent_heat"] if freezes is not None else 0.0,
    )


def warming(inputs: Inputs, sample: Sample, law: LawAt, start: Array, target: float) -> Warming:
    """Time, energy and room to warm a container through.

    Parameters
    ----------
    inputs : Inputs
    sample : mapping of ndarray, shape (n,)
    law : callable
        Flow law over the samples at temperatures of shape (n,) [K].
    start : ndarray, shape (n,)
        [K]
    target : float
        Core temperature wanted [K].

    Notes
    -----
    A product that starts below its freezing temperature is thawed with its latent heat: one run at likely
    inputs, the samples by the ratio of their fronts. Damage and time above a limit count a wall that is held
    from the start, which is the careful side under a band heater.
    """
    size = dimensions_of(sample)
    store, heater = surroundings_of(inputs, sample, size, target, way_of_heating(inputs, target))
    around = np.broadcast_to(np.asarray(store.ambient, float), start.shape)
    card = heat_card(inputs, sample, law, np.maximum(around, start))
    frozen = container.freezes(card, store, start)
    result = _warmed(size, card, store, heater, start, target)
    if heater is not None:  # what the bands do not reach is warmed by the hall, where that is warm enough
        hall = store_of(inputs, sample, target, "hall_air")
        result = container.sooner(result, _warmed(size, card, hall, None, start, target))
    body = container.cylinder(*size, card, store)
    time = np.where(np.isfinite(np.asarray(result.core_time)), result.core_time, 1e9)
    bands = None if heater is None else _bands(size, card, heater, start, time)
    hot = np.asarray(hottest(body, start, around, time))
    if bands is not None:
        hot = np.minimum(around, bands.unlimited)
    return Warming(
        way_of_heating(inputs, target),
        around,
        target,
        result,
        room_of(inputs, sample, result),
        around if frozen else hot,
        None if frozen else _damage(inputs, body, start, around, time),
        None if frozen else _above(inputs, body, start, time),
        bands,
    )


def _warmed(
    size: tuple[Array, Array],
    card: container.HeatCard,
    store: container.Store,
    heater: BandHeater | None,
    start: Array,
    target: float,
) -> container.WarmUp:
    """Thawed, under bands, or in air or bath."""
    if container.freezes(card, store, start):
        return thawed(size, card, store, heater, start, target)
    if heater is not None:
        return warm_up_by_bands(*size, card, heater, start, target)
    return container.warm_up(*size, card, store, start, target)


def _bands(
    size: tuple[Array, Array], card: container.HeatCard, heater: BandHeater, start: Array, time: Array
) -> Bands:
    """The wall under a band heater until the core is warm."""
    return Bands(
        np.asarray(limit_after(*size, card, heater, start)),
        np.asarray(wall_without_limit(*size, card, heater, start, time)),
        np.asarray(heater.height) / size[1],
    )


def _above(inputs: Inputs, body: Cylinder, start: Array, time: Array) -> Array | None:
    """Time [s] that the hottest place is above what the product bears, were it heated as stated."""
    named, least = inputs.estimates.get("site.heating_temperature"), borne(inputs)
    if named is None or named.likely <= least or inputs.choices["site.heating"] in (None, "hall_air"):
        return None
    return np.asarray(time_above(body, start, named.likely, least, time))


def _damage(inputs: Inputs, body: Cylinder, start: Array, around: Array, time: Array) -> Array | None:
    """Heat damage at the hottest place as time at the reference temperature [s]; None where not asked."""
    z_value = inputs.estimates.get("product.z_value")
    reference = inputs.estimates.get("product.damage_reference")
    if z_value is None or reference is None:
        return None
    e_fold = z_value.likely / math.log(10.0)  # the card names kelvin for ten times the damage
    return np.asarray(damage(body, start, around, reference.likely, e_fold, time))


def core_after(inputs: Inputs, sample: Sample, law: LawAt, start: Array, time: Array) -> Array:
    """Core temperature after a time in the warm [K], or in a hall that was said to be colder.

    A hall whose temperature nobody named cools nothing, and a room, bath or heater without one warms nothing.

    Parameters
    ----------
    inputs : Inputs
    sample : mapping of ndarray, shape (n,)
    law : callable
        Flow law over the samples at temperatures of shape (n,) [K].
    start : ndarray, shape (n,)
        Product temperature when it comes in [K].
    time : ndarray, shape (n,)
        [s]
    """
    if warms_at_unknown(inputs):
        return start
    # where nothing was said of heating they stand in the hall, warm or not
    how: How = inputs.choices["site.heating"] or "hall_air"
    size = dimensions_of(sample)
    store, heater = surroundings_of(inputs, sample, size, float(start[0]), how)
    around = np.broadcast_to(np.asarray(store.ambient, float), start.shape)
    card = heat_card(inputs, sample, law, np.maximum(around, start))
    reached = reached_after(size, card, store, heater, start, time)
    if heater is not None:
        hall = store_of(inputs, sample, float(start[0]), "hall_air")
        reached = np.maximum(reached, reached_after(size, card, hall, None, start, time))
    named = "site.hall_temperature" not in inputs.defaulted
    return reached if named else np.where(around > start, reached, start)


def reached_after(
    size: tuple[Array, Array],
    card: container.HeatCard,
    store: container.Store,
    heater: BandHeater | None,
    start: Array,
    time: Array,
) -> Array:
    """Core temperature after a time [K]: melting, under bands, or in air or bath.

    Parameters
    ----------
    size : (ndarray, ndarray)
        Diameter and height of the product [m].
    card : HeatCard
        What conducts.
    store : Store
        Where it stands.
    heater : BandHeater or None
        Bands, where it is under some.
    start, time : ndarray, shape (n,)
        [K], [s].
    """
    if container.freezes(card, store, start):
        return after_melting(size, card, store, heater, start, time)
    if heater is not None:
        return np.asarray(core_after_bands(*size, card, heater, start, time))
    return np.asarray(container.core_after(*size, card, store, start, time))


def night(inputs: Inputs, sample: Sample, start: float, outside: float, time: float) -> Night:
    """What a cold night and the day after it make of a container, by conduction and with its latent heat.

    Parameters
    ----------
    inputs : Inputs
    sample : mapping of ndarray, shape (1,)
        Likely values.
    start, outside : float
        Of the product when it comes, and of the store or yard [K].
    time : float
        Of the night [s].
    """
    four = inputs.choices["site.pallet"] == "four"
    exposed = sample["model.exposed_share"] if four else 1.0
    store = container.Store(np.array([outside]), sample["model.surface_coefficient"], exposed)
    card = heat_card(inputs, sample, lambda at: FlowLaw(0.0, 1.0, 1.0), np.array([start]))
    hall = float(sample["site.hall_temperature"][0])
    return after_a_night(dimensions_of(sample), card, store, start, hall, time)
