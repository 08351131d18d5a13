"""What a station saves in a year against today, item by item; pure functions over samples."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from drumwright.study.cash_flow import annuity, present_value
from drumwright.study.running_costs import with_leaks

Array = NDArray[np.float64]
FEWER = 0.7  # of the containers a year: "what if volumes fall 30 %?" (trade book 3)
GAINS = ("residue", "disposal", "labour")
COSTS = ("changeover", "electricity", "heat", "air", "seals", "pump_wear", "cleaning")
ITEMS = (*GAINS, *COSTS)
FIXED = ("changeover", "cleaning")  # do not fall with the containers
HALVINGS = 60
MOST_MORE = 1e4  # times the containers of the year that are tried


@dataclass(frozen=True, slots=True)
class Year:
    """Everything a year is counted with; arrays over samples, the likely point first, SI units.

    Parameters
    ----------
    containers : ndarray
        In a year [-].
    filling, left_old, left_new : ndarray
        Product in a container, and what stays in it today and with the station [kg].
    product, disposal : ndarray
        Prices [1/kg].
    hands_old, hands_new : ndarray
        Person-time for a container [s].
    wage : ndarray
        [1/s]
    changeovers : ndarray
        Changes of product in a year [-].
    lost_old, lost_new : ndarray
        Product lost at each [kg].
    clean_old, clean_new : ndarray
        Person-time of each [s].
    water, water_price, agent, agent_price : ndarray
        Of each cleaning: water with its effluent [m3, 1/m3], cleaning agent [kg, 1/kg].
    energy, energy_price : ndarray
        Electric, for a container [J, 1/J].
    heat, heat_price : ndarray
        To warm a container [J, 1/J].
    air, leaks, air_price : ndarray
        Free air for a container [m3], share that leaks on the way, price of what is made [1/m3].
    seal_life, seal_price : ndarray
        Containers of a set, and its price.
    wear_life, wear_price : ndarray
        The same of the wearing parts of the pump.
    released : bool
        Whether hours that are saved count as money.
    """

    containers: Array
    filling: Array
    left_old: Array
    left_new: Array
    product: Array
    disposal: Array
    hands_old: Array
    hands_new: Array
    wage: Array
    changeovers: Array
    lost_old: Array
    lost_new: Array
    clean_old: Array
    clean_new: Array
    water: Array
    water_price: Array
    agent: Array
    agent_price: Array
    energy: Array
    energy_price: Array
    heat: Array
    heat_price: Array
    air: Array
    leaks: Array
    air_price: Array
    seal_life: Array
    seal_price: Array
    wear_life: Array
    wear_price: Array
    released: bool = False

    def at(self, **values: float) -> Year:
        """The likely point alone, with some quantities at another value."""
        point = {name: value[:1] for name, value in quantities(self).items()}
        changed = point | {name: np.array([value]) for name, value in values.items()}
        return Year(**changed, released=self.released)

    def with_containers(self, factor: float) -> Year:
        """The same with more or fewer containers a year, and the same changes of product."""
        return replace(self, containers=factor * self.containers)


def quantities(year: Year) -> dict[str, Array]:
    """The arrays of a year by name."""
    return {each.name: getattr(year, each.name) for each in fields(year) if each.name != "released"}


def savings(year: Year) -> dict[str, Array]:
    """Savings of a year by item; costs of the station are negative.

    Parameters
    ----------
    year : Year

    Returns
    -------
    dict of str to ndarray
        `ITEMS`, and "eases": hours that are saved at their wage, which is no money unless they are released.

    Notes
    -----
    Trade book 3. Person-time that is saved counts only where it is released; person-time that the station
    takes more than today always counts.
    """
    count, times = year.containers, year.changeovers
    kept = count * (year.left_old - year.left_new)
    lost = times * (year.lost_new - year.lost_old)
    hours = count * (year.hands_old - year.hands_new) + times * (year.clean_old - year.clean_new)
    worth = hours * year.wage
    counted = worth if year.released else np.minimum(worth, 0.0)
    each = times * (year.water * year.water_price + year.agent * year.agent_price)
    return {
        "residue": kept * year.product,
        "disposal": kept * year.disposal,
        "labour": counted,
        "changeover": -lost * (year.product + year.disposal),
        "electricity": -count * year.energy * year.energy_price,
        "heat": -count * year.heat * year.heat_price,
        "air": -count * with_leaks(year.air, year.leaks) * year.air_price,
        "seals": -count / year.seal_life * year.seal_price,
        "pump_wear": -count / year.wear_life * year.wear_price,
        "cleaning": -each,
        "eases": worth - counted,
    }


def total(items: Mapping[str, Array]) -> Array:
    """Cash saved in a year: every item but what only eases."""
    return np.asarray(sum(items[name] for name in ITEMS))


def break_even_residue(year: Year, spent: Array, rate: float, years: float) -> Array:
    """Share of the filling that may stay behind at most before the station gives nothing back.

    Parameters
    ----------
    year : Year
    spent : ndarray
        Now [money].
    rate : float
        Rate of interest a year [-].
    years : float
        [-]

    Returns
    -------
    ndarray
        nan where a kilogram has no price; less than nothing where no residue makes it pay [-].
    """
    value = present_value(spent, total(savings(year)), rate, years)
    kilogram = year.containers * (year.product + year.disposal) * annuity(rate, years)
    with np.errstate(divide="ignore", invalid="ignore"):
        found = (year.left_new + value / kilogram) / year.filling
    return np.asarray(np.where(kilogram > 0.0, found, np.nan))


def break_even_containers(year: Year, spent: Array, rate: float, years: float) -> Array:
    """Containers a year from which the station pays; endless where no number does.

    Parameters
    ----------
    year : Year
    spent : ndarray
        Now [money].
    rate : float
        Rate of interest a year [-].
    years : float
        [-]

    Notes
    -----
    By halving between none and `MOST_MORE` times the containers of the year: what is spent and what changes
    of product cost does not fall with them.
    """

    def pays(factor: Array) -> NDArray[np.bool_]:
        saved = total(savings(replace(year, containers=factor * year.containers)))
        return np.asarray(present_value(spent, saved, rate, years) >= 0.0)

    low, high = np.zeros_like(year.containers), np.full_like(year.containers, MOST_MORE)
    never = ~pays(high) | (year.containers <= 0.0)
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        enough = pays(middle)
        low, high = np.where(enough, low, middle), np.where(enough, middle, high)
    return np.asarray(np.where(never, np.inf, high * year.containers))


@dataclass(frozen=True, slots=True)
class Swing:
    """What one quantity at its P5 and P95 makes of a result, everything else likely."""

    name: str
    low: float
    high: float
    at_low: float
    at_high: float

    @property
    def width(self) -> float:
        """How far the result moves."""
        return abs(self.at_high - self.at_low)
