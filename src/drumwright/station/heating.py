"""Where containers are warmed: the way of heating, its temperature and surfaces, and what it rests on."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.container.band_heater import BandHeater, wall_held
from drumwright.machine.container.warm_up import Store
from drumwright.station.frozen import WALL_HELD
from drumwright.station.inputs import Inputs, Sample

Array = NDArray[np.float64]
How = Literal["hall_air", "hot_room", "water_bath", "band_heater"]
LEAST_STEP = 3.0  # [K] surroundings this much warmer than the target, else another way of heating is taken
HOTTER = 15.0  # [K] a hot room above the target where nothing was said; assumed
LIMITS = ("maximum_temperature", "wall_temperature_limit")  # of the product card, for a heated wall


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


def store_of(inputs: Inputs, sample: Sample, target: float, how: How | None = None) -> Store:
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
        return Store(ambient, sample["model.bath_coefficient"])
    if how == "band_heater":
        return Store(ambient, np.full_like(hall, WALL_HELD), 1.0, 0.0, 0.0)
    four = inputs.choices["site.pallet"] == "four"
    return Store(ambient, air, sample["model.exposed_share"] if four else 1.0)


def borne(inputs: Inputs) -> float:
    """Hottest temperature the product is said to bear [K]; infinite where nothing was said.

    Parameters
    ----------
    inputs : Inputs
    """
    tops = [inputs.estimates.get(f"product.{name}") for name in LIMITS]
    return min((top.likely for top in tops if top is not None), default=math.inf)


def _hot(inputs: Inputs, target: float, named: bool) -> float:
    """Hottest surroundings taken [K]: never above what is borne; somewhat above the target if none named."""
    least = borne(inputs)
    return max(least if named else min(target + HOTTER, least), target + 1.0)


def hottest_of_bands(inputs: Inputs) -> float:
    """Wall under the bands when no heat enters any more [K], with the least power, the coldest hall.

    Parameters
    ----------
    inputs : Inputs
    """
    ends = inputs.estimates
    across = ends["container.inside_diameter"].likely
    filled = ends["container.usable_volume"].likely / (0.25 * math.pi * across**2)
    area = math.pi * across * min(ends["site.heater_height"].high, filled)
    lost = ends["model.surface_coefficient"].high * area
    return ends["site.hall_temperature"].low + ends["site.heater_power"].low / lost


def rests_on(inputs: Inputs, target: float) -> frozenset[str]:
    """Inputs that a warming computes with, by its way of heating; what was stated of them is among them.

    Parameters
    ----------
    inputs : Inputs
    target : float
        Core temperature wanted [K].
    """
    how, four = way_of_heating(inputs, target), inputs.choices["site.pallet"] == "four"
    found = {"product.conductivity", "product.heat_capacity", "product.expansion", "model.stock_reserve",
             "enquiry.shifts_per_day"}  # fmt: skip
    found.add("model.bath_coefficient" if how == "water_bath" else "model.surface_coefficient")
    if how == "band_heater":
        found |= {"site.heater_power", "site.heater_height"}
    if four and how in ("hall_air", "hot_room"):
        found.add("model.exposed_share")
    if "product.freezes_at" in inputs.estimates:
        found.add("product.latent_heat")
    return frozenset(found)


def surroundings_of(
    inputs: Inputs, sample: Sample, size: tuple[Array, Array], target: float, how: How
) -> tuple[Store, BandHeater | None]:
    """Where the containers stand, of a band heater the wall its power and limit allow; and that heater.

    Parameters
    ----------
    inputs : Inputs
    sample : mapping of ndarray, shape (n,)
    size : (ndarray, ndarray)
        Diameter and height of the product [m].
    target : float
        Core temperature wanted [K].
    how : str
        Way of heating.
    """
    store = store_of(inputs, sample, target, how)
    if how != "band_heater":
        return store, None
    heater = BandHeater(
        power=sample["site.heater_power"],
        height=np.minimum(sample["site.heater_height"], size[1]),
        limit=store.ambient,
        hall=sample["site.hall_temperature"],
        loss=sample["model.surface_coefficient"],
    )
    return replace(store, ambient=np.asarray(wall_held(heater, size[0]))), heater
