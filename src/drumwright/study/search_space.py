"""Everything the stock offers a case, axis by axis, and one arrangement by its places on the axes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from drumwright.machine.pump.stock import Pump
from drumwright.station.arrangement import Choice
from drumwright.station.inputs import Inputs
from drumwright.study.checks import needs_beside
from drumwright.study.search_options import _given, _not_oversized, _options, asked_family

OTHER_FAMILY = 1.2  # cost of change of another pump family; orders only (as in `search_options`)


class Place(NamedTuple):
    """Places of one arrangement on the axes of a space."""

    warm: int
    flow: int
    pump: int
    stand: int
    seal: int
    port: int
    ram: int
    bore: int
    pressure_class: int


@dataclass(frozen=True, slots=True)
class Space:
    """The axes: what may be chosen, each with its cost of change, which orders and is no money.

    Parameters
    ----------
    warms, flows, stands, seals, ports, rams : tuple
        Core temperature made sure of [K] or None, flow over the flow asked [-], stand and stations, seal,
        throat [m], share of the force of the ram [-].
    bores, classes : tuple
        [m] and [Pa(g)]; None keeps those of the customer.
    pumps : tuple of Pump
    beside : ndarray of bool, shape (pumps, ports)
        Whether the pump must stand beside the mast.
    costs : tuple of tuple of float
        Of the axes in the order of `Place`, bore and class in `line_costs`.
    line_costs : ndarray, shape (bores, classes)
        [-]
    own_stand : str
        For which a stated time of change holds.
    """

    warms: tuple[float | None, ...]
    flows: tuple[float, ...]
    stands: tuple[tuple[str, int], ...]
    seals: tuple[str, ...]
    ports: tuple[float, ...]
    rams: tuple[float, ...]
    bores: tuple[float | None, ...]
    classes: tuple[float | None, ...]
    pumps: tuple[Pump, ...]
    beside: NDArray[np.bool_]
    costs: tuple[tuple[float, ...], ...]
    line_costs: NDArray[np.float64]
    own_stand: str

    @property
    def lengths(self) -> Place:
        """Number of places on every axis."""
        return Place(
            len(self.warms), len(self.flows), len(self.pumps), len(self.stands), len(self.seals),
            len(self.ports), len(self.rams), len(self.bores), len(self.classes),
        )  # fmt: skip

    @property
    def size(self) -> int:
        """Number of arrangements."""
        return int(np.prod(self.lengths, dtype=np.int64))

    @property
    def kinds(self) -> tuple[str, ...]:
        """Kinds of stand, each once."""
        return tuple(dict.fromkeys(kind for kind, _ in self.stands))

    def choice(self, place: Place) -> Choice:
        """The arrangement of a place.

        Parameters
        ----------
        place : Place
        """
        stand, stations = self.stands[place.stand]
        return Choice(
            self.pumps[place.pump], self.ports[place.port], stand, stations, self.bores[place.bore],
            self.classes[place.pressure_class], self.warms[place.warm], self.flows[place.flow],
            bool(self.beside[place.pump, place.port]), stand == self.own_stand, self.seals[place.seal],
            self.rams[place.ram],
        )  # fmt: skip

    def change(self, places: NDArray[np.intp]) -> NDArray[np.float64]:
        """Cost of change of many arrangements against what was asked; it orders and is no money.

        Parameters
        ----------
        places : ndarray of int, shape (n, 9)
            Columns as in `Place` [-].
        """
        total = self.line_costs[places[:, 7], places[:, 8]].copy()
        for column, costs in enumerate(self.costs):
            total += np.asarray(costs)[places[:, column]]
        return total


def space_of(inputs: Inputs) -> Space:
    """Everything the stock offers a case.

    Parameters
    ----------
    inputs : Inputs
        Complete: nothing missing.
    """
    lines, warms, stands, flows, ports, _, seals, rams = _options(inputs, False)
    pumps = _given(inputs) or _not_oversized(inputs, inputs.stock.active_pumps)
    family = asked_family(inputs)
    bores = tuple(dict.fromkeys(line[1] for line in lines))
    classes = tuple(dict.fromkeys(line[2] for line in lines))
    cost = {line[1:]: line[0] for line in lines}
    beside = [[needs_beside(inputs, pump.height, port[1]) for port in ports] for pump in pumps]
    named = (warms, flows, [(0.0 if pump.family == family else OTHER_FAMILY,) for pump in pumps], stands,
             seals, ports, rams)  # fmt: skip
    return Space(
        warms=tuple(each[1] for each in warms),
        flows=tuple(each[1] for each in flows),
        stands=tuple((each[1], each[2]) for each in stands),
        seals=tuple(each[1] for each in seals),
        ports=tuple(each[1] for each in ports),
        rams=tuple(each[1] for each in rams),
        bores=bores,
        classes=classes,
        pumps=tuple(pumps),
        beside=np.array(beside, bool).reshape(len(pumps), len(ports)),
        costs=tuple(tuple(float(each[0]) for each in axis) for axis in named),
        line_costs=np.array([[cost[bore, each] for each in classes] for bore in bores]),
        own_stand=str(inputs.choices["enquiry.stand_wanted"] or "fixed_mast"),
    )
