"""Air-operated double-diaphragm pumps as a family."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.machine.pump import air_diaphragm
from drumwright.machine.pump.base import OVERLOAD, Family, air_at
from drumwright.machine.pump.compressed_air import air_use
from drumwright.machine.pump.limits import assumed, assumed_range, stroke_share
from drumwright.machine.pump.records import (
    Abrasion,
    Behaviour,
    Diaphragm,
    Duty,
    FamilyName,
    Operation,
    Pump,
    Shear,
    Speeds,
    Stall,
    Wear,
)
from drumwright.machine.pump.row import Row
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]
METRES = ("suction_length", "ball_diameter")
FIELDS = (*METRES, "suction_diameters", "discharge_diameters", "free_flow", "ball_density")
NET_BAND = 5.0e3  # Pa; half of the 0.1 bar that doubles the flow (physics book A10)


def diaphragm_of(pump: Pump) -> Diaphragm:
    """Geometry of a diaphragm pump.

    Raises
    ------
    TypeError
        If the pump is of another family.
    """
    if not isinstance(pump.geometry, Diaphragm):
        raise TypeError(f"{pump.identifier} is no diaphragm pump")
    return pump.geometry


class DiaphragmFamily(Family):
    """Two chambers worked by air, ratio 1:1: holds on a closed outlet, lives from its suction."""

    name: FamilyName = "air_diaphragm"
    cleaning = "flush"
    closed_outlet = "stalls"
    dry_run = "good"

    def from_row(self, fields: Mapping[str, Any]) -> Pump:
        """As `Family.from_row`; the passage is the lift of the ball, a quarter of the port."""
        row = Row(fields, self.name)
        common = row.common((*FIELDS, "displacement"))
        units = {"free_flow": "m3/s", "ball_density": "kg/m3"} | dict.fromkeys(METRES, "m")
        numbers = {field: row.number(field, units.get(field, "-")) for field in FIELDS}
        return Pump(
            family=self.name,
            displacement=row.number("displacement", "m3"),
            passage=common["port"] / 4.0,
            geometry=Diaphragm(**numbers),
            **common,
        )

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
        """As `Family.operate`; speed and slip are 0, see `Speeds.needed` for the strokes.

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
            No gap wears here [m].
        """
        own = diaphragm_of(pump)
        suction = (pump.port, own.suction_length, own.suction_diameters, law)
        loss = air_diaphragm.suction_loss(flow, *suction)
        air = np.minimum(air_at(model), pump.maximum_pressure)
        delivery = air_diaphragm.delivery_pressure(
            flow, air, own.free_flow, pump.port, own.discharge_diameters, law
        )
        required = self.lowest(atmosphere, model) + loss
        suction_excess = (inlet_absolute - required) / atmosphere
        delivery_excess = (delivery - (outlet_absolute - atmosphere)) / atmosphere
        zero = np.zeros_like(flow)
        held = air_diaphragm.suction_yield(*suction)
        excess = np.minimum(suction_excess, delivery_excess)
        return Operation(excess, required, zero, zero, zero, np.asarray(held))

    def lowest(self, atmosphere: Array, model: Mapping[str, Array]) -> Array:
        """Pressure a chamber can draw down to [Pa]; below its vapour pressure the product boils.

        Parameters
        ----------
        atmosphere : ndarray
            Absolute [Pa].
        model : mapping of ndarray
        """
        return np.maximum(atmosphere - model["model.suction_net"], model["product.vapour_pressure"])

    def back_share(self, pump: Pump, density: Array, law: FlowLaw, model: Mapping[str, Array]) -> Array:
        """Share of a stroke that flows back before the balls seat [-].

        Parameters
        ----------
        pump : Pump
        density : ndarray
            [kg/m3]
        law : FlowLaw
        model : mapping of ndarray
        """
        own = diaphragm_of(pump)
        limit = air_diaphragm.seating_yield_stress(own.ball_diameter, own.ball_density, density)
        seated, floating = assumed(model, "model.ball_back_seated"), assumed(model, "model.ball_back_flow")
        return air_diaphragm.back_share(law.yield_stress, limit, seated, floating)

    def stall_pressure(
        self,
        pump: Pump,
        motor_power: float,
        speed: float,
        model: Mapping[str, Array],
        torque_factor: float = OVERLOAD,
    ) -> Array:
        """As `Family.stall_pressure`: the pressure of the air.

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
        return air_at(model)

    def behaviour(self, pump: Pump, duty: Duty) -> Behaviour:
        """As `Family.behaviour`.

        Parameters
        ----------
        pump : Pump
        duty : Duty
        """
        model, flow = duty.model, duty.flow
        state = self.operate(pump, *duty.core())
        back = self.back_share(pump, duty.density, duty.law, model)
        stall = np.broadcast_to(self.stall_pressure(pump, 0.0, 0.0, model), flow.shape)
        strokes = flow / (pump.displacement * (1.0 - back))
        dead = assumed(model, "model.air_dead_share")
        air = np.minimum(air_at(model), pump.maximum_pressure)
        low, _, high = assumed_range("model.switch_time")
        return Behaviour(
            operation=state,
            worn=state,
            load=self.load(pump, duty.abrasion, strokes, flow * 0.0, duty.restart_pressure, duty.law, model),
            speeds=self._speeds(pump, duty, strokes, back),
            shear=self._shear(pump, flow),
            stall=Stall(stall, stall),
            particle_limits=self.particle_limits(pump),
            dry_run_time=None,
            wear=diaphragm_life(duty.abrasion, strokes, flow, duty.container_volume),
            air=air_use(
                flow, duty.outlet_absolute - duty.atmosphere, air, duty.atmosphere, 1.0, dead, back, model
            ),
            pulsation=(low * flow, high * flow),
            character=self.character(),
        )

    def _speeds(self, pump: Pump, duty: Duty, strokes: Array, back: Array) -> Speeds:
        """Suction at 0.05 bar less and more of net pressure; the cap takes the lesser."""
        own = diaphragm_of(pump)
        net = duty.inlet_absolute - self.lowest(duty.atmosphere, duty.model)
        low, middle, high = (
            air_diaphragm.suction_flow(
                net + by, pump.port, own.suction_length, own.suction_diameters, duty.law
            )
            for by in (-NET_BAND, 0.0, NET_BAND)
        )
        caps = {
            "filling": middle / (pump.displacement * (1.0 - back)),
            "maximum": np.full_like(strokes, pump.maximum_speed),
        }
        return Speeds(strokes, caps, np.argmin(np.stack(list(caps.values())), axis=0), (low, high))

    def _shear(self, pump: Pump, flow: Array) -> Shear:
        """Port as a pipe; the ring under the lifted ball, which all of the flow passes."""
        velocity = flow / (0.25 * np.pi * pump.port**2)
        one = np.ones_like(flow)
        return Shear(8.0 * velocity / pump.port, 6.0 * velocity / pump.passage, one, 0.0 * one)


def strokes_stood(abrasion: Abrasion) -> tuple[float, float]:
    """Strokes that diaphragms, balls and seats stand, fewest and most [-]: assumed.

    Parameters
    ----------
    abrasion : str
        clean, sensitive, mild or abrasive.
    """
    low, _, high = assumed_range("diaphragm_strokes")
    return stroke_share(abrasion) * low, stroke_share(abrasion) * high


def diaphragm_life(abrasion: Abrasion, strokes: Array, flow: Array, container: float) -> Wear:
    """Life of diaphragms, balls and seats as a range; no gap of the pump wears in the product.

    Parameters
    ----------
    abrasion : str
        clean, sensitive, mild or abrasive.
    strokes : ndarray
        [1/s]
    flow : ndarray
        [m3/s]
    container : float
        Volume that counts as one container [m3].

    Notes
    -----
    Strokes the parts stand over strokes a second; their range and their share by abrasion are assumed.
    """
    fewest, most = strokes_stood(abrasion)
    least, greatest = float(np.min(strokes)), float(np.max(strokes))
    with np.errstate(divide="ignore"):
        life = (float(np.divide(fewest, greatest)), float(np.divide(most, least)))
    moved = np.divide(flow, strokes, out=np.zeros_like(flow), where=strokes > 0.0) / container
    drums = (float(fewest * np.min(moved)), float(most * np.max(moved)))
    return Wear((0.0, 0.0), life, drums, (0.0, 0.0))
