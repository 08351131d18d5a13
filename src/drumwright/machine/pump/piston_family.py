"""Follower-fed piston pumps as a family."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.flow.pipe import flow_rate, yield_only_pressure
from drumwright.machine.pump import gap, piston
from drumwright.machine.pump.base import OVERLOAD, ROTOR_STEP, Family, air_at, thin, thin_law, thin_model
from drumwright.machine.pump.compressed_air import air_use
from drumwright.machine.pump.limits import assumed, assumed_range, pressure_share, sliding_limit
from drumwright.machine.pump.records import (
    Abrasion,
    Behaviour,
    Duty,
    FamilyName,
    Operation,
    Piston,
    Pump,
    Shear,
    Speeds,
    Stall,
    Wear,
)
from drumwright.machine.pump.row import Row
from drumwright.machine.pump.wear import END_SHARE, end_clearance, wear_of
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]
UNITS = {
    "ratio": "-",
    "bore": "m",
    "stroke": "m",
    "loading_length": "m",
    "shovel_force": "N",
    "check_gap": "m",
    "outlet_diameters": "-",
    "packing_length": "m",
    "maximum_air_pressure": "Pa",
}


def piston_of(pump: Pump) -> Piston:
    """Geometry of a piston pump.

    Raises
    ------
    TypeError
        If the pump is of another family.
    """
    if not isinstance(pump.geometry, Piston):
        raise TypeError(f"{pump.identifier} is no piston pump")
    return pump.geometry


class PistonFamily(Family):
    """Air motor over a product cylinder; a shovel plate on the rod loads it, so suction does not decide."""

    name: FamilyName = "follower_piston"
    cleaning = "strip"
    closed_outlet = "stalls"
    dry_run = "fair"

    def from_row(self, fields: Mapping[str, Any]) -> Pump:
        """As `Family.from_row`; it must stand its own stall pressure."""
        row = Row(fields, self.name)
        common = row.common(tuple(UNITS))
        geometry = Piston(**{field: row.number(field, unit) for field, unit in UNITS.items()})
        if geometry.ratio * geometry.maximum_air_pressure > common["maximum_pressure"] * (1.0 + 1e-9):
            raise row.wrong("maximum_pressure", "at least ratio times maximum_air_pressure, its stall [Pa]")
        return Pump(
            family=self.name,
            displacement=piston.stroke_volume(geometry.bore, geometry.stroke),
            passage=geometry.check_gap,
            geometry=geometry,
            **common,
        )

    def rated_pressure(self, pump: Pump, abrasion: Abrasion) -> float:
        """As `Family.rated_pressure`: less where packings wear.

        Parameters
        ----------
        pump : Pump
        abrasion : str
        """
        return pump.maximum_pressure * pressure_share(self.name, abrasion)

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
        """As `Family.operate`; slip is what passes the packing and what the checks let back.

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
            Growth of the packing clearance [m].
        """
        own, outlet = piston_of(pump), outlet_absolute - atmosphere
        air = np.minimum(air_at(model), own.maximum_air_pressure)
        pressure = np.minimum(outlet_absolute - inlet_absolute, self.rated_pressure(pump, abrasion))
        clearance = assumed(model, "model.packing_clearance") + np.asarray(worn)
        leak = self.leak(pump, pressure, clearance, density, law, model)
        kept = pump.displacement * (1.0 - assumed(model, "model.check_back_flow"))
        speed = (flow + leak) / kept
        caps = self.caps(pump, abrasion, inlet_absolute, outlet, air, law, model)
        limit = np.minimum(caps["filling"], np.minimum(caps["sliding"], caps["maximum"]))
        pushed = piston.shovel_pressure(own, air, outlet)
        loss = piston.loading_loss(pump.displacement * speed, own, law)
        free_flow = pump.displacement * pump.maximum_speed
        delivery = piston.delivery_pressure(
            flow, air, own, pump.port, free_flow, assumed(model, "model.piston_friction"), law
        )
        excess = np.minimum(
            (kept * limit - leak - flow) / free_flow, (delivery - np.maximum(outlet, 0.0)) / atmosphere
        )
        held = yield_only_pressure(law.yield_stress, own.loading_length, own.bore)
        required = self.inlet_base(model) + np.maximum(loss - pushed, 0.0)
        slip = pump.displacement * speed - flow
        return Operation(excess, required, speed, limit, slip, np.maximum(held - pushed, 0.0))

    def inlet_base(self, model: Mapping[str, Array]) -> Array:
        """Pressure the product must keep where it meets the shovel plate [Pa].

        Parameters
        ----------
        model : mapping of ndarray
        """
        return np.asarray(model["product.vapour_pressure"] + model["model.feed_margin"])

    def leak(
        self,
        pump: Pump,
        pressure: Array,
        clearance: Array,
        density: Array,
        law: FlowLaw,
        model: Mapping[str, Array],
    ) -> Array:
        """Leakage past the packing of the piston [m3/s].

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
        own, floor = piston_of(pump), model["model.high_shear_floor"]
        return gap.slip(pressure, clearance, own.packing_length, math.pi * own.bore, density, law, floor)

    def sliding(self, pump: Pump, speed: ArrayLike) -> Array:
        """Mean speed of the piston [m/s]: two strokes in a double stroke.

        Parameters
        ----------
        pump : Pump
        speed : array_like
            [1/s]
        """
        return np.asarray(2.0 * piston_of(pump).stroke * np.asarray(speed))

    def caps(
        self,
        pump: Pump,
        abrasion: Abrasion,
        inlet_absolute: Array,
        outlet_gauge: Array,
        air_pressure: Array,
        law: FlowLaw,
        model: Mapping[str, Array],
    ) -> dict[str, Array]:
        """Every cap of the strokes by name [1/s].

        Parameters
        ----------
        pump : Pump
        abrasion : str
        inlet_absolute : ndarray
            [Pa]
        outlet_gauge, air_pressure : ndarray
            [Pa(g)]
        law : FlowLaw
        model : mapping of ndarray

        Notes
        -----
        Filling: shovel pressure and inlet pressure together; none where no product stands at the shovel.
        """
        own, base = piston_of(pump), self.inlet_base(model)
        pushed = inlet_absolute - base + piston.shovel_pressure(own, air_pressure, outlet_gauge)
        available = np.where(inlet_absolute >= base, np.maximum(pushed, 0.0), 0.0)
        entering = flow_rate(
            available, own.bore, own.loading_length, law.yield_stress, law.consistency, law.exponent
        )
        return {
            "filling": np.asarray(piston.LOADING_SHARE * entering / pump.displacement),
            "sliding": np.asarray(sliding_limit(abrasion) / self.sliding(pump, 1.0)),
            "maximum": np.asarray(pump.maximum_speed),
        }

    def stall_pressure(
        self,
        pump: Pump,
        motor_power: float,
        speed: float,
        model: Mapping[str, Array],
        torque_factor: float = OVERLOAD,
    ) -> Array:
        """As `Family.stall_pressure`: r p_air with all the air of the site, friction not counted.

        Parameters
        ----------
        pump : Pump
        motor_power : float
            There is none [W].
        speed : float
            [1/s]
        model : mapping of ndarray
        torque_factor : float
            [-]
        """
        return piston.stall_pressure(piston_of(pump).ratio, air_at(model))

    def greatest_air(self, pump: Pump) -> float:
        """As `Family.greatest_air`: of its air motor, and what its product side bears over the ratio.

        Parameters
        ----------
        pump : Pump
        """
        own = piston_of(pump)
        return min(own.maximum_air_pressure, pump.maximum_pressure / own.ratio)

    def behaviour(self, pump: Pump, duty: Duty) -> Behaviour:
        """As `Family.behaviour`.

        Parameters
        ----------
        pump : Pump
        duty : Duty
        """
        own, model, flow = piston_of(pump), duty.model, duty.flow
        outlet = duty.outlet_absolute - duty.atmosphere
        state = self.operate(pump, *duty.core())
        air = np.minimum(air_at(model), own.maximum_air_pressure)
        stall = np.broadcast_to(self.stall_pressure(pump, 0.0, 0.0, model), flow.shape)
        dead, back = assumed(model, "model.air_dead_share"), state.slip / np.maximum(flow + state.slip, 1e-30)
        low, _, high = assumed_range("model.switch_time")
        clearance = assumed(model, "model.packing_clearance")
        return Behaviour(
            operation=state,
            worn=self.operate(pump, *duty.core(), worn=ROTOR_STEP),
            load=self.load(pump, duty.abrasion, state.speed, outlet, duty.restart_pressure, duty.law, model),
            speeds=self._speeds(pump, duty, state, air),
            shear=self._shear(pump, duty, state, clearance),
            stall=Stall(stall, stall),
            particle_limits=self.particle_limits(pump),
            dry_run_time=None,
            wear=self._wear(pump, duty, state.speed),
            air=air_use(
                flow,
                outlet,
                air,
                duty.atmosphere,
                piston.air_ratio(own.ratio),
                dead,
                np.minimum(back, 0.99),
                model,
            ),
            pulsation=(low * flow, high * flow),
            character=self.character(),
        )

    def _speeds(self, pump: Pump, duty: Duty, state: Operation, air: Array) -> Speeds:
        outlet = duty.outlet_absolute - duty.atmosphere
        found = self.caps(pump, duty.abrasion, duty.inlet_absolute, outlet, air, duty.law, duty.model)
        caps = {name: np.broadcast_to(cap, duty.flow.shape) for name, cap in found.items()}
        fed = np.maximum(pump.displacement * caps["filling"] - state.slip, 0.0)
        return Speeds(state.speed, caps, np.argmin(np.stack(list(caps.values())), axis=0), (fed, fed))

    def _shear(self, pump: Pump, duty: Duty, state: Operation, clearance: Array) -> Shear:
        """Cylinder as a pipe while it loads; the ring of the check, which all of the flow passes."""
        own = piston_of(pump)
        entering = pump.displacement * state.speed / piston.LOADING_SHARE
        ring = math.pi * pump.port * own.check_gap
        leak = np.maximum(state.slip - assumed(duty.model, "model.check_back_flow") * (entering * 0.5), 0.0)
        return Shear(
            8.0 * entering / (piston.area(own) * own.bore),
            6.0 * entering / (ring * own.check_gap),
            np.ones_like(duty.flow),
            gap.shear_rate(leak, clearance, math.pi * own.bore),
        )

    def _wear(self, pump: Pump, duty: Duty, speed: Array) -> Wear:
        """Wear of the packing, over at most `THINNED` samples."""
        n, flow, rho, added = thin(speed, duty.flow, duty.density, duty.outlet_absolute - duty.inlet_absolute)
        law, model = thin_law(duty.law, speed), thin_model(duty.model, speed)
        start = np.broadcast_to(assumed(model, "model.packing_clearance"), n.shape)
        pressure = np.minimum(added, self.rated_pressure(pump, duty.abrasion))
        end = end_clearance(
            lambda c: self.leak(pump, pressure, c, rho, law, model), start, END_SHARE * pump.displacement * n
        )
        sliding = self.sliding(pump, n)
        return wear_of(duty.abrasion, start, end, sliding, pressure, flow, duty.container_volume)
