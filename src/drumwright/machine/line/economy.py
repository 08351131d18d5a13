"""Energy a line takes in a year against the product it loses at changeovers."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.numbers import arrays, require_not_negative, require_positive

Array = NDArray[np.float64]


class YearOfLine(NamedTuple):
    """What one bore costs in a year, in physical units; arrays over samples."""

    energy: Array  # [J]
    lost_volume: Array  # [m3]
    lost_mass: Array  # [kg]


class YearOfMoney(NamedTuple):
    """The same in the currency of the prices."""

    energy: Array
    lost_product: Array

    @property
    def total(self) -> Array:
        """Both together."""
        return np.asarray(self.energy + self.lost_product)


def year_of_line(
    pressure: ArrayLike,
    flow: ArrayLike,
    running_time: ArrayLike,
    efficiency: ArrayLike,
    lost_at_changeover: ArrayLike,
    changeovers: ArrayLike,
    density: ArrayLike,
) -> YearOfLine:
    """Energy and lost product of a line in a year.

    Parameters
    ----------
    pressure : array_like
        Of the line at the flow [Pa].
    flow : array_like
        [m3/s]
    running_time : array_like
        In the year [s].
    efficiency : array_like
        Hydraulic power over electric power, drive and pump together [-].
    lost_at_changeover : array_like
        Product lost each time [m3] (`purge.lost_at_changeover`).
    changeovers : array_like
        In the year [-].
    density : array_like
        [kg/m3]

    Raises
    ------
    FlowOutOfRange
        If the efficiency is not positive or another value negative.

    Notes
    -----
    Physics book 5.8: hold-up beats energy 20 to 100 times with one changeover a day, so the smallest bore
    that passes is the one to take, the opposite of the classic economic diameter.
    """
    dp, q, seconds = arrays(pressure, flow, running_time)
    eta, lost, times = arrays(efficiency, lost_at_changeover, changeovers)
    (rho,) = arrays(density)
    require_positive("efficiency", eta)
    for name, value in (("pressure", dp), ("flow", q), ("running time", seconds), ("lost volume", lost),
                        ("changeovers", times), ("density", rho)):  # fmt: skip
        require_not_negative(name, value)
    room = lost * times
    return YearOfLine(np.asarray(dp * q * seconds / eta), np.asarray(room), np.asarray(room * rho))


def priced(year: YearOfLine, price_of_energy: ArrayLike, price_of_product: ArrayLike) -> YearOfMoney:
    """The year in money, with the prices the user gave; there is no default price.

    Parameters
    ----------
    year : YearOfLine
    price_of_energy : array_like
        Currency for each joule [1/J]; a price a kWh over 3.6e6.
    price_of_product : array_like
        Currency for each kilogram, disposal in it [1/kg].

    Raises
    ------
    FlowOutOfRange
        If a price is negative.
    """
    power, product = arrays(price_of_energy, price_of_product)
    require_not_negative("price of energy", power)
    require_not_negative("price of product", product)
    return YearOfMoney(np.asarray(year.energy * power), np.asarray(year.lost_mass * product))
