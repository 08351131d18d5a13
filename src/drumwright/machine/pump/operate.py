"""What a pump does at a flow between two pressures, whatever its family: arrays in, arrays out."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drumwright.machine.pump.family import family_of
from drumwright.machine.pump.records import Abrasion, Behaviour, Duty, Load, Operation, Pump
from drumwright.product.law import FlowLaw

Array = NDArray[np.float64]

__all__ = [
    "Behaviour",
    "Duty",
    "Load",
    "Operation",
    "behaviour",
    "greatest_air",
    "load",
    "operate",
    "stall_pressure",
]


def operate(
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
        Growth of the clearance since new, c(t) - c(0) [m].

    Raises
    ------
    KeyError
        If the family is not judged.
    """
    return family_of(pump).operate(
        pump, abrasion, flow, inlet_absolute, outlet_absolute, atmosphere, density, law, model, worn
    )


def load(
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
    return family_of(pump).load(pump, abrasion, speed, pressure, restart_pressure, law, model)


def stall_pressure(pump: Pump, motor_power: float, speed: float, model: Mapping[str, Array]) -> Array:
    """Pressure at which the drive stalls on a closed outlet [Pa]; an air pump stalls by its air pressure.

    Parameters
    ----------
    pump : Pump
    motor_power : float
        Rated power of the motor [W].
    speed : float
        Pump speed at which the gear gives rated motor speed [1/s].
    model : mapping of ndarray
        Sampled model quantities ("model.friction_share", "site.air_pressure").
    """
    return family_of(pump).stall_pressure(pump, motor_power, speed, model)


def greatest_air(pump: Pump) -> float:
    """Air pressure that a pump driven by air bears itself [Pa(g)].

    Parameters
    ----------
    pump : Pump
    """
    return family_of(pump).greatest_air(pump)


def behaviour(pump: Pump, duty: Duty) -> Behaviour:
    """Everything that is said of a pump at one duty: speeds, shear, stall, wear, air, pulsation.

    Parameters
    ----------
    pump : Pump
    duty : Duty
    """
    return family_of(pump).behaviour(pump, duty)
