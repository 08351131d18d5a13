"""How long a cold container stands in the warm until its core may be pumped, and what that takes."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.conduction import Cylinder, remaining
from drumwright.machine.container import warm_up as container
from drumwright.machine.container.heat_damage import damage, hottest
from drumwright.machine.container.kinds import kind
from drumwright.machine.container.store import drums_under_heat, energy_a_day, floor_area
from drumwright.machine.container.thaw import drum_history, thaw
from drumwright.product.law import FlowLaw
from drumwright.station.inputs import Inputs, Sample
from drumwright.station.vessel import filled_height, shape_of

Array = NDArray[np.float64]
LawAt = Callable[[Array], FlowLaw]
How = Literal["hall_air", "hot_room", "water_bath", "band_heater"]
LEAST_STEP = 3.0  # [K] surroundings this much warmer than the target, else another way of heating is taken
HOTTER = 15.0  # [K] a hot room above the target where nothing was said; assumed
LIMITS = ("maximum_temperature", "wall_temperature_limit")  # of the product card, for a heated wall
WALL_HELD = 1.0e4  # [W/(m2 K)] a side that is held at its temperature
NEWTONIAN = 0.95  # exponent above which a product without yield stress counts as Newtonian
PALLET_SIDE, AISLES = 1.2, 2.0  # [m] pallet of four, and floor over pallet area; the latter assumed
BESIDE = 0.1  # [m] free between containers that stand by themselves; assumed
OVERHANG = 0.05  # [m] of the containers over their pallet, that still stand four on it; assumed


@dataclass(frozen=True, slots=True)
class Room:
    """Containers in the warm; arrays over samples."""

    stock: Array  # containers
    floor: Array  # [m2]
    energy: Array  # into the product of a day [J]


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


def way_of_heating(inputs: Inputs, target: float) -> How:
    """How the containers are warmed: as stated, else in the hall where that is warm enough.

    Parameters
    ----------
    inputs : Inputs
    target : float
        Core temperature wanted [K].
    """
    stated: How | None = inputs.choices["site.heating"]
    warm_hall = inputs.likely("site.hall_temperature") >= target + LEAST_STEP
    return stated or ("hall_air" if warm_hall else "hot_room")


def store_of(inputs: Inputs, sample: Sample, target: float, how: How | None = None) -> container.Store:
    """Where the containers stand: temperature and surface coefficients.

    Parameters
    ----------
    inputs : Inputs
    sample : mapping of ndarray, shape (n,)
    target : float
        Core temperature wanted [K].
    how : str, optional
        Way of heating; else that of `way_of_heating`.
    """
    how = how or way_of_heating(inputs, target)
    hall, air = sample["site.hall_temperature"], sample["model.surface_coefficient"]
    ambient = hall
    if how != "hall_air":
        ambient = sample.get("site.heating_temperature", np.full_like(hall, math.inf))
        ambient = np.minimum(ambient, _hot(inputs, target, "site.heating_temperature" in sample))
    if how == "water_bath":
        return container.Store(ambient, sample["model.bath_coefficient"])
    if how == "band_heater":
        return container.Store(ambient, np.full_like(hall, WALL_HELD), 1.0, 0.0, 0.0)
    four = inputs.choices["site.pallet"] == "four"
    return container.Store(ambient, air, sample["model.exposed_share"] if four else 1.0)


def _hot(inputs: Inputs, target: float, named: bool) -> float:
    """Hottest surroundings taken [K]: never above what is borne; somewhat above the target if none named."""
    tops = [inputs.estimates.get(f"product.{name}") for name in LIMITS]
    least = min((top.likely for top in tops if top is not None), default=math.inf)
    return max(least if named else min(target + HOTTER, least), target + 1.0)


def can_warm(inputs: Inputs, target: float) -> bool:
    """Whether the surroundings that were named are warmer than a core temperature wanted.

    Parameters
    ----------
    inputs : Inputs
    target : float
        [K]
    """
    how = way_of_heating(inputs, target)
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
        latent_heat=inputs.likely("product.latent_heat") if freezes is not None else 0.0,
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
    A product that starts below its freezing temperature is thawed with its latent heat: three runs, at the
    likely, the most and the least heat transfer, take the place of the samples.
    """
    store = store_of(inputs, sample, target)
    around = np.broadcast_to(np.asarray(store.ambient, float), start.shape)
    card = heat_card(inputs, sample, law, np.maximum(around, start))
    diameter, height = dimensions_of(sample)
    if container.freezes(card, store, start):
        return _thawing(inputs, sample, law, start, target)
    result = container.warm_up(diameter, height, card, store, start, target)
    body = container.cylinder(diameter, height, card, store)
    time = np.where(np.isfinite(np.asarray(result.core_time)), result.core_time, 1e9)
    return Warming(
        way_of_heating(inputs, target),
        around,
        target,
        result,
        _room(inputs, sample, result),
        np.asarray(hottest(body, start, around, time)),
        _damage(inputs, body, start, around, time),
    )


def _damage(inputs: Inputs, body: Cylinder, start: Array, around: Array, time: Array) -> Array | None:
    """Heat damage at the hottest place as time at the reference temperature [s]; None where not asked."""
    z_value = inputs.estimates.get("product.z_value")
    reference = inputs.estimates.get("product.damage_reference")
    if z_value is None or reference is None:
        return None
    e_fold = z_value.likely / math.log(10.0)  # the card names kelvin for ten times the damage
    return np.asarray(damage(body, start, around, reference.likely, e_fold, time))


def _thawing(inputs: Inputs, sample: Sample, law: LawAt, start: Array, target: float) -> Warming:
    """Thaw a frozen container at likely inputs, with the likely, the most and the least heat transfer."""
    point = {key: values[:1] for key, values in sample.items()}
    ends = inputs.estimates["model.surface_coefficient"]
    runs = []
    for coefficient in (ends.likely, ends.high, ends.low):
        here = {**point, "model.surface_coefficient": np.array([coefficient])}
        store = store_of(inputs, here, target)
        card = heat_card(
            inputs, here, _first(law, start.size), np.maximum(np.asarray(store.ambient), start[:1])
        )
        diameter, height = dimensions_of(here)
        runs.append(thaw(diameter[0], height[0], single(card), single(store), float(start[0]), target))
    ready = np.array([run.ready_time for run in runs])
    result = container.WarmUp(
        mode=np.array(["phase_change"] * 3),
        core_time=ready,
        mean_time=np.array([run.thawed_time for run in runs]),
        conduction_time=ready,
        convection_time=np.full(3, np.inf),
        mean_at_end=np.full(3, target),
        energy=np.array([run.energy for run in runs]),
        expansion_volume=np.zeros(3),
    )
    three = {key: np.repeat(values, 3) for key, values in point.items()}
    ambient = np.repeat(np.asarray(store_of(inputs, point, target).ambient, float)[:1], 3)
    room = _room(inputs, three, result)
    return Warming(way_of_heating(inputs, target), ambient, target, result, room, ambient, None)


def _first(law: LawAt, count: int) -> LawAt:
    """The law of the point of likely values alone, at temperatures of shape (1,) [K]."""

    def at(temperature: Array) -> FlowLaw:
        whole = law(np.full(count, float(temperature[0])))
        parts = (whole.yield_stress, whole.consistency, whole.exponent)
        return FlowLaw(*(np.asarray(part, float).ravel()[:1] for part in parts))

    return at


def single(record: Any) -> Any:
    """Return the same record with single numbers in place of arrays of one.

    Parameters
    ----------
    record : HeatCard or Store
    """
    changed = {
        item.name: float(np.ravel(value)[0])
        for item in fields(record)
        if isinstance(value := getattr(record, item.name), np.ndarray)
    }
    return replace(record, **changed)


def dimensions_of(sample: Sample) -> tuple[Array, Array]:
    """Diameter of equal mean area and height of the product [m].

    Parameters
    ----------
    sample : mapping of ndarray, shape (n,)
    """
    shape = shape_of(sample)
    return np.sqrt(4.0 / np.pi * shape.mean_area), filled_height(sample, shape)


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
    store = store_of(inputs, sample, float(start[0]), inputs.choices["site.heating"] or "hall_air")
    around = np.broadcast_to(np.asarray(store.ambient, float), start.shape)
    card = heat_card(inputs, sample, law, np.maximum(around, start))
    diameter, height = dimensions_of(sample)
    if container.freezes(card, store, start):
        return _after_melting(inputs, sample, law, start, time)
    reached = container.core_after(diameter, height, card, store, start, time)
    named = "site.hall_temperature" not in inputs.defaulted
    return np.asarray(reached) if named else np.where(around > start, np.asarray(reached), start)


def _after_melting(inputs: Inputs, sample: Sample, law: LawAt, start: Array, time: Array) -> Array:
    """Core of a frozen container after a time in the warm [K]: one run at likely inputs for all samples."""
    point = {key: values[:1] for key, values in sample.items()}
    store = store_of(inputs, point, float(start[0]), inputs.choices["site.heating"] or "hall_air")
    warmest = np.maximum(np.asarray(store.ambient, float), start[:1])
    card = heat_card(inputs, point, _first(law, start.size), warmest)
    diameter, height = dimensions_of(point)
    history = drum_history(
        diameter[0], height[0], single(card), single(store), float(start[0]), float(time[0])
    )
    return np.full_like(start, max(float(history.coldest[-1]), float(start[0])))


def after_a_night(
    inputs: Inputs, sample: Sample, start: Array, outside: Array, time: float
) -> tuple[Array, Array]:
    """Core and wall temperature after a cold night, by conduction alone [K].

    Parameters
    ----------
    inputs : Inputs
    sample : mapping of ndarray, shape (n,)
    start : ndarray, shape (n,)
        [K]
    outside : ndarray, shape (n,)
        Temperature of the yard [K].
    time : float
        [s]
    """
    four = inputs.choices["site.pallet"] == "four"
    exposed = sample["model.exposed_share"] if four else 1.0
    store = container.Store(outside, sample["model.surface_coefficient"], exposed)
    diameter, height = dimensions_of(sample)
    card = container.HeatCard(
        conductivity=sample["product.conductivity"],
        heat_capacity=sample["product.heat_capacity"],
        density=sample["product.density"],
        expansion=sample["product.expansion"],
        yield_stress=0.0,
    )
    body = container.cylinder(diameter, height, card, store)
    core, wall = (
        outside + (start - outside) * np.asarray(remaining(body, time, place)) for place in ("core", "wall")
    )
    return core, wall


def _place(inputs: Inputs) -> tuple[float, float, float]:
    """Containers on one place of the floor, and its length and width [m]: a pallet, or a bin by itself."""
    sides = [inputs.estimates.get(f"container.{name}") for name in ("length", "width")]
    if kind(inputs.kind).section == "rectangular" and sides[0] is not None and sides[1] is not None:
        return 1.0, sides[0].likely + BESIDE, sides[1].likely + BESIDE
    across = inputs.likely("container.outside_diameter")
    if inputs.choices["site.pallet"] == "single":
        return 1.0, across + BESIDE, across + BESIDE
    in_a_row = max(math.floor((PALLET_SIDE + OVERHANG) / across), 1)
    return float(in_a_row**2), PALLET_SIDE, PALLET_SIDE


def _room(inputs: Inputs, sample: Sample, result: container.WarmUp) -> Room | None:
    """Containers under heat, the floor they take and the heat of a day."""
    if "enquiry.drums_per_shift" not in sample:
        return None
    each_day = sample["enquiry.drums_per_shift"] * sample["enquiry.shifts_per_day"]
    stock = np.asarray(drums_under_heat(each_day, result.core_time, sample["model.stock_reserve"]))
    floor = np.asarray(floor_area(stock, *_place(inputs), AISLES))
    return Room(stock, floor, np.asarray(energy_a_day(each_day, result.energy)))
