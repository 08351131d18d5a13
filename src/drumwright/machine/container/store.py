"""The conditioning store: drums that stand in it, floor, heat and power."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from drumwright.flow.numbers import Number, arrays, finish, require_not_negative, require_positive

DAY = 86400.0  # [s]


def drums_under_heat(per_day: ArrayLike, warm_up_time: ArrayLike, reserve: ArrayLike) -> Number:
    """Drums that stand in the store at any time [-], not rounded: per day x days x reserve.

    Parameters
    ----------
    per_day : array_like
        Drums emptied a day [1/day], zero or more.
    warm_up_time : array_like
        Of one drum [s].
    reserve : array_like
        Factor on the stock [-], 1.2 in trade book 2.6.
    """
    daily, seconds, spare = arrays(per_day, warm_up_time, reserve)
    require_not_negative("drums a day", daily)
    return finish(np.asarray(daily * seconds / DAY * spare))


def floor_area(
    drums: ArrayLike,
    drums_a_pallet: ArrayLike,
    length: ArrayLike,
    width: ArrayLike,
    aisle_factor: ArrayLike,
    levels: ArrayLike = 1.0,
) -> Number:
    """Floor [m2] of whole pallets one beside another, with aisles.

    Parameters
    ----------
    drums : array_like
        That stand in the store [-].
    drums_a_pallet : array_like
        [-], four as a rule.
    length, width : array_like
        Of the pallet [m].
    aisle_factor : array_like
        Floor over area of pallets [-], one or more.
    levels : array_like
        Pallets above one another [-].
    """
    count, held, long, wide, aisle, high = arrays(drums, drums_a_pallet, length, width, aisle_factor, levels)
    require_positive("drums a pallet", held)
    pallets = np.ceil(np.round(count / held, 9))
    return finish(np.asarray(np.ceil(pallets / high) * long * wide * aisle))


def heating_power(per_day: ArrayLike, drum_energy: ArrayLike, building_loss: ArrayLike = 0.0) -> Number:
    """Mean power [W] that keeps the store at its temperature.

    Parameters
    ----------
    per_day : array_like
        Drums emptied a day [1/day].
    drum_energy : array_like
        Heat of one drum from entry to exit [J].
    building_loss : array_like
        Heat through walls and doors [W].
    """
    daily, energy, loss = arrays(per_day, drum_energy, building_loss)
    return finish(np.asarray(daily * energy / DAY + loss))


def energy_a_day(per_day: ArrayLike, drum_energy: ArrayLike, building_loss: ArrayLike = 0.0) -> Number:
    """Heat [J/day] the store takes a day: drums and building.

    Parameters
    ----------
    per_day, drum_energy, building_loss : array_like
        As in `heating_power` [1/day], [J], [W].
    """
    return finish(np.asarray(np.asarray(heating_power(per_day, drum_energy, building_loss)) * DAY))


def building_loss(area: ArrayLike, transmittance: ArrayLike, difference: ArrayLike) -> Number:
    """Heat [W] through the shell of the store: U A dT.

    Parameters
    ----------
    area : array_like
        Walls, roof and doors [m2].
    transmittance : array_like
        U [W/(m2 K)].
    difference : array_like
        Between store and hall or yard [K].
    """
    shell, u, rise = arrays(area, transmittance, difference)
    return finish(np.asarray(shell * u * rise))
