"""What the families that turn have in common: flow V n less slip, torque, caps."""

from __future__ import annotations

import math
from abc import abstractmethod
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.machine.pump.base import OVERLOAD, Family
from drumwright.machine.pump.filling import filling_loss, filling_speed
from drumwright.machine.pump.limits import sliding_limit
from drumwright.machine.pump.motor import mains_of, required_power
from drumwright.machine.pump.progressing_cavity import hydraulic_torque, stall_pressure
from drumwright.machine.pump.records import Abrasion, Behaviour, Duty, Load, Operation, Pump
from drumwright.machine.pump.rotary_behaviour import rotary_behaviour
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]


class Chamber(NamedTuple):
    """The space that fills: hydraulic diameter, way in a revolution, length along it [m]."""

    diameter: float
    advance: float
    length: float


class RotaryFamily(Family):
    """A pump with a displacement a revolution, a motor, and gaps that leak."""

    closed_outlet = "dangerous"
    dry_run = "none"
    pulsation_share: tuple[float, float] = (0.0, 0.03)  # of the flow of one pocket

    def pockets(self, pump: Pump) -> int:
        """Pockets that open in a turn."""
        return 1

    @abstractmethod
    def chamber(self, pump: Pump) -> Chamber:
        """The space of this pump that fills."""

    @abstractmethod
    def clearance(self, pump: Pump, law: FlowLaw, model: Mapping[str, Array]) -> Array:
        """Clearance of a new pump for this product [m].

        Parameters
        ----------
        pump : Pump
        law : FlowLaw
        model : mapping of ndarray
        """

    @abstractmethod
    def leak(
        self,
        pump: Pump,
        pressure: Array,
        clearance: Array,
        density: Array,
        law: FlowLaw,
        model: Mapping[str, Array],
    ) -> Array:
        """Slip [m3/s] at a pressure over the pump.

        Parameters
        ----------
        pump : Pump
        pressure : ndarray
            [Pa]
        clearance : ndarray
            [m]
        density : ndarray
            [kg/m3]
        law : FlowLaw
        model : mapping of ndarray
        """

    @abstractmethod
    def sliding(self, pump: Pump, speed: ArrayLike) -> Array:
        """Sliding or tip speed [m/s] at a speed.

        Parameters
        ----------
        pump : Pump
        speed : array_like
            [1/s]
        """

    @abstractmethod
    def friction(self, pump: Pump, model: Mapping[str, Array]) -> Array:
        """Torque of press fit or bearings and seals [N m].

        Parameters
        ----------
        pump : Pump
        model : mapping of ndarray
        """

    @abstractmethod
    def film(self, pump: Pump, law: FlowLaw, model: Mapping[str, Array]) -> Array:
        """Thickness of the film that is sheared [m].

        Parameters
        ----------
        pump : Pump
        law : FlowLaw
        model : mapping of ndarray
        """

    @abstractmethod
    def drag(
        self, pump: Pump, speed: ArrayLike, film: ArrayLike, law: FlowLaw, model: Mapping[str, Array]
    ) -> Array:
        """Torque of shearing the product [N m].

        Parameters
        ----------
        pump : Pump
        speed : array_like
            [1/s]
        film : array_like
            [m]
        law : FlowLaw
        model : mapping of ndarray
        """

    @abstractmethod
    def seal_line(self, pump: Pump) -> float:
        """Length of the seal line across the leak [m]."""

    def rest_torque(self, pump: Pump, law: FlowLaw, model: Mapping[str, Array]) -> Array | float:
        """Torque that the yield stress in the gaps takes at start [N m]; 0 where the press fit covers it.

        Parameters
        ----------
        pump : Pump
        law : FlowLaw
        model : mapping of ndarray
        """
        return 0.0

    def inlet_base(self, pump: Pump, atmosphere: Array, law: FlowLaw, model: Mapping[str, Array]) -> Array:
        """Pressure the product must keep at the inlet [Pa].

        Parameters
        ----------
        pump : Pump
        atmosphere : ndarray
            Absolute [Pa].
        law : FlowLaw
        model : mapping of ndarray
        """
        return np.asarray(model["product.vapour_pressure"] + model["model.feed_margin"])

    def further_caps(self, pump: Pump, law: FlowLaw, model: Mapping[str, Array]) -> dict[str, Array]:
        """Speed caps of this family beside filling, sliding and maximum speed [1/s].

        Parameters
        ----------
        pump : Pump
        law : FlowLaw
        model : mapping of ndarray
        """
        return {}

    def contact_pressure(self, pump: Pump, pressure: Array) -> Array:
        """Pressure that presses the rubbing faces together [Pa].

        Parameters
        ----------
        pump : Pump
        pressure : ndarray
            Over the pump [Pa].
        """
        return pressure

    def dry_run_time(
        self, pump: Pump, speed: Array, model: Mapping[str, Array]
    ) -> tuple[float, float] | None:
        """Time to 60 K of warming when running dry (low, high) [s]; None: no model, take none.

        Parameters
        ----------
        pump : Pump
        speed : ndarray
            [1/s]
        model : mapping of ndarray
        """
        return None

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
        """As `Family.operate`.

        Parameters
        ----------
        pump : Pump
        abrasion : str
        flow, inlet_absolute, outlet_absolute, atmosphere : ndarray, shape (n,)
            [m3/s], [Pa]
        density : ndarray
            [kg/m3]
        law : FlowLaw
        model : mapping of ndarray
        worn : array_like
            [m]
        """
        base = self.inlet_base(pump, atmosphere, law, model)
        caps = self.caps(pump, abrasion, inlet_absolute - base, law, model)
        pressure = self.working_pressure(pump, abrasion, inlet_absolute, outlet_absolute)
        clearance = np.asarray(self.clearance(pump, law, model) + np.asarray(worn))
        slip = self.leak(pump, pressure, clearance, density, law, model)
        return self.operation(pump, flow, slip, base, caps, law, model)

    def working_pressure(
        self, pump: Pump, abrasion: Abrasion, inlet_absolute: Array, outlet_absolute: Array
    ) -> Array:
        """Pressure that drives the slip [Pa].

        Parameters
        ----------
        pump : Pump
        abrasion : str
        inlet_absolute, outlet_absolute : ndarray
            [Pa]

        Notes
        -----
        A pump never works against more than it is rated for: beyond, leakage would say nothing about feed.
        """
        return np.minimum(outlet_absolute - inlet_absolute, self.rated_pressure(pump, abrasion))

    def operation(
        self,
        pump: Pump,
        flow: Array,
        slip: Array,
        base: Array,
        caps: Mapping[str, Array],
        law: FlowLaw,
        model: Mapping[str, Array],
    ) -> Operation:
        """The pump at a flow with a slip under its caps.

        Parameters
        ----------
        pump : Pump
        flow, slip : ndarray
            [m3/s]
        base : ndarray
            Pressure the product must keep at the inlet [Pa].
        caps : mapping of ndarray
            [1/s]
        law : FlowLaw
        model : mapping of ndarray
        """
        speed = (flow + slip) / pump.displacement
        limit: Array | float = pump.maximum_speed
        for cap in caps.values():
            limit = np.minimum(cap, limit)
        required = base + filling_loss(speed, *self.chamber(pump), law, model["model.filling_factor"])
        limit = np.asarray(limit)
        return Operation(
            pump.displacement * limit - slip - flow, required, speed, limit, slip, np.zeros_like(flow)
        )

    def caps(
        self, pump: Pump, abrasion: Abrasion, available: Array, law: FlowLaw, model: Mapping[str, Array]
    ) -> dict[str, Array]:
        """Every speed cap by name [1/s].

        Parameters
        ----------
        pump : Pump
        abrasion : str
        available : ndarray
            Inlet pressure beyond what the product must keep [Pa].
        law : FlowLaw
        model : mapping of ndarray
        """
        factor = model["model.filling_factor"]
        return {
            "filling": filling_speed(available, *self.chamber(pump), law, factor),
            "sliding": np.asarray(sliding_limit(abrasion) / self.sliding(pump, 1.0)),
            "maximum": np.asarray(pump.maximum_speed),
            **self.further_caps(pump, law, model),
        }

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
        """As `Family.load`.

        Parameters
        ----------
        pump : Pump
        abrasion : str
        speed : ndarray, shape (n,)
            [1/s]
        pressure, restart_pressure : ndarray, shape (n,)
            [Pa]
        law : FlowLaw
        model : mapping of ndarray
        """
        friction = self.friction(pump, model)
        film = self.film(pump, law, model)
        drag = self.drag(pump, speed, film, law, model)
        torque = hydraulic_torque(pump.displacement, np.maximum(pressure, 0.0))
        torque = torque + friction + drag
        start = hydraulic_torque(pump.displacement, np.maximum(restart_pressure, 0.0))
        start = start + model["model.start_factor"] * friction
        start = start + self.rest_torque(pump, law, model)
        angular = 2.0 * math.pi * speed
        power = torque * angular
        sliding = self.sliding(pump, speed)
        return Load(
            torque,
            start,
            power,
            required_power(power, start, angular, mains_of(model)),
            sliding,
            np.asarray(sliding / film),
        )

    def stall_pressure(
        self,
        pump: Pump,
        motor_power: float,
        speed: float,
        model: Mapping[str, Array],
        torque_factor: float = OVERLOAD,
    ) -> Array:
        """As `Family.stall_pressure`: 2 pi (T - T_f)/V.

        Parameters
        ----------
        pump : Pump
        motor_power : float
            [W]
        speed : float
            [1/s]
        model : mapping of ndarray
        torque_factor : float
            [-]
        """
        torque = torque_factor * motor_power / (2.0 * math.pi * max(speed, 1e-9))
        return stall_pressure(torque, self.friction(pump, model), pump.displacement)

    def behaviour(self, pump: Pump, duty: Duty) -> Behaviour:
        """As `Family.behaviour`.

        Parameters
        ----------
        pump : Pump
        duty : Duty
        """
        return rotary_behaviour(self, pump, duty)
