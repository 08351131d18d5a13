"""What the families that turn have in common: flow V n less slip, torque, caps, wear."""

from __future__ import annotations

import math
from abc import abstractmethod
from collections.abc import Mapping
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.machine.pump import gap
from drumwright.machine.pump.base import OVERLOAD, PULL_OUT, ROTOR_STEP, Family, thin, thin_law, thin_model
from drumwright.machine.pump.filling import filling_loss, filling_speed
from drumwright.machine.pump.limits import sliding_limit
from drumwright.machine.pump.motor import required_power, smallest_motor
from drumwright.machine.pump.progressing_cavity import hydraulic_torque
from drumwright.machine.pump.records import (
    Abrasion,
    Behaviour,
    Duty,
    Load,
    Operation,
    Pump,
    Shear,
    Speeds,
    Stall,
    Wear,
)
from drumwright.machine.pump.wear import END_SHARE, end_clearance, wear_of
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
        # a pump never works against more than it is rated for: beyond, leakage would say nothing about feed
        pressure = np.minimum(outlet_absolute - inlet_absolute, self.rated_pressure(pump, abrasion))
        clearance = np.asarray(self.clearance(pump, law, model) + np.asarray(worn))
        slip = self.leak(pump, pressure, clearance, density, law, model)
        speed = (flow + slip) / pump.displacement
        base = self.inlet_base(pump, atmosphere, law, model)
        limit: Array | float = pump.maximum_speed
        for cap in list(self.caps(pump, abrasion, inlet_absolute - base, law, model).values())[::-1]:
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
            torque, start, power, required_power(power, start, angular), sliding, np.asarray(sliding / film)
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
        left = np.maximum(np.asarray(torque) - np.asarray(self.friction(pump, model)), 0.0)
        return np.asarray(2.0 * math.pi * left / pump.displacement)

    def behaviour(self, pump: Pump, duty: Duty) -> Behaviour:
        """As `Family.behaviour`.

        Parameters
        ----------
        pump : Pump
        duty : Duty
        """
        state = self.operate(pump, *duty.core())
        added = duty.outlet_absolute - duty.inlet_absolute
        load = self.load(pump, duty.abrasion, state.speed, added, duty.restart_pressure, duty.law, duty.model)
        motor = duty.motor_power or smallest_motor(float(np.max(load.motor_required)))
        speed = float(np.median(state.speed))
        pocket = pump.displacement / self.pockets(pump)
        return Behaviour(
            operation=state,
            worn=self.operate(pump, *duty.core(), worn=ROTOR_STEP),
            load=load,
            speeds=self._speeds(pump, duty, state),
            shear=self._shear(pump, duty, state, load),
            stall=Stall(
                self.stall_pressure(pump, motor, speed, duty.model),
                self.stall_pressure(pump, motor, speed, duty.model, PULL_OUT),
            ),
            particle_limits=self.particle_limits(pump),
            dry_run_time=self.dry_run_time(pump, state.speed, duty.model),
            wear=self._wear(pump, duty, state.speed, added),
            air=None,
            pulsation=(
                np.full_like(duty.flow, self.pulsation_share[0] * pocket),
                np.full_like(duty.flow, self.pulsation_share[1] * pocket),
            ),
            character=self.character(),
        )

    def _speeds(self, pump: Pump, duty: Duty, state: Operation) -> Speeds:
        base = self.inlet_base(pump, duty.atmosphere, duty.law, duty.model)
        found = self.caps(pump, duty.abrasion, duty.inlet_absolute - base, duty.law, duty.model)
        caps = {name: np.broadcast_to(cap, duty.flow.shape) for name, cap in found.items()}
        fed = np.maximum(pump.displacement * caps["filling"] - state.slip, 0.0)
        return Speeds(state.speed, caps, np.argmin(np.stack(list(caps.values())), axis=0), (fed, fed))

    def _shear(self, pump: Pump, duty: Duty, state: Operation, load: Load) -> Shear:
        """Chamber as a pipe; the film at the seal lines, and the share of the flow dragged through it."""
        chamber, line = self.chamber(pump), self.seal_line(pump)
        clearance = self.clearance(pump, duty.law, duty.model)
        dragged = 0.5 * load.sliding_speed * self.film(pump, duty.law, duty.model) * line + state.slip
        share = np.where(duty.flow > 0.0, np.minimum(dragged / np.maximum(duty.flow, 1e-30), 1.0), 1.0)
        mean = 8.0 * chamber.advance * state.speed / chamber.diameter
        return Shear(mean, load.seal_shear_rate, share, gap.shear_rate(state.slip, clearance, line))

    def _wear(self, pump: Pump, duty: Duty, speed: Array, added: Array) -> Wear:
        """Life of at most `THINNED` samples, so that a stock of pumps is judged in no time."""
        n, dp, rho, flow = thin(speed, added, duty.density, duty.flow)
        law, model = thin_law(duty.law, speed), thin_model(duty.model, speed)
        start = np.broadcast_to(self.clearance(pump, law, model), n.shape)
        pressure = np.minimum(dp, self.rated_pressure(pump, duty.abrasion))
        end = end_clearance(
            lambda c: self.leak(pump, pressure, c, rho, law, model), start, END_SHARE * pump.displacement * n
        )
        contact = self.contact_pressure(pump, pressure)
        return wear_of(duty.abrasion, start, end, self.sliding(pump, n), contact, flow, duty.container_volume)
