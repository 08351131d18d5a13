"""Invented plants of one pipe, made by hand, for the tests of the transient."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from numpy.typing import NDArray

from drumwright.flow.pipe import pressure_drop
from drumwright.station.transient import passages
from drumwright.station.transient.layout import PARAMETERS, STATE
from drumwright.station.transient.run import Plant

ATMOSPHERE = 101325.0
LITRE = 1.0e-3
HOUR = 3600.0
# A pump of 0.5 L a turn, hose of 63 mm, an emulsion: the test problem of the performance book, A.1.
DEFAULT: dict[str, float] = {
    "pump_kind": 0.0,
    "displacement": 0.5e-3,
    "speed_wanted": 1.0,
    "ramp_up": 1.0,
    "ramp_down": 1.0,
    "ramp_cut": 10.0,
    "drive_lag": 0.05,
    "stall_pressure": 60.0e5,
    "back_slip": 1.0,
    "feed_pressure": 1.4e5,
    "feed_conductance": 5.0e-8,
    "vapour_pressure": 2.3e3,
    "inlet_need": 4.0e4,
    "feed_compliance": 1.0e-8,
    "container_volume": 0.2,
    "container_area": 0.256,
    "volume_1": 7.8e-3,
    "flexibility_1": 1.0e-8 + 1.0 / 2.2e9,
    "air_1": 0.01,
    "volume_2": 7.8e-3,
    "flexibility_2": 1.0e-8 + 1.0 / 2.2e9,
    "air_2": 0.01,
    "atmosphere": ATMOSPHERE,
    "static_head": 0.0,
    "rest_extra": 0.0,
    "growth_time": 600.0,
    "breakdown": 0.0,
    "buffer_kind": 0.0,
    "buffer_node": 2.0,
    "buffer_volume": 0.0,
    "buffer_precharge": 0.5e5,
    "buffer_exponent": 1.2,
    "buffer_rate": 0.0,
    "relief_opening": 1.0e9,
    "destination_pressure": 0.0,
    "destination_hopper": 0.0,
    "hopper_volume": 0.0,
    "hopper_low": 0.4,
    "hopper_high": 0.8,
    "valve_closing": 0.2,
    "valve_opening": 0.2,
    "lag_outlet": 0.1,
    "lag_end": 0.1,
    "lag_switch": 0.02,
    "scan": 0.05,
    "wired_scan": 0.005,
    "torque_at_rest": 0.2,
    "torque_slope": 1.0e-6,
    "air_supply": 6.0e5,
    "batch_volume": 0.0,
    "plate_speed": 0.02,
    "full_height": 0.8,
    "rim_height": 0.95,
    "change_time": 0.0,
    "change_air": 0.0,
}


def plant(
    *,
    yield_stress: float = 100.0,
    consistency: float = 80.0,
    exponent: float = 0.35,
    bore: float = 0.063,
    length: float = 5.0,
    slip: float = 1.0e-12,
    neck: tuple[float, float] = (0.05, 0.15),
    relief: tuple[float, float] = (0.032, 0.3),
    resting: bool = False,
    **changes: float,
) -> Plant:
    """A plant with a pipe of Herschel-Bulkley product, a nozzle of 50 mm and 1.5 m behind the valve."""
    law = (yield_stress, consistency, exponent)
    values = {**DEFAULT, **changes}
    flow = values["displacement"] * values["speed_wanted"]

    def pipe(size: float, long: float) -> tuple[NDArray[np.float64], float]:
        held = 4.0 * yield_stress * long / size
        return passages.from_flow(
            lambda rate: np.asarray(pressure_drop(rate, size, long, *law)),
            np.array([held]),
            np.array([20 * flow]),
        )[0], held

    line, values["line_yield"] = pipe(bore, length)
    nozzle, held = pipe(0.05, 1.5)
    neck_table, values["neck_yield"] = pipe(*neck)
    relief_table, relief_held = pipe(*relief)
    values["relief_opening"] += relief_held
    values["destination_pressure"] += held
    pump = passages.linear(1.0e5, max(slip, 1e-15) * 1.0e5)[0]
    parameters = np.array([values[name] for name in PARAMETERS])
    start = np.zeros(len(STATE))
    start[0] = 0.0 if resting else values["speed_wanted"]
    tables = np.stack([line, pump, relief_table, neck_table, nozzle])
    return Plant(parameters, tables, start)


def cycles(count: int, period: float = 6.0, open_for: float = 3.0, ramp: float = 0.2) -> list[Any]:
    """Schedule of a filler valve: open at the beginning of each period, then shut."""
    rows: list[tuple[float, int, float, float]] = []
    for k in range(count):
        if k:
            rows.append((k * period, 0, 1.0, ramp))
        rows.append((k * period + open_for, 0, 0.0, ramp))
    return rows


def rise(flow: float, compliance: float) -> float:
    """Rate of pressure of a dead-headed pump [Pa/s] (check value TRN-01)."""
    return flow / compliance


def area(diameter: float) -> float:
    """Of a circle [m2]."""
    return 0.25 * math.pi * diameter**2
