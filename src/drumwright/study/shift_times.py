"""Time elements of a container: how long each takes, with its spread, and whether it needs hands."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from statistics import NormalDist
from typing import Any, Literal

import numpy as np

from drumwright.basis.estimate import Estimate
from drumwright.basis.tables import read_toml

Layout = Literal["fixed_mast", "moving_arm", "tandem", "pail", "bin", "bin_without_plate"]
Stage = Literal["after", "hands", "before", "ahead"]
BINDING = ("yes", "hold")  # somebody's hands are bound; watching from near is not counted as work
BINS = ("rigid_ibc", "folding_bin", "bag_in_bin")


@dataclass(frozen=True, slots=True)
class Element:
    """One step of a change.

    Parameters
    ----------
    name : str
        Row of `data/shift.toml`.
    time : Estimate
        Least, likely and greatest time [s].
    hands : str
        "yes", "hold", "watch" or "no".
    stage : str
        After the flow, with hands, before the flow, or ahead while another container empties.
    pallet : bool
        Once for the containers of a pallet.
    truck : bool
        Needs a truck.
    stated : bool
        Measured by the customer and no estimate of ours.
    """

    name: str
    time: Estimate
    hands: str
    stage: Stage
    pallet: bool
    truck: bool
    stated: bool = False

    @property
    def mean(self) -> float:
        """Mean of the triangle [s]."""
        return (self.time.low + self.time.likely + self.time.high) / 3.0

    @property
    def variance(self) -> float:
        """Variance of the triangle [s2]."""
        a, b, c = self.time.low, self.time.likely, self.time.high
        return (a * a + b * b + c * c - a * b - a * c - b * c) / 18.0

    @property
    def binds(self) -> bool:
        """Whether it binds somebody's hands."""
        return self.hands in BINDING


@dataclass(frozen=True, slots=True)
class Spread:
    """A time that is never shorter than nothing: lognormal.

    Parameters
    ----------
    mean : float
        [s]
    variation : float
        Standard deviation over mean [-].
    """

    mean: float
    variation: float

    @property
    def sigma(self) -> float:
        """Standard deviation of the logarithm."""
        return math.sqrt(math.log1p(self.variation**2))

    def quantile(self, share: float) -> float:
        """Time that this share of the changes does not exceed [s]."""
        if self.mean <= 0.0:
            return 0.0
        return self.mean * math.exp(self.sigma * NormalDist().inv_cdf(share) - 0.5 * self.sigma**2)

    def beyond(self, limit: float) -> float:
        """Mean of what exceeds a limit, E[(t - limit)+] [s].

        Notes
        -----
        m N(d) - k N(d - s), d = (ln(m/k) + s^2/2)/s: the partial expectation of a lognormal.
        """
        sigma, normal = self.sigma, NormalDist()
        if limit <= 0.0:
            return self.mean - limit
        if self.mean <= 0.0 or sigma <= 0.0:
            return max(self.mean - limit, 0.0)
        d = (math.log(self.mean / limit) + 0.5 * sigma**2) / sigma
        return self.mean * normal.cdf(d) - limit * normal.cdf(d - sigma)

    def draw(self, stream: np.random.Generator) -> float:
        """One time [s]."""
        normal = float(stream.standard_normal())
        return self.mean * math.exp(self.sigma * normal - 0.5 * self.sigma**2) if self.mean > 0.0 else 0.0


def layout_of(container: str, plated: bool, stand: str) -> Layout:
    """Layout whose elements hold for a container on a stand.

    Parameters
    ----------
    container : str
        Kind of the container.
    plated : bool
        Whether a plate enters it.
    stand : str
        Kind of the stand.
    """
    if container in BINS:
        return "bin" if plated else "bin_without_plate"
    if container == "pail":
        return "pail"
    return stand if stand in ("moving_arm", "tandem") else "fixed_mast"  # type: ignore[return-value]


def elements_of(layout: Layout, stated: Mapping[str, Estimate], liner: bool) -> tuple[Element, ...]:
    """Elements of a layout, the customer's stop-watch values in place of our estimates.

    Parameters
    ----------
    layout : str
    stated : mapping of str to Estimate
        Times by the name of the element [s].
    liner : bool
        Whether there may be a bag or disc to open.
    """
    table = read_toml("shift.toml")
    ahead = table["ahead"].get(layout, ())
    names = [name for name in table["layout"][layout] if liner or name != "liner" or name in stated]
    return tuple(_element(name, table["element"][name], name in ahead, stated.get(name)) for name in names)


def _element(name: str, row: Mapping[str, Any], ahead: bool, stated: Estimate | None) -> Element:
    ours = Estimate(row["low"], row["likely"], row["high"], row["basis"])
    stage: Stage = "ahead" if ahead else row["when"]
    pallet, truck = row.get("every") == "pallet", bool(row.get("truck"))
    return Element(name, stated or ours, row["hands"], stage, pallet, truck, stated is not None)


def names() -> tuple[str, ...]:
    """Names of all elements, in the order of the table."""
    return tuple(read_toml("shift.toml")["element"])


def change_spread(elements: tuple[Element, ...], drums_per_pallet: int) -> Spread:
    """Mean change from end of flow to start of flow, and its spread, from the elements.

    Parameters
    ----------
    elements : tuple of Element
    drums_per_pallet : int
        Containers between two exchanges of the pallet.

    Notes
    -----
    Elements are taken as independent; the exchange happens once in so many changes, which is a spread too.
    """
    mean = variance = 0.0
    for item in elements:
        if item.stage == "ahead":
            continue
        share = 1.0 / drums_per_pallet if item.pallet else 1.0
        mean += share * item.mean
        variance += share * (item.variance + item.mean**2) - (share * item.mean) ** 2
    return Spread(mean, math.sqrt(variance) / mean if mean > 0.0 else 0.0)


def hands_time(elements: tuple[Element, ...], drums_per_pallet: int) -> float:
    """Mean time of hands on one container [s], what is done ahead included.

    Parameters
    ----------
    elements : tuple of Element
    drums_per_pallet : int
        Containers between two exchanges of the pallet.
    """
    return sum(item.mean / (drums_per_pallet if item.pallet else 1) for item in elements if item.binds)


def drawn(item: Element, stream: np.random.Generator) -> float:
    """One time of an element [s].

    Parameters
    ----------
    item : Element
    stream : Generator
    """
    a, b, c = item.time.low, item.time.likely, item.time.high
    place = float(stream.random())
    if c <= a:
        return b
    turn = (b - a) / (c - a)
    if place < turn:
        return a + math.sqrt(place * (c - a) * (b - a))
    return c - math.sqrt((1.0 - place) * (c - a) * (c - b))


def pinned(item: Element) -> Element:
    """The same element at its mean, without spread.

    Parameters
    ----------
    item : Element
    """
    return replace(item, time=item.time.at(item.mean))
