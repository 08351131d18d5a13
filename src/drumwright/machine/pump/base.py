"""The small interface of a pump family; everything that judges a pump goes through it."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.machine.pump.records import (
    Abrasion,
    Behaviour,
    Character,
    Cleaning,
    ClosedOutlet,
    DryRun,
    Duty,
    FamilyName,
    Load,
    Operation,
    Pump,
)
from drumwright.product.law import FlowLaw
from drumwright.product.particles import PASSAGE_FACTORS, Hardness

Array = NDArray[np.float64]
OVERLOAD, PULL_OUT = 1.5, 2.5  # torque over rated torque: drive limit and direct on line; physics book A8
THINNED = 64  # samples that ranges of life and dry run are taken over
ROTOR_STEP = 1.25e-4  # m; half of 0.25 mm on the diameter, one step of rotor sizes (physics book 4.3)


class Family(ABC):
    """A pump family: what its pumps do at a flow between two pressures."""

    name: FamilyName
    cleaning: Cleaning
    closed_outlet: ClosedOutlet
    dry_run: DryRun

    @abstractmethod
    def from_row(self, fields: Mapping[str, Any]) -> Pump:
        """Return the pump of a row of the stock.

        Parameters
        ----------
        fields : mapping
            Common fields and those of the geometry, SI units.

        Raises
        ------
        StockError
            If a field is missing, unknown or not allowed.
        """

    def rated_pressure(self, pump: Pump, abrasion: Abrasion) -> float:
        """Pressure the pump may build with this abrasion class [Pa].

        Parameters
        ----------
        pump : Pump
        abrasion : str
            clean, sensitive, mild or abrasive.
        """
        return pump.maximum_pressure

    @abstractmethod
    def operate(
        self,
        pump: Pump,
        abrasion: Abrasion,
        flow: Array,
        inlet_absolute: Array,
        outlet_absolute: Array,
        atmosphere: Array,
        density: Array,
        law: FlowLaw,
        model: Mapping[str, Array],
        worn: ArrayLike = 0.0,
    ) -> Operation:
        """Evaluate a pump at a flow between inlet and outlet pressure.

        Parameters
        ----------
        pump : Pump
        abrasion : str
            clean, sensitive, mild or abrasive.
        flow, inlet_absolute, outlet_absolute, atmosphere : ndarray, shape (n,)
            [m3/s], [Pa]
        density : ndarray
            [kg/m3]
        law : FlowLaw
        model : mapping of ndarray
            Sampled model quantities ("model.*", "product.vapour_pressure", "site.air_pressure").
        worn : array_like
            Growth of the clearance since new [m].
        """

    def load(
        self,
        pump: Pump,
        abrasion: Abrasion,
        speed: Array,
        pressure: Array,
        restart_pressure: Array,
        law: FlowLaw,
        model: Mapping[str, Array],
    ) -> Load:
        """Torque, power and motor at a speed against a pressure; an air pump has none.

        Parameters
        ----------
        pump : Pump
        abrasion : str
            clean, sensitive, mild or abrasive.
        speed : ndarray, shape (n,)
            [1/s]
        pressure, restart_pressure : ndarray, shape (n,)
            Pressure the pump adds when running and when starting the rested line [Pa].
        law : FlowLaw
            Product at the temperature of the pump.
        model : mapping of ndarray
            Sampled model quantities ("model.*").
        """
        zero = np.zeros_like(pressure)
        return Load(zero, zero, zero, zero, zero, zero)

    @abstractmethod
    def stall_pressure(
        self,
        pump: Pump,
        motor_power: float,
        speed: float,
        model: Mapping[str, Array],
        torque_factor: float = OVERLOAD,
    ) -> Array:
        """Pressure on a closed outlet at which the drive stalls [Pa(g)].

        Parameters
        ----------
        pump : Pump
        motor_power : float
            Rated power of the motor [W].
        speed : float
            Pump speed at which the gear gives rated motor speed [1/s].
        model : mapping of ndarray
            Sampled model quantities.
        torque_factor : float
            Torque the drive gives over its rated torque [-].
        """

    def greatest_air(self, pump: Pump) -> float:
        """Air pressure that a pump driven by air bears itself [Pa(g)].

        Parameters
        ----------
        pump : Pump
        """
        return pump.maximum_pressure

    @abstractmethod
    def behaviour(self, pump: Pump, duty: Duty) -> Behaviour:
        """Everything that is said of a pump at one duty.

        Parameters
        ----------
        pump : Pump
        duty : Duty
        """

    def character(self) -> Character:
        """What holds for this family whatever the duty."""
        return Character(self.cleaning, self.closed_outlet, self.dry_run)

    def particle_limits(self, pump: Pump) -> Mapping[Hardness, float]:
        """Greatest soft, firm and hard piece that passes [m].

        Parameters
        ----------
        pump : Pump

        Notes
        -----
        The passage over three for soft pieces and over two for others: common practice, no source.
        """
        return {hardness: pump.passage / factor for hardness, factor in PASSAGE_FACTORS.items()}


def air_at(model: Mapping[str, Array]) -> Array:
    """Air pressure at the pump [Pa(g)]: as its regulator is set, else all the air of the site.

    Parameters
    ----------
    model : mapping of ndarray
        Sampled quantities; "pump.air_pressure" where the arrangement holds the air back.
    """
    return np.asarray(model.get("pump.air_pressure", model["site.air_pressure"]))


def thin(*values: ArrayLike) -> list[Array]:
    """At most `THINNED` samples of each array, evenly taken; scalars are repeated.

    Parameters
    ----------
    *values : array_like
        Of shapes that broadcast, any unit [-].
    """
    full = np.broadcast_arrays(*(np.atleast_1d(np.asarray(value, dtype=np.float64)) for value in values))
    places = _places(full[0].size)
    return [each[places] for each in full]


def _places(count: int) -> NDArray[np.intp]:
    return np.unique(np.linspace(0, count - 1, min(count, THINNED)).astype(np.intp))


def thin_law(law: FlowLaw, like: Array) -> FlowLaw:
    """The law of the samples that `thin` takes of an array.

    Parameters
    ----------
    law : FlowLaw
    like : ndarray
        Of the shape of the samples, any unit [-].
    """
    tau_y, k, n, _ = thin(law.yield_stress, law.consistency, law.exponent, like)
    return FlowLaw(tau_y, k, n)


def thin_model(model: Mapping[str, Array], like: Array) -> dict[str, Array]:
    """The sampled quantities of the samples that `thin` takes of an array.

    Parameters
    ----------
    model : mapping of ndarray
    like : ndarray
        Of the shape of the samples, any unit [-].
    """
    places = _places(np.size(like))
    return {
        key: value[places] if np.size(value) > 1 else np.asarray(value)
        for key, value in model.items()
        if key.startswith("model.") and np.size(value) in (1, np.size(like))
    }
