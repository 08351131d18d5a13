"""Compressed air of a pump driven by it: use, energy, cold exhaust (physics book 4.8 with A11)."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.machine.pump.records import AirUse

Array = NDArray[np.float64]
ENERGY_OF_FREE_AIR = 0.11 * 3.6e6  # J/m3 of free air at the compressor; physics book 4.8, from memory
EXPANSION_EXPONENT = 0.2857  # (kappa - 1)/kappa of air; from memory
FREEZING = 273.15  # K


def free_air(
    air_pressure: ArrayLike, atmosphere: ArrayLike, ratio: float, dead_share: ArrayLike, back: ArrayLike
) -> Array:
    """Free air per product volume that is delivered [m3/m3].

    Parameters
    ----------
    air_pressure, atmosphere : array_like
        Air at the pump [Pa(g)] and atmosphere, absolute [Pa].
    ratio : float
        Air swept over product moved in a double stroke [-]: 1 for a diaphragm pump, see `piston.air_ratio`.
    dead_share : array_like
        Dead volume of the air side over its swept volume [-].
    back : array_like
        Share of a stroke that flows back before the valves close [-].

    Notes
    -----
    r (1 + d) (p_air + p_atm)/p_atm / (1 - b): 7.12 at 5 bar(g), d 0.2, r 1, b 0 (physics book 4.8, A11).
    """
    compression = (np.asarray(air_pressure) + np.asarray(atmosphere)) / np.asarray(atmosphere)
    return np.asarray(ratio * (1.0 + np.asarray(dead_share)) * compression / (1.0 - np.asarray(back)))


def exhaust_temperature(air_pressure: ArrayLike, atmosphere: ArrayLike, supply: ArrayLike) -> Array:
    """Coldest exhaust [K]: expansion without heat from pump pressure to the atmosphere.

    Parameters
    ----------
    air_pressure, atmosphere : array_like
        Air at the pump [Pa(g)] and atmosphere, absolute [Pa].
    supply : array_like
        Temperature of the air that is supplied [K].

    Notes
    -----
    Lower bound: the air that leaves first expands less, and walls give heat.
    """
    compression = (np.asarray(air_pressure) + np.asarray(atmosphere)) / np.asarray(atmosphere)
    return np.asarray(np.asarray(supply) * compression**-EXPANSION_EXPONENT)


def air_use(
    flow: Array,
    outlet_gauge: Array,
    air_pressure: Array,
    atmosphere: Array,
    ratio: float,
    dead_share: Array,
    back: Array,
    model: Mapping[str, Array],
) -> AirUse:
    """Air, energy, efficiency and icing at a flow.

    Parameters
    ----------
    flow : ndarray
        [m3/s]
    outlet_gauge, air_pressure : ndarray
        Product at the outlet and air at the pump [Pa(g)].
    atmosphere : ndarray
        Absolute [Pa].
    ratio : float
        As in `free_air` [-].
    dead_share, back : ndarray
        As in `free_air` [-].
    model : mapping of ndarray
        "site.air_temperature" and "site.air_dew_point" [K] where they are known.

    Notes
    -----
    Icing is named where the coldest exhaust lies below freezing and below the dew point of the air; an
    unknown dew point counts as wet air.
    """
    amount = free_air(air_pressure, atmosphere, ratio, dead_share, back)
    energy = amount * ENERGY_OF_FREE_AIR
    coldest = exhaust_temperature(
        air_pressure, atmosphere, model.get("site.air_temperature", np.asarray(293.15))
    )
    frost = np.minimum(model.get("site.air_dew_point", np.asarray(FREEZING)), FREEZING)
    return AirUse(amount, amount * flow, energy, np.maximum(outlet_gauge, 0.0) / energy, coldest < frost)
